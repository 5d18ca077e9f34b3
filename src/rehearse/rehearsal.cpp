#include "rehearse/rehearsal.h"

#include <algorithm>

namespace handrail::rehearse {
namespace {

// Time to look round before it begins.
constexpr Seconds before_zero{2 * 60};

/// Entries after which the crew is told anew what to do.
bool is_decision(const live::Body& body) {
    return std::holds_alternative<live::PlanAdopted>(body) || std::holds_alternative<live::TaskDropped>(body) ||
           std::holds_alternative<live::StepSkipped>(body) || std::holds_alternative<live::StandDown>(body) ||
           std::holds_alternative<live::CrewAble>(body) || std::holds_alternative<live::ArmAvailable>(body) ||
           std::holds_alternative<live::Struck>(body) || std::holds_alternative<live::ConditionChanged>(body) ||
           std::holds_alternative<live::WorksiteClosed>(body) || std::holds_alternative<live::ItemReplaced>(body);
}

}  // namespace

Rehearsal::Rehearsal(OutingWithTexts source, Timeline plan, const Setup& setup)
    : source_(std::move(source)),
      plan_(std::move(plan)),
      setup_(setup),
      luck_(source_.outing, setup.level, setup.seed),
      source_of_windows_(live::windows_for(source_.outing)),
      table_(source_of_windows_(plan_.pet_zero)),
      world_(source_.outing, table_, plan_, luck_) {}

Pet Rehearsal::begins() const { return Pet{} - before_zero; }

live::Entry Rehearsal::opening() const {
    return live::opening(source_, "rehearsal", plan_, setup_.author, utc(begins()));
}

std::vector<Call> Rehearsal::advance(Pet to) {
    std::vector<Call> calls = world_.advance(to);
    calls_.insert(calls_.end(), calls.begin(), calls.end());
    return calls;
}

live::Day Rehearsal::day(Pet now) const {
    return live::fold(source_.outing, source_of_windows_, entries_, live::moment(entries_, utc(now)));
}

double Rehearsal::pace(Pet until) const {
    constexpr double an_hour = 3600;
    double took = an_hour;
    double planned = an_hour;
    for (const Happened& one : world_.happened()) {
        const bool counts = one.finished && one.activity.step && one.activity.end() <= until &&
                            luck_.strikes(*one.activity.step).empty();
        if (!counts) continue;
        took += static_cast<double>(one.activity.duration.count());
        planned += static_cast<double>(one.planned.count());
    }
    return std::max(1.0, took / planned);
}

std::vector<Call> Rehearsal::hear(const live::Recorded& recorded) {
    entries_.push_back(recorded);
    const live::Body& body = recorded.entry.body;
    std::vector<Call> calls;
    if (std::holds_alternative<live::HoldBegan>(body)) world_.hold();
    if (std::holds_alternative<live::Resumed>(body)) world_.resume();
    if (!is_decision(body)) return calls;
    const live::Day day = this->day(world_.now());
    world_.use(day.stands_in);
    if (std::holds_alternative<live::StandDown>(body) && day.stand_down && !stood_down_at_) {
        stood_down_at_ = world_.now();
        calls = world_.stop();
        calls_.insert(calls_.end(), calls.begin(), calls.end());
    }
    const live::Forecast forecast = live::carry_on(source_.outing, day);
    if (forecast.possible && forecast.timeline && !forecast.ahead.empty()) {
        Timeline ahead = *forecast.timeline;
        world_.follow(ahead);
    }
    return calls;
}

}  // namespace handrail::rehearse
