#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "lifesupport/prebreathe.h"
#include "live/entry.h"

/// The hours before PET zero. Being late here is a slip: PET zero moves, and with it the plan, while light and coverage
/// keep their UTC.
namespace handrail::live {

struct Morning {
    std::optional<Utc> suit_up, prebreathe, depress;  ///< when each began, as logged
    std::optional<Utc> expected;                      ///< PET zero as the lead last expected it
    /// The prebreathe as it runs with its holds and breaks; before it is logged as begun: as if it began now, once it
    /// should have and the morning is being logged at all. None without a protocol, and when nobody logs the morning.
    std::optional<lifesupport::PrebreatheCourse> course;
    std::optional<Utc> earliest;  ///< PET zero that the course, or the depress once begun, allows
    Seconds payback{};            ///< oxygen time added for breaks
    Seconds early_depress{};      ///< by how much the depress began before the prebreathe was over
    std::string cause;            ///< why PET zero is late, the largest share; "" when nothing is known
    std::string trouble;          ///< a whole sentence when the course cannot be worked out
};

/// REQUIRES: `order` are the entries in force that have happened by `now`, in the order in which they happened.
Morning morning_of(const Outing& outing, std::span<const Recorded> entries, std::span<const std::size_t> order,
                   Utc planned_pet_zero, Utc now);

/// Steps that lead from where the morning stands to egress, each with when it was to begin and when it does: for
/// people. Words and UTC only.
struct MorningStep {
    std::string name;
    std::optional<Utc> planned, begins;
    bool begun = false;
};
std::vector<MorningStep> morning_steps(const Outing& outing, const Morning& morning, Utc planned_pet_zero,
                                       Utc pet_zero);

}  // namespace handrail::live
