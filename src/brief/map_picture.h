#pragma once

#include <optional>
#include <string>
#include <vector>

#include "brief/canvas.h"
#include "brief/wording.h"

/// The station as a map, seen along the axis that spreads its worksites most.
namespace handrail::brief {

/// Which way a map looks at the station.
enum class View : std::uint8_t {
    above,  ///< forward is up, right is right
    right,  ///< seen from the right: forward is right, the Earth is below
    behind  ///< seen from behind: right is right, the Earth is below
};
View best_view(const Station& station);

/// What a map shows of one moment.
struct MapMoment {
    struct Person {
        WorksiteId at{};
        std::vector<WorksiteId> way;  ///< how they came here: worksites along the way, the last is `at`; or empty
        bool rides = false;           ///< on the arm
        bool moving = false;          ///< still on that way
    };
    std::array<Person, 2> people;                           ///< by Crew
    std::optional<WorksiteId> arm;                          ///< where its tip is while it is used
    std::vector<std::pair<WorksiteId, std::string>> items;  ///< what is worked with, and where
    std::optional<bool> daylight;                           ///< of the station; none: unknown
};

enum class Labels : std::uint8_t {
    all,       ///< every worksite by name
    concerned  ///< the airlock and where somebody is, comes from or works
};

/// Draws the station into `area`; `size` is the font size. Same arguments, same drawing.
void draw_map(Canvas& canvas, Box area, const Outing& outing, View view, const MapMoment* moment, Labels labels,
              double size, const Wording& say);
/// "seen from above, forward is up"
std::string view_words(View view, const Wording& say);

}  // namespace handrail::brief
