#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "brief/chart_parts.h"
#include "brief/codes.h"
#include "brief/glyphs.h"
#include "brief/labels.h"
#include "brief/palette.h"

namespace handrail::brief::chart {
namespace {

constexpr double head_h = 1.9, row_h = 1.42, gap_w = 2.0, legend_w = 31;

/// Left edges of the task table's columns, as shares of one column block's width in multiples of u.
struct Columns {
    double code = 0, name = 2.2, task_class, value, lead, times;
    explicit Columns(double width)
        : task_class(width - 24.4), value(width - 16.6), lead(width - 13.6), times(width - 9.6) {}
};

void heading(Canvas& canvas, const Scene& scene, Box at, std::string_view words) {
    const double u = scene.u;
    canvas.text({at.x, at.y + 0.1 * u}, words, {.size = 1.1 * u, .colour = palette::ink, .bold = true});
    canvas.line({at.x, at.y + 1.6 * u}, {at.right(), at.y + 1.6 * u}, {palette::ink, 0.1 * u});
}

void task_row(Canvas& canvas, const Scene& scene, const Task& task, Box row) {
    const double u = scene.u;
    const Columns c(row.w / u);
    const TextStyle style{.size = 0.95 * u, .colour = palette::ink};
    TextStyle bold = style, right = style;
    bold.bold = true;
    right.align = Align::right;
    const auto span = span_of(scene.outing, scene.timeline, task.id);
    const auto lead = scene.timeline.lead_of(task.id);
    canvas.text({row.x, row.y}, task_code(task.id), bold);
    const std::array name{task.name};
    draw_longest(canvas, {row.x + c.name * u, row.y, (c.task_class - c.name - 0.5) * u, 1.2 * u}, name, style);
    canvas.text({row.x + c.task_class * u, row.y}, word(task.task_class), style);
    canvas.text({row.x + (c.value + 2.2) * u, row.y}, print_value(task.value), right);
    canvas.text({row.x + c.lead * u, row.y}, lead ? word(*lead) : "–", style);
    canvas.text({row.right(), row.y}, span ? print_pet(span->from) + "–" + print_pet(span->to) : "left out", right);
    canvas.line({row.x, row.y + 1.28 * u}, {row.right(), row.y + 1.28 * u}, {palette::hair, 0.06 * u});
}

void task_head(Canvas& canvas, const Scene& scene, Box row) {
    const double u = scene.u;
    const Columns c(row.w / u);
    const TextStyle style{.size = 0.88 * u, .colour = palette::muted};
    TextStyle right = style;
    right.align = Align::right;
    canvas.text({row.x + c.name * u, row.y}, "task", style);
    canvas.text({row.x + c.task_class * u, row.y}, "class", style);
    canvas.text({row.x + (c.value + 2.2) * u, row.y}, "value", right);
    canvas.text({row.x + c.lead * u, row.y}, "lead", style);
    canvas.text({row.right(), row.y}, "PET", right);
}

/// How the width is shared: one or two blocks of tasks, then what was left out, then the legend.
struct Split {
    int blocks = 1;
    double block_w, left_out_w;
};
Split split(const Scene& scene, double width, std::size_t tasks, bool with_rest) {
    const double u = scene.u;
    if (!with_rest) return {2, (width - gap_w * u) / 2, 0};
    const double rest = width - (legend_w + gap_w) * u;
    if (tasks > 11) return {2, (rest * 0.76 - gap_w * u) / 2, rest * 0.24 - gap_w * u};
    return {1, rest * 0.56 - gap_w * u, rest * 0.44};
}

std::string left_out_words(const Scene& scene, const LeftOut& left) {
    const Task& task = scene.outing.task(left.task);
    return fmt::format("{}  {} ({}, value {}): {}", task_code(left.task), task.name, word(task.task_class),
                       print_value(task.value), left.reason);
}

double left_out_height(const Canvas& measure, const Scene& scene, double width) {
    double height = head_h * scene.u;
    for (const LeftOut& left : scene.timeline.left_out)
        height += measure.measure(left_out_words(scene, left), {.size = 0.95 * scene.u}, width).h + 0.4 * scene.u;
    return height;
}

double legend_height(const Scene& scene) { return (head_h + 8 * row_h) * scene.u; }

void draw_left_out(Canvas& canvas, const Scene& scene, Box area) {
    const double u = scene.u;
    heading(canvas, scene, area, "Left out, and why");
    double y = area.y + head_h * u;
    if (scene.timeline.left_out.empty())
        canvas.text({area.x, y}, "nothing", {.size = 0.95 * u, .colour = palette::muted});
    for (const LeftOut& left : scene.timeline.left_out) {
        const std::string words = left_out_words(scene, left);
        const TextStyle style{.size = 0.95 * u, .colour = palette::ink};
        const double h = canvas.measure(words, style, area.w).h;
        if (y + h > area.bottom() + u) {
            canvas.text({area.x, y}, "more: see the list of tasks", {.size = 0.95 * u, .colour = palette::muted});
            break;
        }
        canvas.text_in({area.x, y, area.w, h + 0.1 * u}, words, style);
        y += h + 0.4 * u;
    }
}

void draw_legend(Canvas& canvas, const Scene& scene, Box area) {
    const double u = scene.u, column = area.w / 2;
    heading(canvas, scene, area, "How to read it");
    const TextStyle style{.size = 0.92 * u, .colour = palette::ink};
    const double first = area.y + head_h * u;
    constexpr std::array kinds{ActivityKind::translate, ActivityKind::tether_swap, ActivityKind::pick_up,
                               ActivityKind::put_down,  ActivityKind::glove_check, ActivityKind::rest,
                               ActivityKind::arm_move};
    double y = first;
    for (const ActivityKind kind : kinds) {
        const Box square{area.x, y, 1.25 * u, 1.25 * u};
        canvas.fill(square, palette::quiet);
        draw_glyph(canvas, square.inset(0.1 * u), kind, palette::ink);
        canvas.text({area.x + 1.9 * u, y + 0.05 * u}, glyph_name(kind), style);
        y += row_h * u;
    }
    if (scene.options.planned_before != nullptr) {
        canvas.stroke(Path::rectangle({area.x, y + 0.3 * u, 1.25 * u, 0.7 * u}),
                      {palette::rule, 0.07 * u, Dash::dashed});
        canvas.text({area.x + 1.9 * u, y + 0.05 * u}, "as planned before", style);
    }
    y = first;
    const double x = area.x + column * 0.86, words_x = x + 4.3 * u;
    const auto row = [&](std::string_view words) {
        canvas.text({words_x, y + 0.05 * u}, words, style);
        y += row_h * u;
    };
    const auto sample = [&](Colour fill, Dash dash) {
        const Box box{x, y + 0.1 * u, 3.6 * u, 1.05 * u};
        canvas.fill(box, fill);
        canvas.stroke(Path::rectangle(box), {palette::tasks[0].deep, 0.13 * u, dash});
    };
    sample(palette::tasks[0].deep, Dash::solid);
    row("required task");
    sample(palette::tasks[0].tint, Dash::solid);
    row("wanted task");
    sample(palette::paper, Dash::dashed);
    row("get-ahead task");
    canvas.text({x, y}, "B3", {.size = 0.95 * u, .colour = palette::tasks[1].deep, .bold = true});
    row("third step of task B");
    canvas.line({x, y + 0.7 * u}, {x + 3.6 * u, y + 0.7 * u}, {palette::rule, 0.14 * u, Dash::dotted});
    row("waiting, or on the way");
    canvas.line({x + 1.8 * u, y + 0.2 * u}, {x + 1.8 * u, y + 1.1 * u}, {palette::ink, 0.16 * u});
    canvas.fill(Path::circle({x + 1.8 * u, y + 0.2 * u}, 0.26 * u), palette::ink);
    canvas.fill(Path::circle({x + 1.8 * u, y + 1.1 * u}, 0.26 * u), palette::ink);
    row("EV1 and EV2 start together");
    canvas.fill({x, y + 0.1 * u, 3.6 * u, 1.05 * u}, palette::dusk);
    row("the station is in darkness");
    canvas.fill({x, y + 0.5 * u, 3.6 * u, 0.34 * u}, palette::ink);
    row("as run");
}

}  // namespace

double header_height(const Scene& scene) { return 6.6 * scene.u; }
double footer_height(const Scene& scene) { return 3.1 * scene.u; }

void draw_header(Canvas& canvas, const Scene& scene, Box area, int page, int pages) {
    const double u = scene.u;
    const Facts& f = scene.facts;
    const std::string sheet = pages > 1 ? fmt::format(" · sheet {} of {}", page, pages) : "";
    const Box id = canvas.text({area.right(), area.y + 0.3 * u}, fmt::format("plan {}{}", scene.id, sheet),
                               {.size = 1.25 * u, .colour = palette::ink, .bold = true, .align = Align::right});
    const std::array title{scene.outing.name + ": timeline", scene.outing.name};
    draw_longest(canvas, {area.x, area.y, id.x - area.x - 2 * u, 2.4 * u}, title,
                 {.size = 2.0 * u, .colour = palette::ink, .bold = true});
    const TextStyle second{.size = 1.0 * u, .colour = palette::muted};
    std::string people;
    for (const Crew crew : both_crew) people += fmt::format("{} {} · ", word(crew), scene.outing.person(crew).name);
    if (!scene.outing.iv_name.empty()) people += "IV " + scene.outing.iv_name + " · ";
    if (scene.outing.station.arm && !scene.outing.station.arm->operator_name.empty())
        people += "arm " + scene.outing.station.arm->operator_name + " · ";
    const std::array line{people + "PET zero " + print_utc(scene.timeline.pet_zero) +
                          " · PET is hours:minutes since "
                          "then, clock times are UTC"};
    draw_longest(canvas, {area.x, area.y + 2.75 * u, area.w, 1.2 * u}, line, second);

    std::vector<std::string> said{
        fmt::format("finish {}", print_pet(f.finish)),
        fmt::format("hard end {}", print_pet(f.limit)),
        f.in_hand.count() >= 0
            ? fmt::format("{} in hand, {} wanted", print_duration(f.in_hand), print_duration(f.wanted))
            : fmt::format("{} past the hard end", print_duration(-f.in_hand)),
        fmt::format("{} of {} required tasks", f.required_done, f.required),
        fmt::format("value {} of {} (wanted and get-ahead)", print_value(f.value), print_value(f.value_of_all)),
        fmt::format("{} of {} tasks", f.tasks_done, f.tasks)};
    double x = area.x;
    for (const std::string& words : said) {
        const bool bad = f.in_hand.count() < 0 && &words == &said[2];
        const Box box = canvas.text({x, area.y + 4.3 * u}, words,
                                    {.size = 1.15 * u, .colour = bad ? palette::alarm : palette::ink, .bold = true});
        x = box.right() + 1.1 * u;
        if (&words != &said.back())
            canvas.line({x - 0.55 * u, area.y + 4.5 * u}, {x - 0.55 * u, area.y + 5.6 * u}, {palette::rule, 0.08 * u});
    }
}

void draw_footer(Canvas& canvas, const Scene& scene, Box area) {
    const double u = scene.u;
    canvas.line({area.x, area.y + 0.2 * u}, {area.right(), area.y + 0.2 * u}, {palette::rule, 0.08 * u});
    canvas.text({area.x, area.y + 0.5 * u}, caution, {.size = 0.95 * u, .colour = palette::amber, .bold = true});
    std::string origin = fmt::format("outing file {} · plan {}", scene.outing.fingerprint.substr(0, 12), scene.id);
    if (!scene.options.made.empty()) origin += " · made " + scene.options.made;
    canvas.text({area.right(), area.y + 1.75 * u}, origin,
                {.size = 0.88 * u, .colour = palette::muted, .align = Align::right});
    if (scene.outing.note.empty()) return;
    const double used = canvas.measure(origin, {.size = 0.88 * u}).w + 3 * u;
    const std::array note{scene.outing.note};
    draw_longest(canvas, {area.x, area.y + 1.75 * u, area.w - used, 1.1 * u}, note,
                 {.size = 0.88 * u, .colour = palette::muted});
}

std::vector<Tables> plan_tables(const Canvas& measure, const Scene& scene, double width, double room) {
    const double u = scene.u;
    std::vector<Tables> out;
    const std::size_t tasks = scene.outing.tasks.size();
    const auto height_of = [&](std::size_t count, bool with_rest) {
        const Split s = split(scene, width, count, with_rest);
        const std::size_t rows = (count + s.blocks - 1) / s.blocks;
        double height = (head_h + row_h * (static_cast<double>(rows) + 1)) * u;
        if (with_rest) height = std::max({height, legend_height(scene), left_out_height(measure, scene, s.left_out_w)});
        return std::min(height, room);
    };
    const auto most_rows = [&](int blocks) {
        return static_cast<std::size_t>(blocks) * static_cast<std::size_t>(std::floor(room / (row_h * u) - 2.5));
    };
    std::size_t first = 0;
    for (bool with_rest = true; first < tasks || with_rest; with_rest = false) {
        const std::size_t count = std::min(tasks - first, most_rows(2));
        out.push_back({height_of(count, with_rest), first, count, with_rest});
        first += count;
    }
    return out;
}

void draw_tables(Canvas& canvas, const Scene& scene, const Tables& tables, Box area) {
    const double u = scene.u;
    const Split s = split(scene, area.w, tables.task_count, tables.with_rest);
    const std::size_t per_block = (tables.task_count + s.blocks - 1) / s.blocks;
    double x = area.x;
    for (int block = 0; block < s.blocks; ++block) {
        const Box column{x, area.y, s.block_w, area.h};
        heading(canvas, scene, column, block == 0 ? "Tasks" : "Tasks, continued");
        task_head(canvas, scene, {x, area.y + head_h * u, s.block_w, row_h * u});
        for (std::size_t i = 0; i < per_block; ++i) {
            const std::size_t at = static_cast<std::size_t>(block) * per_block + i;
            if (at >= tables.task_count) break;
            const double y = area.y + (head_h + row_h * static_cast<double>(i + 1)) * u;
            task_row(canvas, scene, scene.outing.tasks[tables.first_task + at], {x, y, s.block_w, row_h * u});
        }
        x += s.block_w + gap_w * u;
    }
    if (!tables.with_rest) return;
    draw_left_out(canvas, scene, {x, area.y, s.left_out_w, area.h});
    draw_legend(canvas, scene, {area.right() - legend_w * u, area.y, legend_w * u, area.h});
}

}  // namespace handrail::brief::chart
