#include "brief/timeline_chart.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <set>

#include "brief/chart_parts.h"
#include "brief/codes.h"
#include "brief/labels.h"
#include "brief/palette.h"

namespace handrail::brief {
namespace chart {
namespace {

using std::chrono::minutes;

std::vector<ConditionRow> rows_shown(const Outing& outing, const WindowTable& windows, const Wording& say) {
    std::set<std::pair<std::string, std::string>> wanted;  // condition, worksite
    for (const std::string always : {"daylight", "coverage"}) wanted.insert({always, ""});
    for (const Step& step : outing.steps) {
        const std::string site = step.at ? outing.worksite(*step.at).id : "";
        for (const auto* list : {&step.during, &step.not_during})
            for (const std::string& condition : *list) {
                const bool own = windows.all().contains({condition, site});
                wanted.insert({condition, own ? site : ""});
            }
    }
    std::vector<ConditionRow> rows;
    for (const auto& [condition, site] : wanted) {
        if (!windows.all().contains({condition, site})) continue;
        std::string title = condition == "daylight" ? say("chart.sunlight") : say.condition(condition);
        for (const Worksite& worksite : outing.station.worksites)
            if (worksite.id == site && !site.empty()) title += ", " + worksite.name;
        rows.push_back({condition, site, title});
    }
    std::stable_sort(rows.begin(), rows.end(), [](const ConditionRow& a, const ConditionRow& b) {
        const auto rank = [](const ConditionRow& r) {
            return r.condition == "daylight" ? 0 : r.condition == "coverage" ? 1 : 2;
        };
        return rank(a) < rank(b);
    });
    // More would leave no room for the work itself; the light chart shows them all.
    if (rows.size() > 5) rows.resize(5);
    return rows;
}

Pet floor_to(Pet t, minutes step) {
    const auto whole = std::chrono::floor<minutes>(t.time_since_epoch()).count();
    const auto n = whole >= 0 ? whole / step.count() : -((-whole + step.count() - 1) / step.count());
    return Pet{step * n};
}

/// Dimensions of a sheet and the font sizes, least and largest, that everything on it may be a multiple of.
struct Sheet {
    Size size;
    Unit unit;
    double least, most;
    bool grows = false;  ///< as high as it needs to be
};
Sheet sheet_of(SheetKind kind) {
    switch (kind) {
        // ISO 216 sizes in points.
        case SheetKind::a3:
            return {{1190.55, 841.89}, Unit::point, 6.6, 10.5};
        case SheetKind::a4:
            return {{841.89, 595.28}, Unit::point, 6.2, 7.1};
        case SheetKind::screen:
            return {{1920, 1080}, Unit::pixel, 13, 13, true};
    }
    return {};
}

/// A moment within ten minutes of `ideal`, on five minutes, that cuts the fewest activities of the crew.
Pet quiet_moment(const Timeline& timeline, Pet ideal) {
    Pet best = floor_to(ideal, minutes(5));
    int fewest = 1 << 20;
    for (const int offset : {0, 5, -5, 10, -10}) {
        const Pet t = floor_to(ideal, minutes(5)) + minutes(offset);
        int cut = 0;
        for (const Activity& activity : timeline.activities) cut += activity.start < t && t < activity.end();
        if (cut < fewest) {
            fewest = cut;
            best = t;
        }
    }
    return best;
}

/// Ten minutes get at least so many times the base font size: room for a dozen letters.
constexpr double width_of_ten_minutes = 7.2;

std::vector<Strip> strips_of(const Scene& scene, double left, double right) {
    const double most = (right - left) / (width_of_ten_minutes * scene.u) * 10;
    const double span = static_cast<double>((scene.to - scene.from).count()) / 60000.0;
    const int count = std::max(1, static_cast<int>(std::ceil(span / most)));
    std::vector<Pet> edges{scene.from};
    for (int i = 1; i < count; ++i)
        edges.push_back(quiet_moment(scene.timeline, scene.from + minutes(std::lround(span * i / count))));
    edges.push_back(scene.to);
    Milliseconds longest{};
    for (std::size_t i = 1; i < edges.size(); ++i) longest = std::max(longest, edges[i] - edges[i - 1]);
    std::vector<Strip> strips;
    for (std::size_t i = 1; i < edges.size(); ++i) {  // one scale for all parts
        const double share =
            static_cast<double>((edges[i] - edges[i - 1]).count()) / static_cast<double>(longest.count());
        strips.push_back(
            {static_cast<int>(i), count, {edges[i - 1], edges[i], left, left + (right - left) * share}, 0, 0});
    }
    return strips;
}

/// What one sheet carries.
struct Page {
    std::vector<Strip> overview;  ///< the parts it points to; none: no overview here
    std::vector<Strip> strips;
    std::vector<Tables> tables;
    double used = 0;
};

std::string description(const Scene& scene) {
    const Wording& say = scene.options.say;
    const Facts& f = scene.facts;
    std::string out = say("chart.description", {scene.id, scene.outing.name, print_utc(scene.timeline.pet_zero),
                                                print_pet(f.finish), print_pet(f.limit)});
    for (const Task& task : scene.outing.tasks) {
        const auto span = span_of(scene.outing, scene.timeline, task.id);
        out += " " + (span ? say("chart.description_task",
                                 {task_code(task.id), task.name, print_pet(span->from), print_pet(span->to)})
                           : say("chart.description_left_out", {task_code(task.id), task.name}));
    }
    return out + " " + say.caution();
}

}  // namespace

Scene scene(const Outing& outing, const WindowTable& windows, const Timeline& timeline, const ChartOptions& options,
            double u) {
    Scene s{outing, windows, timeline, options, u,  brief::facts(outing, timeline, options.day),
            {},     {},      {},       {},      {}, false};
    Pet first{}, last = std::max(s.facts.limit, s.facts.finish);
    for (const Activity& activity : timeline.activities) {
        first = std::min(first, activity.start);
        last = std::max(last, activity.end());
    }
    if (options.now) last = std::max(last, *options.now);
    s.from = floor_to(first, minutes(5));
    s.to = floor_to(last + minutes(14) + Seconds(59), minutes(5));
    s.rows = rows_shown(outing, windows, options.say);
    for (const Lane lane : {Lane::arm, Lane::iv, Lane::ground})
        if (!on_lane(timeline, lane).empty()) s.side_lanes.push_back(lane);
    s.id = options.stamp.plan.empty() ? plan_id(outing, timeline) : options.stamp.plan;
    s.sunlight_known = windows.knows("daylight");
    return s;
}

double overview_height(const Scene& scene) { return 11.0 * scene.u; }

void draw_overview(Canvas& canvas, const Scene& scene, Box area, const std::vector<Strip>& strips) {
    const double u = scene.u;
    const TimeAxis axis{scene.from, scene.to, area.x + 10.5 * u, area.right() - 6.5 * u};  // words of the hard end
    draw_axis(canvas, axis, scene.timeline.pet_zero, area.y + 2.75 * u, u);
    const double lanes = area.y + 2.95 * u, lane_h = 2.0 * u, bottom = lanes + 2 * lane_h + 0.2 * u;
    canvas.fill({axis.left, lanes, axis.right - axis.left, bottom - lanes}, palette::lane);
    draw_dusk(canvas, scene, axis, lanes, bottom - lanes);
    draw_grid(canvas, axis, lanes, bottom, u);
    for (const Crew crew : both_crew) {
        const double top = lanes + static_cast<double>(index(crew)) * (lane_h + 0.2 * u);
        for (const Activity* activity : on_lane(scene.timeline, lane_of(crew)))
            if (!activity->step) {
                const double x = axis.x(activity->start);
                canvas.fill({x, top + 0.5 * u, axis.x(activity->end()) - x, lane_h - u}, palette::rule);
            }
        for (const TaskRun& run : runs_on(scene.outing, scene.timeline, lane_of(crew)))
            draw_task_bar(canvas, scene, run.task, {axis.x(run.from), top, axis.x(run.to) - axis.x(run.from), lane_h},
                          true, true);
        canvas.text({axis.left - 0.7 * u, top + 0.3 * u}, word(crew),
                    {.size = 1.2 * u, .colour = palette::ink, .bold = true, .align = Align::right});
    }
    canvas.text({area.x + 0.6 * u, area.y + 0.1 * u}, scene.options.say("chart.overview"),
                {.size = 0.95 * u, .colour = palette::ink, .bold = true});
    for (const Strip& strip : strips) {
        const double y = bottom + 0.25 * u, left = axis.x(strip.axis.from) + 0.15 * u,
                     right = axis.x(strip.axis.to) - 0.15 * u;
        canvas.fill({left, y, right - left, 0.22 * u}, strip.number % 2 == 1 ? palette::muted : palette::rule);
        canvas.text({left + 0.3 * u, y + 0.4 * u}, scene.options.say("chart.part", {std::to_string(strip.number)}),
                    {.size = 0.9 * u, .colour = palette::muted});
    }
    draw_limits(canvas, scene, axis, lanes, bottom + 0.5 * u, 8 * u);
}

namespace {

/// Room around and between the parts of a sheet.
struct Frame {
    double edge, top, width, room, strip_gap;
    Frame(const Scene& scene, const Sheet& sheet)
        : edge(3.4 * scene.u),
          top(2.9 * scene.u),
          width(sheet.size.w - 2 * edge),
          room(sheet.size.h - 2 * top - header_height(scene) - footer_height(scene)),
          strip_gap(0.6 * scene.u) {}
};

/// What goes on which sheet, in order, each sheet filled before the next is begun.
std::vector<Page> pages_of(const Scene& scene, const Sheet& sheet) {
    const Frame frame(scene, sheet);
    const std::vector<Strip> strips = strips_of(scene, frame.edge + 10.5 * scene.u, sheet.size.w - frame.edge);
    const Canvas ruler({10, 10}, sheet.unit, "", "");
    std::vector<Page> pages(1);
    const auto place = [&](double height) -> Page& {
        if (!sheet.grows && pages.back().used > 0 && pages.back().used + height > frame.room) pages.emplace_back();
        pages.back().used += height;
        return pages.back();
    };
    if (strips.size() > 1) place(overview_height(scene) + frame.strip_gap).overview = strips;
    const double strip_least = strip_height(scene, least_step_height(scene)) + frame.strip_gap;
    for (const Strip& strip : strips) place(strip_least).strips.push_back(strip);
    for (const Tables& table : plan_tables(ruler, scene, frame.width, sheet.grows ? 1e6 : frame.room))
        place(table.height).tables.push_back(table);
    return pages;
}

Canvas draw_page(const Scene& scene, const Sheet& sheet, const std::vector<Page>& pages, std::size_t number) {
    const Page& page = pages[number];
    const Frame frame(scene, sheet);
    const double least = least_step_height(scene), tiers = 2 * static_cast<double>(page.strips.size());
    const double spare = page.strips.empty() ? 0 : (frame.room - page.used) / tiers;
    const double step_height =
        sheet.grows ? 9.2 * scene.u : std::min(most_step_height(scene), least + std::max(0.0, spare));
    const double content = page.used + tiers * (step_height - least);
    const Size size{sheet.size.w, sheet.grows ? std::ceil(content + sheet.size.h - frame.room) : sheet.size.h};

    Canvas canvas(size, sheet.unit, scene.outing.name + ": " + scene.options.say("title.timeline"), description(scene));
    double y = frame.top;
    const auto area = [&](double height) { return Box{frame.edge, y, frame.width, height}; };
    draw_header(canvas, scene, area(header_height(scene)), static_cast<int>(number) + 1,
                static_cast<int>(pages.size()));
    y += header_height(scene);
    if (!page.overview.empty()) {
        draw_overview(canvas, scene, area(overview_height(scene)), page.overview);
        y += overview_height(scene) + frame.strip_gap;
    }
    for (Strip strip : page.strips) {
        strip.top = y;
        strip.step_height = step_height;
        draw_strip(canvas, scene, strip);
        y += strip_height(scene, step_height) + frame.strip_gap;
    }
    for (const Tables& table : page.tables) {
        draw_tables(canvas, scene, table, area(table.height));
        y += table.height;
    }
    y = size.h - frame.top - footer_height(scene);
    draw_footer(canvas, scene, area(footer_height(scene)));
    return canvas;
}

}  // namespace
}  // namespace chart

std::vector<Canvas> timeline_chart(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                   const ChartOptions& options) {
    using namespace chart;
    const Sheet sheet = sheet_of(options.sheet);
    // The largest type that needs no more sheets than the least one does.
    double u = sheet.least;
    const auto sheets = [&](double size) {
        return pages_of(scene(outing, windows, timeline, options, size), sheet).size();
    };
    if (sheet.least < sheet.most) {
        const std::size_t fewest = sheets(sheet.least);
        for (double size = sheet.most; size > sheet.least; size *= 0.97)
            if (sheets(size) <= fewest) {
                u = size;
                break;
            }
    }
    const Scene s = scene(outing, windows, timeline, options, u);
    std::vector<Page> pages = pages_of(s, sheet);
    std::vector<Canvas> out;
    for (std::size_t p = 0; p < pages.size(); ++p) out.push_back(draw_page(s, sheet, pages, p));
    return out;
}

}  // namespace handrail::brief
