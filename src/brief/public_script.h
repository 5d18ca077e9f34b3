#pragma once

#include <optional>
#include <string>
#include <vector>

#include "brief/sections.h"
#include "brief/wording.h"
#include "live/status.h"

namespace handrail::brief {

/// Speaking rate of a commentator who can be followed, words a minute (common practice: 120 to 150).
inline constexpr double usual_pace = 130;

enum class Trace : std::uint8_t { no, yes };

struct ScriptOptions {
    std::optional<double> minutes;  ///< to be filled to within 5 %, as far as there are words for it
    double pace = usual_pace;       ///< words a minute
    Trace trace = Trace::no;        ///< show which field each line comes from
};

/// A line to be spoken, from one public field or from the plan's times.
struct Spoken {
    /// Of a line about the work, on the day: where it stands.
    enum class Stage : std::uint8_t { plan, done, running, ahead };
    enum class Part : std::uint8_t { opening, work, quiet, trouble, closing } part = Part::work;
    std::optional<Pet> at;
    std::string who;  ///< whose work it is, for the speaker; not spoken
    std::string words;
    std::string field;                   ///< "task valve, why"
    double weight = 0;                   ///< the smallest goes first when the script is too long
    std::optional<std::size_t> follows;  ///< only said after that line
    Stage stage = Stage::plan;
};

struct Script {
    std::vector<Spoken> lines;
    std::size_t words = 0;
    std::optional<std::string> short_of;  ///< a sentence: why the minutes asked for could not be met
};

/// Made of names of people, station and worksites, the outing's, people's and worksites' `about`, tasks' `why`, steps'
/// public words, whether a task is required, times of the plan and of daylight, and terms of the trade explained in the
/// message file. Nothing else of the outing is read: no step or item names, no words for the crew, no hazards. A task
/// without `why` and without public words is not spoken of.
/// With a day's `status` (and its timeline): what is done is told in the past tense, what runs in the present, what is
/// to come with its forecast time; of the journal only times, that work is held, and how far behind they are.
Script script(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
              const ScriptOptions& options = {}, const Wording& say = Wording{}, const live::Status* status = nullptr);
std::vector<Section> script_sections(const Script& script, const Timeline& timeline, const ScriptOptions& options = {},
                                     const Wording& say = Wording{}, const live::Status* status = nullptr);
/// A row a line: part, time, who, words, field.
Grid script_table(const Script& script, const Timeline& timeline, const Wording& say);
/// How many words a text has when it is read aloud.
std::size_t word_count(std::string_view text);

/// Which lines fit `most` words best: the weightiest first, then a choice of the rest that comes nearest; true for
/// those kept. `within` is the share by which the sum may be off before lighter lines replace weightier ones.
std::vector<bool> fitted(const std::vector<Spoken>& lines, double most, double within);

}  // namespace handrail::brief
