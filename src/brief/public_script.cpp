#include "brief/public_script.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "brief/axis.h"
#include "brief/facts.h"

namespace handrail::brief {
namespace {

// By weight: what must be said, then why the work is done, then the work, then what fills quiet stretches.
constexpr double always = 1e12, reason = 1e9, required_work = 1e6, trouble = 5e5, quiet_place = -1, quiet_term = -1.5,
                 quiet_light = -2, detail = -10;
constexpr double within = 0.05;

/// A field's text as a sentence that follows a name: "A pilot." -> "a pilot."
std::string after_name(std::string text) {
    if (text.size() > 2 && (text.starts_with("A ") || text.starts_with("An ") || text.starts_with("The ")))
        text[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(text[0])));
    return text;
}

class Writer {
public:
    Writer(const Outing& outing, const WindowTable& windows, const Timeline& timeline, const Wording& say,
           const live::Status* status)
        : outing_(outing), windows_(windows), timeline_(timeline), say_(say), status_(status) {}

    std::vector<Spoken> lines() {
        opening();
        if (status_ != nullptr) state();
        work();
        quiet();
        troubles();
        closing();
        return std::move(lines_);
    }

private:
    using Part = Spoken::Part;
    enum class Tense : std::uint8_t { plan, done, running, ahead };

    std::optional<std::size_t> line(Part part, std::optional<Pet> at, std::string who, std::string words,
                                    std::string field, double weight, std::optional<std::size_t> follows = {}) {
        if (words.empty()) return {};
        lines_.push_back({part, at, std::move(who), std::move(words), std::move(field), weight, follows});
        return lines_.size() - 1;
    }

    std::string utc(Pet t) const { return clock_utc(t, timeline_.pet_zero); }

    /// "6 hours 15 minutes", for speaking: to the minute.
    std::string spoken(Seconds duration) const {
        const auto minutes = (std::abs(duration.count()) + 30) / 60, hours = minutes / 60, rest = minutes % 60;
        const std::string h = say_(hours == 1 ? "script.hour" : "script.hours", {std::to_string(hours)});
        const std::string m = say_(rest == 1 ? "script.minute" : "script.minutes", {std::to_string(rest)});
        return hours == 0 ? m : rest == 0 ? h : h + " " + m;
    }
    std::string since_start(Pet t) const { return spoken(since_zero(t)); }

    bool begun() const { return status_ != nullptr && status_->day.pet_running; }
    bool over() const { return status_ != nullptr && status_->day.situation.crew[0].inside_again; }

    void opening() {
        line(Part::opening, {}, "", outing_.about, "outing, about", always);
        for (const Crew crew : both_crew) {
            const CrewMember& person = outing_.person(crew);
            if (!person.about.empty())
                line(Part::opening, {}, "", say_("script.person", {person.name, after_name(person.about)}),
                     fmt::format("{}, name and about", word(crew)), always);
        }
        if (!outing_.iv_name.empty())
            line(Part::opening, {}, "", say_("script.iv", {outing_.iv_name}), "IV, name", always);
        const std::string length = spoken(std::chrono::floor<Seconds>(timeline_.finish().time_since_epoch()));
        const std::string key = over() ? "script.was" : begun() ? "script.began" : "script.plan";
        line(Part::opening, {}, "", say_(key, {utc(Pet{}), utc(timeline_.finish()), length}),
             begun() ? "record, PET zero; forecast, finish" : "plan, PET zero and finish", always);
    }

    /// On the day: what time it is, how they stand, what comes next.
    void state() {
        const live::Day& day = status_->day;
        const Pet now = day.pet_now();
        if (begun() && !over()) {
            line(Part::opening, now, "", say_("script.now", {utc(now), since_start(now)}), "the moment asked for",
                 always);
            const Seconds behind = status_->behind;
            const std::string key = std::chrono::abs(behind) < Seconds{90} ? "script.on_time"
                                    : behind > Seconds{0}                  ? "script.behind"
                                                                           : "script.ahead";
            line(Part::opening, now, "", say_(key, {spoken(behind)}), "forecast against the plan", always);
        } else if (!begun() && day.pet_zero > day.planned_pet_zero) {
            line(Part::opening, {}, "",
                 say_("script.late", {spoken(std::chrono::floor<Seconds>(day.pet_zero - day.planned_pet_zero))}),
                 "forecast against the plan", always);
        }
        if (day.open_hold() != nullptr)
            line(Part::opening, now, "", say_("script.held", {utc(day.open_hold()->from)}), "record, hold", always);
        if (day.stand_down && may_read(live::Reader::everyone, day.stand_down->visibility))
            line(Part::opening, day.stand_down->at, "",
                 say_(day.stand_down->kind == live::StandDownKind::scrub ? "script.scrub" : "script.coming_in"),
                 "record, stand-down", always);
    }

    std::string people(const Activity& activity) const {
        std::vector<std::string> out;
        for (const Crew crew : both_crew)
            if (activity.on(lane_of(crew))) out.push_back(outing_.person(crew).name);
        return out.empty() ? say_("script.inside") : say_.list(out);
    }

    Tense tense(const Activity& activity) const {
        if (status_ == nullptr) return Tense::plan;
        const plan::StepStatus now = status_->day.situation.steps[index(*activity.step)];
        return now == plan::StepStatus::done      ? Tense::done
               : now == plan::StepStatus::running ? Tense::running
                                                  : Tense::ahead;
    }

    /// A step's own words, told in the tense in which it stands.
    std::string told(const Activity& activity, const std::string& words) const {
        switch (tense(activity)) {
            case Tense::plan:
                return words;
            case Tense::done:
                return say_("script.done", {utc(activity.end()), words});
            case Tense::running:
                return say_("script.running", {utc(activity.start), words});
            case Tense::ahead:
                return say_(next_said_ ? "script.ahead_at" : "script.next", {utc(activity.start), words});
        }
        return {};
    }

    void work() {
        std::vector<bool> begun(outing_.tasks.size(), false);
        for (const Activity& activity : timeline_.activities) {
            if (!activity.step) continue;
            const Step& step = outing_.step(*activity.step);
            const Task& task = outing_.task(step.task);
            const double weight = task.task_class == TaskClass::required ? task.value + required_work : task.value;
            if (!begun[index(task.id)]) {
                begun[index(task.id)] = true;
                line(Part::work, activity.start, people(activity), task.why, "task " + task.key + ", why",
                     weight + reason);
            }
            if (step.public_words.empty()) continue;
            const bool ahead = tense(activity) == Tense::ahead;
            const auto said = line(Part::work, activity.start, people(activity), told(activity, step.public_words),
                                   "step " + step.label + ", public words", weight);
            next_said_ = next_said_ || ahead;
            details(activity, step, said);
        }
    }

    /// Times and places around a line, for when there is time to fill.
    void details(const Activity& activity, const Step& step, std::optional<std::size_t> said) {
        const Tense now = tense(activity);
        const bool past = now == Tense::done;
        const auto add = [&](std::string words, const char* field, double weight) {
            line(Part::work, activity.start, people(activity), std::move(words), "step " + step.label + ", " + field,
                 weight, said);
        };
        if (now == Tense::plan)
            add(say_("script.at", {utc(activity.start), since_start(activity.start)}), "start", detail);
        add(say_(past ? "script.took" : "script.takes", {spoken(activity.duration)}), "duration", detail - 1);
        if (step.at)
            add(say_(past ? "script.place_was" : "script.place", {outing_.worksite(*step.at).name}), "at", detail - 2);
        if (step.who.size() > 1 && activity.on(Lane::ev1) && activity.on(Lane::ev2))
            add(say_(past ? "script.both_did" : "script.both"), "who", detail - 3);
    }

    void quiet() {
        std::vector<bool> visited(outing_.station.worksites.size(), false);
        visited[index(outing_.station.airlock)] = true;
        for (const Activity& activity : timeline_.activities)
            for (const WorksiteId site : activity.path) visited[index(site)] = true;
        for (std::size_t i = 0; i < visited.size(); ++i) {
            const Worksite& site = outing_.station.worksites[i];
            if (visited[i] && !site.about.empty())
                line(Part::quiet, {}, "", say_("script.site", {site.name, after_name(site.about)}),
                     "worksite " + site.id + ", name and about", quiet_place);
        }
        for (const char* term : {"term.eva", "term.airlock", "term.tether", "term.rails", "term.suit", "term.voice"})
            line(Part::quiet, {}, "", say_(term), fmt::format("message file, {}", term), quiet_term);
        if (!on_lane(timeline_, Lane::arm).empty())
            line(Part::quiet, {}, "", say_("term.arm"), "message file, term.arm", quiet_term);
        for (const Window& window : windows_.of("daylight", "")) {
            const auto light = [&](Pet t, std::string_view past, std::string_view ahead) {
                if (!(Pet{} < t && t < timeline_.finish())) return;
                const bool gone = begun() && t < status_->day.pet_now();
                line(Part::quiet, t, "", say_(gone ? past : ahead, {utc(t)}), "daylight windows", quiet_light);
            };
            light(window.from(), "script.sunrise_was", "script.sunrise");
            light(window.to(), "script.sunset_was", "script.sunset");
        }
    }

    /// What to say when things do not go by the plan: that some work can wait, and which.
    void troubles() {
        if (over()) return;
        line(Part::trouble, {}, "", say_("script.if_behind"), "message file, script.if_behind", trouble);
        for (const Task& task : outing_.tasks) {
            if (task.task_class == TaskClass::required || task.why.empty() || !timeline_.lead_of(task.id)) continue;
            if (status_ != nullptr && status_->tasks[index(task.id)].progress != live::TaskProgress::to_do) continue;
            line(Part::trouble, {}, "", say_("script.can_wait", {task.why}), "task " + task.key + ", class and why",
                 trouble - 1);
            break;  // one example is enough to be understood
        }
        for (const char* key : {"script.if_stuck", "script.if_quiet", "script.if_home"})
            line(Part::trouble, {}, "", say_(key), fmt::format("message file, {}", key), trouble - 2);
    }

    void closing() {
        const std::string key = over()               ? "script.closed"
                                : status_ != nullptr ? "script.closes_forecast"
                                                     : "script.closes";
        line(Part::closing, timeline_.finish(), "", say_(key, {utc(timeline_.finish())}),
             over()               ? "record, ingress"
             : status_ != nullptr ? "forecast, finish"
                                  : "plan, finish",
             always);
    }

    const Outing& outing_;
    const WindowTable& windows_;
    const Timeline& timeline_;
    const Wording say_;
    const live::Status* status_;
    bool next_said_ = false;
    std::vector<Spoken> lines_;
};

}  // namespace

Script script(const Outing& outing, const WindowTable& windows, const Timeline& timeline, const ScriptOptions& options,
              const Wording& say, const live::Status* status) {
    Script made;
    std::vector<Spoken> lines = Writer(outing, windows, timeline, say, status).lines();
    const double most = options.minutes ? *options.minutes * options.pace : 0;
    const std::vector<bool> kept =
        options.minutes ? fitted(lines, most, within) : std::vector<bool>(lines.size(), true);
    for (std::size_t i = 0; i < lines.size(); ++i) {
        // Without minutes to fill, times and places stay in their columns.
        if (!kept[i] || (!options.minutes && lines[i].follows)) continue;
        made.words += word_count(lines[i].words);
        made.lines.push_back(std::move(lines[i]));
        made.lines.back().follows.reset();
    }
    const double minutes = static_cast<double>(made.words) / options.pace;
    if (options.minutes && std::abs(minutes - *options.minutes) > within * *options.minutes)
        made.short_of =
            say(minutes < *options.minutes ? "script.too_short" : "script.too_long",
                {say.number(fmt::format("{:g}", *options.minutes)), say.number(fmt::format("{:.1f}", minutes))});
    return made;
}

std::vector<Section> script_sections(const Script& script, const Timeline& timeline, const ScriptOptions& options,
                                     const Wording& say, const live::Status* status) {
    std::vector<Section> out;
    const double minutes = static_cast<double>(script.words) / options.pace;
    out.push_back({"",
                   {{say("script.length", {std::to_string(script.words), say.number(fmt::format("{:.1f}", minutes)),
                                           say.number(fmt::format("{:g}", options.pace))})},
                    {status == nullptr ? say("script.times_plan") : say("script.times_day")}},
                   {}});
    if (script.short_of) out.back().sentences.push_back({*script.short_of, Weight::finding});
    const bool trace = options.trace == Trace::yes;
    const auto table = [&](Spoken::Part part, std::string heading) {
        Section section{std::move(heading), {}, {}};
        if (part != Spoken::Part::work && !trace) {
            for (const Spoken& line : script.lines)
                if (line.part == part) section.sentences.push_back({line.words});
            if (!section.sentences.empty()) out.push_back(std::move(section));
            return;
        }
        Grid grid{"", {{"PET"}, {"UTC"}, {say("who")}, {say("script.say")}}, {}};
        if (part != Spoken::Part::work) grid.columns = {{say("script.say")}};
        if (trace) grid.columns.push_back({say("script.from")});
        for (const Spoken& line : script.lines) {
            if (line.part != part) continue;
            std::vector<std::string> row;
            if (part == Spoken::Part::work)
                row = {print_pet(*line.at), clock_utc(*line.at, timeline.pet_zero), line.who};
            row.push_back(line.words);
            if (trace) row.push_back(line.field);
            grid.rows.push_back(std::move(row));
        }
        if (grid.rows.empty()) return;
        section.grids.push_back(std::move(grid));
        out.push_back(std::move(section));
    };
    table(Spoken::Part::opening, say("script.opening"));
    table(Spoken::Part::work, say("script.work"));
    table(Spoken::Part::quiet, say("script.quiet"));
    table(Spoken::Part::trouble, say("script.trouble"));
    table(Spoken::Part::closing, say("script.closing"));
    return out;
}

Grid script_table(const Script& script, const Timeline& timeline, const Wording& say) {
    Grid grid{
        "", {{say("script.part")}, {"PET"}, {"UTC"}, {say("who")}, {say("script.say")}, {say("script.from")}}, {}};
    const auto part = [&](Spoken::Part p) {
        switch (p) {
            case Spoken::Part::opening:
                return say("script.opening");
            case Spoken::Part::work:
                return say("script.work");
            case Spoken::Part::quiet:
                return say("script.quiet");
            case Spoken::Part::trouble:
                return say("script.trouble");
            case Spoken::Part::closing:
                return say("script.closing");
        }
        return std::string();
    };
    for (const Spoken& line : script.lines)
        grid.rows.push_back({part(line.part), line.at ? print_pet(*line.at) : "",
                             line.at ? clock_utc(*line.at, timeline.pet_zero) : "", line.who, line.words, line.field});
    return grid;
}

}  // namespace handrail::brief
