#include <fmt/format.h>

#include <algorithm>

#include "check/rules.h"
#include "lifesupport/consumption.h"

/// What each suit has left at the end, and whether its wearer could come home at every moment before.
namespace handrail::checking {
namespace {

using lifesupport::Amounts;
using lifesupport::Consumable;
using lifesupport::consumable_count;

/// Sums in another order than the planner's differ in the last digits; a billionth of what the suit has is rounding.
bool exceeds(double drawn, double capacity) { return drawn > capacity * (1 + 1e-9); }

class SuitRun {
public:
    SuitRun(Replay& replay, Report& report, Crew c)
        : replay_(replay),
          report_(report),
          crew_(c),
          suit_(replay.outing.suit_of(c)),
          capacity_(lifesupport::capacity(suit_)),
          reserve_(lifesupport::reserve(suit_)),
          daylight_(replay.windows.of("daylight", "")),
          daylight_known_(replay.windows.knows("daylight")) {}

    void run();

private:
    /// The first and the worst moment at which something is too little.
    struct Trouble {
        Pet first{}, worst_at{};
        double worst = 0;
        double home_s = 0;  ///< how long coming home would have taken at the worst moment
        void see(Pet t, double amount, Seconds home) {
            if (amount <= 0) return;
            if (worst == 0) first = t;
            if (amount <= worst) return;
            worst = amount;
            worst_at = t;
            home_s = static_cast<double>(home.count());
        }
    };

    bool sunlit(Pet from, Pet to) const;
    void draw(Effort effort, Pet from, Pet to);
    Amounts rate(Effort effort, bool in_sunlight) const;
    void turn_back_at(const Stage& stage);
    void say_consumables(Pet at);
    void say_turn_back();

    Replay& replay_;
    Report& report_;
    Crew crew_;
    const SuitType& suit_;
    Amounts capacity_, reserve_;
    std::span<const Window> daylight_;
    bool daylight_known_;

    Amounts drawn_{};
    std::array<Trouble, consumable_count> too_little_{};
    Trouble too_late_;
    std::optional<Pet> no_way_;
    WorksiteId no_way_from_{};
};

bool SuitRun::sunlit(Pet from, Pet to) const {
    if (!daylight_known_) return true;
    const Pet middle = from + (to - from) / 2;
    return std::ranges::any_of(daylight_, [&](const Window& w) { return w.from() <= middle && middle < w.to(); });
}

Amounts SuitRun::rate(Effort effort, bool in_sunlight) const {
    const Watts metabolic = lifesupport::metabolic_rate(replay_.outing.rules, replay_.outing.person(crew_), effort);
    return lifesupport::draw_per_second(suit_, metabolic, in_sunlight);
}

void SuitRun::draw(Effort effort, Pet from, Pet to) {
    if (from >= to) return;
    const Amounts per_second = rate(effort, sunlit(from, to));
    const double duration_s = static_cast<double>((to - from).count()) / 1000.0;
    for (std::size_t i = 0; i < consumable_count; ++i) drawn_[i] += per_second[i] * duration_s;
}

void SuitRun::run() {
    Pet busy_until{};
    bool before_clean_up = true;
    for (const Stage& stage : replay_.of(crew_)) {
        const Activity& activity = *stage.activity;
        draw(Effort::rest, busy_until, activity.start);
        draw(effort_of(replay_.outing, activity, stage.load_before), activity.start, activity.end());
        busy_until = std::max(busy_until, activity.end());
        if (&activity == replay_.clean_up) before_clean_up = false;
        if (before_clean_up) turn_back_at(stage);
        if (&activity == replay_.ingress) break;
    }
    say_consumables(busy_until);
    say_turn_back();
}

/// What coming home from the end of this activity would take: close-ups, the way, clean-up, ingress.
void SuitRun::turn_back_at(const Stage& stage) {
    const Outing& outing = replay_.outing;
    const Pet now = stage.activity->end();
    Amounts needed = drawn_;
    Seconds time{0};
    const auto add = [&](Effort effort, Seconds duration) {
        const Amounts per_second = rate(effort, true);
        for (std::size_t i = 0; i < consumable_count; ++i)
            needed[i] += per_second[i] * static_cast<double>(duration.count());
        time += duration;
    };
    for (const StepId id : replay_.close_ups_left(crew_, now)) {
        const Step& step = outing.step(id);
        add(step.effort, planned_duration(outing, step, replay_.lead[index(step.task)]));
    }
    const std::optional<Seconds> way = replay_.ways.home(crew_, stage.after, stage.anchor_after, stage.load_after);
    if (!way) {
        if (!no_way_) {
            no_way_ = now;
            no_way_from_ = stage.after;
        }
        return;
    }
    add(Effort::translate, *way);
    add(Effort::light, outing.rules.clean_up);
    add(Effort::airlock, outing.rules.ingress);
    for (std::size_t i = 0; i < consumable_count; ++i)
        if (exceeds(needed[i] + reserve_[i], capacity_[i]))
            too_little_[i].see(now, needed[i] + reserve_[i] - capacity_[i], time);
    const Milliseconds late = now + time - Pet{outing.rules.limit};
    too_late_.see(now, static_cast<double>(late.count()) / 1000.0, time);
}

void SuitRun::say_consumables(Pet at) {
    for (std::size_t i = 0; i < consumable_count; ++i) {
        if (!exceeds(drawn_[i] + reserve_[i], capacity_[i])) continue;
        const auto consumable = static_cast<Consumable>(i);
        const double over = drawn_[i] + reserve_[i] - capacity_[i];
        report_.add(
            "consumable", {lane_of(crew_)}, at, {over, lifesupport::unit(consumable)},
            fmt::format("{} draws {:.3g} {} of {} and {:.3g} is the reserve, but the suit has {:.3g}: {:.3g} {} "
                        "too little. Shorten or lighten the work.",
                        name(crew_), drawn_[i], lifesupport::unit(consumable), lifesupport::word(consumable),
                        reserve_[i], capacity_[i], over, lifesupport::unit(consumable)));
    }
}

void SuitRun::say_turn_back() {
    const auto home = [](const Trouble& trouble) {
        return print_duration(Seconds{static_cast<Seconds::rep>(trouble.home_s)});
    };
    for (std::size_t i = 0; i < consumable_count; ++i) {
        const Trouble& trouble = too_little_[i];
        if (trouble.worst == 0) continue;
        const auto consumable = static_cast<Consumable>(i);
        report_.add(
            "turn-back", {lane_of(crew_)}, trouble.first, {trouble.worst, lifesupport::unit(consumable)},
            fmt::format("from {} {} could not come home with the {} reserve kept; worst at {}, when coming home "
                        "takes {} and {:.3g} {} are missing. Turn back earlier.",
                        clock(trouble.first), name(crew_), lifesupport::word(consumable), clock(trouble.worst_at),
                        home(trouble), trouble.worst, lifesupport::unit(consumable)));
    }
    if (too_late_.worst > 0)
        report_.add(
            "turn-back", {lane_of(crew_)}, too_late_.first, {too_late_.worst, "s"},
            fmt::format("from {} {} could not be inside by the hard end; worst at {}, when coming home takes {}. "
                        "Turn back earlier.",
                        clock(too_late_.first), name(crew_), clock(too_late_.worst_at), home(too_late_)));
    if (no_way_)
        report_.add("turn-back", {lane_of(crew_)}, *no_way_, {},
                    fmt::format("from {} no way leads {} home from {} with the tether in reach.", clock(*no_way_),
                                name(crew_), replay_.site_name(no_way_from_)));
}

}  // namespace

void check_suits(Replay& replay, Report& report) {
    for (const Crew c : both_crew) SuitRun(replay, report, c).run();
}

}  // namespace handrail::checking
