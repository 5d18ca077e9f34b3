// What the charts show, measured in their SVG: where a block begins and ends by the labels of the axis above it, how
// long a bar is beside its track, how high a curve stands. Each test also draws a plan with one fault and must see it.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "brief/codes.h"
#include "brief/facts.h"
#include "brief/odds_words.h"
#include "brief/palette.h"
#include "brief/registry.h"
#include "brief/risk_chart.h"
#include "brief/sky_chart.h"
#include "brief/subject_charts.h"
#include "brief/suits_chart.h"
#include "drawn.h"
#include "lifesupport/forecast.h"
#include "timeline/loads.h"
#include "told_day.h"

namespace handrail::brief {
namespace {

using std::chrono::minutes;

/// A pen on paper is this exact: half a minute of the finest scale used here is six times as much.
constexpr double near = 0.35;

Drawn chart_of(std::string_view kind, const Subject& subject, SheetKind sheet = SheetKind::screen,
               std::size_t page = 0) {
    Options options;
    options.format = Format::svg;
    options.sheet = sheet;
    const MadeOrNot made = make_document(kind, subject, options);
    if (const auto* none = std::get_if<NotMade>(&made)) throw std::runtime_error(none->why);
    return drawn(std::get<Document>(made).files.at(page));
}

struct Stretch {
    double from, to;
    auto operator<=>(const Stretch&) const = default;
};

/// What differs between two lists of stretches, each end to within `near`, in words.
std::vector<std::string> differences(std::vector<Stretch> wanted, std::vector<Stretch> found, const std::string& what) {
    std::vector<std::string> out;
    for (const Stretch& one : wanted) {
        const auto same = std::ranges::find_if(found, [&](const Stretch& other) {
            return std::abs(one.from - other.from) < near && std::abs(one.to - other.to) < near;
        });
        if (same == found.end())
            out.push_back(fmt::format("{}: nothing from x {:.1f} to {:.1f}", what, one.from, one.to));
        else
            found.erase(same);
    }
    for (const Stretch& one : found)
        out.push_back(fmt::format("{}: something from x {:.1f} to {:.1f}", what, one.from, one.to));
    return out;
}

/// One part of a timeline chart: its axis, and the stretch of the page that is its own.
struct Part {
    DrawnScale scale;
    double left = 0, right = 0, top = 0, bottom = 1e9, u = 1;
    bool inside(const Box& box) const { return top <= box.y && box.bottom() <= bottom && left - 1 <= box.x; }
    bool sees(Pet from, Pet to) const { return scale.x(from) < right && left < scale.x(to); }
    bool sees(Pet at) const { return left <= scale.x(at) && scale.x(at) <= right; }
    Stretch clipped(Pet from, Pet to) const { return {std::max(left, scale.x(from)), std::min(right, scale.x(to))}; }
};

/// The first is the overview.
std::vector<Part> parts_of(const Drawn& drawing) {
    std::vector<Part> parts;
    for (const DrawnText& text : drawing.texts) {
        if (text.text != "PET") continue;
        const auto scale = scale_at(drawing, text.y, text.x);
        if (!scale) continue;
        if (!parts.empty()) parts.back().bottom = text.y - text.size;
        parts.push_back({.scale = *scale, .top = text.y, .u = text.size});
    }
    for (Part& part : parts) {
        double lowest = 0;
        for (const Box& lane : drawing.filled(palette::lane)) {
            if (lane.y < part.top || part.bottom < lane.bottom()) continue;
            part.left = lane.x;
            part.right = lane.right();
            lowest = std::max(lowest, lane.bottom());
        }
        part.bottom = lowest + 1;
    }
    return parts;
}

/// Measures one part of a timeline chart against a plan.
class Ruler {
public:
    Ruler(const Drawn& drawing, const Part& part, const Outing& outing, std::vector<std::string>& faults)
        : drawing_(drawing), part_(part), outing_(outing), faults_(faults) {
        if (part.scale.worst > 0.05) faults.emplace_back("the axis is not even");
    }

    void blocks(const Timeline& timeline) {
        std::vector<Stretch> wanted;
        for (const Activity& a : timeline.activities) {
            if (!part_.sees(a.start, a.end())) continue;
            if (a.on(Lane::ev1) || a.on(Lane::ev2)) wanted.push_back(part_.clipped(a.start, a.end()));
            for (const Lane lane : {Lane::arm, Lane::iv, Lane::ground})
                if (a.on(lane) && (a.step || a.kind == ActivityKind::arm_move))
                    wanted.push_back(part_.clipped(a.start, a.end()));
        }
        compare(wanted, boxes(grounds(), 2.0, 1e9), "block");
    }

    void bars(const Timeline& timeline) {
        std::vector<Stretch> wanted;
        for (const Crew crew : both_crew)
            for (const TaskRun& run : runs_on(outing_, timeline, lane_of(crew)))
                if (part_.sees(run.from, run.to)) wanted.push_back(part_.clipped(run.from, run.to));
        std::vector<Colour> colours = grounds();
        for (const palette::Tone& tone : palette::tasks) colours.push_back(tone.deep);
        colours.push_back(palette::paper);
        std::vector<Stretch> found;
        for (Stretch one : boxes(colours, 1.2, 2.0))
            found.push_back({one.from - 0.06 * part_.u, one.to + 0.06 * part_.u});
        // Words of windows have paper behind them, too: only what is missing counts.
        for (const std::string& fault : differences(wanted, found, "bar"))
            if (fault.find("nothing") != std::string::npos) faults_.push_back(fault);
    }

    void windows(const WindowTable& windows, const char* condition, const char* row, Colour colour) {
        if (!windows.knows(condition)) return;
        double y = -1;
        for (const DrawnText& text : drawing_.texts)
            if (part_.top < text.y && text.y < part_.bottom && text.x < part_.left && text.text == row) y = text.y;
        std::vector<Stretch> wanted, found;
        for (const Window& window : windows.of(condition, ""))
            if (part_.sees(window.from(), window.to())) wanted.push_back(part_.clipped(window.from(), window.to()));
        for (const Box& box : drawing_.filled(colour))
            if (part_.inside(box) && box.y < y && y < box.bottom()) found.push_back({box.x, box.right()});
        compare(wanted, found, condition);
    }

    void before(const Timeline& before) {
        std::vector<Stretch> wanted, found;
        for (const Activity& a : before.activities)
            for (const Crew crew : both_crew)
                if (a.on(lane_of(crew)) && part_.sees(a.start, a.end()))
                    wanted.push_back(part_.clipped(a.start, a.end()));
        for (const DrawnShape& shape : drawing_.shapes)
            if (const Box box = shape.box(); shape.dashed && shape.points.size() == 4 && box.h < 1.1 * part_.u &&
                                             part_.inside(box) && part_.top < box.y)
                found.push_back({box.x, box.right()});
        compare(wanted, found, "plan of before");
    }

    void line(Pet at, Colour colour, const std::string& words) {
        if (!part_.sees(at)) return;
        const std::string stroke = fmt::format("#{:06x}", colour.rgb);
        const bool drawn = std::ranges::any_of(drawing_.shapes, [&](const DrawnShape& shape) {
            const Box box = shape.box();
            return shape.stroke == stroke && box.w < 0.01 && std::abs(box.x - part_.scale.x(at)) < near &&
                   part_.top < box.y && box.y < part_.bottom;
        });
        const bool said = std::ranges::any_of(drawing_.texts, [&](const DrawnText& t) { return t.text == words; });
        if (!drawn) faults_.push_back("no line: " + words);
        if (!said) faults_.push_back("no words: " + words);
    }

private:
    static std::vector<Colour> grounds() {
        std::vector<Colour> out{palette::quiet};
        for (const palette::Tone& tone : palette::tasks) out.push_back(tone.tint);
        return out;
    }
    /// Filled boxes between these heights, in letters.
    std::vector<Stretch> boxes(const std::vector<Colour>& colours, double low, double high) const {
        std::vector<Stretch> out;
        for (const Colour colour : colours)
            for (const Box& box : drawing_.filled(colour))
                if (part_.inside(box) && low * part_.u < box.h && box.h < high * part_.u)
                    out.push_back({box.x, box.right()});
        return out;
    }
    void compare(const std::vector<Stretch>& wanted, const std::vector<Stretch>& found, const std::string& what) {
        for (std::string& fault : differences(wanted, found, what)) faults_.push_back(std::move(fault));
    }

    const Drawn& drawing_;
    const Part& part_;
    const Outing& outing_;
    std::vector<std::string>& faults_;
};

/// Where a timeline chart shows something else than this subject's plan and windows.
std::vector<std::string> timeline_faults(const Drawn& drawing, const Subject& s) {
    std::vector<std::string> faults;
    const std::vector<Part> parts = parts_of(drawing);
    if (parts.size() < 2) return {"no parts were found"};
    const Facts f = facts(s.outing, s.timeline);
    for (std::size_t i = 0; i < parts.size(); ++i) {
        Ruler ruler(drawing, parts[i], s.outing, faults);
        ruler.bars(s.timeline);
        ruler.line(f.limit, palette::alarm, "hard end " + print_pet(f.limit));
        ruler.line(f.margin_from, palette::amber, "margin from " + print_pet(f.margin_from));
        ruler.line(f.finish, palette::ink, "finish " + print_pet(f.finish));
        if (s.now()) ruler.line(*s.now(), palette::ink, "now " + print_pet(*s.now()));
        if (i == 0) continue;
        ruler.blocks(s.timeline);
        ruler.windows(s.windows, "daylight", "sunlight", palette::sunlit);
        ruler.windows(s.windows, "coverage", "coverage", palette::linked);
        if (s.first_plan) ruler.before(*s.first_plan);
    }
    // "A1 00:18 · 8 min 24 s" or "A1 00:18": when a block says that it begins.
    for (const DrawnText& text : drawing.texts)
        for (const Activity& a : s.timeline.activities) {
            if (!a.step) continue;
            const std::string code = step_code(s.outing, *a.step) + " ";
            if (!text.text.starts_with(code) || text.text.size() < code.size() + 5) continue;
            const std::string rest = text.text.substr(code.size());
            if (!minutes_of(rest.substr(0, rest.find(' ')))) continue;
            if (rest != print_pet(a.start) && rest != print_pet(a.start) + " · " + print_short(a.duration))
                faults.push_back("label " + text.text);
        }
    return faults;
}

/// The same windows with a fault: `change` has the condition and the window.
template <class Change>
WindowTable changed(const WindowTable& windows, const Change& change) {
    WindowTable out;
    for (const auto& [key, list] : windows.all()) {
        std::vector<Window> moved;
        for (const Window& window : list) moved.push_back(change(key.first, window));
        out.set(key.first, key.second, std::move(moved));
    }
    return out;
}

class Charts : public testing::TestWithParam<const char*> {
protected:
    /// A fault that is to be seen: one activity in the middle, a minute later.
    static Subject shifted(Subject subject) {
        Activity& one = subject.timeline.activities[subject.timeline.activities.size() / 2];
        one.start += minutes{1};
        return subject;
    }
};
INSTANTIATE_TEST_SUITE_P(Outings, Charts, testing::Values("larkspur", "pool"));

TEST_P(Charts, EveryBlockBarWindowAndLineOfATimelineStandsWhereThePlanHasIt) {
    const Subject plan = planned_demo(GetParam()).subject();
    EXPECT_THAT(timeline_faults(chart_of("timeline", plan), plan), testing::IsEmpty());
    for (const Ending ending : {Ending::at_work, Ending::home, Ending::terminated}) {
        const auto day = told_day(GetParam(), ending);
        const Subject subject = day->subject();
        EXPECT_THAT(timeline_faults(chart_of("timeline", subject), subject), testing::IsEmpty());
    }
}

TEST_P(Charts, ABlockAMinuteOffAWindowMovedAndAnotherHardEndAreSeen) {
    const Subject plan = planned_demo(GetParam()).subject();
    const Drawn drawing = chart_of("timeline", plan);
    EXPECT_THAT(timeline_faults(chart_of("timeline", shifted(plan)), plan), testing::Not(testing::IsEmpty()));
    Outing longer = plan.outing;
    longer.rules.limit += minutes{1};
    Subject other{longer, plan.windows, plan.timeline, plan.stamp, ""};
    EXPECT_THAT(timeline_faults(drawing, other), testing::Contains(testing::HasSubstr("hard end")));
    // On the day: what the plan began with.
    const auto day = told_day(GetParam(), Ending::at_work);
    Subject late = day->subject();
    const Drawn of_day = chart_of("timeline", late);
    late.first_plan->activities[3].start += minutes{1};
    EXPECT_THAT(timeline_faults(of_day, late), testing::Contains(testing::HasSubstr("plan of before")));
    if (!plan.windows.knows("daylight")) return;
    Subject moved = plan;
    moved.windows = changed(plan.windows, [](const std::string&, const Window& window) {
        return Window{window.from(), window.to() + minutes{1}, window.note()};
    });
    EXPECT_THAT(timeline_faults(drawing, moved), testing::Contains(testing::HasSubstr("daylight")));
    EXPECT_THAT(timeline_faults(drawing, moved), testing::Contains(testing::HasSubstr("coverage")));
}

/// Where the sky's chart shows something else than these windows: the sun, coverage, and each worksite's light.
std::vector<std::string> sky_faults(const Drawn& drawing, const Subject& s) {
    std::vector<std::string> faults;
    std::optional<DrawnScale> scale;
    for (const DrawnText& text : drawing.texts)
        if (text.text == "PET") scale = scale_at(drawing, text.y, text.x);
    if (!scale) return {"no axis was found"};
    const Pet end = std::max(pet(s.outing.rules.limit), s.timeline.finish());
    const double left = scale->x(Pet{}), right = scale->x(end);
    const auto row = [&](const std::string& name, const char* condition, const std::string& site, Colour colour) {
        const auto label = std::ranges::find(drawing.texts, name, &DrawnText::text);
        if (label == drawing.texts.end() || !s.windows.knows(condition)) {
            faults.push_back("no row of " + name);
            return;
        }
        std::vector<Stretch> wanted, found;
        for (const Window& window : s.windows.of(condition, site)) {
            const Stretch one{std::max(left, scale->x(window.from())), std::min(right, scale->x(window.to()))};
            if (one.to - one.from > 0.02) wanted.push_back(one);
        }
        for (const Box& box : drawing.filled(colour))
            // The ground of a whole row is no window.
            if (box.y < label->y && label->y < box.bottom() && box.x > left - 1 && box.w < right - left - 1)
                found.push_back({box.x, box.right()});
        for (const std::string& fault : differences(wanted, found, name)) {
            // Under a worksite's own light lies the sun's.
            if (colour.rgb == palette::sunlit.rgb && !site.empty() && fault.find("something") != std::string::npos)
                continue;
            faults.push_back(fault);
        }
    };
    row("Sun", "umbra", "", palette::dark);
    row("Coverage", "coverage", "", palette::linked);
    for (const Worksite& site : s.outing.station.worksites) {
        row(site.name, "lit", site.id, palette::sunlit);
        row(site.name, "shadowed", site.id, palette::quiet);
    }
    return faults;
}

TEST(SkyChartNumbers, EveryWindowStandsWhereItIsAndAMinuteOffIsSeen) {
    const Subject plan = planned_demo("larkspur").subject();
    const Drawn drawing = chart_of("sky", plan);
    EXPECT_THAT(sky_faults(drawing, plan), testing::IsEmpty());
    for (const std::string condition : {"umbra", "coverage", "lit", "shadowed"}) {
        Subject moved = plan;
        moved.windows = changed(plan.windows, [&](const std::string& name, const Window& window) {
            const bool fault =
                name == condition && Pet{} + minutes{60} < window.from() && window.from() < Pet{} + minutes{150};
            return Window{window.from(), window.to() + minutes{fault ? 1 : 0}, window.note()};
        });
        EXPECT_THAT(sky_faults(drawing, moved), testing::Not(testing::IsEmpty())) << condition;
    }
}

/// The largest distance, as a share of what is full, between a forecast and the thick curve drawn of it.
double off_the_curve(const Drawn& drawing, const std::array<lifesupport::Forecast, 2>& suits) {
    double worst = 0;
    std::vector<const DrawnText*> axes;
    for (const DrawnText& text : drawing.texts)
        if (text.text == "PET") axes.push_back(&text);
    if (axes.size() != 2) return 1;
    for (const Crew crew : both_crew) {
        const std::size_t i = index(crew);
        const auto scale = scale_at(drawing, axes[i]->y, axes[i]->x, i == 0 ? axes[1]->x : 1e9);
        // Panels have hair lines at 0, 50 and 100 % across: the first and last of each three.
        std::vector<Box> panels;
        for (const Box& box : drawing.filled(palette::lane))
            if (scale->x(Pet{}) - 1 < box.x && box.x < scale->x(Pet{}) + 1) panels.push_back(box);
        std::size_t row = 0;
        for (std::size_t c = 0; c < lifesupport::consumable_count; ++c) {
            if (!suits[i].carries(static_cast<lifesupport::Consumable>(c))) continue;
            const Box panel = panels.at(row++);
            const DrawnShape* curve = nullptr;
            for (const DrawnShape& shape : drawing.shapes)
                if (shape.stroke == "#1d4f80" && !shape.dashed && panel.contains(shape.box(), 0.5)) curve = &shape;
            if (curve == nullptr || curve->points.size() != suits[i].margins.size()) return 1;
            for (std::size_t k = 0; k < curve->points.size(); ++k) {
                const lifesupport::Margin& margin = suits[i].margins[k];
                const double share = (panel.bottom() - curve->points[k].y) / panel.h;
                const double left = std::clamp(1 - margin.used[c] / suits[i].capacity[c], 0.0, 1.0);
                worst = std::max({worst, std::abs(share - left),
                                  std::abs(scale->minutes(curve->points[k].x) -
                                           std::chrono::duration<double, std::ratio<60>>(margin.at - Pet{}).count()) /
                                      100});
            }
        }
    }
    return worst;
}

TEST(SuitsChartNumbers, EveryCurveIsTheForecastsAndAnotherPersonsIsSeen) {
    const Subject plan = planned_demo("larkspur").subject();
    const auto forecast = [&](Crew crew) {
        return lifesupport::forecast(plan.outing.suit_of(crew),
                                     loads_of(plan.outing, plan.windows, plan.timeline, crew).loads);
    };
    const Drawn drawing = chart_of("suits", plan);
    EXPECT_LT(off_the_curve(drawing, {forecast(Crew::ev1), forecast(Crew::ev2)}), 0.002);
    EXPECT_GT(off_the_curve(drawing, {forecast(Crew::ev2), forecast(Crew::ev1)}), 0.005);
}

/// Bars beside their words: what share of its track each fills, and what it says.
struct DrawnBar {
    std::string name, amount;
    double share;
};
std::vector<DrawnBar> bars_of(const Drawn& drawing) {
    std::vector<DrawnBar> out;
    const std::vector<Box> tracks = drawing.filled(palette::lane);
    for (const Box& track : tracks) {
        DrawnBar bar{"", "", -1};
        for (const DrawnShape& shape : drawing.shapes)
            if (const Box box = shape.box(); !shape.fill.empty() && shape.fill != "none" && shape.fill != "#f5f6f8" &&
                                             std::abs(box.x - track.x) < 0.02 && std::abs(box.y - track.y) < 0.02 &&
                                             std::abs(box.h - track.h) < 0.02)
                bar.share = box.w / track.w;
        for (const DrawnText& text : drawing.texts) {
            if (text.y < track.y || track.bottom() + 2 < text.y) continue;
            if (text.x > track.right() && text.x < track.right() + 8) bar.amount = text.text;
            if (text.x + text.width < track.x && text.x + text.width > track.x - 12) bar.name = text.text;
        }
        out.push_back(bar);
    }
    return out;
}

/// Where the chart of the odds shows something else than these odds.
std::vector<std::string> odds_faults(const std::vector<Drawn>& pages, const Outing& outing, const risk::Odds& odds) {
    std::vector<std::string> faults;
    const auto expect = [&](const std::vector<DrawnBar>& bars, const std::string& name, double share, double full) {
        const auto bar = std::ranges::find(bars, name, &DrawnBar::name);
        if (bar == bars.end()) {
            faults.push_back("no bar " + name);
            return;
        }
        if (std::abs(bar->share - share / full) > 0.003)
            faults.push_back(fmt::format("bar {}: {:.3f}", name, bar->share));
        const std::string words = fmt::format("{:.1f} %", 100 * share);
        const bool at_an_end = share > 0.999 || share < 0.001;  // "> 99.9 %": nothing is certain
        if (!at_an_end && !bar->amount.starts_with(words)) faults.push_back("amount " + name + ": " + bar->amount);
    };
    const std::vector<DrawnBar> tasks = bars_of(pages.at(0));
    for (const risk::TaskOdds& task : odds.tasks)
        if (task.planned)
            expect(tasks,
                   fmt::format("{} {} ({})", task_code(task.task), outing.task(task.task).name,
                               Wording{}.task_class(outing.task(task.task).task_class)),
                   task.done.value, 1);
    double full = std::max(0.1, odds.unexplained);
    for (const risk::Driver& driver : told_drivers(odds)) full = std::max(full, driver.share);
    const std::vector<DrawnBar> drivers = bars_of(pages.at(1));
    std::size_t told = 0;
    for (const risk::Driver& driver : told_drivers(odds))
        if (driver.share >= 0.005 && told++ < 12)
            expect(drivers, driver_name(outing, driver, Wording{}), driver.share, full);
    // The histogram: as many bars as counts, as high as they are, where their axis has them.
    std::vector<Box> columns;
    double floor = 0;
    for (const Colour colour : {palette::tasks[0].deep, palette::alarm})
        for (const Box& box : pages[0].filled(colour))
            if (box.x < 400 && box.w < 60) columns.push_back(box);
    for (const Box& box : columns) floor = std::max(floor, box.bottom());
    std::erase_if(columns, [&](const Box& box) { return std::abs(box.bottom() - floor) > 0.02; });
    std::ranges::sort(columns, {}, &Box::x);
    std::optional<DrawnScale> scale;
    for (const DrawnText& text : pages[0].texts)
        if (minutes_of(text.text) && text.y > floor && text.y < floor + 30)
            scale = scale_at(pages[0], text.y, -1e9, 420);
    if (columns.size() != odds.histogram.size() || !scale) return {"no histogram was found"};
    double highest = 0;
    for (const Box& box : columns) highest = std::max(highest, box.h);
    const double most = *std::ranges::max_element(odds.histogram);
    for (std::size_t i = 0; i < columns.size(); ++i) {
        const Pet from = odds.histogram_from + odds.histogram_width * static_cast<int>(i);
        if (std::abs(columns[i].h / highest - odds.histogram[i] / most) > 0.003)
            faults.push_back(fmt::format("column {} is {:.3f} high", i, columns[i].h / highest));
        if (std::abs(columns[i].x - 0.3 - scale->x(from)) > near)
            faults.push_back(fmt::format("column {} begins at {:.1f} min", i, scale->minutes(columns[i].x)));
    }
    return faults;
}

TEST_P(Charts, EveryBarOfTheOddsIsAsLongAsTheSimulationSaysAndAFaultIsSeen) {
    const auto at_work = told_day(GetParam(), Ending::at_work);
    for (const Subject& subject : {planned_demo(GetParam()).subject(), at_work->subject()}) {
        const risk::Odds& odds = *subject.odds->of(subject);
        const auto pages = [&](const risk::Odds& drawn_odds) {
            std::vector<Drawn> out;
            for (const Canvas& page : risk_chart(subject.outing, drawn_odds)) out.push_back(drawn(page.svg()));
            return out;
        };
        const std::vector<Drawn> right = pages(odds);
        EXPECT_THAT(odds_faults(right, subject.outing, odds), testing::IsEmpty());
        // The document is that chart, of these odds.
        Drawn document = chart_of("risk", subject);
        EXPECT_THAT(odds_faults({document, right.at(1)}, subject.outing, odds), testing::IsEmpty());
        // The likeliest and the least likely task with each other's odds.
        risk::Odds swapped = odds;
        const auto [least, most] =
            std::ranges::minmax_element(swapped.tasks, {}, [](const auto& t) { return t.done.value; });
        if (most->done.value - least->done.value > 0.01) {
            std::swap(least->done, most->done);
            EXPECT_THAT(odds_faults(right, subject.outing, swapped), testing::Contains(testing::HasSubstr("bar ")));
        }
        risk::Odds later = odds;
        later.histogram_from += minutes{1};
        EXPECT_THAT(odds_faults(right, subject.outing, later), testing::Contains(testing::HasSubstr("begins at")));
        risk::Odds higher = odds;
        higher.histogram[higher.histogram.size() / 2] += 1 + *std::ranges::max_element(odds.histogram) / 50;
        EXPECT_THAT(odds_faults(right, subject.outing, higher), testing::Contains(testing::HasSubstr("high")));
        risk::Odds driven = odds;
        if (!driven.drivers.empty()) {
            driven.drivers[0].share *= 0.9;
            EXPECT_THAT(odds_faults(right, subject.outing, driven), testing::Not(testing::IsEmpty()));
        }
    }
}

}  // namespace
}  // namespace handrail::brief
