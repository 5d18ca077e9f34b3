#include "brief/calendar.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "brief/codes.h"
#include "brief/facts.h"

namespace handrail::brief {
namespace {

/// RFC 5545, 3.3.11: backslash, semicolon, comma and line breaks are escaped.
std::string text_value(std::string_view text) {
    std::string out;
    for (const char c : text) switch (c) {
            case '\\':
            case ';':
            case ',':
                out += '\\';
                out += c;
                break;
            case '\n':
                out += "\\n";
                break;
            case '\r':
                break;
            default:
                out += c;
        }
    return out;
}

/// RFC 5545, 3.1: lines end in CRLF and are folded before the 76th octet, never inside a UTF-8 character.
std::string folded(const std::string& line) {
    std::string out;
    std::size_t width = 0;
    for (std::size_t i = 0; i < line.size();) {
        std::size_t length = 1;
        while (i + length < line.size() && (static_cast<unsigned char>(line[i + length]) & 0xC0) == 0x80) ++length;
        if (width + length > 75) {
            out += "\r\n ";
            width = 1;
        }
        out.append(line, i, length);
        width += length;
        i += length;
    }
    return out + "\r\n";
}

/// RFC 5545, 3.3.5, form 2: "20310405T083000Z".
std::string utc_value(Utc t) {
    std::string text = print_utc(std::chrono::floor<Seconds>(t));
    std::erase_if(text, [](char c) { return c == '-' || c == ':'; });
    return text;
}

/// Collects events.
class Calendar {
public:
    Calendar(const Outing& outing, const Timeline& timeline, const Stamp& stamp, const Wording& say,
             CalendarState state)
        : outing_(outing),
          timeline_(timeline),
          stamp_(stamp),
          say_(say),
          state_(state),
          id_(stamp_line(outing, timeline, stamp, say)) {
        out_ = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Handrail//timeline//EN\r\nCALSCALE:GREGORIAN\r\n";
    }
    void event(const std::string& key, Pet from, Pet to, const std::string& summary, const std::string& description) {
        write(key, from, to, summary,
              say_("calendar.event", {description, print_pet(from), print_pet(to), id_, say_.caution()}));
    }
    /// RFC 5545, 3.6.1: an event with a DTSTART of date and time and no end ends when it begins.
    void moment(const std::string& key, Pet at, const std::string& summary, const std::string& description) {
        write(key, at, {}, summary, say_("calendar.moment", {description, print_pet(at), id_, say_.caution()}));
    }
    std::string done() { return out_ + "END:VCALENDAR\r\n"; }

private:
    void write(const std::string& key, Pet from, std::optional<Pet> to, const std::string& summary,
               const std::string& description) {
        const Utc zero = timeline_.pet_zero;
        out_ += "BEGIN:VEVENT\r\n";
        out_ += folded(fmt::format("UID:{}-{}@handrail.invalid", outing_.fingerprint.substr(0, 12), key));
        out_ += folded("DTSTAMP:" + utc_value(stamp_.made.value_or(zero)));
        out_ += fmt::format("SEQUENCE:{}\r\n", stamp_.position.value_or(0));
        out_ += folded("DTSTART:" + utc_value(to_utc(from, zero)));
        if (to) out_ += folded("DTEND:" + utc_value(to_utc(*to, zero)));
        out_ += folded("SUMMARY:" + text_value(summary));
        out_ += folded("DESCRIPTION:" + text_value(description));
        if (state_ == CalendarState::cancelled) out_ += "STATUS:CANCELLED\r\n";
        // A moment keeps nobody busy.
        out_ += to ? "TRANSP:OPAQUE\r\nEND:VEVENT\r\n" : "TRANSP:TRANSPARENT\r\nEND:VEVENT\r\n";
    }

    const Outing& outing_;
    const Timeline& timeline_;
    const Stamp& stamp_;
    const Wording say_;
    const CalendarState state_;
    const std::string id_;
    std::string out_;
};

}  // namespace

std::string calendar(const Outing& outing, const Timeline& timeline, const Stamp& stamp, const Wording& say,
                     std::span<const CalendarMoment> gates, CalendarState state) {
    Calendar calendar(outing, timeline, stamp, say, state);
    const Facts f = facts(outing, timeline);
    if (Pet{} < f.finish) calendar.event("outing", Pet{}, f.finish, outing.name, say("calendar.outing"));
    for (const Activity& activity : timeline.activities) {
        const bool phase = activity.kind == ActivityKind::egress || activity.kind == ActivityKind::clean_up ||
                           activity.kind == ActivityKind::ingress;
        if (!phase) continue;
        calendar.event(std::string(word(activity.kind)), activity.start, activity.end(),
                       outing.name + ": " + say.activity(activity.kind), say("calendar.airlock"));
    }
    for (const Task& task : outing.tasks)
        if (const auto span = span_of(outing, timeline, task.id))
            calendar.event("task-" + task_code(task.id), span->from, span->to,
                           fmt::format("{}: {} {}", outing.name, task_code(task.id), task.name),
                           say("calendar.task", {task_code(task.id), say.task_class(task.task_class),
                                                 say.number(print_value(task.value))}));
    for (const CalendarMoment& gate : gates)
        calendar.moment(gate.key, gate.at, outing.name + ": " + gate.what, say("calendar.gate"));
    calendar.moment("hard-end", f.limit, outing.name + ": " + say("fact.limit"), say("calendar.hard_end"));
    return calendar.done();
}

}  // namespace handrail::brief
