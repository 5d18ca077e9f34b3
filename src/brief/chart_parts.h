#pragma once

#include <string>
#include <vector>

#include "brief/axis.h"
#include "brief/canvas.h"
#include "brief/facts.h"
#include "brief/timeline_chart.h"

/// The parts of the timeline chart. Lengths inside are multiples of `u`, the sheet's base font size, so that one layout
/// serves paper and screen.
namespace handrail::brief::chart {

/// A row of windows: a condition, at the whole station or at one worksite.
struct ConditionRow {
    std::string condition, worksite, title;
};

/// Everything the parts draw from, gathered once.
struct Scene {
    const Outing& outing;
    const WindowTable& windows;
    const Timeline& timeline;
    const ChartOptions& options;
    double u;
    Facts facts;
    Pet from, to;                    ///< of the whole chart
    std::vector<ConditionRow> rows;  ///< conditions shown as bands
    std::vector<Lane> side_lanes;    ///< arm, iv, ground where they have something to do
    std::string id;                  ///< plan id
    bool sunlight_known = false;
};
Scene scene(const Outing& outing, const WindowTable& windows, const Timeline& timeline, const ChartOptions& options,
            double u);

/// One part of the outing on one sheet.
struct Strip {
    int number = 1, of = 1;
    TimeAxis axis;
    double top = 0;
    double step_height = 0;  ///< of the step tier of EV1 and of EV2
};
double strip_height(const Scene& scene, double step_height);
/// Returns the heights (in canvas units) that strips need at least and can use at most for their step tiers.
double least_step_height(const Scene& scene);
double most_step_height(const Scene& scene);
void draw_strip(Canvas& canvas, const Scene& scene, const Strip& strip);

/// Windows of one row as a band of words and patterns between the axis ends.
void draw_band(Canvas& canvas, const Scene& scene, const ConditionRow& row, const TimeAxis& axis, double top,
               double height);
/// Darkness as a pale ground behind lanes.
void draw_dusk(Canvas& canvas, const Scene& scene, const TimeAxis& axis, double top, double height);
/// Margin, hard end, finish and now: lines through [top, bottom], words below, as far as `beyond` the axis's right end.
/// Returns the height the words took.
double draw_limits(Canvas& canvas, const Scene& scene, const TimeAxis& axis, double top, double bottom, double beyond);

/// The bar that names a task over its steps; its edge says the class.
void draw_task_bar(Canvas& canvas, const Scene& scene, TaskId task, Box bar, bool starts, bool ends);

double overview_height(const Scene& scene);
void draw_overview(Canvas& canvas, const Scene& scene, Box area, const std::vector<Strip>& strips);

double header_height(const Scene& scene);
double footer_height(const Scene& scene);
void draw_header(Canvas& canvas, const Scene& scene, Box area, int page, int pages);
void draw_footer(Canvas& canvas, const Scene& scene, Box area);

/// Tasks, what was left out and the legend, as rows that may run over several sheets.
struct Tables {
    double height = 0;
    std::size_t first_task = 0, task_count = 0;
    bool with_rest = true;  ///< left out and legend on this sheet
};
std::vector<Tables> plan_tables(const Canvas& measure, const Scene& scene, double width, double room);
void draw_tables(Canvas& canvas, const Scene& scene, const Tables& tables, Box area);

}  // namespace handrail::brief::chart
