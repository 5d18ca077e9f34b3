#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "outing/model.h"

namespace handrail::checking {

/// Shortest ways over the station's routes, computed when first asked for. One checker run owns one of these; it is
/// not meant to be shared between threads.
class Ways {
public:
    /// `anchored_at`: worksites where some tether is anchored in the timeline at hand, permitted or not.
    Ways(const Outing& outing, const std::vector<WorksiteId>& anchored_at);

    /// Shortest route length between an anchor and a worksite, any load; infinity when there is none.
    double tether_length_m(WorksiteId anchor, WorksiteId site);
    bool tether_reaches(WorksiteId anchor, WorksiteId site);
    /// Shortest translation time of the slower of the two with a normal load, tether left aside; nothing when there is
    /// no way.
    std::optional<Seconds> between(WorksiteId a, WorksiteId b);
    /// Least time to the airlock with the tether in reach all the way and anchored at the airlock at the end; a load
    /// above medium counts as medium, as it may be dropped. Nothing when there is no way.
    std::optional<Seconds> home(Crew crew, WorksiteId place, WorksiteId anchor, SizeClass load);
    /// The quickest route of those that join two worksites and permit the load.
    const Route* route(WorksiteId a, WorksiteId b, SizeClass load) const;

private:
    struct Leg {
        std::size_t to = 0;
        const Route* route = nullptr;
    };
    using Times = std::vector<std::int64_t>;  ///< seconds; `never` where there is no way

    Times home_times(const CrewMember& person, SizeClass load);
    std::size_t anchor_index(WorksiteId anchor) const;

    const Outing& outing_;
    std::vector<std::vector<Leg>> legs_;              ///< by worksite
    std::vector<WorksiteId> anchors_;                 ///< in id order
    std::vector<std::vector<double>> lengths_;        ///< by worksite of the anchor; empty until asked for
    std::vector<Times> walks_;                        ///< by worksite; empty until asked for
    std::array<std::array<Times, 2>, 2> home_times_;  ///< by crew, then small or medium; place × anchor
};

}  // namespace handrail::checking
