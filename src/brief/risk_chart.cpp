#include "brief/risk_chart.h"

#include <fmt/format.h>

#include <algorithm>

#include "brief/axis.h"
#include "brief/palette.h"
#include "risk/words.h"

namespace handrail::brief {
namespace {

constexpr Size page_size{842, 595};  // A4 landscape, points
constexpr double edge = 36;

const TextStyle heading{.size = 15, .colour = palette::ink, .bold = true, .condensed = false};
const TextStyle subject{.size = 10, .colour = palette::ink, .bold = true};
const TextStyle body{.size = 8.5, .colour = palette::ink};
const TextStyle small{.size = 7.5, .colour = palette::muted};

TextStyle aligned_right(TextStyle style) {
    style.align = Align::right;
    return style;
}
TextStyle centred(TextStyle style) {
    style.align = Align::centre;
    return style;
}
TextStyle in_colour(TextStyle style, Colour colour) {
    style.colour = colour;
    return style;
}

Canvas new_page(const Outing& outing, const risk::Odds& odds, const std::string& what) {
    Canvas canvas(page_size, Unit::point, fmt::format("{}: {}", outing.name, what),
                  fmt::format("Simulation of {}: {} runs, seed {}", outing.name, odds.runs, odds.seed));
    canvas.fill(Box{0, 0, page_size.w, page_size.h}, palette::paper);
    canvas.text({edge, 24}, fmt::format("{}: {}", outing.name, what), heading);
    canvas.text({edge, 44},
                fmt::format("{} runs, seed {}, {}; {}", odds.runs, odds.seed,
                            odds.gates_in_force ? "decision gates in force" : "likely times decide what is left out",
                            outing.note),
                small);
    canvas.text_in({edge, page_size.h - 30, page_size.w - 2 * edge, 20}, caution, small);
    return canvas;
}

/// Bars of the end time, with the plan, the limit and the margin as lines that carry their words.
void draw_finish(Canvas& canvas, const Outing& outing, const risk::Odds& odds, Box area) {
    canvas.text({area.x, area.y}, "When both are home (end of ingress, PET)", subject);
    canvas.text({area.x, area.y + 15},
                fmt::format("P10 {}   P50 {}   P90 {}   ({:.1f} % by the limit, {:.1f} % with the margin)",
                            print_pet(odds.p10.at), print_pet(odds.p50.at), print_pet(odds.p90.at),
                            100 * odds.in_time.value, 100 * odds.with_margin.value),
                body);
    const Box plot{area.x, area.y + 78, area.w, area.h - 100};
    const Pet limit = pet(outing.rules.limit);
    const Pet bars_end = odds.histogram_from + odds.histogram_width * static_cast<int>(odds.histogram.size());
    const Pet from = std::min({odds.histogram_from, odds.planned_finish, limit - Seconds{600}}) - Seconds{300};
    const Pet to = std::max({bars_end, limit, odds.planned_finish}) + Seconds{300};
    const TimeAxis axis{from, to, plot.x, plot.right()};
    const std::uint32_t most = std::max(1u, *std::max_element(odds.histogram.begin(), odds.histogram.end()));
    for (const AxisTick& tick : ticks(axis, 40)) {
        const double x = axis.x(tick.at);
        canvas.line({x, plot.bottom()}, {x, plot.bottom() + (tick.kind == Tick::labelled ? 5.0 : 3.0)},
                    {palette::rule, 0.75});
        if (tick.kind == Tick::labelled) canvas.text({x, plot.bottom() + 7}, print_pet(tick.at), centred(small));
    }
    for (std::size_t i = 0; i < odds.histogram.size(); ++i) {
        const Pet at = odds.histogram_from + odds.histogram_width * static_cast<int>(i);
        const double x = axis.x(at);
        const double w = axis.x(at + odds.histogram_width) - x;
        const double h = plot.h * odds.histogram[i] / most;
        const Box bar{x + 0.3, plot.bottom() - h, std::max(0.5, w - 0.6), h};
        const bool late = at >= limit;
        canvas.fill(bar, late ? palette::alarm : palette::tasks[0].deep);
        if (late) canvas.pattern(bar, Pattern::rising, {palette::paper, 0.8}, 3);
    }
    canvas.line({plot.x, plot.bottom()}, {plot.right(), plot.bottom()}, {palette::rule, 0.75});
    enum class Side : std::uint8_t { left, right };
    const auto mark = [&](Pet at, const std::string& words, Colour colour, double row, Dash dash, Side side) {
        const double x = axis.x(at);
        const double y = plot.y - 14 - 13 * row;
        canvas.line({x, y + 10}, {x, plot.bottom()}, {palette::paper, 3});  // so that it stands out of the bars
        canvas.line({x, y + 10}, {x, plot.bottom()}, {colour, 1.2, dash});
        if (side == Side::right && x + 3 + canvas.measure(words, body).w > plot.right()) side = Side::left;
        const bool left = side == Side::left;
        canvas.text({left ? x - 3 : x + 3, y}, words, in_colour(left ? aligned_right(body) : body, colour));
    };
    // Words point away from the other line, so that neither runs through them.
    const bool plan_first = odds.planned_finish < odds.p50.at;
    mark(odds.planned_finish, fmt::format("plan {}", print_pet(odds.planned_finish)), palette::ink, 0, Dash::dashed,
         plan_first ? Side::left : Side::right);
    mark(odds.p50.at, fmt::format("P50 {}", print_pet(odds.p50.at)), palette::linked_ink, 1, Dash::dotted,
         plan_first ? Side::right : Side::left);
    mark(limit, fmt::format("limit {}", print_pet(limit)), palette::alarm, 2, Dash::solid, Side::right);
}

struct Bar {
    std::string name, amount;
    double share;
    Colour colour;
    bool hatched = false;
};

/// Horizontal bars of shares from 0 to `full`, name on the left, amount at the end.
void draw_bars(Canvas& canvas, const std::vector<Bar>& bars, Box area, double full, double name_width) {
    if (bars.empty()) return;
    const double pitch = std::min(24.0, area.h / static_cast<double>(bars.size()));
    const double thick = std::min(13.0, pitch * 0.65);
    const double size = std::min(8.5, pitch * 0.62);
    TextStyle name = aligned_right(body);
    TextStyle amount = body;
    name.size = amount.size = size;
    const double left = area.x + name_width + 6;
    const double width = area.right() - 96 - left;
    for (std::size_t i = 0; i < bars.size(); ++i) {
        const double middle = area.y + (static_cast<double>(i) + 0.5) * pitch;
        const double text_y = middle - size * 0.6;
        // text_in wraps from the left edge, so the width is measured first and the name set to end at the bars.
        TextStyle plain = name;
        plain.align = Align::left;
        const double wide = std::min(name_width, canvas.measure(bars[i].name, plain).w + 1);
        canvas.text_in({left - 6 - wide, text_y, wide, size * 1.3}, bars[i].name, plain);
        const Box track{left, middle - thick / 2, width, thick};
        canvas.fill(track, palette::lane);
        const Box bar{left, track.y, width * std::clamp(bars[i].share / full, 0.0, 1.0), thick};
        canvas.fill(bar, bars[i].colour);
        if (bars[i].hatched) canvas.pattern(bar, Pattern::rising, {palette::paper, 0.8}, 3.5);
        canvas.text({track.right() + 5, text_y}, bars[i].amount, amount);
    }
}

Colour colour_of(TaskClass task_class) {
    return task_class == TaskClass::required ? palette::tasks[1].deep
           : task_class == TaskClass::wanted ? palette::tasks[0].deep
                                             : palette::tasks[2].deep;
}

void draw_tasks(Canvas& canvas, const Outing& outing, const risk::Odds& odds, Box area) {
    canvas.text({area.x, area.y}, "How likely each task is done", subject);
    canvas.text({area.x, area.y + 15},
                fmt::format("all required {:.1f} % ±{:.1f}; value {:.2f} of {:g} planned", 100 * odds.required.value,
                            100 * odds.required.error, odds.value, odds.value_planned),
                body);
    std::vector<Bar> bars;
    for (const risk::TaskOdds& task : odds.tasks) {
        if (!task.planned) continue;
        const Task& of = outing.task(task.task);
        bars.push_back({fmt::format("{} ({})", of.name, word(of.task_class)),
                        fmt::format("{:.1f} % ±{:.1f}", 100 * task.done.value, 100 * task.done.error), task.done.value,
                        colour_of(of.task_class), of.task_class == TaskClass::get_ahead});
    }
    draw_bars(canvas, bars, {area.x, area.y + 34, area.w, area.h - 34}, 1, area.w * 0.45);
}

void draw_drivers(Canvas& canvas, const Outing& outing, const risk::Odds& odds, Box area) {
    canvas.text({area.x, area.y}, "What the end time hangs on", subject);
    canvas.text_in(
        {area.x, area.y + 15, area.w, 24},
        "Share of its variance that each alone explains, in runs with nothing left out (first-order indices)", small);
    std::vector<Bar> bars;
    for (const risk::Driver& driver : odds.drivers) {
        if (bars.size() == 12 || driver.share < 0.005) break;
        const bool own = driver.what == risk::Driver::What::day || driver.what == risk::Driver::What::person;
        bars.push_back({risk::name_of(outing, driver), fmt::format("{:.1f} %", 100 * driver.share), driver.share,
                        own ? palette::tasks[3].deep : palette::tasks[0].deep,
                        driver.what == risk::Driver::What::trouble});
    }
    if (bars.empty()) {
        canvas.text({area.x, area.y + 44}, "Nothing stands out of the noise.", body);
        return;
    }
    bars.push_back({"acting together, or too small to see",
                    fmt::format("{:.1f} %", 100 * std::max(0.0, odds.unexplained)), std::max(0.0, odds.unexplained),
                    palette::rule, false});
    double full = 0.1;
    for (const Bar& bar : bars) full = std::max(full, bar.share);
    draw_bars(canvas, bars, {area.x, area.y + 40, area.w, area.h - 40}, full, area.w * 0.58);
}

void draw_gates(Canvas& canvas, const Outing& outing, const risk::Odds& odds, Box area) {
    canvas.text({area.x, area.y},
                fmt::format("Decision gates, {:.0f} % of home in time with the reserves", 100 * odds.confidence),
                subject);
    if (odds.gates.empty()) {
        canvas.text({area.x, area.y + 18}, "No gates were asked for.", body);
        return;
    }
    const std::array<double, 5> column{0, 0.42, 0.53, 0.84, 1.0};
    const auto x = [&](std::size_t i) { return area.x + area.w * column[i]; };
    double y = area.y + 18;
    const double pitch = std::clamp((area.h - 34) / static_cast<double>(odds.gates.size()), 11.0, 26.0);
    const auto cell = [&](std::size_t i, const std::string& words, const TextStyle& style) {
        canvas.text_in({x(i), y, x(i + 1) - x(i) - 5, pitch - 1}, words, style);
    };
    cell(0, "at the end of", small);
    cell(1, "plan", small);
    cell(2, "begin until", small);
    cell(3, "home by", small);
    y += 13;
    TextStyle row = body;
    row.size = pitch < 20 ? 7 : 8;
    TextStyle strong = row;
    strong.bold = true;
    for (const risk::Gate& gate : odds.gates) {
        canvas.line({area.x, y - 2}, {area.right(), y - 2}, {palette::hair, 0.6});
        cell(0,
             gate.after ? fmt::format("{}: {}", word(gate.crew), risk::name_of(outing, *gate.after))
                        : fmt::format("{}: egress", word(gate.crew)),
             row);
        cell(1, print_pet(gate.planned), row);
        cell(2,
             fmt::format("{} {}",
                         gate.begin_until ? print_pet(*gate.begin_until) : "leave out:", outing.task(gate.task).name),
             strong);
        cell(3, print_pet(gate.start_home_by), row);
        y += pitch;
    }
}

}  // namespace

std::vector<Canvas> risk_chart(const Outing& outing, const risk::Odds& odds) {
    std::vector<Canvas> pages;
    const double top = 66;
    const double height = page_size.h - top - 48;
    const double half = (page_size.w - 2 * edge - 30) / 2;
    pages.push_back(new_page(outing, odds, "odds"));
    draw_finish(pages[0], outing, odds, {edge, top, half, height});
    draw_tasks(pages[0], outing, odds, {edge + half + 30, top, half, height});
    if (odds.explained_runs > 0 || !odds.gates.empty()) {
        pages.push_back(new_page(outing, odds, "drivers and decision gates"));
        draw_drivers(pages[1], outing, odds, {edge, top, half, height});
        draw_gates(pages[1], outing, odds, {edge + half + 30, top, half, height});
    }
    return pages;
}

}  // namespace handrail::brief
