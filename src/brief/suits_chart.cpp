#include "brief/suits_chart.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "brief/axis.h"
#include "brief/codes.h"
#include "brief/facts.h"
#include "brief/labels.h"
#include "brief/palette.h"

namespace handrail::brief {
namespace {

using namespace lifesupport;

// ISO 216 A4 across, in points, and the font size everything on it is a multiple of.
constexpr double sheet_w = 841.89, sheet_h = 595.28, u = 7.0;
constexpr double edge = 3.2 * u, header_h = 6.6 * u, footer_h = 6.4 * u, column_gap = 3.2 * u, panel_gap = 1.9 * u;
constexpr double scale_w = 8.2 * u;  ///< names and percentages left of each panel

/// The consumables that either suit carries.
std::vector<Consumable> shown(const std::array<SuitCurve, 2>& suits) {
    std::vector<Consumable> list;
    for (Consumable c : all_consumables)
        if (suits[0].plan.carries(c) || suits[1].plan.carries(c)) list.push_back(c);
    return list;
}

std::string amount(Consumable c, double value) {
    if (unit(c) == "kg") return value < 1 ? fmt::format("{:.0f} g", value * 1000) : fmt::format("{:.2f} kg", value);
    return fmt::format("{:.0f} {}", value, unit(c));
}

/// Never "0 %": the band is an assumption, and nothing is certain.
std::string odds(double chance) {
    return chance < 0.01 ? "under 1 %" : chance > 0.99 ? "over 99 %" : fmt::format("{:.0f} %", 100 * chance);
}

class Panel {
public:
    Panel(Canvas& canvas, const TimeAxis& axis, Box area, const Forecast& scale, Consumable c)
        : canvas_(canvas), axis_(axis), area_(area), c_(c), full_(scale.capacity[index(c)]) {}

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
        canvas_.text_in({area_.x - scale_w, area_.y + 0.8 * u, scale_w - 2.6 * u, 2.6 * u}, word(c_), name);
        canvas_.text({area_.x - scale_w, area_.y + 3.5 * u}, fmt::format("of {}", amount(c_, full_)),
                     {.size = 0.85 * u, .colour = palette::muted});
    }

    void reserve(double kept) {
        if (kept <= 0) return;
        canvas_.pattern({area_.x, y(kept), area_.w, area_.bottom() - y(kept)}, Pattern::rising,
                        {palette::alarm.with_alpha(0.45), 0.4}, 3.2);
        canvas_.line({area_.x, y(kept)}, {area_.right(), y(kept)}, {palette::alarm, 0.8, Dash::dashed});
        canvas_.text({area_.x + 0.5 * u, y(kept) - 1.15 * u}, fmt::format("reserve {}", amount(c_, kept)),
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
        const std::string words = fmt::format(
            "at return {}, {} {}, odds the reserve is touched {}", amount(c_, end.left[i]), amount(c_, std::abs(over)),
            kept ? "over the reserve" : "short of the reserve", odds(forecast.chance_reserve_touched(c_)));
        const TextStyle style{
            .size = 0.9 * u, .colour = kept ? palette::ink : palette::alarm, .bold = true, .align = Align::right};
        canvas_.text({area_.right(), area_.y - 1.2 * u}, words, style);
        canvas_.fill(Path::circle({axis_.x(end.at), y(full_ - end.used[i])}, 0.3 * u), palette::ink);
    }

    void moment(Pet at, const Pen& pen) {
        if (axis_.from <= at && at <= axis_.to)
            canvas_.line({axis_.x(at), area_.y}, {axis_.x(at), area_.bottom()}, pen);
    }

private:
    bool shows(const JudgedValue& value) const {
        return value.consumable == c_ && std::isfinite(value.found) && axis_.from <= value.at && value.at <= axis_.to;
    }

    Canvas& canvas_;
    const TimeAxis& axis_;
    Box area_;
    Consumable c_;
    double full_;
};

constexpr Colour plan_tone{0x1d4f80};

void draw_panel(Canvas& canvas, const TimeAxis& axis, Box area, Consumable c, const SuitCurve& suit,
                const WindowTable& windows, const Facts& facts) {
    Panel panel(canvas, axis, area, suit.plan, c);
    panel.ground(windows);
    panel.scale();
    canvas.clip(area);
    const Forecast& latest = suit.now ? *suit.now : suit.plan;
    panel.band(latest, plan_tone);
    if (suit.now) panel.line(suit.plan, {palette::muted, 0.8, Dash::dashed});
    panel.line(latest, {plan_tone, 1.5});
    panel.reserve(suit.plan.reserve[index(c)]);
    panel.moment(facts.finish, {palette::ink, 0.9});
    panel.moment(facts.limit, {palette::alarm, 1.2});
    panel.readings(suit.readings);
    canvas.unclip();
    panel.at_return(latest);
    canvas.stroke(Path::rectangle(area), {palette::rule, 0.6});
}

void draw_column(Canvas& canvas, Box area, Crew crew, const Outing& outing, const WindowTable& windows,
                 const Timeline& timeline, const Facts& facts, const SuitCurve& suit,
                 const std::vector<Consumable>& rows) {
    const std::string least =
        suit.plan.at_return().least
            ? fmt::format(" · limiting: {}", word(*(suit.now ? *suit.now : suit.plan).at_return().least))
            : " · nothing runs out";
    const std::array heading{fmt::format("{} {} · {} · mean {:.0f} W{}", word(crew), outing.person(crew).name,
                                         outing.suit_of(crew).name, suit.plan.mean_metabolic.value(), least),
                             fmt::format("{} · mean {:.0f} W{}", word(crew), suit.plan.mean_metabolic.value(), least)};
    draw_longest(canvas, {area.x, area.y, area.w, 1.6 * u}, heading,
                 {.size = 1.2 * u, .colour = palette::ink, .bold = true});
    const Pet last = std::max(facts.finish, facts.limit) + std::chrono::minutes(10);
    const TimeAxis axis{Pet{}, last, area.x + scale_w, area.right()};
    const double baseline = area.y + 5.0 * u;
    draw_axis(canvas, axis, timeline.pet_zero, baseline, u);
    const std::vector<Flag> flags{{axis.x(facts.finish), "end of ingress", palette::ink},
                                  {axis.x(facts.limit), "hard end", palette::alarm}};
    const double top = baseline + 1.8 * u;
    const double height = (area.bottom() - 2.2 * u - top) / static_cast<double>(rows.size());
    double bottom = top;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const Box panel{axis.left, top + static_cast<double>(i) * height, axis.right - axis.left, height - panel_gap};
        if (suit.plan.carries(rows[i])) {
            draw_panel(canvas, axis, panel, rows[i], suit, windows, facts);
        } else {
            canvas.text({panel.x, panel.y + 1.0 * u}, fmt::format("{}: not carried by this suit", word(rows[i])),
                        {.size = 0.9 * u, .colour = palette::muted});
        }
        bottom = panel.bottom();
    }
    draw_flags(canvas, flags, axis.left, axis.right, bottom + 0.3 * u, 1.2 * u, 0.9 * u);
}

void draw_footer(Canvas& canvas, Box area, bool with_readings) {
    const TextStyle style{.size = 0.95 * u, .colour = palette::ink};
    canvas.line({area.x, area.y}, {area.right(), area.y}, {palette::rule, 0.6});
    const std::string forecast =
        with_readings ? "Thick line: expected from the last reading on; dashed: expected before the outing; dots: "
                        "readings used; crosses: readings not used."
                      : "Thick line: expected amount left.";
    canvas.text_in(
        {area.x, area.y + 0.6 * u, area.w, 3.4 * u},
        forecast +
            " Shaded: 90 of 100 outcomes, if an outing's mean rate varies by 15 % and a step's by 30 % (common "
            "practice). Hatched: the reserve. Yellow ground: daylight. Efforts and factors are the outing "
            "file's; values marked from memory or invented there must be replaced by the programme's own.",
        style);
    canvas.text_in({area.x, area.y + 4.2 * u, area.w, 1.6 * u}, caution,
                   {.size = 1.0 * u, .colour = palette::ink, .bold = true});
}

std::string description(const Outing& outing, const std::array<SuitCurve, 2>& suits) {
    std::string text = fmt::format("What both suits of {} have left against PET.", outing.name);
    for (Crew crew : both_crew) {
        const Forecast& forecast = suits[index(crew)].now ? *suits[index(crew)].now : suits[index(crew)].plan;
        text += fmt::format(" {}:", word(crew));
        for (Consumable c : all_consumables)
            if (forecast.carries(c))
                text +=
                    fmt::format(" {} {} at return, reserve {};", word(c),
                                amount(c, forecast.at_return().left[index(c)]), amount(c, forecast.reserve[index(c)]));
    }
    return text + " " + std::string(caution);
}

}  // namespace

Canvas suits_chart(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                   const std::array<SuitCurve, 2>& suits) {
    Canvas canvas({sheet_w, sheet_h}, Unit::point, outing.name + ": suits", description(outing, suits));
    canvas.fill({0, 0, sheet_w, sheet_h}, palette::paper);
    const Facts known = facts(outing, timeline);
    const double width = sheet_w - 2 * edge;
    canvas.text({edge, edge * 0.8}, outing.name + ": suits", {.size = 2.0 * u, .colour = palette::ink, .bold = true});
    canvas.text({sheet_w - edge, edge * 0.8}, fmt::format("plan {}", plan_id(outing, timeline)),
                {.size = 1.25 * u, .colour = palette::ink, .bold = true, .align = Align::right});
    canvas.text(
        {edge, edge * 0.8 + 2.8 * u},
        fmt::format("PET zero {} · PET is hours:minutes since then, clock times are UTC · end of ingress {} · hard "
                    "end {}",
                    print_utc(timeline.pet_zero), print_pet(known.finish), print_pet(known.limit)),
        {.size = 1.0 * u, .colour = palette::muted});
    const std::vector<Consumable> rows = shown(suits);
    const double column = (width - column_gap) / 2, top = edge * 0.8 + header_h - 1.6 * u;
    const double height = sheet_h - top - footer_h - edge * 0.6;
    if (rows.empty())
        canvas.text({edge, top + 2 * u}, "Neither suit carries anything that runs out.",
                    {.size = 1.2 * u, .colour = palette::ink});
    else
        for (Crew crew : both_crew) {
            const Box area{edge + static_cast<double>(index(crew)) * (column + column_gap), top, column, height};
            draw_column(canvas, area, crew, outing, windows, timeline, known, suits[index(crew)], rows);
        }
    const bool readings = suits[0].now || suits[1].now;
    draw_footer(canvas, {edge, sheet_h - footer_h - edge * 0.5, width, footer_h}, readings);
    return canvas;
}

}  // namespace handrail::brief
