#include "rehearse/debrief.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "live/status.h"
#include "rehearse/hindsight.h"

namespace handrail::rehearse {
namespace {

using plan::StepStatus;

// A record may trail what is said by so much without anybody noticing (practice).
constexpr Seconds prompt{2 * 60};
// A way home is not known to the minute beforehand (practice).
constexpr Seconds give_or_take{5 * 60};

Reached reached(const Rehearsal& rehearsal) {
    Reached result;
    const auto& steps = rehearsal.world().steps();
    for (const Task& task : rehearsal.outing().tasks) {
        if (!std::ranges::all_of(task.steps, [&](StepId id) { return steps[index(id)] == StepStatus::done; })) continue;
        result.tasks.push_back(task.id);
        if (task.task_class == TaskClass::required)
            ++result.required;
        else
            result.value += task.value;
    }
    return result;
}

std::optional<Seconds> beyond_reserve(const Rehearsal& rehearsal, Crew crew, Pet end) {
    const SuitType& suit = rehearsal.outing().suit_of(crew);
    const lifesupport::Amounts full = lifesupport::capacity(suit);
    const lifesupport::Amounts reserve = lifesupport::reserve(suit);
    const lifesupport::Amounts used = rehearsal.world().used(crew);
    const double elapsed = static_cast<double>((end - Pet{}) / Seconds{1});
    std::optional<Seconds> least;
    for (std::size_t i = 0; i < used.size(); ++i) {
        if (!std::isfinite(full[i]) || used[i] <= 0 || elapsed <= 0) continue;
        const auto left =
            Seconds{static_cast<std::int64_t>(std::floor((full[i] - reserve[i] - used[i]) / (used[i] / elapsed)))};
        if (!least || left < *least) least = left;
    }
    return least;
}

/// Coming home as it went: from when, what one would have allowed for it, and what it took.
struct WayHome {
    Pet from{};
    Seconds allowed{}, took{};
};
std::optional<WayHome> way_home(const Rehearsal& rehearsal, Pet in_at) {
    const Outing& outing = rehearsal.outing();
    WayHome home;
    home.from = Pet{} + outing.rules.egress;
    for (const Happened& one : rehearsal.world().happened()) {
        if (one.activity.kind == ActivityKind::egress) home.from = std::max(home.from, one.activity.end());
        const bool work = one.activity.step && (one.activity.on(Lane::ev1) || one.activity.on(Lane::ev2)) &&
                          !outing.step(*one.activity.step).close_up;
        if (work) home.from = std::max(home.from, one.activity.end());
    }
    if (rehearsal.stood_down_at()) home.from = std::max(home.from, *rehearsal.stood_down_at());
    for (const Crew crew : both_crew) {
        std::vector<Luck::Part> parts;
        for (const Happened& one : rehearsal.world().happened()) {
            if (one.activity.start < home.from || !one.activity.on(lane_of(crew))) continue;
            Luck::Part part{one.activity.kind, one.planned, one.activity.step, crew, crew};
            if (part.step)
                part.lead = rehearsal.world().instructions().lead_of(outing.step(*part.step).task).value_or(crew);
            parts.push_back(part);
        }
        home.allowed = std::max(home.allowed, rehearsal.luck().sure(parts));
    }
    home.allowed =
        Seconds{static_cast<std::int64_t>(static_cast<double>(home.allowed.count()) * rehearsal.pace(home.from))};
    home.took = std::chrono::floor<Seconds>(in_at - home.from);
    return home;
}

std::string minutes(Seconds s) { return fmt::format("{} min", (s.count() + 30) / 60); }

/// When one of them became unable, if the lead sent both home at once: then nothing was decided too late.
std::optional<Pet> came_in_for_the_unable(const Rehearsal& rehearsal, const WayHome& home) {
    for (const Befallen& one : rehearsal.world().befallen())
        if (one.mishap.kind == Mishap::Kind::unable && home.from <= one.at + give_or_take) return one.at;
    return std::nullopt;
}

void judge_way_home(const Rehearsal& rehearsal, Debrief& result) {
    const auto home = way_home(rehearsal, result.in_at);
    if (!home) return;
    const Pet start_by = result.limit - home->allowed;
    const auto unable = came_in_for_the_unable(rehearsal, *home);
    const bool in_time = home->from <= start_by + give_or_take || unable;
    if (!in_time)
        result.late.push_back(
            {"Home was started after the last moment from which it is enough with the wanted confidence", home->from,
             start_by});
    if (result.intact()) return;
    if (unable)
        result.impossible = fmt::format(
            "One of the two could do no more at {}; both started home at {}, which took {}. Nobody could have known.",
            print_pet(*unable), print_pet(home->from), minutes(home->took));
    else if (result.in_at > result.limit && in_time)
        result.impossible = fmt::format(
            "Home was started at {}, in time by what is known beforehand ({} are enough in {:.0f} of 100 outings), and "
            "took {}. Nobody could have known.",
            print_pet(home->from), minutes(home->allowed), 100 * rehearsal.luck().risk().confidence.value(),
            minutes(home->took));
}

/// A suit whose reserve is touched although the record of the day, at the moment of turning back, said it would not be.
void judge_suits(const Rehearsal& rehearsal, Debrief& result) {
    if (result.impossible) return;
    for (const Crew crew : both_crew) {
        const auto& left = result.suit_left[index(crew)];
        if (!left || *left >= Seconds{0}) continue;
        const auto home = way_home(rehearsal, result.in_at);
        if (!home) continue;
        const live::Day then = rehearsal.day(home->from);
        const auto suits =
            live::suits_of(rehearsal.outing(), then, live::come_in(rehearsal.outing(), then, live::ComeIn::orderly));
        const auto& by = suits[index(crew)].terminate.at;
        if (by && *by < home->from) {
            result.late.push_back(
                {fmt::format("{} turned back after the suit's last moment", word(crew)), home->from, *by});
            continue;
        }
        result.impossible = fmt::format(
            "{} worked at {:.0f} % of the planned rate and came in {} inside the reserve, though by every reading "
            "until "
            "the way home was started ({}) it would have lasted. Nobody could have known.",
            word(crew), 100 * rehearsal.luck().metabolic(crew), minutes(-*left), print_pet(home->from));
    }
}

void judge_gates(const Rehearsal& rehearsal, const std::vector<risk::Gate>& gates, Debrief& result) {
    for (const risk::Gate& gate : gates) {
        if (!gate.begin_until) continue;
        std::optional<Pet> begun;
        for (const Happened& one : rehearsal.world().happened())
            if (one.activity.step && rehearsal.outing().step(*one.activity.step).task == gate.task)
                begun = std::min(begun.value_or(one.activity.start), one.activity.start);
        if (begun && *begun > *gate.begin_until)
            result.late.push_back(
                {fmt::format("{} was begun after its agreed decision time", rehearsal.outing().task(gate.task).name),
                 *begun, *gate.begin_until});
    }
}

/// The kind of entry a call asks for; nothing when it asks for none.
std::string_view kind_for(Call::What what) {
    switch (what) {
        case Call::What::began:
            return "step_started";
        case Call::What::ended:
            return "step_finished";
        case Call::What::words:
        case Call::What::trouble:
        case Call::What::lost:
        case Call::What::unable:
        case Call::What::stopped:
        case Call::What::egress_done:
        case Call::What::home:
        case Call::What::hold:
        case Call::What::resume:
        case Call::What::reading:
            break;
    }
    return {};
}

std::string step_of(const live::Body& body) {
    if (const auto* started = std::get_if<live::StepStarted>(&body)) return started->step;
    if (const auto* finished = std::get_if<live::StepFinished>(&body)) return finished->step;
    return {};
}

/// How far the record was behind what was said: starts and ends of steps.
Delay recording(const Rehearsal& rehearsal) {
    Delay delay;
    Seconds sum{0};
    for (const Call& call : rehearsal.calls()) {
        const std::string_view wanted = kind_for(call.what);
        if (wanted.empty() || !call.step) continue;
        const std::string& label = rehearsal.outing().step(*call.step).label;
        const auto found = std::ranges::find_if(rehearsal.entries(), [&](const live::Recorded& recorded) {
            return kind(recorded.entry.body) == wanted && step_of(recorded.entry.body) == label &&
                   recorded.entry.logged >= rehearsal.utc(call.at);
        });
        if (found == rehearsal.entries().end()) {
            ++delay.never;
            continue;
        }
        ++delay.recorded;
        const Seconds after = std::chrono::floor<Seconds>(found->entry.logged - rehearsal.utc(call.at));
        sum += after;
        if (after > delay.longest) {
            delay.longest = after;
            delay.longest_call = call.line;
        }
    }
    if (delay.recorded > 0) delay.mean = sum / delay.recorded;
    return delay;
}

std::vector<Finding> broken(const Rehearsal& rehearsal) {
    CheckOptions facts;
    const auto& steps = rehearsal.world().steps();
    for (const Task& task : rehearsal.outing().tasks)
        if (!std::ranges::all_of(task.steps, [&](StepId id) { return steps[index(id)] == StepStatus::done; }))
            facts.dropped.push_back(task.id);
    for (const Struck& struck : rehearsal.world().struck())
        if (struck.lost) facts.lost.push_back(*struck.lost);
    std::vector<Finding> findings =
        check(rehearsal.outing(), rehearsal.world().windows(), rehearsal.world().as_run(), facts);
    std::erase_if(findings, [](const Finding& finding) {
        // What was not done is told above, and where an item was is not followed by the simulated crew to the second.
        return finding.severity == Severity::note || finding.rule == "required" || finding.rule == "whole-task" ||
               finding.rule == "item" || finding.rule == "capacity" || finding.rule == "returns" ||
               finding.rule == "route" || finding.rule == "place" || finding.rule == "tether";
    });
    return findings;
}

}  // namespace

bool Debrief::intact() const {
    if (!inside || in_at > limit) return false;
    return std::ranges::all_of(suit_left,
                               [](const std::optional<Seconds>& left) { return !left || *left >= Seconds{0}; });
}

Debrief debrief(const Rehearsal& rehearsal, const DebriefOptions& options) {
    const Outing& outing = rehearsal.outing();
    Debrief result;
    result.level = rehearsal.setup().level;
    result.seed = rehearsal.setup().seed;
    result.inside = rehearsal.over();
    result.limit = pet(outing.rules.limit);
    result.wanted_margin = outing.rules.margin;
    result.in_at = rehearsal.world().as_run().finish();
    for (const Task& task : outing.tasks) {
        if (task.task_class == TaskClass::required)
            ++result.required_in_all;
        else
            result.value_in_all += task.value;
    }
    for (const Crew crew : both_crew) result.suit_left[index(crew)] = beyond_reserve(rehearsal, crew, result.in_at);
    result.reached = reached(rehearsal);
    result.best = detail::best_possible(rehearsal, options.iterations, options.threads);
    // The search may miss what was reached; then what was reached is the best known.
    if (std::pair(result.reached.required, result.reached.value) > std::pair(result.best.required, result.best.value))
        result.best = result.reached;
    result.struck = rehearsal.world().struck();
    result.befallen = rehearsal.world().befallen();
    result.late_start = rehearsal.luck().late_start();
    if (rehearsal.world().talk_at() && rehearsal.luck().private_talk())
        result.private_talk = rehearsal.luck().private_talk()->length;
    judge_gates(rehearsal, options.gates, result);
    if (result.inside) {
        judge_way_home(rehearsal, result);
        judge_suits(rehearsal, result);
    }
    result.recording = recording(rehearsal);
    if (result.recording.longest > prompt)
        result.late.push_back({fmt::format("\"{}\" was recorded {} after it was said", result.recording.longest_call,
                                           minutes(result.recording.longest)),
                               Pet{}, Pet{}});
    result.findings = broken(rehearsal);
    return result;
}

}  // namespace handrail::rehearse
