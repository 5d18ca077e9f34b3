#include <fmt/format.h>

#include <algorithm>

#include "rehearse/crew_parts.h"

/// What is broken off, by the lead's word or because something happened to the whole outing.
namespace handrail::rehearse {

using namespace detail;
using plan::StepStatus;

namespace {

/// Longer than any day.
constexpr Pet for_good{Seconds{7 * 86400}};

bool uses_arm(const Step& step, const Activity& activity) { return step.arm != ArmUse::none || activity.on(Lane::arm); }

}  // namespace

/// Whatever `stops` is true of ends now, not done.
template <class Stops>
void World::stop_where(const Stops& stops, std::vector<Call>& calls) {
    for (std::size_t i = 0; i < running_.size();) {
        Running& running = running_[i];
        if (!running.activity.step || !stops(running.activity)) {
            ++i;
            continue;
        }
        const Step& step = outing_.step(*running.activity.step);
        // Who is being moved by the step ends where most of the way is.
        const bool most = 2 * (now_ - running.activity.start) > running.end - running.activity.start;
        for (const Crew crew : crew_in(step, lead_of(step.task)))
            if (step.at) at_[index(crew)] = step.to && most ? *step.to : *step.at;
        running.activity.duration = std::chrono::floor<Seconds>(now_ - running.activity.start);
        happened_.push_back({running.activity, running.planned, false});
        steps_[index(step.id)] = StepStatus::to_do;
        calls.push_back(say(Call::What::stopped, who_of(running.activity),
                            fmt::format("Stopping: {}. It is not done.", step.name), fmt::format("undo {}", step.label),
                            step.id));
        running_.erase(running_.begin() + static_cast<std::ptrdiff_t>(i));
    }
}

std::vector<Call> World::stop() {
    std::vector<Call> calls;
    // Going home waits for no talk.
    held_by_lead_ = false;
    if (talk_from_ && !said_talk_end_) {
        talk_until_ = now_;
        said_talk_end_ = true;
    }
    stop_where(
        [this](const Activity& activity) {
            return activity.step && has_crew(activity) && !outing_.step(*activity.step).close_up;
        },
        calls);
    return calls;
}

std::optional<Pet> World::next_mishap() const {
    std::optional<Pet> next;
    const auto offer = [&](Pet at) { next = std::min(next.value_or(at), at); };
    if (outside_ && !cleaning_up_ && befallen_.size() < mishap_at_.size())
        offer(std::max(mishap_at_[befallen_.size()], now_ + Seconds{1}));
    for (const Befallen& one : befallen_)
        if (one.mishap.length && !one.over) offer(one.at + *one.mishap.length);
    return next;
}

void World::mishaps(std::vector<Call>& calls) {
    for (Befallen& one : befallen_)
        if (one.mishap.length && !one.over && now_ >= one.at + *one.mishap.length) is_over(one, calls);
    const std::size_t next = befallen_.size();
    if (outside_ && !cleaning_up_ && next < mishap_at_.size() && now_ >= mishap_at_[next])
        befall(luck_.mishaps()[next], calls);
}

void World::befall(const Mishap& mishap, std::vector<Call>& calls) {
    befallen_.push_back({mishap, now_});
    switch (mishap.kind) {
        case Mishap::Kind::unable:
            becomes_unable(mishap.crew, calls);
            break;
        case Mishap::Kind::arm_lost:
            arm_works_ = false;
            calls.push_back(say(Call::What::trouble, "IV", "The arm has stopped and does not answer. It is lost to us.",
                                "arm lost"));
            stop_where([this](const Activity& a) { return uses_arm(outing_.step(*a.step), a); }, calls);
            break;
        case Mishap::Kind::no_coverage:
            loses_coverage(befallen_.back());
            calls.push_back(say(Call::What::trouble, "ground",
                                "We have lost coverage, and do not know when it comes back.", "no coverage"));
            break;
        case Mishap::Kind::hazard: {
            const Worksite& site = outing_.worksite(mishap.site);
            calls.push_back(
                say(Call::What::trouble, "ground",
                    fmt::format("Something is wrong at {}: nobody works there until we know more.", site.name),
                    fmt::format("{} closed", site.id)));
            stop_where(
                [&](const Activity& a) {
                    const Step& step = outing_.step(*a.step);
                    return has_crew(a) && (step.at == mishap.site || step.to == mishap.site);
                },
                calls);
            break;
        }
    }
}

void World::becomes_unable(Crew crew, std::vector<Call>& calls) {
    able_[index(crew)] = false;
    told_ = false;
    Call call = say(Call::What::unable, std::string(word(crew)), "I can do no more. I need help to come in.",
                    fmt::format("{} unable", word(crew)));
    call.of_health = true;
    calls.push_back(std::move(call));
    stop_where([&](const Activity& a) { return a.on(lane_of(crew)); }, calls);
}

void World::loses_coverage(const Befallen& one) {
    const Pet to = one.mishap.length ? one.at + *one.mishap.length : for_good;
    const auto lists = windows_.all();
    for (const auto& [key, list] : lists) {
        if (key.first != "coverage") continue;
        std::vector<Window> left;
        for (const Window& window : list) {
            if (window.from() < std::min(window.to(), one.at))
                left.emplace_back(window.from(), std::min(window.to(), one.at), window.note());
            if (std::max(window.from(), to) < window.to())
                left.emplace_back(std::max(window.from(), to), window.to(), window.note());
        }
        windows_.set(key.first, key.second, std::move(left));
    }
}

void World::is_over(Befallen& one, std::vector<Call>& calls) {
    one.over = now_;
    if (one.mishap.kind == Mishap::Kind::no_coverage)
        calls.push_back(say(Call::What::trouble, "ground", "We have coverage again.", "coverage back"));
    if (one.mishap.kind == Mishap::Kind::hazard) {
        const Worksite& site = outing_.worksite(one.mishap.site);
        calls.push_back(say(Call::What::trouble, "ground", fmt::format("{} is safe again.", site.name),
                            fmt::format("{} open", site.id)));
    }
}

/// Why this cannot be begun while a worksite is closed, and until when if that is known to pass. Nobody goes to a
/// closed worksite, whoever is there may leave.
std::optional<std::string> World::out_of_bounds(const Activity& activity, std::optional<Pet>& until) const {
    if (!has_crew(activity) || activity.kind == ActivityKind::clean_up || activity.kind == ActivityKind::ingress)
        return std::nullopt;
    for (const Befallen& one : befallen_) {
        if (one.mishap.kind != Mishap::Kind::hazard || one.over) continue;
        const Step* step = activity.step ? &outing_.step(*activity.step) : nullptr;
        const bool there = step ? step->at == one.mishap.site || step->to == one.mishap.site
                                : activity.kind != ActivityKind::tether_swap && !activity.path.empty() &&
                                      activity.path.back() == one.mishap.site;
        if (!there || activity.kind == ActivityKind::glove_check || activity.kind == ActivityKind::rest) continue;
        if (one.mishap.length) until = one.at + *one.mishap.length;
        return fmt::format("while {} is closed", outing_.worksite(one.mishap.site).name);
    }
    return std::nullopt;
}

}  // namespace handrail::rehearse
