#include "brief/public_script.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>

#include "brief/axis.h"
#include "brief/facts.h"
#include "lifesupport/forecast.h"
#include "units/clock_difference.h"

namespace handrail::brief {
namespace {

// By weight: what must be said, then why the work is done, then the work, then what fills quiet stretches.
constexpr double always = 1e12, reason = 1e9, required_work = 1e6, trouble = 5e5, quiet_place = -1, quiet_term = -1.5,
                 quiet_light = -2, detail = -10;
constexpr double within = 0.05;

/// Words with which a field's text may go on in a sentence begun with a name: "A pilot." -> "Ada Fenn, a pilot."
bool goes_on_after_a_name(const std::string& text) {
    constexpr std::array<std::string_view, 14> words{"A",  "An",    "The",   "Where",  "Half-way", "Near", "At",
                                                     "On", "Under", "Above", "Behind", "Between",  "In",   "Beside"};
    const std::string first = text.substr(0, text.find(' '));
    return std::ranges::find(words, first) != words.end();
}
std::string after_name(std::string text) {
    if (goes_on_after_a_name(text)) text[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(text[0])));
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
    using Tense = Spoken::Stage;

    std::optional<std::size_t> line(Part part, std::optional<Pet> at, std::string who, std::string words,
                                    std::string field, double weight, std::optional<std::size_t> follows = {}) {
        if (words.empty()) return {};
        lines_.push_back({part, at, std::move(who), std::move(words), std::move(field), weight, follows, stage_});
        return lines_.size() - 1;
    }

    std::string utc(Pet t) const { return clock_utc(t, timeline_.pet_zero); }

    /// "6 hours 15 minutes", for speaking: to the nearest minute.
    std::string spoken(Seconds duration) const { return spoken_minutes((std::abs(duration.count()) + 30) / 60); }
    std::string spoken_minutes(long minutes) const {
        if (minutes == 0) return say_("script.moment");
        const auto hours = minutes / 60, rest = minutes % 60;
        const std::string h = say_(hours == 1 ? "script.hour" : "script.hours", {std::to_string(hours)});
        const std::string m = say_(rest == 1 ? "script.minute" : "script.minutes", {std::to_string(rest)});
        return hours == 0 ? m : rest == 0 ? h : h + " " + m;
    }
    /// Minutes gone by, as whoever hears the two times in UTC counts them.
    std::string since_start(Pet t) const {
        const Utc zero = timeline_.pet_zero;
        return spoken_minutes(by_the_clock(to_utc(t, zero), zero).count());
    }

    bool begun() const { return status_ != nullptr && status_->day.pet_running; }
    bool over() const { return status_ != nullptr && status_->day.situation.crew[0].inside_again; }
    /// Called off before anybody went out: no time of the plan holds any more, whoever may know why.
    bool scrubbed() const {
        return status_ != nullptr && status_->day.stand_down &&
               status_->day.stand_down->kind == live::StandDownKind::scrub;
    }
    bool stand_down_is_public() const { return may_read(live::Reader::everyone, status_->day.stand_down->visibility); }

    void opening() {
        // Called off before it began, nobody is outside and nothing of the plan is sure.
        if (scrubbed()) {
            if (!outing_.about.empty())
                line(Part::opening, {}, "", say_("script.is_planned", {outing_.about}), "outing, about", always);
            line(Part::opening, {}, "", say_(stand_down_is_public() ? "script.scrub" : "script.no_start"),
                 "record, stand-down", always);
            return;
        }
        line(Part::opening, {}, "", outing_.about, "outing, about", always);
        for (const Crew crew : both_crew) {
            const CrewMember& person = outing_.person(crew);
            if (!person.about.empty())
                line(Part::opening, {}, "",
                     say_(goes_on_after_a_name(person.about) ? "script.person" : "script.person_apart",
                          {person.name, after_name(person.about)}),
                     fmt::format("{}, name and about", word(crew)), always);
        }
        if (!outing_.iv_name.empty())
            line(Part::opening, {}, "", say_("script.iv", {outing_.iv_name}), "IV, name", always);
        const std::string length = since_start(timeline_.finish());
        const std::string key = over() ? "script.was" : begun() ? "script.began" : "script.plan";
        line(Part::opening, {}, "", say_(key, {utc(Pet{}), utc(timeline_.finish()), length}),
             over()    ? "record, PET zero and ingress"
             : begun() ? "record, PET zero; forecast, finish"
                       : "plan, PET zero and finish",
             always);
        if (over()) outcome();
    }

    /// Home again: by how much earlier or later than was announced, and whether work is left. Never why.
    void outcome() {
        const live::Day& day = status_->day;
        if (!day.first_plan) return;
        const Utc announced = to_utc(day.first_plan->finish(), day.planned_pet_zero);
        const std::chrono::minutes late = by_the_clock(to_utc(timeline_.finish(), day.pet_zero), announced);
        constexpr std::chrono::minutes worth_saying{5};
        if (std::chrono::abs(late) >= worth_saying)
            line(Part::opening, {}, "",
                 say_(late.count() < 0 ? "script.earlier" : "script.later", {spoken(std::chrono::abs(late))}),
                 "record, ingress; first plan, PET zero and finish", always);
        const bool left = std::ranges::any_of(outing_.tasks, [&](const Task& task) {
            return day.first_plan->lead_of(task.id) &&
                   status_->tasks[index(task.id)].progress != live::TaskProgress::done;
        });
        if (left) line(Part::opening, {}, "", say_("script.left"), "record, tasks not done", always);
    }

    /// On the day: what time it is, how they stand, what comes next.
    void state() {
        if (scrubbed()) return;
        const live::Day& day = status_->day;
        const Pet now = day.pet_now();
        if (begun() && !over()) {
            line(Part::opening, now, "", say_("script.now", {utc(now), since_start(now)}), "the moment asked for",
                 always);
            // Coming in early is not being ahead.
            const Seconds behind = day.stand_down ? Seconds{0} : status_->behind;
            const std::string key = std::chrono::abs(behind) < Seconds{90} ? "script.on_time"
                                    : behind > Seconds{0}                  ? "script.behind"
                                                                           : "script.ahead";
            if (!day.stand_down)
                line(Part::opening, now, "", say_(key, {spoken(behind)}), "forecast against the plan", always);
        } else if (!begun() && day.pet_zero > day.planned_pet_zero) {
            line(Part::opening, {}, "", say_("script.late", {spoken(by_the_clock(day.pet_zero, day.planned_pet_zero))}),
                 "forecast against the plan", always);
        }
        if (day.open_hold() != nullptr)
            line(Part::opening, now, "", say_("script.held", {utc(day.open_hold()->from)}), "record, hold", always);
        if (day.stand_down && !over() && stand_down_is_public())
            line(Part::opening, day.stand_down->at, "", say_("script.coming_in"), "record, stand-down", always);
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

    /// On the day what is done comes first, then what is under way, then what is to come.
    void work() {
        std::vector<bool> begun(outing_.tasks.size(), false);
        if (status_ == nullptr) return work(Tense::plan, begun);
        for (const Tense stage : {Tense::done, Tense::running, Tense::ahead}) work(stage, begun);
        stage_ = Tense::plan;
    }

    void work(Tense stage, std::vector<bool>& begun) {
        stage_ = stage;
        for (const Activity& activity : timeline_.activities) {
            if (!activity.step || tense(activity) != stage) continue;
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
        // One kind of detail a step, each kind in turn, before a step gets a second one.
        const auto add = [&](std::string words, const char* field, std::size_t kind) {
            line(Part::work, activity.start, people(activity), std::move(words), "step " + step.label + ", " + field,
                 detail - static_cast<double>((kind + index(step.id)) % 4), said);
        };
        if (now == Tense::plan) add(say_("script.at", {utc(activity.start), since_start(activity.start)}), "start", 0);
        add(say_(past ? "script.took" : "script.takes", {spoken(activity.duration)}), "duration", 1);
        if (step.at) add(say_(past ? "script.place_was" : "script.place", {outing_.worksite(*step.at).name}), "at", 2);
        if (step.who.size() > 1 && activity.on(Lane::ev1) && activity.on(Lane::ev2))
            add(say_(past ? "script.both_did" : "script.both"), "who", 3);
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
        for (const char* term : {"term.eva", "term.airlock", "term.tether", "term.rails", "term.suit", "term.voice"}) {
            // Where the suits breathe through hoses, in a pool, neither is there.
            const std::string_view of_space(term);
            if (!suits_carry_anything() && (of_space == "term.airlock" || of_space == "term.suit")) continue;
            line(Part::quiet, {}, "", say_(term), fmt::format("message file, {}", term), quiet_term);
        }
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
        if (over() || scrubbed()) return;
        if (status_ != nullptr && status_->day.stand_down) return;
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

    bool suits_carry_anything() const {
        for (const Crew crew : both_crew) {
            const lifesupport::Forecast suit = lifesupport::forecast(outing_.suit_of(crew), {});
            for (std::size_t i = 0; i < lifesupport::consumable_count; ++i)
                if (suit.carries(static_cast<lifesupport::Consumable>(i))) return true;
        }
        return false;
    }

    void closing() {
        if (scrubbed()) return;
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
    Tense stage_ = Tense::plan;
    std::vector<Spoken> lines_;
};

std::string stage_name(Spoken::Stage stage, const Wording& say) {
    switch (stage) {
        case Spoken::Stage::plan:
            return say("script.work");
        case Spoken::Stage::done:
            return say("script.so_far");
        case Spoken::Stage::running:
            return say("script.right_now");
        case Spoken::Stage::ahead:
            return say("script.to_come");
    }
    return {};
}

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
    const auto table = [&](Spoken::Part part, std::string heading, Spoken::Stage stage = Spoken::Stage::plan) {
        Section section{std::move(heading), {}, {}};
        std::vector<std::string> before;
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
            if (line.part != part || (part == Spoken::Part::work && line.stage != stage)) continue;
            std::vector<std::string> row;
            if (part == Spoken::Part::work) {
                row = {print_pet(*line.at), clock_utc(*line.at, timeline.pet_zero), line.who};
                // Said once for lines that belong together; the PET names the row.
                if (row == before)
                    row = {row[0], "", ""};
                else
                    before = row;
            }
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
    for (const Spoken::Stage stage : {Spoken::Stage::done, Spoken::Stage::running, Spoken::Stage::ahead})
        table(Spoken::Part::work, stage_name(stage, say), stage);
    table(Spoken::Part::quiet, say("script.quiet"));
    table(Spoken::Part::trouble, say("script.trouble"));
    table(Spoken::Part::closing, say("script.closing"));
    return out;
}

Grid script_table(const Script& script, const Timeline& timeline, const Wording& say) {
    Grid grid{
        "", {{say("script.part")}, {"PET"}, {"UTC"}, {say("who")}, {say("script.say")}, {say("script.from")}}, {}};
    const auto part = [&](Spoken::Part p, Spoken::Stage stage) {
        switch (p) {
            case Spoken::Part::opening:
                return say("script.opening");
            case Spoken::Part::work:
                return stage_name(stage, say);
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
        grid.rows.push_back({part(line.part, line.stage), line.at ? print_pet(*line.at) : "",
                             line.at ? clock_utc(*line.at, timeline.pet_zero) : "", line.who, line.words, line.field});
    return grid;
}

}  // namespace handrail::brief
