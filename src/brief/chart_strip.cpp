#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "brief/chart_parts.h"
#include "brief/codes.h"
#include "brief/glyphs.h"
#include "brief/labels.h"
#include "brief/palette.h"

namespace handrail::brief::chart {
namespace {

// Heights of a strip's rows, in multiples of the base font size.
constexpr double axis_h = 2.9, band_h = 1.5, band_gap = 0.4, ribbon_h = 1.45, bar_h = 1.65, between_h = 1.1;
constexpr double side_h = 2.45, side_gap = 0.35, flags_h = 1.5, before_h = 1.0;

/// Where the tiers of one strip lie, in canvas units.
struct Rows {
    double bands, lanes, bottom;
    std::array<double, 2> ribbon, bar, steps, before;  ///< by Crew; EV2 is EV1 mirrored, so shared steps join up
    double step_h, side;
};
Rows rows_of(const Scene& scene, const Strip& strip) {
    const double u = scene.u, before = scene.options.planned_before != nullptr ? before_h * u : 0;
    Rows r{};
    r.step_h = strip.step_height;
    r.bands = strip.top + axis_h * u;
    r.lanes = r.bands + (static_cast<double>(scene.rows.size()) * band_h + band_gap) * u;
    r.ribbon[0] = r.lanes;
    r.bar[0] = r.ribbon[0] + ribbon_h * u;
    r.steps[0] = r.bar[0] + bar_h * u;
    r.before[0] = r.steps[0] + r.step_h;
    r.before[1] = r.before[0] + before + between_h * u;
    r.steps[1] = r.before[1] + before;
    r.bar[1] = r.steps[1] + r.step_h;
    r.ribbon[1] = r.bar[1] + bar_h * u;
    r.side = r.ribbon[1] + (ribbon_h + side_gap) * u;
    r.bottom = r.side + static_cast<double>(scene.side_lanes.size()) * (side_h + side_gap) * u - side_gap * u;
    return r;
}

const palette::Tone& tone(TaskId task) { return palette::tasks[index(task) % palette::tasks.size()]; }

/// Draws everything that happens in one strip.
class StripPainter {
public:
    StripPainter(Canvas& canvas, const Scene& scene, const Strip& strip)
        : canvas_(canvas), scene_(scene), strip_(strip), axis_(strip.axis), rows_(rows_of(scene, strip)), u_(scene.u) {}

    void draw() {
        grounds();
        for (std::size_t i = 0; i < scene_.rows.size(); ++i) {
            const double top = rows_.bands + static_cast<double>(i) * band_h * u_;
            draw_band(canvas_, scene_, scene_.rows[i], axis_, top, (band_h - 0.15) * u_);
            canvas_.text_in({axis_.left - 9.6 * u_, top + 0.2 * u_, 9.2 * u_, 1.2 * u_}, scene_.rows[i].title,
                            {.size = 0.88 * u_, .colour = palette::muted, .align = Align::right});
        }
        draw_axis(canvas_, axis_, scene_.timeline.pet_zero, strip_.top + (axis_h - 0.15) * u_, u_);
        for (const Crew crew : both_crew) {
            ribbon(crew);
            for (const TaskRun& run : runs_on(scene_.outing, scene_.timeline, lane_of(crew))) bar(crew, run);
            if (scene_.options.planned_before != nullptr) before(crew);
            waits(crew);
        }
        for (const Activity& activity : scene_.timeline.activities) block(activity);
        ties();
        draw_limits(canvas_, scene_, axis_, rows_.lanes, rows_.bottom, 2 * u_);
        names();
    }

private:
    bool seen(Pet from, Pet to) const { return from < axis_.to && axis_.from < to; }
    /// The part of [from, to) on this strip; its height is the caller's.
    Box columns(Pet from, Pet to, double top, double height) const {
        const double left = axis_.x(std::max(from, axis_.from)), right = axis_.x(std::min(to, axis_.to));
        return {left, top, right - left, height};
    }

    void grounds() {
        for (const Crew crew : both_crew) {
            const double top = crew == Crew::ev1 ? rows_.ribbon[0] : rows_.before[1];
            const double end = crew == Crew::ev1 ? rows_.before[0] : rows_.ribbon[1] + ribbon_h * u_;
            canvas_.fill({axis_.left, top, axis_.right - axis_.left, end - top}, palette::lane);
            draw_dusk(canvas_, scene_, axis_, top, end - top);
        }
        for (std::size_t i = 0; i < scene_.side_lanes.size(); ++i)
            canvas_.fill({axis_.left, side_top(i), axis_.right - axis_.left, side_h * u_}, palette::lane);
        draw_grid(canvas_, axis_, rows_.lanes, rows_.bottom, u_);
    }

    double side_top(std::size_t i) const { return rows_.side + static_cast<double>(i) * (side_h + side_gap) * u_; }

    void names() {
        const double right = axis_.left - 0.7 * u_, width = 9.2 * u_;
        for (const Crew crew : both_crew) {
            const std::size_t c = index(crew);
            const double middle = rows_.steps[c] + rows_.step_h / 2;
            canvas_.text({right, middle - 1.9 * u_}, word(crew),
                         {.size = 1.75 * u_, .colour = palette::ink, .bold = true, .align = Align::right});
            canvas_.text_in({right - width, middle + 0.35 * u_, width, 2.4 * u_}, scene_.outing.person(crew).name,
                            {.size = 0.95 * u_, .colour = palette::muted, .align = Align::right});
            canvas_.text({right, rows_.ribbon[c] + 0.15 * u_}, scene_.options.say("where_row"),
                         {.size = 0.88 * u_, .colour = palette::muted, .align = Align::right});
            canvas_.text({right, rows_.bar[c] + 0.25 * u_}, scene_.options.say("chart.task"),
                         {.size = 0.88 * u_, .colour = palette::muted, .align = Align::right});
        }
        for (std::size_t i = 0; i < scene_.side_lanes.size(); ++i) {
            canvas_.text({right, side_top(i) + 0.5 * u_}, scene_.options.say.lane(scene_.side_lanes[i]),
                         {.size = 1.2 * u_, .colour = palette::ink, .bold = true, .align = Align::right});
            bool idle = true;
            for (const Activity* activity : on_lane(scene_.timeline, scene_.side_lanes[i]))
                idle = idle && !seen(activity->start, activity->end());
            if (idle)
                canvas_.text({axis_.left + 0.4 * u_, side_top(i) + 0.6 * u_}, scene_.options.say("chart.idle"),
                             {.size = 0.88 * u_, .colour = palette::muted, .italic = true});
        }
        if (strip_.of > 1)
            canvas_.text(
                {axis_.left - 9.9 * u_, strip_.top + 0.1 * u_},
                scene_.options.say("chart.part_of", {std::to_string(strip_.number), std::to_string(strip_.of)}),
                {.size = 0.95 * u_, .colour = palette::ink, .bold = true});
    }

    void ribbon(Crew crew) {
        const double top = rows_.ribbon[index(crew)], line = top + 0.72 * u_;
        for (const Stay& stay : stays_of(scene_.outing, scene_.timeline, crew)) {
            if (!seen(stay.from, stay.to)) continue;
            const Box box = columns(stay.from, stay.to, top, ribbon_h * u_);
            if (stay.moving) {
                canvas_.line({box.x, line}, {box.right(), line}, {palette::ink, 0.13 * u_, Dash::dotted});
                continue;
            }
            const TextStyle style{.size = 0.9 * u_, .colour = palette::ink, .italic = true};
            const std::array wordings{stay.where};
            const Box words =
                draw_longest(canvas_, {box.x + 0.4 * u_, top + 0.2 * u_, box.w - 0.8 * u_, 1.1 * u_}, wordings, style);
            const double end = words.w > 0 ? words.right() + 0.4 * u_ : box.x;
            if (end < box.right()) canvas_.line({end, line}, {box.right(), line}, {palette::rule, 0.09 * u_});
            canvas_.line({box.x, top + 0.3 * u_}, {box.x, top + 1.15 * u_}, {palette::rule, 0.09 * u_});
        }
    }

    void bar(Crew crew, const TaskRun& run) {
        if (!seen(run.from, run.to)) return;
        draw_task_bar(canvas_, scene_, run.task, columns(run.from, run.to, rows_.bar[index(crew)], bar_h * u_),
                      axis_.from <= run.from, run.to <= axis_.to);
    }

    /// The same steps where the plan of before had them: a thin row at the edge the two lanes share.
    void before(Crew crew) {
        const double top = rows_.before[index(crew)] + 0.1 * u_, height = (before_h - 0.2) * u_;
        for (const Activity* activity : on_lane(*scene_.options.planned_before, lane_of(crew))) {
            if (!seen(activity->start, activity->end())) continue;
            const Box box = columns(activity->start, activity->end(), top, height);
            canvas_.stroke(Path::rectangle(box), {palette::rule, 0.07 * u_, Dash::dashed});
            if (!activity->step) continue;
            const std::array code{step_code(scene_.outing, *activity->step)};
            if (canvas_.measure(code[0], {.size = 0.72 * u_}).w < box.w)
                canvas_.text({box.centre().x, top}, code[0],
                             {.size = 0.72 * u_, .colour = palette::muted, .align = Align::centre, .line_pitch = 1.1});
        }
    }

    void waits(Crew crew) {
        const std::vector<const Activity*> lane = on_lane(scene_.timeline, lane_of(crew));
        const double top = rows_.steps[index(crew)], middle = top + rows_.step_h / 2;
        for (std::size_t i = 1; i < lane.size(); ++i) {
            const Pet from = lane[i - 1]->end(), to = lane[i]->start;
            if (to <= from || !seen(from, to)) continue;
            const Box gap = columns(from, to, top, rows_.step_h).inset(0.15 * u_, 0);
            if (gap.w <= 0) continue;
            const std::string words =
                scene_.options.say("chart.wait", {print_short(std::chrono::floor<Seconds>(to - from))});
            const TextStyle style{.size = 0.88 * u_, .colour = palette::muted, .italic = true, .align = Align::centre};
            const TextSize size = canvas_.measure(words, style);
            if (size.w <= gap.w) {
                canvas_.text({gap.centre().x, middle - 1.3 * u_}, words, style);
                canvas_.line({gap.x, middle}, {gap.right(), middle}, {palette::rule, 0.12 * u_, Dash::dotted});
            } else if (size.h <= gap.w) {
                canvas_.text_in({gap.centre().x - size.h / 2, top, size.h, rows_.step_h}, words, style, Turn::up);
            } else {
                canvas_.line({gap.x, middle}, {gap.right(), middle}, {palette::rule, 0.12 * u_, Dash::dotted});
            }
        }
    }

    void block(const Activity& activity) {
        if (!seen(activity.start, activity.end())) return;
        const bool ev1 = activity.on(Lane::ev1), ev2 = activity.on(Lane::ev2);
        if (ev1 && ev2)
            body(activity, columns(activity.start, activity.end(), rows_.steps[0],
                                   rows_.steps[1] + rows_.step_h - rows_.steps[0]));
        else if (ev1 || ev2)
            body(activity, columns(activity.start, activity.end(), rows_.steps[ev1 ? 0 : 1], rows_.step_h));
        for (std::size_t i = 0; i < scene_.side_lanes.size(); ++i)
            if (activity.on(scene_.side_lanes[i]))
                side(activity, scene_.side_lanes[i], columns(activity.start, activity.end(), side_top(i), side_h * u_));
    }

    void outline(const Activity& activity, Box box, Colour ground, Colour edge) {
        canvas_.fill(box, ground);
        canvas_.stroke(Path::rectangle(box.inset(0.04 * u_)), {edge, 0.08 * u_});
        if (!activity.as_run) return;
        canvas_.fill({box.x, box.bottom() - 0.34 * u_, box.w, 0.34 * u_}, palette::ink);
    }

    void body(const Activity& activity, Box box) {
        if (!activity.step) return has_glyph(activity.kind) ? small(activity, box) : common(activity, box);
        const TaskId task = scene_.outing.step(*activity.step).task;
        outline(activity, box, tone(task).tint, tone(task).deep);
        const std::string code = step_code(scene_.outing, *activity.step);
        labelled(activity, box.inset(0.28 * u_, 0.2 * u_), code, scene_.outing.step(*activity.step).name,
                 tone(task).deep);
    }

    /// Egress, clean-up and ingress.
    void common(const Activity& activity, Box box) {
        outline(activity, box, palette::quiet, palette::ink);
        labelled(activity, box.inset(0.28 * u_, 0.2 * u_), "", scene_.options.say.activity(activity.kind),
                 palette::ink);
    }

    /// Code, start and duration on the first line, the name below; all of it turned where the block is narrow.
    void labelled(const Activity& activity, Box box, const std::string& code, const std::string& name, Colour deep) {
        const TextStyle head{.size = 0.86 * u_, .colour = deep, .bold = true};
        const TextStyle words{.size = u_, .colour = palette::ink, .line_pitch = 1.12};
        const std::string start = print_pet(activity.start), length = print_short(activity.duration);
        const std::string space = code.empty() ? "" : " ";
        const std::array wordings{fmt::format("{}{}{} · {}", code, space, start, length),
                                  fmt::format("{}{}{}", code, space, start), code.empty() ? start : code};
        const double head_h = 1.08 * u_;
        const bool level = canvas_.measure(name, words, box.w).whole || canvas_.measure(wordings[1], head).w <= box.w;
        if (level && canvas_.measure(wordings[2], head).w <= box.w) {
            draw_longest(canvas_, {box.x, box.y, box.w, head_h}, wordings, head);
            TextStyle larger = words;
            larger.size = 1.2 * u_;  // larger where it fits as it stands
            const TextSize size = canvas_.measure(name, larger, box.w);
            const bool roomy = size.whole && size.h <= box.h - head_h;
            draw_label(canvas_, {box.x, box.y + head_h, box.w, box.h - head_h}, name, roomy ? larger : words,
                       Turning::allowed);
            return;
        }
        // Narrow: code on top when there is room for it, the name turned below.
        double used = 0;
        if (!code.empty() && canvas_.measure(code, head).w <= box.w + 0.3 * u_) {
            canvas_.text({box.centre().x, box.y}, code,
                         {.size = 0.86 * u_, .colour = deep, .bold = true, .align = Align::centre});
            used = head_h;
        }
        const std::string turned = used > 0 || code.empty() ? name : code + " " + name;
        draw_label(canvas_, {box.x, box.y + used, box.w, box.h - used}, turned, words, Turning::allowed);
    }

    void small(const Activity& activity, Box box) {
        outline(activity, box, palette::quiet, palette::rule);
        const double side = std::min(1.15 * u_, box.w * 0.9);
        if (side >= 0.45 * u_)
            draw_glyph(canvas_, {box.centre().x - side / 2, box.y + 0.3 * u_, side, side}, activity.kind, palette::ink);
        const Box below{box.x + 0.1 * u_, box.y + 1.6 * u_, box.w - 0.2 * u_, box.h - 1.8 * u_};
        if (below.w < 0.85 * u_) return;
        draw_label(canvas_, below, small_words(activity),
                   {.size = 0.9 * u_, .colour = palette::muted, .line_pitch = 1.1}, Turning::allowed);
    }

    std::string small_words(const Activity& activity) const {
        if (activity.kind == ActivityKind::translate && !activity.path.empty())
            return scene_.options.say("chart.to", {scene_.outing.worksite(activity.path.back()).name});
        std::string words = scene_.options.say.activity(activity.kind);
        for (std::size_t i = 0; i < activity.items.size(); ++i)
            words += (i == 0 ? ": " : ", ") + scene_.outing.item(activity.items[i]).name;
        return words;
    }

    void side(const Activity& activity, Lane lane, Box box) {
        if (activity.kind == ActivityKind::arm_move) {
            outline(activity, box, palette::quiet, palette::rule);
            const double size = std::min(1.15 * u_, box.w * 0.9);
            draw_glyph(canvas_, {box.x + std::min(0.2 * u_, (box.w - size) / 2), box.y + 0.2 * u_, size, size},
                       activity.kind, palette::ink);
            const Box rest{box.x + 1.6 * u_, box.y + 0.2 * u_, box.w - 1.8 * u_, box.h - 0.3 * u_};
            if (rest.w > 2.5 * u_ && !activity.path.empty())
                draw_label(canvas_, rest,
                           scene_.options.say("chart.to", {scene_.outing.worksite(activity.path.back()).name}),
                           {.size = 0.9 * u_, .colour = palette::muted, .line_pitch = 1.1}, Turning::never);
            return;
        }
        if (!activity.step) return;
        const Step& step = scene_.outing.step(*activity.step);
        outline(activity, box, tone(step.task).tint, tone(step.task).deep);
        const Box inner = box.inset(0.28 * u_, 0.15 * u_);
        const std::string code = step_code(scene_.outing, step.id), words = side_words(activity, step, lane);
        const TextStyle style{.size = 0.95 * u_, .colour = palette::ink, .line_pitch = 1.12};
        std::vector<std::string> wordings{code + " " + words};
        if (lane == Lane::arm && step.arm != ArmUse::none) {
            if (step.to) wordings.push_back(scene_.options.say("chart.carries_short", {code, riders(activity)}));
            wordings.push_back(scene_.options.say(step.arm == ArmUse::ride ? "chart.ride" : "chart.hold", {code}));
        }
        for (const std::string& wording : wordings) {
            const TextSize size = canvas_.measure(wording, style, inner.w);
            if (!size.whole || size.h > inner.h + 0.05 * u_) continue;
            canvas_.text_in(inner, wording, style);
            return;
        }
        // A short block: the code inside, the words beside it where the lane is free.
        draw_label(canvas_, inner, code, style, Turning::allowed);
        const Box beside{box.right() + 0.3 * u_, box.y + 0.15 * u_, free_after(activity, lane) - box.right() - 0.6 * u_,
                         box.h - 0.2 * u_};
        if (beside.w > 3 * u_) draw_label(canvas_, beside, words, style, Turning::never);
    }

    /// Where the next block of a lane begins, or the strip ends.
    double free_after(const Activity& activity, Lane lane) const {
        Pet next = axis_.to;
        for (const Activity* other : on_lane(scene_.timeline, lane))
            if (activity.end() <= other->start) next = std::min(next, other->start);
        return axis_.x(std::max(next, axis_.from));
    }

    std::string side_words(const Activity& activity, const Step& step, Lane lane) const {
        if (lane != Lane::arm || step.arm == ArmUse::none) return step.name;
        const std::string who = riders(activity);
        if (step.arm == ArmUse::hold) return scene_.options.say("chart.holds_for", {who});
        return step.to ? scene_.options.say("chart.carries_to", {who, scene_.outing.worksite(*step.to).name})
                       : scene_.options.say("chart.carries", {who});
    }

    std::string riders(const Activity& activity) const {
        const auto who = rider(scene_.outing, scene_.timeline, activity);
        return who ? std::string(word(*who)) : "";
    }

    /// Steps of the two that must start together: a tie across the gap between the lanes.
    void ties() {
        for (const Order& order : scene_.outing.orders) {
            if (!order.starts_together) continue;
            const Activity *a = find(order.before), *b = find(order.after);
            if (a == nullptr || b == nullptr || a->start != b->start) continue;
            if (!(a->on(Lane::ev1) && b->on(Lane::ev2)) && !(a->on(Lane::ev2) && b->on(Lane::ev1))) continue;
            if (a->start < axis_.from || axis_.to <= a->start) continue;
            const double x = axis_.x(a->start) + 0.45 * u_;
            const double top = rows_.steps[0] + rows_.step_h, bottom = rows_.steps[1];
            canvas_.line({x, top}, {x, bottom}, {palette::ink, 0.16 * u_});
            canvas_.fill(Path::circle({x, top}, 0.28 * u_), palette::ink);
            canvas_.fill(Path::circle({x, bottom}, 0.28 * u_), palette::ink);
        }
    }

    const Activity* find(StepId step) const {
        for (const Activity& activity : scene_.timeline.activities)
            if (activity.step == step) return &activity;
        return nullptr;
    }

    Canvas& canvas_;
    const Scene& scene_;
    const Strip& strip_;
    const TimeAxis& axis_;
    Rows rows_;
    double u_;
};

}  // namespace

double least_step_height(const Scene& scene) { return 6.4 * scene.u; }
double most_step_height(const Scene& scene) { return 10.5 * scene.u; }

double strip_height(const Scene& scene, double step_height) {
    Strip strip{1, 1, {}, 0, step_height};
    return rows_of(scene, strip).bottom + flags_h * scene.u;
}

void draw_strip(Canvas& canvas, const Scene& scene, const Strip& strip) { StripPainter(canvas, scene, strip).draw(); }

void draw_task_bar(Canvas& canvas, const Scene& scene, TaskId id, Box bar, bool starts, bool ends) {
    const double u = scene.u;
    const Task& task = scene.outing.task(id);
    const palette::Tone& colours = tone(id);
    const Box box = bar.inset(0.06 * u, 0.14 * u);
    const bool solid = task.task_class == TaskClass::required, dashed = task.task_class == TaskClass::get_ahead;
    canvas.fill(box, solid ? colours.deep : dashed ? palette::paper : colours.tint);
    canvas.stroke(Path::rectangle(box), {colours.deep, 0.13 * u, dashed ? Dash::dashed : Dash::solid});
    const std::string code = task_code(id), value = scene.options.say.number(print_value(task.value));
    const std::string before = starts ? "" : "‹ ", after = ends ? "" : " ›";
    const std::array wordings{
        before +
            scene.options.say("chart.bar", {code, task.name, value, scene.options.say.task_class(task.task_class)}) +
            after,
        fmt::format("{}{}  {} · {}{}", before, code, task.name, value, after),
        fmt::format("{}{}  {}{}", before, code, task.name, after)};
    const TextStyle style{.size = 0.95 * u, .colour = solid ? palette::paper : palette::ink, .bold = true};
    const Box line{box.x + 0.3 * u, box.y + box.h / 2 - 0.56 * u, box.w - 0.6 * u, 1.12 * u};
    if (canvas.measure(wordings[2], style).w > line.w && line.w < 9 * u) {
        const std::array brief{fmt::format("{} · {}", code, value), code};
        if (canvas.measure(code, style).w <= line.w) draw_longest(canvas, line, brief, style);
        return;
    }
    draw_longest(canvas, line, wordings, style);
}

}  // namespace handrail::brief::chart
