#include "brief/risk_chart.h"

#include <fmt/format.h>

#include <algorithm>

#include "brief/amounts.h"
#include "brief/axis.h"
#include "brief/codes.h"
#include "brief/odds_words.h"
#include "brief/palette.h"

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

/// What every part of the chart is drawn with.
struct Desk {
    Canvas& canvas;
    const Outing& outing;
    const risk::Odds& odds;
    const Wording& say;
};

/// "98.4 %": to a tenth, as this language writes it; never a certainty that no simulation gives.
std::string tenths(double share, const Wording& say) {
    const std::string bound = share > 0.9995 ? "> 99.9" : share < 0.0005 ? "< 0.1" : "";
    return say.number(bound.empty() ? fmt::format("{:.1f}", 100 * share) : bound) + " %";
}
std::string tenths(const risk::Share& share, const Wording& say) {
    const bool known = share.value <= 0.9995 && share.value >= 0.0005;
    return tenths(share.value, say) + (known ? say.number(fmt::format(" ±{:.1f}", 100 * share.error)) : "");
}

Canvas new_page(const Outing& outing, const risk::Odds& odds, std::string_view what, const ChartOrigin& origin) {
    const Wording& say = origin.say;
    const std::string runs = std::to_string(odds.runs), seed = std::to_string(odds.seed);
    const std::string title = outing.name + ": " + say(what);
    Canvas canvas(page_size, Unit::point, title,
                  say("odds.description", {outing.name, runs, seed}) + " " + say.caution());
    canvas.fill(Box{0, 0, page_size.w, page_size.h}, palette::paper);
    canvas.text({edge, 24}, title, heading);
    canvas.text({edge, 44}, say(odds.gates_in_force ? "odds.runs_gates" : "odds.runs", {runs, seed}), small);
    draw_chart_footer(canvas, outing, origin, {edge, 0, page_size.w - 2 * edge, page_size.h - 14});
    return canvas;
}

/// Bars of the end time, with the plan, the limit and the margin as lines that carry their words.
void draw_finish(const Desk& desk, Box area) {
    const auto& [canvas, outing, odds, say] = desk;
    canvas.text({area.x, area.y}, say("odds.finish"), subject);
    canvas.text_in({area.x, area.y + 15, area.w, 24},
                   say("odds.finish_line", {print_pet(odds.p10.at), print_pet(odds.p50.at), print_pet(odds.p90.at),
                                            tenths(odds.in_time.value, say), tenths(odds.with_margin.value, say)}),
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
    mark(odds.planned_finish, say("odds.plan", {print_pet(odds.planned_finish)}), palette::ink, 0, Dash::dashed,
         plan_first ? Side::left : Side::right);
    mark(odds.p50.at, fmt::format("P50 {}", print_pet(odds.p50.at)), palette::linked_ink, 1, Dash::dotted,
         plan_first ? Side::right : Side::left);
    mark(limit, say("chart.limit", {print_pet(limit)}), palette::alarm, 2, Dash::solid, Side::right);
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
    // No wider than the words need, so that the bars are long.
    TextStyle plain = name;
    plain.align = Align::left;
    double names = 0, amounts = 0;
    for (const Bar& bar : bars) {
        names = std::max(names, canvas.measure(bar.name, plain).w + 1);
        amounts = std::max(amounts, canvas.measure(bar.amount, amount).w);
    }
    name_width = std::min(name_width, names);
    const double left = area.x + name_width + 6;
    const double width = area.right() - amounts - 8 - left;
    for (std::size_t i = 0; i < bars.size(); ++i) {
        const double middle = area.y + (static_cast<double>(i) + 0.5) * pitch;
        const double text_y = middle - size * 0.6;
        // text_in wraps from the left edge, so the width is measured first and the name set to end at the bars.
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

void draw_tasks(const Desk& desk, Box area) {
    const auto& [canvas, outing, odds, say] = desk;
    canvas.text({area.x, area.y}, say("odds.tasks"), subject);
    canvas.text({area.x, area.y + 15},
                say("odds.tasks_line", {tenths(odds.required, say), say.number(fmt::format("{:.2f}", odds.value)),
                                        say.number(fmt::format("{:g}", odds.value_planned))}),
                body);
    std::vector<Bar> bars;
    for (const risk::TaskOdds& task : odds.tasks) {
        if (!task.planned) continue;
        const Task& of = outing.task(task.task);
        bars.push_back({fmt::format("{} {} ({})", task_code(task.task), of.name, say.task_class(of.task_class)),
                        tenths(task.done, say), task.done.value, colour_of(of.task_class),
                        of.task_class == TaskClass::get_ahead});
    }
    draw_bars(canvas, bars, {area.x, area.y + 34, area.w, area.h - 34}, 1, area.w * 0.56);
}

void draw_drivers(const Desk& desk, Box area) {
    const auto& [canvas, outing, odds, say] = desk;
    canvas.text({area.x, area.y}, say("odds.drivers"), subject);
    canvas.text_in({area.x, area.y + 15, area.w, 24}, say("odds.drivers_note"), small);
    std::vector<Bar> bars;
    for (const risk::Driver& driver : told_drivers(odds)) {
        if (bars.size() == 12 || driver.share < 0.005) break;
        const bool own = driver.what == risk::Driver::What::day || driver.what == risk::Driver::What::person;
        bars.push_back({driver_name(outing, driver, say), tenths(driver.share, say), driver.share,
                        own ? palette::tasks[3].deep : palette::tasks[0].deep,
                        driver.what == risk::Driver::What::trouble});
    }
    if (bars.empty()) {
        canvas.text({area.x, area.y + 44}, say("odds.no_drivers"), body);
        return;
    }
    bars.push_back({say("odds.together"), tenths(std::max(0.0, odds.unexplained), say), std::max(0.0, odds.unexplained),
                    palette::rule, false});
    double full = 0.1;
    for (const Bar& bar : bars) full = std::max(full, bar.share);
    draw_bars(canvas, bars, {area.x, area.y + 40, area.w, area.h - 40}, full, area.w * 0.58);
}

void draw_gates(const Desk& desk, Box area) {
    const auto& [canvas, outing, odds, say] = desk;
    canvas.text({area.x, area.y}, say("odds.gates", {print_share(odds.confidence)}), subject);
    if (odds.gates.empty()) {
        canvas.text({area.x, area.y + 18}, say("odds.no_gates"), body);
        return;
    }
    const std::array<double, 5> column{0, 0.42, 0.53, 0.84, 1.0};
    const auto x = [&](std::size_t i) { return area.x + area.w * column[i]; };
    double y = area.y + 18;
    const double pitch = std::clamp((area.h - 34) / static_cast<double>(odds.gates.size()), 11.0, 26.0);
    const auto cell = [&](std::size_t i, const std::string& words, const TextStyle& style) {
        canvas.text_in({x(i), y, x(i + 1) - x(i) - 5, pitch - 1}, words, style);
    };
    cell(0, say("odds.gate_after"), small);
    cell(1, say("odds.gate_planned"), small);
    cell(2, say("odds.gate_begin"), small);
    cell(3, say("odds.gate_home"), small);
    y += 13;
    TextStyle row = body;
    row.size = pitch < 20 ? 7 : 8;
    TextStyle strong = row;
    strong.bold = true;
    for (const risk::Gate& gate : odds.gates) {
        canvas.line({area.x, y - 2}, {area.right(), y - 2}, {palette::hair, 0.6});
        const std::string task = task_code(gate.task) + " " + outing.task(gate.task).name;
        cell(0,
             gate.after ? fmt::format("{}: {} {}", say.crew(gate.crew), step_code(outing, *gate.after),
                                      outing.step(*gate.after).name)
                        : fmt::format("{}: {}", say.crew(gate.crew), say("activity.egress")),
             row);
        cell(1, print_pet(gate.planned), row);
        cell(2, gate.begin_until ? print_pet(*gate.begin_until) + " " + task : say("odds.gate_never", {task}), strong);
        cell(3, print_pet(gate.start_home_by), row);
        y += pitch;
    }
}

}  // namespace

std::vector<Canvas> risk_chart(const Outing& outing, const risk::Odds& odds, const ChartOrigin& origin) {
    std::vector<Canvas> pages;
    const double top = 66;
    const double height = page_size.h - top - 56;
    const double half = (page_size.w - 2 * edge - 30) / 2;
    pages.push_back(new_page(outing, odds, "odds.page_odds", origin));
    const Desk first{pages[0], outing, odds, origin.say};
    draw_finish(first, {edge, top, half, height});
    draw_tasks(first, {edge + half + 30, top, half, height});
    if (odds.explained_runs > 0 || !odds.gates.empty()) {
        pages.push_back(new_page(outing, odds, "odds.page_drivers", origin));
        const Desk second{pages[1], outing, odds, origin.say};
        draw_drivers(second, {edge, top, half, height});
        draw_gates(second, {edge + half + 30, top, half, height});
    }
    return pages;
}

}  // namespace handrail::brief
