#include "brief/registry.h"

#include <algorithm>

#include "brief/calendar.h"
#include "brief/close_out_report.h"
#include "brief/codes.h"
#include "brief/cue_sheet.h"
#include "brief/day_words.h"
#include "brief/director_page.h"
#include "brief/hand_over.h"
#include "brief/paper.h"
#include "brief/subject_charts.h"
#include "brief/tool_list.h"
#include "sky/windows.h"

namespace handrail::brief {

namespace {

constexpr double paper_resolution = 150.0 / 72;  // pixels per point: 150 dpi

using F = Format;

const std::vector<DocumentKind>& kinds() {
    static const std::vector<DocumentKind> all{
        {"timeline",
         "title.timeline",
         Audience::console,
         false,
         {F::pdf, F::svg, F::png, F::csv, F::json},
         {"sheet", "scale", "now", "before"}},
        {"cue-sheet",
         "title.cue_sheet",
         Audience::console,
         false,
         {F::html, F::pdf, F::markdown, F::csv, F::json},
         {"for", "large"}},
        {"storyboard",
         "title.storyboard",
         Audience::console,
         false,
         {F::html, F::pdf, F::svg, F::png, F::markdown, F::json},
         {"per", "scale", "units"}},
        {"script",
         "title.script",
         Audience::everyone,
         false,
         {F::html, F::pdf, F::markdown, F::text, F::csv, F::json},
         {"minutes", "pace", "trace", "large"}},
        {"director",
         "title.director",
         Audience::console,
         false,
         {F::html, F::pdf, F::markdown, F::text, F::json},
         {"units", "large"}},
        {"tools",
         "title.tools",
         Audience::console,
         false,
         {F::html, F::pdf, F::markdown, F::text, F::csv, F::json},
         {"large"}},
        {"sky", "title.sky", Audience::console, false, {F::pdf, F::svg, F::png}, {"scale"}},
        {"suits", "title.suits", Audience::console, false, {F::pdf, F::svg, F::png}, {"scale", "units"}},
        {"risk", "title.risk", Audience::console, false, {F::pdf, F::svg, F::png}, {"scale"}},
        {"calendar", "title.calendar", Audience::console, false, {F::icalendar}, {}},
        {"hand-over",
         "title.hand_over",
         Audience::console,
         true,
         {F::html, F::pdf, F::text, F::markdown, F::json},
         {"units", "large"}},
        {"close-out",
         "title.close_out",
         Audience::console,
         true,
         {F::html, F::pdf, F::text, F::markdown, F::json},
         {"units", "large"}}};
    return all;
}

/// Makes one document: every part knows subject, options and wording.
class Maker {
public:
    Maker(const DocumentKind& kind, const Subject& subject, const Options& options)
        : kind_(kind), s_(subject), o_(options), say_(options.language) {}

    /// Whether what make() returned is a page to be laid out as PDF.
    bool page() const { return page_; }

    MadeOrNot make() {
        document_.media_type = media_type(o_.format);
        document_.extension = extension(o_.format);
        document_.title = title();
        if (kind_.id == "timeline") return timeline();
        if (kind_.id == "cue-sheet") return cues();
        if (kind_.id == "storyboard") return storyboard();
        if (kind_.id == "sky") return computed(sky_pages(s_, chart_origin()));
        if (kind_.id == "suits") {
            if (!anything_runs_out()) return NotMade{say_("suits.none"), true};
            if (s_.status != nullptr && scrubbed(s_.status->day)) return NotMade{say_("suits.scrubbed"), true};
            return computed(suits_pages(s_, chart_origin(), o_.units));
        }
        if (kind_.id == "risk") return computed(risk_pages(s_, chart_origin()));
        if (kind_.id == "calendar") return calendar_file();
        if (kind_.id == "script") return public_words();
        if (kind_.id == "tools" && o_.format == Format::csv)
            return whole(grid_csv(tool_table(s_.outing, s_.timeline, say_)));
        return sections(parts(), kind_.id == "director" ? Spacing::tight : Spacing::normal);
    }

private:
    std::string title() const {
        return kind_.id == "cue-sheet" ? cue_sheet_title(s_.outing, o_.reader, say_) : say_(kind_.title_key);
    }
    Origin origin() const { return {document_.title, warning(), o_.type, s_.stamp, say_, s_.status}; }
    ChartOrigin chart_origin() const { return {say_, stamp_line(s_.outing, s_.timeline, s_.stamp, say_), warning()}; }
    std::string warning() const { return s_.warning.empty() ? "" : say_(s_.warning); }

    bool anything_runs_out() const {
        for (const Crew crew : both_crew) {
            const lifesupport::Forecast forecast = lifesupport::forecast(s_.outing.suit_of(crew), {});
            for (std::size_t i = 0; i < lifesupport::consumable_count; ++i)
                if (forecast.carries(static_cast<lifesupport::Consumable>(i))) return true;
        }
        return false;
    }

    MadeOrNot whole(std::string bytes) {
        document_.files.push_back(std::move(bytes));
        return std::move(document_);
    }
    /// A page that is still to be laid out: its HTML stands in the document until then.
    MadeOrNot paper(std::string html) {
        page_ = true;
        return whole(std::move(html));
    }

    std::vector<Section> parts() const {
        if (kind_.id == "tools")
            return tool_list(s_.outing, s_.timeline, say_, s_.status != nullptr ? &s_.status->day : nullptr);
        if (kind_.id == "hand-over")
            return hand_over(s_.outing, *s_.status, s_.entries, findings_ahead(s_.outing, *s_.status), say_, o_.units);
        if (kind_.id == "close-out")
            return close_out_report(s_.outing, *s_.status, s_.entries,
                                    live::close_out_of(s_.outing, s_.entries, *s_.status), say_, o_.units);
        return director();
    }

    std::vector<Section> director() const {
        if (s_.status != nullptr)
            return director_page(s_.outing, s_.windows, s_.timeline, findings_ahead(s_.outing, *s_.status), nullptr,
                                 say_, o_.units, s_.status);
        const auto once = s_.odds ? s_.odds : std::make_shared<OddsOnce>();
        return director_page(s_.outing, s_.windows, s_.timeline, check(s_.outing, s_.windows, s_.timeline),
                             &*once->of(s_), say_, o_.units);
    }

    MadeOrNot sections(const std::vector<Section>& parts, Spacing spacing) {
        const Origin from = origin();
        switch (o_.format) {
            case Format::html:
                return whole(html_document(s_.outing, s_.timeline, from, sections_html(parts, spacing)));
            case Format::pdf:
                return paper(html_document(s_.outing, s_.timeline, from, sections_html(parts, spacing)));
            case Format::markdown:
                return whole(markdown_document(s_.outing, s_.timeline, from, sections_markdown(parts)));
            case Format::text:
                return whole(text_document(s_.outing, s_.timeline, from, sections_text(parts)));
            case Format::json:
                return whole(sections_json(s_.outing, s_.timeline, from, kind_.id, parts));
            case Format::csv:
            case Format::svg:
            case Format::png:
            case Format::icalendar:
                break;
        }
        return NotMade{"this document has no such format."};
    }

    MadeOrNot charts(const std::vector<Canvas>& pages, double resolution) {
        if (o_.format == Format::pdf) return whole(brief::pdf(pages, s_.outing.name + ": " + document_.title));
        if (o_.sheets == Sheets::together) return whole(o_.format == Format::svg ? svg(pages) : png(pages, resolution));
        for (const Canvas& page : pages)
            document_.files.push_back(o_.format == Format::svg ? page.svg() : page.png(resolution));
        return std::move(document_);
    }

    MadeOrNot computed(PagesOrNot pages) {
        if (auto* none = std::get_if<NotMade>(&pages)) return std::move(*none);
        return charts(std::get<std::vector<Canvas>>(pages), resolution());
    }
    double resolution() const { return o_.pixels_per_unit > 0 ? o_.pixels_per_unit : paper_resolution; }

    MadeOrNot timeline() {
        if (o_.format == Format::json) return whole(to_json(s_.outing, s_.timeline));
        if (o_.format == Format::csv) return whole(grid_csv(activities()));
        ChartOptions chart;
        chart.sheet = o_.sheet;
        chart.now = s_.now() ? s_.now() : o_.now;
        chart.planned_before = o_.planned_before != nullptr ? o_.planned_before
                               : s_.first_plan              ? &*s_.first_plan
                                                            : nullptr;
        chart.warning = warning();
        chart.stamp = s_.stamp;
        chart.day = s_.status;
        chart.say = say_;
        return charts(timeline_chart(s_.outing, s_.windows, s_.timeline, chart),
                      o_.pixels_per_unit > 0          ? o_.pixels_per_unit
                      : o_.sheet == SheetKind::screen ? 1
                                                      : paper_resolution);
    }

    Grid activities() const {
        Grid grid{"", {{"PET"}, {say_("chart.row_end")}, {"UTC"}, {"s"}}, {}};
        for (const char* key : {"chart.kind", "who", "cue.code", "cue.what", "where", "chart.run"})
            grid.columns.push_back({say_(key)});
        for (const Activity& a : s_.timeline.activities)
            grid.rows.push_back({print_pet_seconds(a.start), print_pet_seconds(a.end()),
                                 print_utc(to_utc(a.start, s_.timeline.pet_zero)), std::to_string(a.duration.count()),
                                 say_.activity(a.kind), say_.lanes(a), a.step ? step_code(s_.outing, *a.step) : "",
                                 say_.title(s_.outing, a), a.path.empty() ? "" : s_.outing.worksite(a.path.back()).name,
                                 say_(a.as_run ? "yes" : "no")});
        return grid;
    }

    MadeOrNot calendar_file() {
        const bool off = s_.status != nullptr && scrubbed(s_.status->day);
        if (off && s_.first_plan)
            return whole(calendar(s_.outing, *s_.first_plan, s_.stamp, say_, {}, CalendarState::cancelled));
        return whole(calendar(s_.outing, s_.timeline, s_.stamp, say_, gates()));
    }

    /// Decision times that are still to come: of a plan by simulation, of a day as its status has them.
    std::vector<CalendarMoment> gates() const {
        std::vector<CalendarMoment> out;
        const auto add = [&](const std::string& key, std::optional<Pet> at, const std::string& what) {
            if (at && (!s_.now() || *s_.now() <= *at)) out.push_back({key, *at, what});
        };
        const auto begin = [&](TaskId task, std::optional<Pet> until) {
            const std::string name = task_code(task) + " " + s_.outing.task(task).name;
            add("gate-" + task_code(task), until, say_("hand_over.gate_begin", {name}));
        };
        if (s_.status == nullptr) {
            const auto once = s_.odds ? s_.odds : std::make_shared<OddsOnce>();
            for (const risk::Gate& gate : once->of(s_)->gates) begin(gate.task, gate.begin_until);
            add("gate-egress", s_.outing.rules.egress_by, say_("hand_over.gate_egress"));
            return out;
        }
        const live::Day& day = s_.status->day;
        if (day.situation.crew[0].inside_again) return out;
        if (s_.status->odds && s_.status->odds->gate && !day.stand_down)
            begin(s_.status->odds->gate->task, s_.status->odds->gate->begin_until);
        if (!day.outside[0]) add("gate-egress", s_.outing.rules.egress_by, say_("hand_over.gate_egress"));
        add("gate-turn-back", s_.status->terminate_by, say_("hand_over.gate_terminate"));
        add("gate-at-once", s_.status->abort_by, say_("hand_over.gate_abort"));
        return out;
    }

    MadeOrNot cues() {
        const Origin from = origin();
        const auto html = [&] { return cue_sheet_html(s_.outing, s_.windows, s_.timeline, o_.reader, from); };
        const auto table = [&] { return cue_table(s_.outing, s_.windows, s_.timeline, o_.reader, say_); };
        switch (o_.format) {
            case Format::pdf:
                return paper(html());
            case Format::markdown:
                return whole(cue_sheet_markdown(s_.outing, s_.windows, s_.timeline, o_.reader, from));
            case Format::csv:
                return whole(grid_csv(table()));
            case Format::json:
                return sections({{"", {}, {table()}}}, Spacing::normal);
            case Format::html:
            case Format::text:
            case Format::svg:
            case Format::png:
            case Format::icalendar:
                break;
        }
        return whole(html());
    }

    MadeOrNot storyboard() {
        const Origin from = origin();
        if (o_.format == Format::html)
            return whole(storyboard_html(s_.outing, s_.windows, s_.timeline, o_.frames, from, o_.units));
        if (o_.format == Format::markdown)
            return whole(storyboard_markdown(s_.outing, s_.windows, s_.timeline, o_.frames, from, o_.units));
        if (o_.format == Format::json) {
            std::vector<Section> frames;
            for (const StoryFrame& frame :
                 story_frames(s_.outing, s_.windows, s_.timeline, o_.frames, say_, o_.units)) {
                frames.push_back({frame.codes.empty() ? frame.heading : frame.codes + " " + frame.heading,
                                  {{say_("cue.until", {print_pet(frame.from), print_pet(frame.to)})}},
                                  {}});
                for (const std::string& caption : frame.captions) frames.back().sentences.push_back({caption});
            }
            return sections(frames, Spacing::normal);
        }
        return charts(storyboard_pages(s_.outing, s_.windows, s_.timeline, o_.frames, from, o_.units), resolution());
    }

    MadeOrNot public_words() {
        const ScriptOptions options{o_.minutes, o_.pace, o_.trace};
        const Script words = script(s_.outing, s_.windows, s_.timeline, options, say_, s_.status);
        if (words.short_of) document_.remarks.push_back(*words.short_of);
        if (o_.format == Format::csv) return whole(grid_csv(script_table(words, s_.timeline, say_)));
        return sections(script_sections(words, s_.timeline, options, say_, s_.status), Spacing::normal);
    }

    const DocumentKind& kind_;
    const Subject& s_;
    const Options& o_;
    const Wording say_;
    Document document_;
    bool page_ = false;
};

/// One document, its PDF not yet laid out; `page` says whether there is one to lay out.
MadeOrNot draft(std::string_view id, const Subject& subject, const Options& options, bool& page) {
    const DocumentKind* kind = document_kind(id);
    if (kind == nullptr) return NotMade{"there is no document \"" + std::string(id) + "\"."};
    if (std::ranges::find(kind->formats, options.format) == kind->formats.end()) {
        std::string known;
        for (const Format format : kind->formats)
            known += (known.empty() ? "." : ", .") + std::string(extension(format));
        return NotMade{"the document \"" + std::string(id) + "\" comes as " + known + "; it cannot be had as ." +
                       std::string(extension(options.format)) + "."};
    }
    if (kind->needs_day && subject.status == nullptr)
        return NotMade{"the document \"" + std::string(id) +
                       "\" tells of a day; give the day's journal instead of an outing file."};
    if (kind->id == "cue-sheet" && options.reader == Reader::arm && !subject.outing.station.arm)
        return NotMade{Wording(options.language)("cue.no_arm"), true};
    try {
        Maker maker(*kind, subject, options);
        MadeOrNot made = maker.make();
        page = maker.page();
        return made;
    } catch (const FontMissing& missing) {
        return NotMade{std::string(missing.what()) + "."};
    }
}

}  // namespace

std::string_view extension(Format format) {
    switch (format) {
        case Format::html:
            return "html";
        case Format::pdf:
            return "pdf";
        case Format::svg:
            return "svg";
        case Format::png:
            return "png";
        case Format::markdown:
            return "md";
        case Format::text:
            return "txt";
        case Format::csv:
            return "csv";
        case Format::json:
            return "json";
        case Format::icalendar:
            return "ics";
    }
    return {};
}

std::string_view media_type(Format format) {
    switch (format) {
        case Format::html:
            return "text/html; charset=utf-8";
        case Format::pdf:
            return "application/pdf";
        case Format::svg:
            return "image/svg+xml";
        case Format::png:
            return "image/png";
        case Format::markdown:
            return "text/markdown; charset=utf-8";
        case Format::text:
            return "text/plain; charset=utf-8";
        case Format::csv:
            return "text/csv; charset=utf-8";
        case Format::json:
            return "application/json";
        case Format::icalendar:
            return "text/calendar; charset=utf-8";
    }
    return {};
}

std::optional<Format> format_of(std::string_view end) {
    for (const Format format : {F::html, F::pdf, F::svg, F::png, F::markdown, F::text, F::csv, F::json, F::icalendar})
        if (extension(format) == end) return format;
    return {};
}

std::span<const DocumentKind> document_kinds() { return kinds(); }

const DocumentKind* document_kind(std::string_view id) {
    const auto found = std::ranges::find(kinds(), id, &DocumentKind::id);
    return found == kinds().end() ? nullptr : &*found;
}

std::optional<Pet> Subject::now() const {
    if (status == nullptr || !status->day.pet_running) return {};
    return status->day.pet_now();
}

Subject subject_of_plan(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                        std::optional<Utc> made) {
    Subject subject{outing, windows, timeline, {plan_id(outing, timeline), {}, made, ""}, ""};
    if (timeline.fingerprint != outing.fingerprint) subject.warning = "warning.file_changed";
    subject.odds = std::make_shared<OddsOnce>();
    return subject;
}

Subject subject_of_day(const Outing& outing, std::span<const live::Recorded> entries, const live::Status& status) {
    const live::Day& day = status.day;
    Timeline shown = day.plan.value_or(Timeline{});
    if (status.forecast.timeline) {
        shown = *status.forecast.timeline;
    } else if (day.pet_running) {
        // No way on, or nothing ahead: what has happened is all there is to show.
        shown.activities = day.situation.as_run;
        put_in_order(shown);
    }
    shown.pet_zero = shown_zero(day);
    // What is left out by now, and why as far as the console may know.
    shown.left_out.clear();
    for (const Task& task : outing.tasks)
        if (const live::TaskStatus& at = status.tasks[index(task.id)]; at.progress == live::TaskProgress::left_out)
            shown.left_out.push_back({task.id, reason_of(at.reason)});
    // After a scrub the sky is that of the moment for which the outing was planned.
    std::optional<WindowTable> planned_sky;
    if (scrubbed(day))
        if (auto windows = sky::windows_of(outing, day.planned_pet_zero)) planned_sky = std::move(windows).value();
    Subject subject{outing,
                    planned_sky.value_or(day.windows),
                    std::move(shown),
                    {day.plan ? plan_id(outing, *day.plan) : "", live::number(day.position), day.now, ""},
                    "",
                    &status,
                    entries,
                    day.first_plan,
                    std::make_shared<OddsOnce>()};
    return subject;
}

MadeOrNot make_document(std::string_view kind, const Subject& subject, const Options& options) {
    const Wanted wanted{kind, options};
    return std::move(make_documents(subject, std::span(&wanted, 1)).front());
}

std::vector<MadeOrNot> make_documents(const Subject& subject, std::span<const Wanted> wanted) {
    std::vector<MadeOrNot> made;
    std::vector<Page> pages;
    std::vector<std::size_t> whose;
    for (const Wanted& one : wanted) {
        bool page = false;
        made.push_back(draft(one.kind, subject, one.options, page));
        if (!page) continue;
        whose.push_back(made.size() - 1);
        pages.push_back({std::move(std::get<Document>(made.back()).files.front()),
                         document_code(subject.stamp.plan, subject.stamp.position)});
    }
    std::vector<PaperOrNot> papers = pdfs_of_html(pages);
    for (std::size_t i = 0; i < papers.size(); ++i) {
        if (auto* none = std::get_if<NoPaper>(&papers[i]))
            made[whose[i]] = NotMade{std::move(none->why)};
        else
            std::get<Document>(made[whose[i]]).files.front() = std::get<std::string>(std::move(papers[i]));
    }
    return made;
}

}  // namespace handrail::brief
