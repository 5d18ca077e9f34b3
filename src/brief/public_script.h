#pragma once

#include <optional>
#include <string>
#include <vector>

#include "brief/sections.h"

namespace handrail::brief {

/// Speaking rate of a commentator who can be followed, words a minute (common practice: 120 to 150).
inline constexpr double usual_pace = 130;

struct ScriptOptions {
    std::optional<double> minutes;  ///< no longer than this; the least important lines go first
    double pace = usual_pace;       ///< words a minute
    bool trace = false;             ///< show which field each line comes from
};

/// A line to be spoken, from one public field or from the plan's times.
struct Spoken {
    enum class Part : std::uint8_t { opening, work, quiet, closing } part = Part::work;
    std::optional<Pet> at;
    std::string who;  ///< whose work it is, for the speaker; not spoken
    std::string words;
    std::string field;  ///< "task valve, why"
    double weight = 0;  ///< the smallest goes first when the script is too long; infinite: never
};

/// Made of names of people and station, the outing's, people's and worksites' `about`, tasks' `why`, steps' public
/// words, and times of the plan and of daylight. Nothing else of the outing is read: no step or item names, no words
/// for the crew, no hazards. A task without `why` and without public words is not spoken of.
std::vector<Spoken> spoken_lines(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                 const ScriptOptions& options = {});
std::vector<Section> public_script(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                   const ScriptOptions& options = {});
/// How many words a text has when it is read aloud.
std::size_t word_count(std::string_view text);

}  // namespace handrail::brief
