#include "brief/sky_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace handrail::brief {
namespace {

Pet pet_at(double seconds) { return Pet{Milliseconds{std::llround(seconds * 1000.0)}}; }
Seconds whole(double seconds) { return Seconds{std::llround(seconds)}; }

/// To the second: what a person reads beside a clock.
std::string utc_second(Pet t, Utc pet_zero) { return print_utc(std::chrono::round<Seconds>(to_utc(t, pet_zero))); }
Pet pet_second(Pet t) { return Pet{std::chrono::round<Seconds>(t.time_since_epoch())}; }

std::size_t width_of(const std::vector<std::string>& words, std::size_t least) {
    for (const std::string& w : words) least = std::max(least, w.size());
    return least;
}

std::string header(const SkySpan& s) {
    std::string out = fmt::format("{}: light and coverage\n", s.outing.name);
    const Milliseconds slip = s.pet_zero - s.outing.pet_zero;
    out += fmt::format(
        "PET zero {}{}. PET {} to {}.\n", print_utc(s.pet_zero),
        slip == Milliseconds{0}
            ? std::string(" as planned")
            : fmt::format(", {} {} than planned ({})",
                          print_duration(std::chrono::round<Seconds>(slip < Milliseconds{0} ? -slip : slip)),
                          slip < Milliseconds{0} ? "earlier" : "later", print_utc(s.outing.pet_zero)),
        print_pet(s.from), print_pet(s.to));
    if (!s.survey) return out + "No orbit: the windows are those of the outing file.\n";
    const sky::Elements& e = s.survey->orbit.elements;
    const sky::Sgp4& model = s.survey->orbit.model;
    const std::string name = e.object.empty() ? e.catalogue : fmt::format("{} ({})", e.object, e.catalogue);
    const double age = sky::age_days(e, s.pet_zero);
    out += fmt::format(
        "Orbit {}: {:.0f} by {:.0f} km, inclination {:.1f} deg, {:.1f} min a revolution; elements of {}, "
        "{:.1f} days {} PET zero.\n",
        name, model.perigee_km(), model.apogee_km(), e.inclination.value(), model.period_min(),
        print_utc(std::chrono::round<Seconds>(nearest(e.epoch))), std::abs(age), age >= 0 ? "before" : "after");
    out += fmt::format("Beta angle {:.2f} deg at the start, {:.2f} deg at the end.\n", s.survey->beta_start.value(),
                       s.survey->beta_end.value());
    for (const std::string& warning : s.survey->warnings) out += fmt::format("Warning: {}\n", warning);
    return out;
}

struct LightEvent {
    double at_s;
    const char* what;
    double lasts_s;  ///< until the next event or the end of the span
};

std::vector<LightEvent> light_events(const sky::Survey& survey) {
    std::vector<LightEvent> events;
    const auto add = [&](const sky::Stretches& list, const char* what) {
        for (const sky::Stretch& s : list)
            if (s.from_s > survey.from_s) events.push_back({s.from_s, what, s.to_s - s.from_s});
    };
    add(survey.shadow.sun, "whole sun in view");
    add(survey.shadow.umbra, "dark: umbra entry");
    for (const sky::Stretch& s : survey.shadow.penumbra) {
        if (s.from_s <= survey.from_s) continue;
        const bool setting = std::any_of(survey.shadow.sun.begin(), survey.shadow.sun.end(),
                                         [&](const sky::Stretch& day) { return std::abs(day.to_s - s.from_s) < 0.01; });
        events.push_back({s.from_s, setting ? "sunset: penumbra entry" : "sunrise: umbra exit", s.to_s - s.from_s});
    }
    std::sort(events.begin(), events.end(), [](const LightEvent& a, const LightEvent& b) { return a.at_s < b.at_s; });
    return events;
}

std::string sun_table(const SkySpan& s) {
    std::string out = "\nSun\n";
    const auto events = light_events(*s.survey);
    if (events.empty()) {
        const bool lit = !s.survey->shadow.sun.empty();
        return out + (lit ? "  In the sun all through: the orbit never meets the Earth's shadow in this span.\n"
                          : "  In the Earth's shadow all through this span.\n");
    }
    out += "  PET        UTC                   what                     lasts\n";
    for (const LightEvent& e : events)
        out += fmt::format("  {:<9}  {}  {:<23}  {}\n", print_pet_seconds(pet_second(pet_at(e.at_s))),
                           utc_second(pet_at(e.at_s), s.pet_zero), e.what,
                           print_duration(whole(e.lasts_s)) +
                               (e.at_s + e.lasts_s >= s.survey->to_s - 0.001 ? " or more (the span ends)" : ""));
    return out;
}

std::string coverage_table(const SkySpan& s) {
    struct Line {
        Pet from;
        std::string words;
    };
    std::vector<Line> lines;
    const auto add = [&](Pet from, Pet to, const char* what, const std::string& why) {
        lines.push_back(
            {from, fmt::format("  {:<9}  {:<9}  {}  {:<8}  {:<16}  {}\n", print_pet_seconds(pet_second(from)),
                               print_pet_seconds(pet_second(to)), utc_second(from, s.pet_zero), what,
                               print_duration(std::chrono::round<Seconds>(to - from)), why)});
    };
    for (const Window& w : s.windows.of("coverage", ""))
        if (w.from() < s.to && s.from < w.to()) add(w.from(), w.to(), "coverage", w.note());
    // Gaps carry reasons only where coverage was computed; the file's own windows have none to give.
    if (s.survey && !s.outing.windows.knows("coverage"))
        for (const sky::Gap& g : s.survey->gaps) add(pet_at(g.when.from_s), pet_at(g.when.to_s), "gap", g.reason);
    std::sort(lines.begin(), lines.end(), [](const Line& a, const Line& b) { return a.from < b.from; });
    std::string out =
        "\nCoverage\n  from       to         UTC                   what      lasts             through, or why not\n";
    for (const Line& line : lines) out += line.words;
    if (lines.empty()) out += "  none\n";
    return out;
}

std::string pass_table(const SkySpan& s) {
    std::string out;
    std::vector<std::string> names;
    for (const sky::Link& link : s.survey->links) names.push_back(link.name);
    const std::size_t width = width_of(names, 4);
    for (const sky::Link& link : s.survey->links) {
        if (!link.ground) continue;
        for (std::size_t i = 0; i < link.in_view.size(); ++i)
            out += fmt::format("  {:<{}}  {:<9}  {:<9}  {:5.1f} deg at {}\n", link.name, width,
                               print_pet_seconds(pet_second(pet_at(link.in_view[i].from_s))),
                               print_pet_seconds(pet_second(pet_at(link.in_view[i].to_s))), link.highest[i].value(),
                               print_pet_seconds(pet_second(pet_at(link.highest_at_s[i]))));
    }
    if (out.empty()) return out;
    return fmt::format("\nPasses over ground stations\n  {:<{}}  AOS        LOS        highest\n", "over", width) + out;
}

std::string windows_in_words(const SkySpan& s, const std::string& condition, const std::string& site) {
    std::string out;
    for (const Window& w : s.windows.of(condition, site)) {
        if (w.to() <= s.from || s.to <= w.from()) continue;
        out +=
            fmt::format("{}{}-{}", out.empty() ? "" : ", ", print_pet_seconds(pet_second(std::max(w.from(), s.from))),
                        print_pet_seconds(pet_second(std::min(w.to(), s.to))));
    }
    return out.empty() ? "never" : out;
}

std::string worksite_table(const SkySpan& s) {
    std::vector<std::string> names;
    for (const Worksite& w : s.outing.station.worksites) names.push_back(w.name);
    const std::size_t width = width_of(names, 8);
    std::string out = fmt::format(
        "\nLight at the worksites (shadowed: by the station itself; glare: the sun within {:g} deg of the worker's "
        "line of "
        "sight)\n  {:<{}}  {:<16}  {:<16}  {:<16}  lit, PET\n",
        s.outing.station.glare_within.value(), "worksite", width, "lit", "shadowed", "glare");
    for (const Worksite& w : s.outing.station.worksites)
        out +=
            fmt::format("  {:<{}}  {:<16}  {:<16}  {:<16}  {}\n", w.name, width,
                        print_duration(held(s.windows, "lit", w.id, s.from, s.to)),
                        print_duration(held(s.windows, "shadowed", w.id, s.from, s.to)),
                        print_duration(held(s.windows, "glare", w.id, s.from, s.to)), windows_in_words(s, "lit", w.id));
    return out;
}

/// Conditions of the outing's own words, which no other table shows.
std::string other_table(const SkySpan& s) {
    std::string out;
    for (const auto& [key, list] : s.windows.all()) {
        const auto& [condition, site] = key;
        const bool shown = condition == "coverage" || (s.survey && !s.outing.windows.knows(condition));
        if (shown) continue;
        for (const Window& w : list)
            if (w.from() < s.to && s.from < w.to())
                out += fmt::format("  {:<9}  {:<9}  {}  {}{}{}\n", print_pet_seconds(pet_second(w.from())),
                                   print_pet_seconds(pet_second(w.to())), utc_second(w.from(), s.pet_zero), condition,
                                   site.empty() ? "" : " at " + site, w.note().empty() ? "" : ": " + w.note());
    }
    return out.empty() ? out
                       : "\nWindows of the outing file\n  from       to         UTC                   what\n" + out;
}

std::string slip_table(const SkySpan& s) {
    if (s.planned == nullptr) return {};
    const Milliseconds slip = s.pet_zero - s.outing.pet_zero;
    std::string out = fmt::format("\nWhat the slip changes (windows stay in UTC, so in PET they come {} {})\n",
                                  print_duration(std::chrono::round<Seconds>(slip < Milliseconds{0} ? -slip : slip)),
                                  slip < Milliseconds{0} ? "later" : "earlier");
    std::vector<std::string> names{"daylight", "coverage"};
    for (const Worksite& w : s.outing.station.worksites) names.push_back("lit at " + w.name);
    const std::size_t width = width_of(names, 8);
    out += fmt::format("  {:<{}}  {:<16}  {:<16}  change\n", "from PET " + print_pet(s.from) + " to " + print_pet(s.to),
                       std::max<std::size_t>(width, 23), "planned", "now");
    const auto add = [&](const std::string& name, const std::string& condition, const std::string& site) {
        if (!s.windows.knows(condition)) return;
        const Seconds before = held(*s.planned, condition, site, s.from, s.to);
        const Seconds now = held(s.windows, condition, site, s.from, s.to);
        out += fmt::format("  {:<{}}  {:<16}  {:<16}  {}\n", name, std::max<std::size_t>(width, 23),
                           print_duration(before), print_duration(now), print_signed_minutes(now - before));
    };
    add("daylight", "daylight", "");
    add("coverage", "coverage", "");
    if (s.windows.knows("lit"))
        for (const Worksite& w : s.outing.station.worksites) add("lit at " + w.name, "lit", w.id);
    return out + "  `handrail check` and `handrail plan` with the same --start show what it does to the steps.\n";
}

std::string quoted(const std::string& cell) {
    if (cell.find_first_of(",\"\n") == std::string::npos) return cell;
    std::string out = "\"";
    for (char c : cell) out += c == '"' ? "\"\"" : std::string(1, c);
    return out + "\"";
}

}  // namespace

Seconds held(const WindowTable& windows, const std::string& condition, const std::string& worksite, Pet from, Pet to) {
    Milliseconds sum{0};
    for (const Window& w : windows.of(condition, worksite)) {
        const Pet a = std::max(w.from(), from), b = std::min(w.to(), to);
        if (a < b) sum += b - a;
    }
    return std::chrono::round<Seconds>(sum);
}

std::string sky_table(const SkySpan& s) {
    std::string out = header(s);
    if (s.survey) out += sun_table(s);
    if (s.windows.knows("coverage")) out += coverage_table(s);
    if (s.survey) out += pass_table(s);
    if (s.windows.knows("lit")) out += worksite_table(s);
    out += other_table(s) + slip_table(s);
    return out + fmt::format("\n{}\n", caution);
}

std::string sky_csv(const SkySpan& s) {
    std::string out = "condition,worksite,from,to,note\n";
    for (const auto& [key, list] : s.windows.all())
        for (const Window& w : list) {
            const Pet from = std::max(w.from(), s.from), to = std::min(w.to(), s.to);
            if (from >= to) continue;
            out +=
                fmt::format("{},{},{},{},{}\n", quoted(key.first), quoted(key.second),
                            print_utc(to_utc(from, s.pet_zero)), print_utc(to_utc(to, s.pet_zero)), quoted(w.note()));
        }
    return out;
}

}  // namespace handrail::brief
