#include <fmt/format.h>

#include <algorithm>

#include "brief/axis.h"
#include "brief/codes.h"
#include "brief/cue_sheet.h"
#include "brief/facts.h"
#include "brief/markup.h"

namespace handrail::brief {
namespace {

/// A duration that stays on one line.
std::string unbroken(std::string words) {
    for (std::size_t at = words.find(' '); at != std::string::npos; at = words.find(' ', at))
        words.replace(at, 1, "\xC2\xA0");
    return words;
}

/// Lays cues out as table rows, each cue a row group of its own so that no page break can split it.
class Table {
public:
    /// `now`: of a day that is running; what ended before it is ticked.
    Table(const Outing& outing, const Timeline& timeline, const CueSheet& sheet, const Wording& say,
          std::optional<Pet> now)
        : outing_(outing), timeline_(timeline), sheet_(sheet), say_(say), now_(now) {}

    std::string html() {
        head();
        for (std::size_t i = 0; i < sheet_.cues.size(); ++i) {
            const Cue& cue = sheet_.cues[i];
            if (now_ && !now_told_ && *now_ < cue.activity->end()) now_row();
            if (cue.task) heading(*cue.task);
            if (!iv()) {
                row(cue);
                continue;
            }
            // Two people starting different things at the same moment share a row.
            const Cue* other =
                i + 1 < sheet_.cues.size() && apart(cue, sheet_.cues[i + 1]) ? &sheet_.cues[i + 1] : nullptr;
            if (other != nullptr && other->task) heading(*other->task);
            voice_row(cue, other);
            i += other != nullptr;
        }
        return out_ + "</table>\n";
    }

private:
    bool iv() const { return sheet_.reader == Reader::iv; }
    bool arm() const { return sheet_.reader == Reader::arm; }

    static bool apart(const Cue& a, const Cue& b) {
        const auto only = [](const Cue& cue) { return cue.activity->on(Lane::ev1) != cue.activity->on(Lane::ev2); };
        return a.activity->start == b.activity->start && only(a) && only(b) &&
               a.activity->on(Lane::ev1) != b.activity->on(Lane::ev1);
    }

    std::string column(std::string_view key) const { return "<th scope=\"col\">" + escape(say_(key)) + "</th>"; }

    void head() {
        const std::string when = column("cue.when");
        out_ += fmt::format(
            "<table>\n<caption>{}</caption>\n<thead>\n<tr>{}</tr>\n</thead>\n",
            escape(now_   ? say_("cue.caption_day", {print_pet(*now_)})
                   : iv() ? say_("cue.caption_iv")
                          : say_("cue.caption")),
            iv()    ? when + "<th scope=\"col\">EV1</th><th scope=\"col\">EV2</th>" + column("cue.words")
            : arm() ? column("cue.done") + when + column("cue.arm") + column("cue.crew_meanwhile")
                    : column("cue.done") + when + column("cue.your_step") + column("cue.in_hands") +
                          fmt::format("<th scope=\"col\">{}</th>",
                                      escape(say_("cue.meanwhile", {sheet_.reader == Reader::ev1 ? "EV2" : "EV1"}))));
    }

    /// Before a task's first cue; for the crew also where they come back to it.
    void heading(TaskId id) {
        const bool first = std::ranges::find(begun_, id) == begun_.end();
        const bool same = last_ == id;
        last_ = id;
        if (first) begun_.push_back(id);
        if (same || (iv() && !first)) return;
        const Task& task = outing_.task(id);
        const auto span = span_of(outing_, timeline_, id);
        const auto lead = timeline_.lead_of(id);
        const std::string name = say_(first ? "cue.task" : "cue.task_continued", {task_code(id), task.name});
        std::string facts =
            say_("cue.task_facts", {say_.task_class(task.task_class), say_.number(print_value(task.value)),
                                    print_pet(span->from), print_pet(span->to)});
        if (lead) facts += " · " + say_("cue.leads", {say_.crew(*lead)});
        out_ += fmt::format(
            "<tbody class=\"task\">\n<tr><th colspan=\"{}\" scope=\"rowgroup\">{} <span>· {}</span></th></tr>\n"
            "</tbody>\n",
            iv() || arm() ? 4 : 5, escape(name), escape(facts));
    }

    /// Between what is done and what is running or still to come.
    void now_row() {
        now_told_ = true;
        out_ += fmt::format("<tbody class=\"now\">\n<tr><th colspan=\"{}\" scope=\"rowgroup\">{}</th></tr>\n</tbody>\n",
                            iv() || arm() ? 4 : 5,
                            escape(say_("cue.now", {print_pet(*now_), clock_utc(*now_, timeline_.pet_zero)})));
    }

    bool done(const Cue& cue) const { return now_ && cue.activity->end() <= *now_; }
    /// The box is for a pen, or ticked; a screen reader hears the headings and the row.
    std::string box(const Cue& cue, std::string_view classes) const {
        return fmt::format("<span class=\"{}\">{}</span>", classes, done(cue) ? "\xE2\x9C\x93" : "");
    }

    void row(const Cue& cue) {
        out_ += cue.code.empty() ? "<tbody class=\"small\">\n<tr>" : "<tbody>\n<tr>";
        out_ += "<td class=\"tick\">" + box(cue, "box");
        if (!cue.code.empty() && !done(cue)) out_ += "<span class=\"line\"></span>";
        out_ += "</td>";
        when(cue, cue.code.empty() ? Detail::brief : Detail::full);
        if (arm())
            out_ += "<td>" + step(cue) + "</td><td class=\"mate\">" + beside(cue) + "</td>";
        else
            out_ += "<td>" + step(cue) + "</td><td class=\"hands\">" + hands(cue) + "</td><td class=\"mate\">" +
                    beside(cue) + "</td>";
        out_ += "</tr>\n</tbody>\n";
    }

    enum class Detail : std::uint8_t { brief, full, start };
    void when(const Cue& cue, Detail detail) {
        const Activity& a = *cue.activity;
        const std::string utc = fmt::format("<span>{} UTC</span>", clock_utc(a.start, timeline_.pet_zero));
        out_ += fmt::format("<th scope=\"row\" class=\"when\"><b>{}</b>", print_pet(a.start));
        switch (detail) {
            case Detail::brief:
                out_ += fmt::format("<span>{}</span>", print_duration(a.duration));
                break;
            case Detail::full:
                out_ += fmt::format("<span>{}</span>{}",
                                    say_("cue.until", {print_pet(a.end()), unbroken(print_duration(a.duration))}), utc);
                break;
            case Detail::start:
                out_ += utc;
                break;
        }
        out_ += "</th>";
    }

    std::string cautions(const Cue& cue) const {
        std::string out;
        for (const Caution& c : cue.cautions)
            out += fmt::format("<p class=\"caution\"><b>{}</b> {}. {}</p>", say_("caution.word"), escape(c.what),
                               escape(c.control));
        return out;
    }
    static std::string name(const Cue& cue) {
        const std::string code = cue.code.empty() ? "" : fmt::format("<span class=\"code\">{}</span>", cue.code);
        std::string out = fmt::format("<p class=\"step\">{}{}</p>", code, escape(cue.name));
        if (!cue.place.empty() && !cue.code.empty()) out += fmt::format("<p class=\"place\">{}</p>", escape(cue.place));
        return out;
    }
    static std::string notes(const Cue& cue) {
        if (cue.notes.empty()) return {};
        std::string out = "<ul class=\"notes\">";
        for (const std::string& note : cue.notes) out += "<li>" + escape(note) + "</li>";
        return out + "</ul>";
    }
    static std::string words(const Cue& cue) {
        return cue.words.empty() ? "" : fmt::format("<p class=\"words\">{}</p>", escape(cue.words));
    }
    std::string step(const Cue& cue) const { return cautions(cue) + name(cue) + words(cue) + notes(cue); }

    std::string hands(const Cue& cue) const {
        if (cue.hands_before == cue.hands_after) return escape(cue.hands_after);
        return fmt::format("<dl><dt>{}</dt><dd>{}</dd><dt>{}</dt><dd>{}</dd></dl>", say_("cue.before"),
                           escape(cue.hands_before), say_("cue.after"), escape(cue.hands_after));
    }

    std::string beside(const Cue& cue) const {
        if (cue.beside.empty()) return say_("cue.waits");
        std::string out = "<ul class=\"beside\">";
        for (const Beside& other : cue.beside)
            out += fmt::format("<li>{} <span class=\"who\">{}</span> {}</li>", print_pet(other.from),
                               say_.lane(other.lane), escape(other.words));
        return out + "</ul>";
    }

    /// For IV: a cue stands under whoever does it, what the other is doing stands under the other.
    void voice_row(const Cue& cue, const Cue* other) {
        const bool small = cue.code.empty() && (other == nullptr || other->code.empty());
        out_ += small ? "<tbody class=\"small\">\n<tr>" : "<tbody>\n<tr>";
        when(cue, small ? Detail::brief : Detail::start);
        const bool ev1 = cue.activity->on(Lane::ev1), ev2 = cue.activity->on(Lane::ev2);
        if (ev1 == ev2) {
            out_ += "<td colspan=\"2\">" + called(cue, say_.lanes(*cue.activity)) + "</td>";
        } else {
            for (const Lane lane : {Lane::ev1, Lane::ev2})
                out_ += cue.activity->on(lane) ? "<td>" + called(cue, "") + "</td>"
                        : other != nullptr     ? "<td>" + called(*other, "") + "</td>"
                                               : meanwhile(cue, lane);
        }
        out_ += "<td>";
        for (const Cue* one : {&cue, other}) {
            if (one == nullptr || (one->words.empty() && one->notes.empty())) continue;
            if (other != nullptr)
                out_ += fmt::format("<p class=\"who\">{}</p>", say_.lane(one->activity->lanes.front()));
            out_ += words(*one) + notes(*one);
        }
        out_ += "</td></tr>\n</tbody>\n";
    }

    /// One cue in IV's table, with its own box and how long it takes.
    std::string called(const Cue& cue, const std::string& who) const {
        std::string out = cautions(cue);
        if (!who.empty()) out += "<p class=\"who\">" + who + "</p>";
        const std::string code = cue.code.empty() ? "" : fmt::format("<span class=\"code\">{}</span>", cue.code);
        out += fmt::format("<p class=\"{}\">{}{}{}</p>", cue.code.empty() ? "plain" : "step", box(cue, "inline box"),
                           code, escape(cue.name));
        if (cue.code.empty()) return out;
        for (const Beside& other : cue.beside)
            if (who.empty() && other.lane != Lane::ev1 && other.lane != Lane::ev2)
                out += fmt::format("<p class=\"place\">{}</p>", say_("cue.with", {say_.lane(other.lane)}));
        return out + fmt::format("<p class=\"place\">{}{}{}</p>", escape(cue.place), cue.place.empty() ? "" : ", ",
                                 say_("cue.until", {print_pet(cue.activity->end()),
                                                    unbroken(print_duration(cue.activity->duration))}));
    }

    std::string meanwhile(const Cue& cue, Lane lane) const {
        std::string out = "<td class=\"mean\">";
        for (const Beside& other : cue.beside)
            if (other.lane == lane && other.from <= cue.activity->start)  // what starts later has a row of its own
                out += fmt::format("<p>{}</p>", escape(say_("cue.since", {other.words, print_pet(other.from)})));
        return out + "</td>";
    }

    const Outing& outing_;
    const Timeline& timeline_;
    const CueSheet& sheet_;
    const Wording say_;
    std::optional<Pet> now_;
    bool now_told_ = false;
    std::string out_;
    std::vector<TaskId> begun_;
    std::optional<TaskId> last_;
};

std::string facts_html(const Outing& outing, const Timeline& timeline, const Wording& say) {
    const Facts f = facts(outing, timeline);
    const auto item = [&](std::string_view key, const std::string& value) {
        return fmt::format("<li>{} <b>{}</b></li>", say(key), value);
    };
    return "<ul class=\"facts\">" + item("fact.finish", print_pet(f.finish)) + item("fact.limit", print_pet(f.limit)) +
           item("fact.in_hand", f.in_hand.count() >= 0 ? print_duration(f.in_hand_told)
                                                       : say("fact.over", {print_duration(-f.in_hand_told)})) +
           item("fact.margin_from", print_pet(f.margin_from)) + "</ul>\n";
}

}  // namespace

std::string cue_sheet_html(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Reader reader,
                           const Origin& origin) {
    const CueSheet sheet = cue_sheet(outing, windows, timeline, reader, origin.say);
    std::string main;
    if (sheet.cues.empty())
        main = "<p>" + escape(nothing_to_do(origin)) + "</p>\n";
    else
        main = facts_html(outing, timeline, origin.say) +
               Table(outing, timeline, sheet, origin.say, moment_of(origin)).html();
    return html_document(outing, timeline, origin, main);
}

}  // namespace handrail::brief
