#include "brief/axis.h"

#include <array>
#include <chrono>

#include "brief/palette.h"

namespace handrail::brief {
namespace {

using std::chrono::minutes;

/// Room one label needs, as a multiple of its font size.
constexpr double label_room = 4.2;

}  // namespace

std::vector<AxisTick> ticks(const TimeAxis& axis, double label_gap) {
    constexpr std::array<std::pair<int, int>, 5> steps{{{5, 1}, {10, 5}, {15, 5}, {30, 10}, {60, 15}}};
    auto [label, plain] = steps.back();
    for (const auto& [l, p] : steps)
        if (l * axis.per_minute() >= label_gap) {
            label = l;
            plain = p;
            break;
        }
    while (label * axis.per_minute() < label_gap) {  // many hours on a narrow sheet
        label *= 2;
        plain *= 2;
    }
    std::vector<AxisTick> out;
    const auto first = std::chrono::ceil<minutes>(axis.from.time_since_epoch()).count();
    const auto last = std::chrono::floor<minutes>(axis.to.time_since_epoch()).count();
    for (auto minute = first; minute <= last; ++minute) {
        if (minute % label == 0)
            out.push_back({Pet{minutes(minute)}, Tick::labelled});
        else if (minute % plain == 0)
            out.push_back({Pet{minutes(minute)}, Tick::plain});
    }
    return out;
}

std::string clock_utc(Pet at, Utc pet_zero) { return print_utc(to_utc(at, pet_zero)).substr(11, 5); }

double draw_axis(Canvas& canvas, const TimeAxis& axis, Utc pet_zero, double baseline, double size) {
    const double small = size * 0.86, pet_top = baseline - size * 2.75, utc_top = baseline - size * 1.55;
    const TextStyle pet_style{.size = size, .colour = palette::ink, .bold = true, .align = Align::centre};
    const TextStyle utc_style{.size = small, .colour = palette::muted, .align = Align::centre};
    for (const AxisTick& tick : ticks(axis, size * label_room)) {
        const double x = axis.x(tick.at);
        const bool labelled = tick.kind == Tick::labelled;
        canvas.line({x, baseline - size * (labelled ? 0.45 : 0.25)}, {x, baseline}, {palette::rule, 0.6});
        if (!labelled) continue;
        canvas.text({x, pet_top}, print_pet(tick.at), pet_style);
        canvas.text({x, utc_top}, clock_utc(tick.at, pet_zero), utc_style);
    }
    canvas.line({axis.left, baseline}, {axis.right, baseline}, {palette::rule, 0.8});
    const double name_x = axis.left - size * 1.8;
    canvas.text({name_x, pet_top}, "PET", {.size = size, .colour = palette::ink, .bold = true, .align = Align::right});
    canvas.text({name_x, utc_top}, "UTC", {.size = small, .colour = palette::muted, .align = Align::right});
    return baseline - pet_top;
}

void draw_grid(Canvas& canvas, const TimeAxis& axis, double top, double bottom, double size) {
    for (const AxisTick& tick : ticks(axis, size * label_room))
        canvas.line({axis.x(tick.at), top}, {axis.x(tick.at), bottom},
                    {palette::hair, tick.kind == Tick::labelled ? 0.7 : 0.35});
}

}  // namespace handrail::brief
