#include <fmt/format.h>

#include "brief/axis.h"
#include "brief/codes.h"
#include "brief/cue_sheet.h"
#include "brief/facts.h"

namespace handrail::brief {
namespace {

std::string heading(const Outing& outing, const Timeline& timeline, TaskId id) {
    const Task& task = outing.task(id);
    const auto span = span_of(outing, timeline, id);
    return fmt::format("\n## Task {}: {}\n\n{}, value {}, PET {} to {}\n\n", task_code(id), markdown_escape(task.name),
                       word(task.task_class), print_value(task.value), print_pet(span->from), print_pet(span->to));
}

std::string lanes(const Activity& activity) {
    std::string out;
    for (const Lane lane : activity.lanes) out += (out.empty() ? "" : " + ") + std::string(word(lane));
    return out;
}

std::string cue_lines(const Timeline& timeline, const Cue& cue, Reader reader) {
    const Activity& a = *cue.activity;
    const bool crew = reader == Reader::ev1 || reader == Reader::ev2;
    std::string out = fmt::format("- [ ] **{}** to {} ({}; {} UTC) ", print_pet(a.start), print_pet(a.end()),
                                  print_short(a.duration), clock_utc(a.start, timeline.pet_zero));
    if (!crew) out += lanes(a) + ": ";
    const std::string code = cue.code.empty() ? "" : cue.code + " ";
    out += fmt::format("**{}{}**", code, markdown_escape(cue.name));
    if (!cue.place.empty() && !cue.code.empty()) out += ", " + markdown_escape(cue.place);
    out += "\n";
    for (const Caution& c : cue.cautions)
        out += fmt::format("  - **CAUTION** {}. {}\n", markdown_escape(c.what), markdown_escape(c.control));
    if (!cue.words.empty()) out += "  - " + markdown_escape(cue.words) + "\n";
    for (const std::string& note : cue.notes) out += "  - " + markdown_escape(note) + "\n";
    if (crew && cue.hands_before == cue.hands_after)
        out += fmt::format("  - in hand: {}\n", markdown_escape(cue.hands_after));
    else if (crew)
        out += fmt::format("  - in hand before: {}; after: {}\n", markdown_escape(cue.hands_before),
                           markdown_escape(cue.hands_after));
    for (const Beside& other : cue.beside)
        out +=
            fmt::format("  - {} from {}: {}\n", word(other.lane), print_pet(other.from), markdown_escape(other.words));
    return out;
}

}  // namespace

std::string cue_sheet_title(const Outing& outing, Reader reader) {
    std::string person;
    switch (reader) {
        case Reader::ev1:
            person = outing.person(Crew::ev1).name;
            break;
        case Reader::ev2:
            person = outing.person(Crew::ev2).name;
            break;
        case Reader::iv:
            person = outing.iv_name;
            break;
        case Reader::arm:
            person = outing.station.arm ? outing.station.arm->operator_name : "";
            break;
    }
    return fmt::format("cue sheet {}{}", word(reader), person.empty() ? "" : ", " + person);
}

std::string cue_sheet_markdown(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                               Reader reader, const Origin& origin) {
    const CueSheet sheet = cue_sheet(outing, windows, timeline, reader);
    const Facts f = facts(outing, timeline);
    std::string body = fmt::format("Finish {}, hard end {}, margin begins {}.\n\n", print_pet(f.finish),
                                   print_pet(f.limit), print_pet(f.margin_from));
    if (sheet.cues.empty()) body += "Nothing in this plan is for this reader.\n";
    std::optional<TaskId> task;
    for (const Cue& cue : sheet.cues) {
        // IV follows two people through two tasks at once: headings would cut across; the step's code says the task.
        if (reader != Reader::iv && cue.task && cue.task != task) body += heading(outing, timeline, *cue.task);
        if (cue.task) task = cue.task;
        body += cue_lines(timeline, cue, reader);
    }
    return markdown_document(outing, timeline, origin, body);
}

}  // namespace handrail::brief
