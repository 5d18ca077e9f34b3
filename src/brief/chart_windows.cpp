#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "brief/chart_parts.h"
#include "brief/labels.h"
#include "brief/palette.h"

namespace handrail::brief::chart {
namespace {

/// Words for a condition while it holds and while it does not.
struct ConditionWords {
    std::string holds, fails;
};
ConditionWords condition_words(const std::string& condition, const Wording& say) {
    if (condition == "daylight") return {say.condition(condition), say("chart.dark")};
    if (condition == "lit") return {say.condition(condition), say("chart.shadow")};
    if (condition == "glare") return {say.condition(condition), ""};
    return {say.condition(condition), say("chart.no", {say.condition(condition)})};
}

/// How a stretch looks: the ground, the pattern on it and the letters.
struct Look {
    Colour ground, letters;
    std::optional<Pattern> pattern;
};
Look look(const std::string& condition, bool holds) {
    if (condition == "daylight" || condition == "lit")
        return holds ? Look{palette::sunlit, palette::ink, {}} : Look{palette::dark, palette::paper, {}};
    return holds ? Look{palette::linked, palette::linked_ink, Pattern::level}
                 : Look{palette::paper, palette::muted, {}};
}

void draw_stretch(Canvas& canvas, const Scene& scene, const ConditionRow& row, const TimeAxis& axis, Box band, Pet from,
                  Pet to, const std::string& note, bool holds) {
    const Look style = look(row.condition, holds);
    canvas.fill(band, style.ground);
    const double u = scene.u;
    const Wording& say = scene.options.say;
    const ConditionWords words = condition_words(row.condition, say);
    const std::string& word = holds ? words.holds : words.fails;
    const bool cut_left = from < axis.from, cut_right = axis.to < to;
    const std::string times = cut_left && cut_right ? say("chart.throughout")
                              : cut_left            ? say("chart.until", {print_pet(to)})
                              : cut_right           ? say("chart.from", {print_pet(from)})
                                                    : print_pet(from) + "–" + print_pet(to);
    std::vector<std::string> wordings;
    if (!word.empty()) {
        if (holds && !note.empty()) wordings.push_back(fmt::format("{} {} ({})", word, times, note));
        wordings.push_back(fmt::format("{} {}", word, times));
        wordings.push_back(word);
        if (!holds && row.condition != "daylight" && row.condition != "lit") wordings.push_back(say("chart.none"));
    }
    const TextStyle letters{.size = u * 0.88, .colour = style.letters, .align = Align::centre};
    const Box written = draw_longest(
        canvas, {band.x + u * 0.2, band.y + band.h * 0.5 - u * 0.55, band.w - u * 0.4, u * 1.1}, wordings, letters);
    if (style.pattern) {  // left and right of the words only
        const Pen pen{palette::linked_ink.with_alpha(0.45), u * 0.05};
        const double stop = written.w > 0 ? written.x - u * 0.4 : band.right();
        canvas.pattern({band.x, band.y, std::max(0.0, stop - band.x), band.h}, *style.pattern, pen, u * 0.36);
        if (written.w > 0)
            canvas.pattern(
                {written.right() + u * 0.4, band.y, std::max(0.0, band.right() - written.right() - u * 0.4), band.h},
                *style.pattern, pen, u * 0.36);
    }
    canvas.stroke(Path::rectangle(band), {palette::rule, u * 0.05});
}

}  // namespace

void draw_band(Canvas& canvas, const Scene& scene, const ConditionRow& row, const TimeAxis& axis, double top,
               double height) {
    const auto stretch = [&](Pet from, Pet to, const std::string& note, bool holds) {
        const double left = axis.x(std::max(from, axis.from)), right = axis.x(std::min(to, axis.to));
        if (right - left < 0.01) return;
        draw_stretch(canvas, scene, row, axis, {left, top, right - left, height}, from, to, note, holds);
    };
    Pet until = scene.from;
    for (const Window& window : scene.windows.of(row.condition, row.worksite)) {
        if (until < window.from()) stretch(until, std::min(window.from(), scene.to), {}, false);
        stretch(window.from(), window.to(), window.note(), true);
        until = std::max(until, window.to());
    }
    if (until < scene.to) stretch(until, scene.to, {}, false);
}

void draw_dusk(Canvas& canvas, const Scene& scene, const TimeAxis& axis, double top, double height) {
    if (!scene.sunlight_known) return;
    Pet until = axis.from;
    const auto shade = [&](Pet from, Pet to) {
        const Pet a = std::max(from, axis.from), b = std::min(to, axis.to);
        if (a < b) canvas.fill({axis.x(a), top, axis.x(b) - axis.x(a), height}, palette::dusk);
    };
    for (const Window& window : scene.windows.of("daylight", "")) {
        shade(until, window.from());
        until = std::max(until, window.to());
    }
    shade(until, axis.to);
}

double draw_limits(Canvas& canvas, const Scene& scene, const TimeAxis& axis, double top, double bottom, double beyond) {
    const double u = scene.u;
    std::vector<Flag> flags;
    const auto line = [&](Pet at, const Pen& pen, const std::string& words) {
        if (at < axis.from || axis.to < at) return;
        const double x = axis.x(at);
        canvas.line({x, top}, {x, bottom + u * 1.2}, pen);
        flags.push_back({x, words, pen.colour});
    };
    const Facts& f = scene.facts;
    if (!scene.timeline.activities.empty())
        line(f.finish, {palette::ink, u * 0.14}, scene.options.say("chart.finish", {print_pet(f.finish)}));
    if (f.wanted.count() > 0)
        line(f.margin_from, {palette::amber, u * 0.14, Dash::dashed},
             scene.options.say("chart.margin_from", {print_pet(f.margin_from)}));
    line(f.limit, {palette::alarm, u * 0.3}, scene.options.say("chart.limit", {print_pet(f.limit)}));
    if (scene.options.now) {
        const double x = axis.x(*scene.options.now);
        line(*scene.options.now, {palette::ink, u * 0.26},
             scene.options.say("chart.now", {print_pet(*scene.options.now)}));
        if (axis.from <= *scene.options.now && *scene.options.now <= axis.to)
            canvas.fill(Path::polyline({{x - u * 0.6, top - u * 0.1}, {x + u * 0.6, top - u * 0.1}, {x, top + u * 0.8}})
                            .close(),
                        palette::ink);
    }
    if (flags.empty()) return 0;
    std::stable_sort(flags.begin(), flags.end(), [](const Flag& a, const Flag& b) { return a.x < b.x; });
    return u * 1.3 * draw_flags(canvas, flags, axis.left, axis.right + beyond, bottom + u * 0.15, u * 1.2, u * 0.95);
}

}  // namespace handrail::brief::chart
