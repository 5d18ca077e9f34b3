#pragma once

#include <string>
#include <vector>

#include "brief/wording.h"
#include "outing/model.h"
#include "timeline/timeline.h"

namespace handrail::brief {

/// Where every item is at every moment of a plan, by the item rules of docs/rules.md: an activity's effect is there
/// from its end on.
class Carrying {
public:
    struct Place {
        enum class Where : std::uint8_t { loose, in_bag, carried, installed } where = Where::loose;
        WorksiteId site{};  ///< loose, installed
        ItemId bag{};       ///< in_bag
        Crew carrier{};     ///< carried: in hand
    };
    /// Something that happened to items, in order of when it had happened.
    struct Change {
        Pet at{};
        const Activity* activity = nullptr;
        std::vector<std::pair<ItemId, Place>> items;
    };

    /// The timeline must outlive this.
    Carrying(const Outing& outing, const Timeline& timeline, const Wording& say = Wording{});

    std::vector<Place> at(Pet t) const;
    const std::vector<Change>& changes() const { return changes_; }
    /// "Tool bag 1 (pistol driver, torque wrench), new camera"; "nothing".
    std::string hands(Crew crew, Pet t) const;
    /// "carried by EV1", "in Tool bag 1, carried by EV1", "at Radiator root", "fitted at Radiator root".
    std::string whereabouts(ItemId item, Pet t) const;

private:
    std::vector<std::pair<ItemId, Place>> effect(const Activity& activity) const;

    const Outing& outing_;
    Wording say_;
    std::vector<Place> first_;
    std::vector<Change> changes_;
};

/// "new camera, torque wrench"
std::string names_of(const Outing& outing, const std::vector<ItemId>& items);

}  // namespace handrail::brief
