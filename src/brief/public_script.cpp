#include "brief/public_script.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <limits>

#include "brief/axis.h"
#include "brief/facts.h"

namespace handrail::brief {
namespace {

constexpr double always = std::numeric_limits<double>::infinity();

/// "6 hours 15 minutes", for speaking: to the minute.
std::string spoken_duration(Seconds duration) {
    const auto minutes = duration.count() / 60, hours = minutes / 60, rest = minutes % 60;
    const auto part = [](long n, std::string_view unit) { return fmt::format("{} {}{}", n, unit, n == 1 ? "" : "s"); };
    if (hours == 0) return part(rest, "minute");
    return rest == 0 ? part(hours, "hour") : part(hours, "hour") + " " + part(rest, "minute");
}

/// A field's text as a sentence that follows a name: "A pilot." -> "a pilot."
std::string after_name(std::string text) {
    if (text.size() > 2 && (text.starts_with("A ") || text.starts_with("An ") || text.starts_with("The ")))
        text[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(text[0])));
    return text;
}

class Writer {
public:
    Writer(const Outing& outing, const WindowTable& windows, const Timeline& timeline)
        : outing_(outing), windows_(windows), timeline_(timeline) {}

    std::vector<Spoken> lines() {
        opening();
        work();
        quiet();
        closing();
        return std::move(lines_);
    }

private:
    void say(Spoken::Part part, std::optional<Pet> at, std::string who, std::string words, std::string field,
             double weight) {
        if (!words.empty()) lines_.push_back({part, at, std::move(who), std::move(words), std::move(field), weight});
    }

    std::string utc(Pet t) const { return clock_utc(t, timeline_.pet_zero); }

    void opening() {
        using enum Spoken::Part;
        say(opening, {}, "", outing_.about, "outing, about", always);
        for (const Crew crew : both_crew) {
            const CrewMember& person = outing_.person(crew);
            if (!person.about.empty())
                say(opening, {}, "", fmt::format("{}: {}", person.name, after_name(person.about)),
                    fmt::format("{}, name and about", word(crew)), always);
        }
        if (!outing_.iv_name.empty())
            say(opening, {}, "", fmt::format("{} speaks to them from inside.", outing_.iv_name), "IV, name", always);
        const Seconds length = std::chrono::floor<Seconds>(timeline_.finish().time_since_epoch());
        say(opening, {}, "",
            fmt::format("By the plan it begins at {} UTC and ends at {} UTC, {} later.", utc(Pet{}),
                        utc(timeline_.finish()), spoken_duration(length)),
            "plan, PET zero and finish", always);
    }

    std::string people(const Activity& activity) const {
        std::string out;
        for (const Crew crew : both_crew)
            if (activity.on(lane_of(crew))) out += (out.empty() ? "" : " and ") + outing_.person(crew).name;
        return out.empty() ? "inside or on the ground" : out;
    }

    void work() {
        std::vector<bool> begun(outing_.tasks.size(), false);
        for (const Activity& activity : timeline_.activities) {
            if (!activity.step) continue;
            const Step& step = outing_.step(*activity.step);
            const Task& task = outing_.task(step.task);
            const double weight = task.task_class == TaskClass::required ? task.value + 1e6 : task.value;
            if (!begun[index(task.id)]) {
                begun[index(task.id)] = true;
                say(Spoken::Part::work, activity.start, people(activity), task.why, "task " + task.key + ", why",
                    weight + 1e9);
            }
            say(Spoken::Part::work, activity.start, people(activity), step.public_words,
                "step " + step.label + ", public words", weight);
        }
    }

    void quiet() {
        std::vector<bool> visited(outing_.station.worksites.size(), false);
        visited[index(outing_.station.airlock)] = true;
        for (const Activity& activity : timeline_.activities)
            for (const WorksiteId site : activity.path) visited[index(site)] = true;
        for (std::size_t i = 0; i < visited.size(); ++i) {
            const Worksite& site = outing_.station.worksites[i];
            if (visited[i] && !site.about.empty())
                say(Spoken::Part::quiet, {}, "", fmt::format("{}: {}", site.name, after_name(site.about)),
                    "worksite " + site.id + ", name and about", -1);
        }
        for (const Window& window : windows_.of("daylight", "")) {
            const auto line = [&](Pet t, std::string_view what) {
                if (Pet{} < t && t < timeline_.finish())
                    say(Spoken::Part::quiet, t, "", fmt::format("At {} UTC the station {}.", utc(t), what),
                        "daylight windows", -2);
            };
            line(window.from(), "comes back into sunlight");
            line(window.to(), "passes into the shadow of the Earth");
        }
    }

    void closing() {
        say(Spoken::Part::closing, timeline_.finish(), "",
            fmt::format("By the plan the hatch is closed again at {} UTC.", utc(timeline_.finish())), "plan, finish",
            always);
    }

    const Outing& outing_;
    const WindowTable& windows_;
    const Timeline& timeline_;
    std::vector<Spoken> lines_;
};

std::size_t words_of(const std::vector<Spoken>& lines) {
    std::size_t words = 0;
    for (const Spoken& line : lines) words += word_count(line.words);
    return words;
}

}  // namespace

std::size_t word_count(std::string_view text) {
    std::size_t words = 0;
    bool inside = false;
    for (const char c : text) {
        const bool space = std::isspace(static_cast<unsigned char>(c)) != 0;
        words += !space && !inside;
        inside = !space;
    }
    return words;
}

std::vector<Spoken> spoken_lines(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                 const ScriptOptions& options) {
    std::vector<Spoken> lines = Writer(outing, windows, timeline).lines();
    if (!options.minutes) return lines;
    const double most = *options.minutes * options.pace;
    while (static_cast<double>(words_of(lines)) > most) {
        const auto least = std::min_element(lines.begin(), lines.end(),
                                            [](const Spoken& a, const Spoken& b) { return a.weight <= b.weight; });
        if (least->weight == always) break;
        lines.erase(least);
    }
    return lines;
}

std::vector<Section> public_script(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                   const ScriptOptions& options) {
    const std::vector<Spoken> lines = spoken_lines(outing, windows, timeline, options);
    const std::size_t words = words_of(lines);
    std::vector<Section> out;
    out.push_back({"",
                   {{fmt::format("{} words, {:.1f} minutes at {:g} words a minute. Times are those of the plan; on the "
                                 "day say what has happened.",
                                 words, static_cast<double>(words) / options.pace, options.pace)}},
                   {}});
    const auto table = [&](Spoken::Part part, const std::string& heading) {
        Section section{heading, {}, {}};
        if (part != Spoken::Part::work && !options.trace) {
            for (const Spoken& line : lines)
                if (line.part == part) section.sentences.push_back({line.words});
            if (!section.sentences.empty()) out.push_back(std::move(section));
            return;
        }
        Grid grid{"", {{"PET"}, {"UTC"}, {"Who"}, {"Say"}}, {}};
        if (part != Spoken::Part::work) grid.columns = {{"Say"}};
        if (options.trace) grid.columns.push_back({"From"});
        for (const Spoken& line : lines) {
            if (line.part != part) continue;
            std::vector<std::string> row;
            if (part == Spoken::Part::work)
                row = {print_pet(*line.at), clock_utc(*line.at, timeline.pet_zero), line.who};
            row.push_back(line.words);
            if (options.trace) row.push_back(line.field);
            grid.rows.push_back(std::move(row));
        }
        if (grid.rows.empty()) return;
        section.grids.push_back(std::move(grid));
        out.push_back(std::move(section));
    };
    table(Spoken::Part::opening, "To begin with");
    table(Spoken::Part::work, "As it happens");
    table(Spoken::Part::quiet, "For quiet stretches");
    table(Spoken::Part::closing, "To end with");
    return out;
}

}  // namespace handrail::brief
