#pragma once

#include <optional>
#include <string>
#include <vector>

#include "brief/wording.h"
#include "outing/model.h"
#include "timeline/timeline.h"

/// What a cue sheet says, before it is laid out: one cue for each thing its reader does or calls.
namespace handrail::brief {

/// Whose sheet it is.
enum class Reader : std::uint8_t { ev1, ev2, iv, arm };
/// "EV1", "arm operator"
std::string word(Reader reader, const Wording& say);

struct Caution {
    std::string what, control;
};
/// What somebody else is doing while the cue's activity runs.
struct Beside {
    Lane lane{};
    Pet from{};
    std::string words;  ///< "A3 Steady the module by its handles"
};
struct Cue {
    const Activity* activity = nullptr;
    std::optional<TaskId> task;  ///< of a step
    std::string code, name;      ///< "B3"; "Fit the new camera". No code for what is not a step.
    std::string place;           ///< "at Camera mast", "Airlock to Cargo shelf"
    std::vector<Caution> cautions;
    std::vector<std::string> notes;         ///< what it needs, what it waits for, what it leaves open: a phrase each
    std::string words;                      ///< the outing file's words for the crew
    std::string hands_before, hands_after;  ///< of the sheet's reader; empty on the sheets of IV and the arm
    std::vector<Beside> beside;
};
struct CueSheet {
    Reader reader = Reader::iv;
    std::string person;  ///< their name, if the outing gives one
    std::vector<Cue> cues;
};

/// Everything on the reader's lane in order; for IV everything on any lane. The timeline must outlive the sheet.
CueSheet cue_sheet(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Reader reader,
                   const Wording& say = Wording{});

}  // namespace handrail::brief
