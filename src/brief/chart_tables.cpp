#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

#include "brief/chart_parts.h"
#include "brief/codes.h"
#include "brief/day_words.h"
#include "brief/glyphs.h"
#include "brief/labels.h"
#include "brief/palette.h"
#include "brief/said.h"

namespace handrail::brief::chart {
namespace {

constexpr double head_h = 1.9, row_h = 1.42, gap_w = 2.0, legend_w = 44, least_block_w = 30;

/// Left edges of the task table's columns, as shares of one column block's width in multiples of u.
struct Columns {
    double name = 2.2, task_class, value, lead;
    explicit Columns(double width) : task_class(width - 19.2), value(width - 12.8), lead(width - 9.6) {}
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
    canvas.text({row.x + c.task_class * u, row.y}, scene.options.say.task_class(task.task_class), style);
    canvas.text({row.x + (c.value + 2.2) * u, row.y}, scene.options.say.number(print_value(task.value)), right);
    canvas.text({row.x + c.lead * u, row.y}, lead ? word(*lead) : "–", style);
    canvas.text({row.right(), row.y},
                span ? print_pet(span->from) + "–" + print_pet(span->to) : scene.options.say("chart.left_out"), right);
    canvas.line({row.x, row.y + 1.28 * u}, {row.right(), row.y + 1.28 * u}, {palette::hair, 0.06 * u});
}

void task_head(Canvas& canvas, const Scene& scene, Box row) {
    const double u = scene.u;
    const Columns c(row.w / u);
    const TextStyle style{.size = 0.88 * u, .colour = palette::muted};
    TextStyle right = style;
    right.align = Align::right;
    canvas.text({row.x + c.name * u, row.y}, scene.options.say("chart.task"), style);
    canvas.text({row.x + c.task_class * u, row.y}, scene.options.say("chart.class"), style);
    canvas.text({row.x + (c.value + 2.2) * u, row.y}, scene.options.say("chart.value"), right);
    canvas.text({row.x + c.lead * u, row.y}, scene.options.say("chart.lead"), style);
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
    const double share = scene.timeline.left_out.empty() ? 0.86 : 0.74;
    const double half = (rest * share - gap_w * u) / 2;
    if (tasks > 6 && half >= least_block_w * u) return {2, half, rest * (1 - share) - gap_w * u};
    return {1, rest * 0.56 - gap_w * u, rest * 0.44};
}

std::vector<std::string> left_out(const Scene& scene) {
    return left_out_lines(scene.outing, scene.timeline, scene.options.say);
}

double left_out_height(const Canvas& measure, const Scene& scene, double width) {
    double height = head_h * scene.u;
    for (const std::string& words : left_out(scene))
        height += measure.measure(words, {.size = 0.95 * scene.u}, width).h + 0.4 * scene.u;
    return height;
}

void draw_left_out(Canvas& canvas, const Scene& scene, Box area) {
    const double u = scene.u;
    heading(canvas, scene, area, scene.options.say("left_out.heading"));
    double y = area.y + head_h * u;
    if (scene.timeline.left_out.empty())
        canvas.text({area.x, y}, scene.options.say("nothing"), {.size = 0.95 * u, .colour = palette::muted});
    for (const std::string& words : left_out(scene)) {
        const TextStyle style{.size = 0.95 * u, .colour = palette::ink};
        const double h = canvas.measure(words, style, area.w).h;
        if (y + h > area.bottom() + u) {
            canvas.text({area.x, y}, scene.options.say("chart.more"), {.size = 0.95 * u, .colour = palette::muted});
            break;
        }
        canvas.text_in({area.x, y, area.w, h + 0.1 * u}, words, style);
        y += h + 0.4 * u;
    }
}

/// One line of the legend: a sign in a box of 3.6 by 1.25 times u at `at`, and its words.
struct LegendEntry {
    std::string words;
    std::function<void(Canvas&, Point)> sign;
};

std::vector<LegendEntry> legend_entries(const Scene& scene) {
    const double u = scene.u;
    const Wording& say = scene.options.say;
    std::vector<LegendEntry> entries;
    for (const ActivityKind kind :
         {ActivityKind::translate, ActivityKind::tether_swap, ActivityKind::pick_up, ActivityKind::put_down,
          ActivityKind::glove_check, ActivityKind::rest, ActivityKind::arm_move})
        if (std::ranges::any_of(scene.timeline.activities, [&](const Activity& a) { return a.kind == kind; }))
            entries.push_back({scene.options.say.activity(kind), [u, kind](Canvas& canvas, Point at) {
                                   const Box square{at.x + 1.2 * u, at.y, 1.25 * u, 1.25 * u};
                                   canvas.fill(square, palette::quiet);
                                   draw_glyph(canvas, square.inset(0.1 * u), kind, palette::ink);
                               }});
    const auto sample = [&](std::string words, Colour fill, Dash dash) {
        entries.push_back({std::move(words), [u, fill, dash](Canvas& canvas, Point at) {
                               const Box box{at.x, at.y + 0.1 * u, 3.6 * u, 1.05 * u};
                               canvas.fill(box, fill);
                               canvas.stroke(Path::rectangle(box), {palette::tasks[0].deep, 0.13 * u, dash});
                           }});
    };
    sample(say("chart.required"), palette::tasks[0].deep, Dash::solid);
    sample(say("chart.wanted"), palette::tasks[0].tint, Dash::solid);
    sample(say("chart.get_ahead"), palette::paper, Dash::dashed);
    entries.push_back(
        {say("chart.third_step"), [u](Canvas& canvas, Point at) {
             canvas.text({at.x + 1.8 * u, at.y + 0.05 * u}, "B3",
                         {.size = 0.95 * u, .colour = palette::tasks[1].deep, .bold = true, .align = Align::centre});
         }});
    entries.push_back({say("chart.waiting"), [u](Canvas& canvas, Point at) {
                           canvas.line({at.x, at.y + 0.7 * u}, {at.x + 3.6 * u, at.y + 0.7 * u},
                                       {palette::rule, 0.14 * u, Dash::dotted});
                       }});
    if (std::ranges::any_of(scene.outing.orders, [](const Order& order) { return order.starts_together; }))
        entries.push_back({say("chart.together"), [u](Canvas& canvas, Point at) {
                               const double x = at.x + 1.8 * u;
                               canvas.line({x, at.y + 0.2 * u}, {x, at.y + 1.1 * u}, {palette::ink, 0.16 * u});
                               canvas.fill(Path::circle({x, at.y + 0.2 * u}, 0.26 * u), palette::ink);
                               canvas.fill(Path::circle({x, at.y + 1.1 * u}, 0.26 * u), palette::ink);
                           }});
    if (scene.sunlight_known)
        entries.push_back({say("chart.darkness"), [u](Canvas& canvas, Point at) {
                               canvas.fill({at.x, at.y + 0.1 * u, 3.6 * u, 1.05 * u}, palette::dusk);
                           }});
    if (std::ranges::any_of(scene.timeline.activities, [](const Activity& a) { return a.as_run; }))
        entries.push_back({say("chart.as_run"), [u](Canvas& canvas, Point at) {
                               canvas.fill({at.x, at.y + 0.5 * u, 3.6 * u, 0.34 * u}, palette::ink);
                           }});
    if (scene.options.planned_before != nullptr)
        entries.push_back({say("chart.before"), [u](Canvas& canvas, Point at) {
                               canvas.stroke(Path::rectangle({at.x, at.y + 0.3 * u, 3.6 * u, 0.7 * u}),
                                             {palette::rule, 0.07 * u, Dash::dashed});
                           }});
    return entries;
}

constexpr std::size_t legend_columns = 3;
std::size_t legend_rows(const Scene& scene) {
    return (legend_entries(scene).size() + legend_columns - 1) / legend_columns;
}
double legend_height(const Scene& scene) {
    return (head_h + static_cast<double>(legend_rows(scene)) * row_h) * scene.u;
}

void draw_legend(Canvas& canvas, const Scene& scene, Box area) {
    const double u = scene.u;
    heading(canvas, scene, area, scene.options.say("chart.legend"));
    const std::vector<LegendEntry> entries = legend_entries(scene);
    const std::size_t rows = legend_rows(scene);
    for (std::size_t i = 0; i < entries.size(); ++i) {
        const Point at{area.x + static_cast<double>(i / rows) * area.w / legend_columns,
                       area.y + (head_h + static_cast<double>(i % rows) * row_h) * u};
        entries[i].sign(canvas, at);
        canvas.text({at.x + 4.2 * u, at.y + 0.05 * u}, entries[i].words, {.size = 0.92 * u, .colour = palette::ink});
    }
}

}  // namespace

double header_height(const Scene& scene) { return 6.6 * scene.u; }
double footer_height(const Scene& scene) { return 3.1 * scene.u; }

void draw_header(Canvas& canvas, const Scene& scene, Box area, int page, int pages) {
    const double u = scene.u;
    const Facts& f = scene.facts;
    const Wording& say = scene.options.say;
    const std::string sheet =
        pages > 1 ? " · " + say("chart.sheet", {std::to_string(page), std::to_string(pages)}) : "";
    const Box id = canvas.text({area.right(), area.y + 0.3 * u}, say("chart.plan", {scene.id}) + sheet,
                               {.size = 1.25 * u, .colour = palette::ink, .bold = true, .align = Align::right});
    const std::array title{scene.outing.name + ": " + say("title.timeline"), scene.outing.name};
    draw_longest(canvas, {area.x, area.y, id.x - area.x - 2 * u, 2.4 * u}, title,
                 {.size = 2.0 * u, .colour = palette::ink, .bold = true});
    const TextStyle second{.size = 1.0 * u, .colour = palette::muted};
    std::string people;
    for (const Crew crew : both_crew) people += fmt::format("{} {} · ", word(crew), scene.outing.person(crew).name);
    if (!scene.outing.iv_name.empty()) people += "IV " + scene.outing.iv_name + " · ";
    if (scene.outing.station.arm && !scene.outing.station.arm->operator_name.empty())
        people += say.lane(Lane::arm) + " " + scene.outing.station.arm->operator_name + " · ";
    const std::array line{people + clock_line(scene.timeline, say, scene.options.day)};
    draw_longest(canvas, {area.x, area.y + 2.75 * u, area.w, 1.2 * u}, line, second);

    const live::Status* day = scene.options.day;
    const bool called_off = day != nullptr && day->day.stand_down.has_value();
    std::vector<std::string> said;
    if (called_off) said.push_back(stand_down_words(*day, say));
    if (!scene.timeline.activities.empty()) {
        said.push_back(say("chart.finish", {print_pet(f.finish)}));
        said.push_back(say("chart.limit", {print_pet(f.limit)}));
        if (f.in_hand.count() < 0)
            said.push_back(say("chart.past", {print_duration(-f.in_hand_told)}));
        else if (!called_off)
            said.push_back(say("chart.in_hand", {print_duration(f.in_hand_told), print_duration(f.wanted)}));
    }
    said.push_back(say("chart.required_done", {std::to_string(f.required_done), std::to_string(f.required)}));
    said.push_back(
        say("chart.value_done", {say.number(print_value(f.value)), say.number(print_value(f.value_of_all))}));
    said.push_back(say("chart.tasks_done", {std::to_string(f.tasks_done), std::to_string(f.tasks)}));
    double x = area.x;
    for (const std::string& words : said) {
        const bool bad = (called_off && &words == &said[0]) || (f.in_hand.count() < 0 && &words == &said[2]);
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
    const Box governs = canvas.text({area.x, area.y + 0.5 * u}, scene.options.say("caution"),
                                    {.size = 0.95 * u, .colour = palette::amber, .bold = true});
    if (!scene.options.warning.empty())
        canvas.text_in({governs.right() + 2 * u, area.y + 0.5 * u, area.right() - governs.right() - 2 * u, 1.2 * u},
                       scene.options.warning,
                       {.size = 0.95 * u, .colour = palette::alarm, .bold = true, .align = Align::right});
    const std::string origin = stamp_line(scene.outing, scene.timeline, scene.options.stamp, scene.options.say);
    canvas.text({area.right(), area.y + 1.75 * u}, origin,
                {.size = 0.88 * u, .colour = palette::muted, .align = Align::right});
    if (scene.outing.note.empty()) return;
    const double used = canvas.measure(origin, {.size = 0.88 * u}).w + 3 * u;
    const std::array note{scene.options.say("stamp.file_note", {scene.outing.note})};
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
        heading(canvas, scene, column,
                block == 0 ? scene.options.say("tasks.heading") : scene.options.say("tasks.continued"));
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
