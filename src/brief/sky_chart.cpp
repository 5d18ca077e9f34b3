#include "brief/sky_chart.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "brief/axis.h"
#include "brief/labels.h"
#include "brief/palette.h"
#include "brief/said.h"
#include "units/clock_difference.h"

namespace handrail::brief {
namespace {

// ISO 216 A4 landscape, in points.
constexpr Size sheet{841.89, 595.28};
constexpr double edge = 26, label_w = 118, totals_w = 92, text_size = 7;
constexpr double sun_h = 17, link_h = 9, row_h = 12.5, row_gap = 2.5, group_gap = 4, footer_h = 24, gap_line_h = 9.2;

std::string minutes_in(Milliseconds length) {
    const Seconds s = std::chrono::round<Seconds>(length);
    return s >= Seconds{120} ? fmt::format("{} min", std::lround(static_cast<double>(s.count()) / 60.0))
                             : fmt::format("{} s", s.count());
}
std::string hours(Seconds length) {
    const auto minutes = std::lround(static_cast<double>(length.count()) / 60.0);
    return minutes < 60 ? fmt::format("{} min", minutes) : fmt::format("{} h {:02}", minutes / 60, minutes % 60);
}
Pet pet_at(double seconds) { return Pet{Milliseconds{std::llround(seconds * 1000.0)}}; }

struct GapLine {
    Pet from, to;
    std::string reason;
};

/// One row of the chart below the sun and coverage.
struct Row {
    enum class Kind : std::uint8_t { link, own, worksite } kind;
    std::size_t at = 0;               ///< index of the link or worksite
    std::string condition, worksite;  ///< own
    double height(double stretch) const { return kind == Kind::link ? link_h : row_h * stretch; }
};

std::vector<Row> rows_of(const SkySpan& s) {
    std::vector<Row> rows;
    if (s.survey)
        for (std::size_t i = 0; i < s.survey->links.size(); ++i) rows.push_back({Row::Kind::link, i, {}, {}});
    for (const auto& [key, list] : s.outing.windows.all()) {
        const std::string& condition = key.first;
        const bool elsewhere = condition == "daylight" || condition == "coverage" || condition == "lit" ||
                               condition == "shadowed" || condition == "glare";
        if (!elsewhere) rows.push_back({Row::Kind::own, 0, condition, key.second});
    }
    if (s.windows.knows("lit"))
        for (std::size_t i = 0; i < s.outing.station.worksites.size(); ++i)
            rows.push_back({Row::Kind::worksite, i, {}, {}});
    return rows;
}

std::vector<GapLine> gaps_of(const SkySpan& s, const Wording& say) {
    std::vector<GapLine> gaps;
    if (s.survey && !s.outing.windows.knows("coverage")) {
        for (const sky::Gap& g : s.survey->gaps)
            gaps.push_back({pet_at(g.when.from_s), pet_at(g.when.to_s), said_again(g.reason, say)});
        return gaps;
    }
    Pet until = s.from;
    for (const Window& w : s.windows.of("coverage", "")) {
        if (until < w.from() && until < s.to) gaps.push_back({until, std::min(w.from(), s.to), say("sky.by_file")});
        until = std::max(until, w.to());
    }
    if (until < s.to) gaps.push_back({until, s.to, say("sky.by_file")});
    return gaps;
}

/// Draws the rows of one page.
class Painter {
public:
    /// `stretch` makes the rows of windows and worksites higher where the sheet has room.
    Painter(Canvas& canvas, const SkySpan& span, const TimeAxis& axis, double stretch, const Wording& say)
        : canvas_(canvas), s_(span), axis_(axis), row_h_(row_h * stretch), stretch_(stretch), say_(say) {}

    double header(int page, int pages) {
        double y = edge;
        canvas_.text({edge, y}, s_.outing.name + ": " + say_("title.sky"),
                     {.size = 13, .colour = palette::ink, .bold = true});
        if (pages > 1)
            canvas_.text({sheet.w - edge, y + 3}, say_("chart.sheet", {std::to_string(page), std::to_string(pages)}),
                         {.size = text_size, .colour = palette::muted, .align = Align::right});
        y += 18;
        const Milliseconds slip = s_.pet_zero - s_.outing.pet_zero;
        const std::string by = print_duration(std::chrono::round<Seconds>(std::chrono::abs(slip)));
        std::string line = slip == Milliseconds{0}
                               ? say_("sky.pet_zero", {print_utc(s_.pet_zero)})
                               : say_(slip < Milliseconds{0} ? "sky.pet_zero_earlier" : "sky.pet_zero_later",
                                      {print_utc(s_.pet_zero), by, print_utc(s_.outing.pet_zero)});
        if (s_.survey) {
            const sky::Elements& e = s_.survey->orbit.elements;
            const sky::Sgp4& model = s_.survey->orbit.model;
            const auto tenths = [&](double value) { return say_.number(fmt::format("{:.1f}", value)); };
            line +=
                " · " + say_("sky.orbit", {e.object.empty() ? e.catalogue : e.object,
                                           fmt::format("{:.0f} × {:.0f}", model.perigee_km(), model.apogee_km()),
                                           tenths(e.inclination.value()), tenths(model.period_min()),
                                           tenths(s_.survey->beta_start.value()), tenths(s_.survey->beta_end.value()),
                                           print_utc(nearest(e.epoch)).substr(0, 10)});
        } else {
            line += " · " + say_("sky.no_orbit");
        }
        canvas_.text({edge, y}, line, {.size = text_size + 0.5, .colour = palette::muted});
        y += 11;
        if (s_.survey)
            for (const std::string& warning : s_.survey->warnings)
                y = canvas_
                        .text_in({edge, y, sheet.w - 2 * edge, 22},
                                 say_("caution.word") + ": " + said_again(warning, say_),
                                 {.size = text_size, .colour = palette::amber, .bold = true})
                        .bottom() +
                    2;
        return y;
    }

    double axis_and_sun(double y) {
        y += 24;
        draw_axis(canvas_, axis_, s_.pet_zero, y, 7.5);
        y += 2;
        if (s_.windows.knows("daylight")) {
            label(say_("sky.sun"), y, sun_h, true);
            totals(say_("sky.in_sun", {hours(held(s_.windows, "daylight", "", s_.from, s_.to))}), y, sun_h);
            light_ground({axis_.left, y, axis_.right - axis_.left, sun_h}, true);
            y += sun_h + row_gap;
        }
        return y;
    }

    double coverage(double y, const std::vector<GapLine>& gaps) {
        if (!s_.windows.knows("coverage")) return y;
        label(say_("sky.coverage"), y, sun_h, true);
        totals(say_("sky.covered", {hours(held(s_.windows, "coverage", "", s_.from, s_.to))}), y, sun_h);
        canvas_.stroke(Path::rectangle({axis_.left, y, axis_.right - axis_.left, sun_h}), {palette::rule, 0.5});
        for (const Window& w : s_.windows.of("coverage", "")) {
            const auto box = box_of(w.from(), w.to(), y, sun_h);
            if (!box) continue;
            canvas_.fill(*box, palette::linked);
            canvas_.stroke(Path::rectangle(*box), {palette::linked_ink, 0.5});
            const std::array wordings{fmt::format("{} · {}", minutes_in(w.to() - w.from()), w.note()),
                                      minutes_in(w.to() - w.from())};
            words(*box, wordings, palette::linked_ink);
        }
        for (std::size_t i = 0; i < gaps.size(); ++i)
            if (const auto box = box_of(gaps[i].from, gaps[i].to, y, sun_h)) {
                canvas_.fill(*box, palette::paper);
                canvas_.pattern(*box, Pattern::dots, {palette::rule, 0.6}, 2.6);
                canvas_.stroke(Path::rectangle(*box), {palette::rule, 0.5});
                const std::string number = std::to_string(i + 1);
                const TextSize size = canvas_.measure(number, {.size = text_size, .bold = true});
                if (size.w + 3 > box->w) continue;
                canvas_.fill({box->centre().x - size.w / 2 - 1.5, y + 3.5, size.w + 3, sun_h - 7}, palette::paper);
                canvas_.text({box->centre().x, y + (sun_h - size.h) / 2}, number,
                             {.size = text_size, .colour = palette::ink, .bold = true, .align = Align::centre});
            }
        return y + sun_h + row_gap;
    }

    double row(const Row& row, double y) {
        switch (row.kind) {
            case Row::Kind::link:
                link(s_.survey->links[row.at], y);
                break;
            case Row::Kind::own:
                own(row, y);
                break;
            case Row::Kind::worksite:
                worksite(s_.outing.station.worksites[row.at], y);
                break;
        }
        return y + row.height(stretch_) + row_gap;
    }

    double gap_list(double y, const std::vector<GapLine>& gaps, double room) {
        if (gaps.empty()) return y;
        const double width = (sheet.w - 2 * edge - 14) / 2;
        const std::size_t rows = (gaps.size() + 1) / 2;
        const auto fitting = static_cast<std::size_t>(std::max(0.0, std::floor((room - 12) / gap_line_h)));
        if (fitting == 0) return y;
        canvas_.text({edge, y}, say_("sky.gaps"), {.size = text_size, .colour = palette::ink, .bold = true});
        y += 10.5;
        const std::size_t shown = std::min(rows, fitting);
        for (std::size_t i = 0; i < gaps.size(); ++i) {
            const std::size_t column = i / rows, line = i % rows;
            if (line >= shown) continue;
            const bool last = line + 1 == shown && rows > shown;
            const std::array wordings{
                last ? say_("sky.more_gaps", {std::to_string(rows - shown + 1)})
                     : fmt::format("{}  {}–{} ({}): {}", i + 1, print_pet(gaps[i].from), print_pet(gaps[i].to),
                                   print_duration(by_the_clock(gaps[i].to, gaps[i].from)), gaps[i].reason)};
            draw_longest(canvas_,
                         {edge + static_cast<double>(column) * (width + 14), y + static_cast<double>(line) * gap_line_h,
                          width, text_size * 1.15},
                         wordings, {.size = text_size - 0.4, .colour = palette::ink});
        }
        return y + static_cast<double>(shown) * gap_line_h + 3;
    }

    void legend(double y) {
        double x = edge;
        const auto entry = [&](const std::string& text, const auto& draw) {
            const Box box{x, y, 18, 8};
            draw(box);
            canvas_.stroke(Path::rectangle(box), {palette::rule, 0.5});
            x = canvas_.text({x + 22, y - 0.3}, text, {.size = text_size, .colour = palette::ink}).right() + 12;
        };
        if (s_.windows.knows("daylight")) {
            entry(say_("sky.legend_sun"), [&](Box b) { canvas_.fill(b, palette::sunlit); });
            if (s_.survey) entry(say_("sky.penumbra"), [&](Box b) { penumbra(b); });
            entry(say_(s_.survey ? "sky.umbra" : "chart.dark"), [&](Box b) { canvas_.fill(b, palette::dark); });
        }
        if (s_.windows.knows("lit")) {
            entry(say_("sky.legend_shadowed"), [&](Box b) { shadowed(b); });
            entry(say_("sky.legend_glare", {say_.number(fmt::format("{:g}", s_.outing.station.glare_within.value()))}),
                  [&](Box b) {
                      canvas_.fill(b, palette::sunlit);
                      glare(b);
                  });
        }
        if (s_.windows.knows("coverage"))
            entry(say_("sky.legend_gap"), [&](Box b) { canvas_.pattern(b, Pattern::dots, {palette::rule, 0.6}, 2.6); });
    }

private:
    std::optional<Box> box_of(Pet from, Pet to, double y, double h) const {
        const double left = axis_.x(std::max(from, axis_.from)), right = axis_.x(std::min(to, axis_.to));
        if (right - left < 0.02) return std::nullopt;
        return Box{left, y, right - left, h};
    }
    void label(const std::string& text, double y, double h, bool bold) {
        const std::array wordings{text};
        draw_longest(canvas_, {edge, y + h / 2 - text_size * 0.6, label_w - 6, text_size * 1.2}, wordings,
                     {.size = text_size, .colour = palette::ink, .bold = bold});
    }
    void totals(const std::string& text, double y, double h) {
        canvas_.text({axis_.right + 6, y + h / 2 - text_size * 0.6}, text,
                     {.size = text_size - 0.4, .colour = palette::muted});
    }
    /// The longest wording that fits whole, or nothing: a cut number would mislead.
    void words(Box box, std::span<const std::string> wordings, Colour colour) {
        const TextStyle style{.size = text_size - 0.2};
        if (canvas_.measure(wordings.back(), style).w > box.w - 4.5) return;
        draw_longest(canvas_, {box.x + 2, box.y + box.h / 2 - text_size * 0.55, box.w - 4, text_size * 1.15}, wordings,
                     {.size = text_size - 0.2, .colour = colour, .align = Align::centre});
    }
    void penumbra(Box box) {
        canvas_.fill(box, palette::dusk);
        canvas_.pattern(box, Pattern::crossed, {palette::muted, 0.4}, 2.2);
    }
    void shadowed(Box box) {
        canvas_.fill(box, palette::quiet);
        canvas_.pattern(box, Pattern::falling, {palette::muted, 0.45}, 3);
    }
    /// A strip along the upper edge: it lies over whatever the worksite's own light is.
    void glare(Box box) {
        const Box strip{box.x, box.y, box.w, std::min(3.6, box.h * 0.45)};
        canvas_.fill(strip, palette::amber);
        canvas_.pattern(strip, Pattern::rising, {palette::amber_tint, 0.5}, 1.8);
    }
    /// Darkness, penumbra and sun as a ground; with words when it is the sun's own row.
    void light_ground(Box area, bool with_words) {
        canvas_.fill(area, s_.windows.knows("umbra") || s_.survey ? palette::sunlit : palette::dark);
        const auto each = [&](const char* condition, const auto& draw) {
            for (const Window& w : s_.windows.of(condition, ""))
                if (const auto box = box_of(w.from(), w.to(), area.y, area.h)) draw(*box, w.to() - w.from());
        };
        each("daylight", [&](Box box, Milliseconds length) {
            canvas_.fill(box, palette::sunlit);
            const std::array wordings{say_("sky.sun_for", {minutes_in(length)}), minutes_in(length)};
            if (with_words) words(box, wordings, palette::ink);
        });
        each("umbra", [&](Box box, Milliseconds length) {
            canvas_.fill(box, palette::dark);
            const std::array wordings{say_("sky.dark_for", {minutes_in(length)}), minutes_in(length)};
            if (with_words) words(box, wordings, palette::paper);
        });
        each("penumbra", [&](Box box, Milliseconds) { penumbra(box); });
        canvas_.stroke(Path::rectangle(area), {palette::rule, 0.5});
    }

    void link(const sky::Link& link, double y) {
        label(link.name, y, link_h, false);
        const double middle = y + link_h / 2;
        canvas_.line({axis_.left, middle}, {axis_.right, middle}, {palette::hair, 0.5});
        double sum = 0;
        for (std::size_t i = 0; i < link.in_view.size(); ++i) {
            const sky::Stretch& seen = link.in_view[i];
            sum += seen.to_s - seen.from_s;
            const auto box = box_of(pet_at(seen.from_s), pet_at(seen.to_s), middle - 2, 4);
            if (!box) continue;
            canvas_.fill(*box, palette::linked_ink);
            if (!link.ground) continue;
            const std::string words = fmt::format("{:.0f}°", link.highest[i].value());
            const TextStyle style{.size = text_size - 1, .colour = palette::ink};
            const double width = canvas_.measure(words, style).w;
            const double next = i + 1 < link.in_view.size() ? axis_.x(pet_at(link.in_view[i + 1].from_s)) : axis_.right;
            if (box->right() + 2 + width < next) canvas_.text({box->right() + 2, middle - 4}, words, style);
        }
        totals(say_("sky.in_view", {hours(Seconds{std::lround(sum)})}), y, link_h);
    }

    void own(const Row& row, double y) {
        std::string name = row.condition;
        for (const Worksite& w : s_.outing.station.worksites)
            if (w.id == row.worksite && !w.id.empty()) name += ", " + w.name;
        label(name, y, row_h_, false);
        canvas_.stroke(Path::rectangle({axis_.left, y, axis_.right - axis_.left, row_h_}), {palette::rule, 0.4});
        for (const Window& w : s_.windows.of(row.condition, row.worksite)) {
            const auto box = box_of(w.from(), w.to(), y, row_h_);
            if (!box) continue;
            canvas_.fill(*box, palette::linked);
            canvas_.stroke(Path::rectangle(*box), {palette::linked_ink, 0.5});
            const std::array wordings{w.note().empty() ? row.condition : w.note(), row.condition};
            words(*box, wordings, palette::linked_ink);
        }
        totals(hours(held(s_.windows, row.condition, row.worksite, s_.from, s_.to)), y, row_h_);
    }

    void worksite(const Worksite& site, double y) {
        label(site.name, y, row_h_, false);
        const Box area{axis_.left, y, axis_.right - axis_.left, row_h_};
        light_ground(area, false);
        for (const Window& w : s_.windows.of("shadowed", site.id))
            if (const auto box = box_of(w.from(), w.to(), y, row_h_)) shadowed(*box);
        for (const Window& w : s_.windows.of("lit", site.id))
            if (const auto box = box_of(w.from(), w.to(), y, row_h_)) {
                canvas_.fill(*box, palette::sunlit);
                const std::array wordings{say_("sky.lit_for", {minutes_in(w.to() - w.from())}),
                                          minutes_in(w.to() - w.from())};
                words(*box, wordings, palette::ink);
            }
        for (const Window& w : s_.windows.of("glare", site.id))
            if (const auto box = box_of(w.from(), w.to(), y, row_h_)) glare(*box);
        canvas_.stroke(Path::rectangle(area), {palette::rule, 0.5});
        const Seconds in_face = held(s_.windows, "glare", site.id, s_.from, s_.to);
        const std::string lit = hours(held(s_.windows, "lit", site.id, s_.from, s_.to));
        totals(in_face > Seconds{0} ? say_("sky.lit_glare", {lit, hours(in_face)}) : say_("sky.lit_for", {lit}), y,
               row_h_);
    }

    Canvas& canvas_;
    const SkySpan& s_;
    const TimeAxis& axis_;
    double row_h_, stretch_;
    const Wording& say_;
};

std::string description(const SkySpan& s, const std::vector<GapLine>& gaps, const Wording& say) {
    std::string out =
        say("sky.description", {s.outing.name, print_pet(s.from), print_pet(s.to), print_utc(s.pet_zero)});
    for (const Window& w : s.windows.of("daylight", ""))
        if (w.from() < s.to && s.from < w.to())
            out += " " + say("sky.description_sun", {print_pet(w.from()), print_pet(w.to())});
    for (const GapLine& gap : gaps) out += " " + say("sky.description_gap", {print_pet(gap.from), print_pet(gap.to)});
    return out + " " + say.caution();
}

}  // namespace

std::vector<Canvas> sky_chart(const SkySpan& s, const ChartOrigin& origin) {
    const Wording& say = origin.say;
    const TimeAxis axis{s.from, s.to, edge + label_w, sheet.w - edge - totals_w};
    const std::vector<Row> rows = rows_of(s);
    const std::vector<GapLine> gaps = s.windows.knows("coverage") ? gaps_of(s, say) : std::vector<GapLine>{};
    const double floor_y = sheet.h - edge - footer_h;
    // What the last sheet needs below the rows: up to half of the gaps' lines a column, and the legend.
    const double tail =
        14 + (gaps.empty() ? 0.0 : 13 + std::min(6.0, std::ceil(static_cast<double>(gaps.size()) / 2)) * gap_line_h);
    const double head =
        2 * group_gap + edge + 31 + (s.survey && !s.survey->warnings.empty() ? 24 : 0) + 26 + 2 * (sun_h + row_gap);

    std::vector<std::vector<Row>> pages(1);
    double used = head, fixed = 0;
    for (const Row& row : rows) {
        if (used + row.height(1) + row_gap > floor_y - tail && !pages.back().empty()) {
            pages.emplace_back();
            used = head;
        }
        pages.back().push_back(row);
        used += row.height(1) + row_gap;
        if (row.kind == Row::Kind::link) fixed += row.height(1) + row_gap;
    }
    // One sheet with room to spare: higher rows, up to twice as high.
    const double free_rows = used - head - fixed;
    const double stretch =
        pages.size() > 1 || free_rows <= 0 ? 1.0 : std::clamp((floor_y - tail - head - fixed) / free_rows, 1.0, 1.8);
    std::vector<Canvas> out;
    for (std::size_t p = 0; p < pages.size(); ++p) {
        Canvas canvas(sheet, Unit::point, s.outing.name + ": " + say("title.sky"), description(s, gaps, say));
        canvas.fill(Box{0, 0, sheet.w, sheet.h}, palette::paper);
        Painter painter(canvas, s, axis, stretch, say);
        double at = painter.header(static_cast<int>(p) + 1, static_cast<int>(pages.size()));
        at = painter.axis_and_sun(at);
        at = painter.coverage(at, gaps);
        for (std::size_t i = 0; i < pages[p].size(); ++i) {
            if (i > 0 && pages[p][i].kind != pages[p][i - 1].kind) at += group_gap;
            at = painter.row(pages[p][i], at);
        }
        at += 4;
        painter.legend(at);
        at = painter.gap_list(at + 14, gaps, floor_y - at - 14);
        draw_chart_footer(canvas, s.outing, origin, {edge, 0, sheet.w - 2 * edge, sheet.h - 10});
        out.push_back(std::move(canvas));
    }
    return out;
}

}  // namespace handrail::brief
