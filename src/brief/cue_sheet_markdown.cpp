#include <fmt/format.h>

#include "brief/axis.h"
#include "brief/codes.h"
#include "brief/cue_sheet.h"
#include "brief/facts.h"

namespace handrail::brief {
namespace {

std::string heading(const Outing& outing, const Timeline& timeline, TaskId id, const Wording& say) {
    const Task& task = outing.task(id);
    const auto span = span_of(outing, timeline, id);
    return fmt::format("\n## {}\n\n{}\n\n", markdown_escape(say("cue.task", {task_code(id), task.name})),
                       say("cue.task_facts", {say.task_class(task.task_class), say.number(print_value(task.value)),
                                              print_pet(span->from), print_pet(span->to)}));
}

std::string cue_lines(const Timeline& timeline, const Cue& cue, Reader reader, std::optional<Pet> now,
                      const Wording& say) {
    const Activity& a = *cue.activity;
    const bool crew = reader == Reader::ev1 || reader == Reader::ev2;
    std::string out = (now && a.end() <= *now ? "- [x] " : "- [ ] ") +
                      say("cue.line", {print_pet(a.start), print_pet(a.end()), print_duration(a.duration),
                                       clock_utc(a.start, timeline.pet_zero)}) +
                      " ";
    if (!crew) out += say.lanes(a) + ": ";
    const std::string code = cue.code.empty() ? "" : cue.code + " ";
    out += fmt::format("**{}{}**", code, markdown_escape(cue.name));
    if (!cue.place.empty() && !cue.code.empty()) out += ", " + markdown_escape(cue.place);
    out += "\n";
    for (const Caution& c : cue.cautions)
        out += fmt::format("  - **{}** {}. {}\n", say("caution.word"), markdown_escape(c.what),
                           markdown_escape(c.control));
    if (!cue.words.empty()) out += "  - " + markdown_escape(cue.words) + "\n";
    for (const std::string& note : cue.notes) out += "  - " + markdown_escape(note) + "\n";
    if (crew && cue.hands_before == cue.hands_after)
        out += "  - " + markdown_escape(say("cue.hands", {cue.hands_after})) + "\n";
    else if (crew)
        out += "  - " + markdown_escape(say("cue.hands_change", {cue.hands_before, cue.hands_after})) + "\n";
    for (const Beside& other : cue.beside)
        out += "  - " + markdown_escape(say("cue.other", {say.lane(other.lane), print_pet(other.from), other.words})) +
               "\n";
    return out;
}

}  // namespace

std::optional<Pet> moment_of(const Origin& origin) {
    if (origin.day == nullptr || !origin.day->day.pet_running) return {};
    return origin.day->day.pet_now();
}

std::string nothing_to_do(const Origin& origin) {
    const bool off = origin.day != nullptr && origin.day->day.stand_down;
    return origin.say(off ? "cue.none_ahead" : "cue.none");
}

std::string cue_sheet_title(const Outing& outing, Reader reader, const Wording& say) {
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
    return person.empty() ? say("title.cue_sheet", {word(reader, say)})
                          : say("title.cue_sheet_of", {word(reader, say), person});
}

Grid cue_table(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Reader reader,
               const Wording& say) {
    Grid grid{"", {{"PET"}, {"UTC"}, {"s", Kind::number}}, {}};
    for (const char* key : {"who", "cue.code", "cue.what", "cue.place", "cue.cautions", "cue.say", "cue.notes",
                            "cue.before", "cue.after", "cue.others"})
        grid.columns.push_back({say(key)});
    const auto join = [](const std::vector<std::string>& parts) {
        std::string out;
        for (const std::string& part : parts) out += (out.empty() ? "" : "; ") + part;
        return out;
    };
    for (const Cue& cue : cue_sheet(outing, windows, timeline, reader, say).cues) {
        std::vector<std::string> cautions, others;
        for (const Caution& c : cue.cautions) cautions.push_back(c.what + ". " + c.control);
        for (const Beside& other : cue.beside)
            others.push_back(say("cue.other", {say.lane(other.lane), print_pet(other.from), other.words}));
        const Activity& a = *cue.activity;
        grid.rows.push_back({print_pet_seconds(a.start), print_utc(to_utc(a.start, timeline.pet_zero)),
                             std::to_string(a.duration.count()), say.lanes(a), cue.code, cue.name, cue.place,
                             join(cautions), cue.words, join(cue.notes), cue.hands_before, cue.hands_after,
                             join(others)});
    }
    return grid;
}

std::string cue_sheet_markdown(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                               Reader reader, const Origin& origin) {
    const CueSheet sheet = cue_sheet(outing, windows, timeline, reader, origin.say);
    const Facts f = facts(outing, timeline);
    const std::optional<Pet> now = moment_of(origin);
    std::string body =
        sheet.cues.empty()
            ? nothing_to_do(origin) + "\n"
            : origin.say("cue.facts", {print_pet(f.finish), print_pet(f.limit), print_pet(f.margin_from)}) + "\n\n";
    if (now && !sheet.cues.empty()) body += origin.say("cue.caption_day", {print_pet(*now)}) + "\n\n";
    std::optional<TaskId> task;
    for (const Cue& cue : sheet.cues) {
        // IV follows two people through two tasks at once: headings would cut across; the step's code says the task.
        if (reader != Reader::iv && cue.task && cue.task != task)
            body += heading(outing, timeline, *cue.task, origin.say);
        if (cue.task) task = cue.task;
        body += cue_lines(timeline, cue, reader, now, origin.say);
    }
    return markdown_document(outing, timeline, origin, body);
}

}  // namespace handrail::brief
