#include "brief/suits_chart.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "brief/axis.h"
#include "brief/codes.h"
#include "brief/document.h"
#include "brief/facts.h"
#include "brief/labels.h"
#include "brief/palette.h"

namespace handrail::brief {
namespace {

using namespace lifesupport;

// ISO 216 A4 across, in points, and the font size everything on it is a multiple of.
constexpr double sheet_w = 841.89, sheet_h = 595.28, u = 7.0;
constexpr double edge = 3.2 * u, header_h = 6.6 * u, footer_h = 10.4 * u, column_gap = 3.2 * u, panel_gap = 1.9 * u;
constexpr double scale_w = 9.8 * u;  ///< names and percentages left of each panel

/// What every part of the chart is drawn with.
struct Desk {
    Canvas& canvas;
    const Outing& outing;
    const WindowTable& windows;
    const Timeline& timeline;
    const Facts& facts;
    const Wording& say;
    Units units;
};

/// The consumables that either suit carries.
std::vector<Consumable> shown(const std::array<SuitCurve, 2>& suits) {
    std::vector<Consumable> list;
    for (Consumable c : all_consumables)
        if (suits[0].plan.carries(c) || suits[1].plan.carries(c)) list.push_back(c);
    return list;
}

class Panel {
public:
    Panel(const Desk& desk, const TimeAxis& axis, Box area, const Forecast& scale, Consumable c)
        : canvas_(desk.canvas), desk_(desk), axis_(axis), area_(area), c_(c), full_(scale.capacity[index(c)]) {}

    double y(double amount_left) const { return area_.bottom() - std::clamp(amount_left / full_, 0.0, 1.0) * area_.h; }

    void ground(const WindowTable& windows) {
        canvas_.fill(area_, palette::lane);
        if (windows.knows("daylight")) {
            canvas_.fill(area_, palette::dusk);
            for (const Window& window : windows.of("daylight", "")) {
                const Pet from = std::max(window.from(), axis_.from), to = std::min(window.to(), axis_.to);
                if (from < to)
                    canvas_.fill({axis_.x(from), area_.y, axis_.x(to) - axis_.x(from), area_.h}, palette::sunlit);
            }
        }
        draw_grid(canvas_, axis_, area_.y, area_.bottom(), u);
    }

    void scale() {
        const TextStyle style{.size = 0.8 * u, .colour = palette::muted, .align = Align::right};
        for (const int percent : {0, 50, 100}) {
            const double at = y(full_ * percent / 100);
            canvas_.line({area_.x, at}, {area_.right(), at}, {palette::hair, 0.5});
            canvas_.text({area_.x - 0.4 * u, at - 0.5 * u}, fmt::format("{} %", percent), style);
        }
        const TextStyle name{.size = 1.0 * u, .colour = palette::ink, .bold = true};
        canvas_.text_in({area_.x - scale_w, area_.y + 0.8 * u, scale_w - 2.6 * u, 2.6 * u}, desk_.say.consumable(c_),
                        name);
        canvas_.text_in({area_.x - scale_w, area_.y + 2.4 * u, scale_w - 3.4 * u, 3.2 * u},
                        desk_.say("suits.of", {amount(full_)}), {.size = 0.85 * u, .colour = palette::muted});
    }

    void reserve(double kept) {
        if (kept <= 0) return;
        canvas_.pattern({area_.x, y(kept), area_.w, area_.bottom() - y(kept)}, Pattern::rising,
                        {palette::alarm.with_alpha(0.45), 0.4}, 3.2);
        canvas_.line({area_.x, y(kept)}, {area_.right(), y(kept)}, {palette::alarm, 0.8, Dash::dashed});
        canvas_.text({area_.x + 0.5 * u, y(kept) - 1.15 * u}, desk_.say("suits.reserve", {amount(kept)}),
                     {.size = 0.85 * u, .colour = palette::alarm, .bold = true});
    }

    void band(const Forecast& forecast, Colour colour) {
        std::vector<Point> edge_points;
        const auto at = [&](const Margin& margin, double sds) {
            return Point{axis_.x(margin.at), y(full_ - margin.used[index(c_)] + sds * margin.sd[index(c_)])};
        };
        for (const Margin& margin : forecast.margins) edge_points.push_back(at(margin, band_90));
        for (auto margin = forecast.margins.rbegin(); margin != forecast.margins.rend(); ++margin)
            edge_points.push_back(at(*margin, -band_90));
        if (edge_points.size() > 2) canvas_.fill(Path::polyline(edge_points).close(), colour.with_alpha(0.22));
    }

    void line(const Forecast& forecast, const Pen& pen) {
        std::vector<Point> points;
        for (const Margin& margin : forecast.margins)
            points.push_back({axis_.x(margin.at), y(full_ - margin.used[index(c_)])});
        if (points.size() > 1) canvas_.stroke(Path::polyline(points), pen);
    }

    void readings(const std::vector<JudgedValue>& values) {
        // Crosses first: a value given twice is a dot, not a dot struck out.
        for (const JudgedValue& value : values)
            if (shows(value) && !value.used()) {
                const Point at{axis_.x(value.at), y(value.found)};
                const double d = 0.35 * u;
                canvas_.line({at.x - d, at.y - d}, {at.x + d, at.y + d}, {palette::alarm, 1.0});
                canvas_.line({at.x - d, at.y + d}, {at.x + d, at.y - d}, {palette::alarm, 1.0});
            }
        for (const JudgedValue& value : values)
            if (shows(value) && value.used())
                canvas_.fill(Path::circle({axis_.x(value.at), y(value.found)}, 0.38 * u), palette::ink);
    }

    void at_return(const Forecast& forecast) {
        const Margin& end = forecast.at_return();
        const std::size_t i = index(c_);
        const double over = forecast.capacity[i] - end.used[i] - forecast.reserve[i];
        const bool kept = over >= 0;
        // The longest that stands beside the panel's neighbour; never "0 %": nothing is certain.
        const std::array wordings{
            desk_.say(kept ? "suits.at_return" : "suits.at_return_short",
                      {amount(end.left[i]), amount(std::abs(over)), print_share(forecast.chance_reserve_touched(c_))}),
            desk_.say(kept ? "suits.at_return_brief" : "suits.at_return_short_brief",
                      {amount(end.left[i]), amount(std::abs(over)), print_share(forecast.chance_reserve_touched(c_))})};
        const TextStyle style{
            .size = 0.9 * u, .colour = kept ? palette::ink : palette::alarm, .bold = true, .align = Align::right};
        const bool whole = canvas_.measure(wordings[0], style).w <= area_.w;
        canvas_.text({area_.right(), area_.y - 1.2 * u}, wordings[whole ? 0 : 1], style);
        canvas_.fill(Path::circle({axis_.x(end.at), y(full_ - end.used[i])}, 0.3 * u), palette::ink);
    }

    void moment(Pet at, const Pen& pen) {
        if (axis_.from <= at && at <= axis_.to)
            canvas_.line({axis_.x(at), area_.y}, {axis_.x(at), area_.bottom()}, pen);
    }

private:
    std::string amount(double value) const { return print_amount(c_, value, desk_.say, desk_.units); }
    bool shows(const JudgedValue& value) const {
        return value.consumable == c_ && std::isfinite(value.found) && axis_.from <= value.at && value.at <= axis_.to;
    }

    Canvas& canvas_;
    const Desk& desk_;
    const TimeAxis& axis_;
    Box area_;
    Consumable c_;
    double full_;
};

constexpr Colour plan_tone{0x1d4f80};

void draw_panel(const Desk& desk, const TimeAxis& axis, Box area, Consumable c, const SuitCurve& suit) {
    Panel panel(desk, axis, area, suit.plan, c);
    panel.ground(desk.windows);
    panel.scale();
    desk.canvas.clip(area);
    const Forecast& latest = suit.now ? *suit.now : suit.plan;
    panel.band(latest, plan_tone);
    if (suit.now) panel.line(suit.plan, {palette::muted, 0.8, Dash::dashed});
    panel.line(latest, {plan_tone, 1.5});
    panel.reserve(suit.plan.reserve[index(c)]);
    panel.moment(desk.facts.finish, {palette::ink, 0.9});
    panel.moment(desk.facts.limit, {palette::alarm, 1.2});
    panel.readings(suit.readings);
    desk.canvas.unclip();
    panel.at_return(latest);
    desk.canvas.stroke(Path::rectangle(area), {palette::rule, 0.6});
}

void draw_column(const Desk& desk, Box area, Crew crew, const SuitCurve& suit, const std::vector<Consumable>& rows) {
    const auto& [canvas, outing, windows, timeline, facts, say, units] = desk;
    const auto least = (suit.now ? *suit.now : suit.plan).at_return().least;
    const std::string limiting = least ? say("suits.limiting", {say.consumable(*least)}) : say("suits.nothing");
    const std::string mean = say("suits.mean", {fmt::format("{:.0f}", suit.plan.mean_metabolic.value())});
    const std::array heading{fmt::format("{} {} · {} · {} · {}", say.crew(crew), outing.person(crew).name,
                                         outing.suit_of(crew).name, mean, limiting),
                             fmt::format("{} {} · {} · {}", say.crew(crew), outing.person(crew).name, mean, limiting),
                             fmt::format("{} · {} · {}", say.crew(crew), mean, limiting)};
    draw_longest(canvas, {area.x, area.y, area.w, 1.6 * u}, heading,
                 {.size = 1.2 * u, .colour = palette::ink, .bold = true});
    const Pet last = std::max(facts.finish, facts.limit) + std::chrono::minutes(10);
    const TimeAxis axis{Pet{}, last, area.x + scale_w, area.right()};
    const double baseline = area.y + 5.0 * u;
    draw_axis(canvas, axis, timeline.pet_zero, baseline, u);
    const std::vector<Flag> flags{{axis.x(facts.finish), say("suits.finish"), palette::ink},
                                  {axis.x(facts.limit), say("fact.limit"), palette::alarm}};
    const double top = baseline + 1.8 * u;
    const double height = (area.bottom() - 2.2 * u - top) / static_cast<double>(rows.size());
    double bottom = top;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const Box panel{axis.left, top + static_cast<double>(i) * height, axis.right - axis.left, height - panel_gap};
        if (suit.plan.carries(rows[i])) {
            draw_panel(desk, axis, panel, rows[i], suit);
        } else {
            canvas.text({panel.x, panel.y + 1.0 * u}, say("suits.not_carried", {say.consumable(rows[i])}),
                        {.size = 0.9 * u, .colour = palette::muted});
        }
        bottom = panel.bottom();
    }
    draw_flags(canvas, flags, axis.left, axis.right, bottom + 0.3 * u, 1.2 * u, 0.9 * u);
}

std::string description(const Outing& outing, const std::array<SuitCurve, 2>& suits, const Wording& say, Units units) {
    std::string text = say("suits.description", {outing.name});
    for (Crew crew : both_crew) {
        const Forecast& forecast = suits[index(crew)].now ? *suits[index(crew)].now : suits[index(crew)].plan;
        for (Consumable c : all_consumables)
            if (forecast.carries(c))
                text +=
                    " " + say("suits.description_of", {say.crew(crew), say.consumable(c),
                                                       print_amount(c, forecast.at_return().left[index(c)], say, units),
                                                       print_amount(c, forecast.reserve[index(c)], say, units)});
    }
    return text + " " + say.caution();
}

}  // namespace

Canvas suits_chart(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                   const std::array<SuitCurve, 2>& suits, const ChartOrigin& origin, Units units) {
    const Wording& say = origin.say;
    const Facts known = facts(outing, timeline);
    const std::string title = outing.name + ": " + say("title.suits");
    Canvas canvas({sheet_w, sheet_h}, Unit::point, title, description(outing, suits, say, units));
    const Desk desk{canvas, outing, windows, timeline, known, say, units};
    canvas.fill({0, 0, sheet_w, sheet_h}, palette::paper);
    const double width = sheet_w - 2 * edge;
    canvas.text({edge, edge * 0.8}, title, {.size = 2.0 * u, .colour = palette::ink, .bold = true});
    // The line at the foot says it otherwise; on the day the timeline is the forecast, not the plan.
    if (origin.identity.empty())
        canvas.text({sheet_w - edge, edge * 0.8}, say("chart.plan", {plan_id(outing, timeline)}),
                    {.size = 1.25 * u, .colour = palette::ink, .bold = true, .align = Align::right});
    canvas.text(
        {edge, edge * 0.8 + 2.8 * u},
        fmt::format("{} · {} · {}", clock_line(timeline, say), say("suits.finish_at", {print_pet(known.finish)}),
                    say("chart.limit", {print_pet(known.limit)})),
        {.size = 1.0 * u, .colour = palette::muted});
    const std::vector<Consumable> rows = shown(suits);
    const double column = (width - column_gap) / 2, top = edge * 0.8 + header_h - 1.6 * u;
    const double height = sheet_h - top - footer_h - edge * 0.6;
    if (rows.empty())
        canvas.text({edge, top + 2 * u}, say("suits.none"), {.size = 1.2 * u, .colour = palette::ink});
    else
        for (Crew crew : both_crew) {
            const Box area{edge + static_cast<double>(index(crew)) * (column + column_gap), top, column, height};
            draw_column(desk, area, crew, suits[index(crew)], rows);
        }
    const bool readings = suits[0].now || suits[1].now;
    if (!rows.empty())
        canvas.text_in({edge, sheet_h - footer_h - edge * 0.4, width, 5.4 * u},
                       say(readings ? "suits.legend_readings" : "suits.legend"),
                       {.size = 0.95 * u, .colour = palette::ink});
    draw_chart_footer(canvas, outing, origin, {edge, 0, width, sheet_h - 10});
    return canvas;
}

}  // namespace handrail::brief
