#include "brief/document.h"

#include <fmt/format.h>

#include "brief/codes.h"
#include "brief/markup.h"
#include "brief/palette.h"

namespace handrail::brief {
namespace {

// One style for screen and paper. Colours are the palette's; nothing is told by colour alone.
constexpr std::string_view style = R"css(
:root { color-scheme: light; }
* { box-sizing: border-box; }
html { font: 100%/1.4 "DejaVu Sans", "Liberation Sans", Arial, sans-serif; color: #18212b; background: #fff; }
html.large { font-size: 137.5%; }
body { margin: 0 auto; padding: 1.2rem 1.4rem 2rem; max-width: 76rem; }
h1 { font-size: 1.7rem; line-height: 1.15; margin: 0 0 .25rem; }
h2 { font-size: 1.2rem; margin: 1.6rem 0 .5rem; break-after: avoid; }
p { margin: .3rem 0; }
.origin { color: #4a5663; font-size: .85rem; }
.note { color: #4a5663; font-size: .85rem; }
.governs { border: 2px solid #8a5200; background: #fdf0d8; color: #18212b; padding: .35rem .6rem; font-weight: bold;
  font-size: .9rem; margin: .7rem 0; }
.facts { margin: .6rem 0; padding: 0; list-style: none; }
.facts li { display: inline-block; margin: 0 1.6rem .2rem 0; }
.facts b { font-size: 1.15rem; }
table { border-collapse: collapse; width: 100%; margin-bottom: .7rem; }
caption { text-align: left; color: #4a5663; font-size: .85rem; padding-bottom: .3rem; }
th, td { text-align: left; vertical-align: top; padding: .35rem .5rem; border-bottom: 1px solid #8a96a3; }
thead th { border-bottom: 2px solid #18212b; font-size: .85rem; background: #fff; }
thead { display: table-header-group; }
tbody, .keep { break-inside: avoid; }
tbody.task { break-after: avoid; }
tbody.task th { background: #e7eaee; border-top: 2px solid #18212b; border-bottom: 1px solid #18212b; font-size: 1.05rem; }
tbody.task span { font-weight: normal; }
.num { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.tick { width: 3.6rem; }
.box { display: block; width: 1.5rem; height: 1.5rem; border: 2px solid #18212b; background: #fff; font-weight: bold;
  line-height: 1.3rem; text-align: center; }
.inline.box { display: inline-block; vertical-align: top; margin-right: .45rem; }
.line { display: block; margin-top: .45rem; border-bottom: 1px solid #4a5663; width: 3rem; height: 1.1rem; }
.small .box { width: 1.1rem; height: 1.1rem; line-height: .95rem; font-size: .85rem; }
.when { width: 6.6rem; white-space: nowrap; font-variant-numeric: tabular-nums; }
.when { font-weight: normal; }
.when b { font-size: 1.2rem; display: block; line-height: 1.2; }
.when span { display: block; font-size: .85rem; color: #4a5663; }
.code { display: inline-block; border: 2px solid #18212b; border-radius: .2rem; padding: 0 .3rem; font-weight: bold;
  margin-right: .35rem; }
.step { font-weight: bold; font-size: 1.08rem; margin: 0; }
.place { margin: .1rem 0 .25rem; }
.words { margin: .35rem 0; padding-left: .6rem; border-left: 3px solid #18212b; }
.who { font-weight: bold; }
.caution { border: 2px solid #8a5200; border-left-width: .7rem; background: #fdf0d8; padding: .25rem .5rem; margin: 0 0 .35rem; }
.caution b { letter-spacing: .04em; }
.finding { border-left: .7rem solid #a3182b; padding-left: .5rem; }
ul.notes { margin: .2rem 0; padding-left: 1.1rem; font-size: .92rem; }
ul.beside { margin: 0; padding: 0; list-style: none; font-size: .92rem; }
ul.beside li { margin-bottom: .25rem; }
.small td { padding-top: .2rem; padding-bottom: .2rem; }
.small .step { font-weight: normal; font-size: 1rem; }
.small .when b { font-size: 1rem; }
.name { font-weight: bold; }
.line1 { white-space: nowrap; }
.blank { width: 9rem; }
.blank .line { width: 8.4rem; }
.hands { font-size: .92rem; width: 21%; }
.mate { width: 22%; }
.plain { margin: 0; }
tbody.now { break-after: avoid; }
tbody.now th { background: #18212b; color: #fff; }
.hands dt { font-size: .8rem; color: #4a5663; }
.hands dd { margin: 0 0 .25rem; }
.hands dl { margin: 0; }
.tight h2 { margin: .75rem 0 .2rem; font-size: 1.1rem; }
.tight p { margin: .15rem 0; }
.tight table { margin-bottom: .4rem; }
.tight th, .tight td { padding-top: .14rem; padding-bottom: .14rem; }
.mean { color: #4a5663; font-size: .92rem; }
footer { margin-top: 1.5rem; border-top: 1px solid #8a96a3; padding-top: .5rem; }
@media print {
  html { font-size: 8.6pt; }
  html.large { font-size: 12.4pt; }
  body { max-width: none; padding: 0; }
  .governs, .caution, .finding, tbody.task th, tbody.now th { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
  /* Every printed page carries caution, plan and check code in its margin. */
  footer { display: none; }
}
)css";

/// A CSS string: what could end it is left out.
std::string css_string(std::string_view text) {
    std::string out;
    for (const char c : text)
        if (c != '"' && c != '\\' && c != '<' && static_cast<unsigned char>(c) >= 0x20) out += c;
    return out;
}

std::string page_style(const Outing& outing, const Timeline& timeline, const Origin& origin) {
    const Wording& say = origin.say;
    const std::string plan = origin.stamp.plan.empty() ? plan_id(outing, timeline) : origin.stamp.plan;
    return fmt::format(
        R"css(@page {{ size: A4 {}; margin: 12mm 11mm 17mm;
  @bottom-left {{ content: "{}"; font: 7pt "DejaVu Sans", sans-serif; color: #4a5663; }}
  @bottom-center {{ content: "{}"; font: bold 6.4pt "DejaVu Sans", sans-serif; color: #8a5200; width: 54%; }}
  @bottom-right {{ content: "{} " counter(page) " {} " counter(pages);
    font: 7pt "DejaVu Sans", sans-serif; color: #4a5663; text-align: right; }}
}}
)css",
        origin.type == TypeSize::large ? "landscape" : "portrait", css_string(origin.title), css_string(say("caution")),
        css_string(say("page.plan", {plan, document_code(plan, origin.stamp.position)})), css_string(say("page.of")));
}

}  // namespace

std::string_view version() { return HANDRAIL_VERSION; }

std::string stamp_line(const Outing& outing, const Timeline& timeline, const Stamp& stamp, const Wording& say) {
    const std::string plan = stamp.plan.empty() ? plan_id(outing, timeline) : stamp.plan;
    return say(
        "stamp.line",
        {plan, stamp.position ? say("stamp.position", {std::to_string(*stamp.position)}) : say("stamp.no_journal"),
         document_code(plan, stamp.position), outing.fingerprint.substr(0, 12),
         stamp.made ? say("stamp.made", {print_utc(std::chrono::floor<Seconds>(*stamp.made))}) : say("stamp.not_made"),
         stamp.version.empty() ? std::string(version()) : stamp.version});
}

std::string clock_line(const Timeline& timeline, const Wording& say, const live::Status* day) {
    const bool running = day == nullptr || day->day.pet_running;
    const bool off = day != nullptr && day->day.stand_down && !running;
    return say(running ? "stamp.clock"
               : off   ? "stamp.clock_off"
                       : "stamp.clock_expected",
               {print_utc(timeline.pet_zero)});
}

std::string html_document(const Outing& outing, const Timeline& timeline, const Origin& origin, std::string_view main) {
    const Wording& say = origin.say;
    std::string note =
        outing.note.empty() ? "" : "<p class=\"note\">" + escape(say("stamp.file_note", {outing.note})) + "</p>\n";
    if (!origin.warning.empty())
        note += fmt::format("<p class=\"caution\"><b>{}</b> {}</p>\n", say("note"), escape(origin.warning));
    const std::string stamp = escape(stamp_line(outing, timeline, origin.stamp, say));
    return fmt::format(
        "<!DOCTYPE html>\n<html lang=\"{}\"{}>\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<title>{} – {}</title>\n<style>\n{}{}</style>\n</head>\n<body>\n<header>\n<h1>{}: {}</h1>\n"
        "<p class=\"origin\">{}</p>\n<p class=\"origin\">{}</p>\n{}<p class=\"governs\">{}</p>\n</header>\n"
        "<main>\n{}</main>\n<footer>\n<p class=\"origin\">{}</p>\n<p class=\"origin\">{}</p>\n</footer>\n"
        "</body>\n</html>\n",
        tag(say.language()), origin.type == TypeSize::large ? " class=\"large\"" : "", escape(origin.title),
        escape(outing.name), page_style(outing, timeline, origin), style, escape(outing.name), escape(origin.title),
        stamp, escape(clock_line(timeline, say, origin.day)), note, escape(say("caution")), main, stamp,
        escape(say.caution()));
}

std::string markdown_escape(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '\n') {
            out += ' ';
            continue;
        }
        if (std::string_view("\\`*_[]<>#|~&").find(c) != std::string_view::npos) out += '\\';
        out += c;
    }
    return out;
}

std::string markdown_document(const Outing& outing, const Timeline& timeline, const Origin& origin,
                              std::string_view body) {
    const Wording& say = origin.say;
    std::string note = outing.note.empty() ? "" : markdown_escape(say("stamp.file_note", {outing.note})) + "\n\n";
    if (!origin.warning.empty()) note += fmt::format("**{}** {}\n\n", say("note"), markdown_escape(origin.warning));
    return fmt::format("# {}: {}\n\n{}\n\n{}\n\n{}**{}**\n\n{}\n---\n\n{}\n", markdown_escape(outing.name),
                       markdown_escape(origin.title), markdown_escape(stamp_line(outing, timeline, origin.stamp, say)),
                       markdown_escape(clock_line(timeline, say, origin.day)), note, say("caution"), body,
                       say.caution());
}

std::string text_document(const Outing& outing, const Timeline& timeline, const Origin& origin, std::string_view body) {
    const Wording& say = origin.say;
    std::string note = outing.note.empty() ? "" : say("stamp.file_note", {outing.note}) + "\n";
    if (!origin.warning.empty()) note += say("note") + ": " + origin.warning + "\n";
    return fmt::format("{}: {}\n{}\n{}\n{}{}\n\n{}{}\n", outing.name, origin.title,
                       stamp_line(outing, timeline, origin.stamp, say), clock_line(timeline, say, origin.day), note,
                       say("caution"), body, say.caution());
}

}  // namespace handrail::brief
