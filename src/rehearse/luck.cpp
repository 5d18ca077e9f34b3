#include "rehearse/luck.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "rehearse/practice.h"
#include "risk/distribution.h"
#include "risk/random.h"

namespace handrail::rehearse {
namespace {

using risk::QuantileTable;
using risk::detail::Draw;

constexpr std::array level_words{"none", "mild", "medium", "severe"};

double probability(const PracticeRate& rate, Level level) {
    switch (level) {
        case Level::none:
        case Level::mild:
            return 0;
        case Level::medium:
            return rate.medium;
        case Level::severe:
            return rate.severe;
    }
    return 0;
}

Duration3 extra(const PracticeRate& rate) {
    return {Seconds{60 * rate.low_min}, Seconds{60 * rate.likely_min}, Seconds{60 * rate.high_min}};
}

void add_trouble(Risk& risk, Trouble::Kind kind, Practice what, Level level, std::vector<StepId> steps) {
    const bool of_steps = kind == Trouble::Kind::delay || kind == Trouble::Kind::lost;
    if (of_steps && steps.empty()) return;
    const PracticeRate& rate = practice_rate(what);
    risk.troubles.push_back({kind, std::string(rate.words), Fraction{probability(rate, level)}, extra(rate),
                             Effort::tools, std::move(steps)});
}

void add_practice(const Outing& outing, Level level, Risk& risk) {
    std::vector<StepId> hard, with_tool;
    for (const Step& step : outing.steps) {
        const bool hand_work =
            step.effort == Effort::tools || step.effort == Effort::heavy || step.effort == Effort::forced;
        if (hand_work) hard.push_back(step.id);
        if (!step.needs.empty() && !step.close_up) with_tool.push_back(step.id);
    }
    add_trouble(risk, Trouble::Kind::delay, Practice::stuck, level, hard);
    add_trouble(risk, Trouble::Kind::lost, Practice::lost_tool, level, with_tool);
    add_trouble(risk, Trouble::Kind::late_start, Practice::late_start, level, {});
    add_trouble(risk, Trouble::Kind::hold, Practice::private_talk, level, {});
    if (level != Level::severe) return;
    risk.day *= severe_spread;
    risk.person *= severe_spread;
}

/// Worksites at which something is to be done, the airlock aside.
std::vector<WorksiteId> places_of_work(const Outing& outing) {
    std::vector<WorksiteId> sites;
    for (const Step& step : outing.steps)
        if (step.at && *step.at != outing.station.airlock && std::ranges::find(sites, *step.at) == sites.end())
            sites.push_back(*step.at);
    return sites;
}

bool waits_for_coverage(const Outing& outing) {
    return std::ranges::any_of(
        outing.steps, [](const Step& step) { return std::ranges::find(step.during, "coverage") != step.during.end(); });
}

Risk nothing_happens(Risk risk) {
    for (WorkClass& work : risk.work) work = {Spread::none, std::nullopt};
    risk.translation = risk.handling = risk.airlock = {1, 0};
    risk.day = risk.person = risk.metabolic = 0;
    risk.people.clear();
    risk.troubles.clear();
    return risk;
}

Seconds rounded(double seconds) { return Seconds{std::max<std::int64_t>(1, std::llround(seconds))}; }

/// What people say when asked: the nearest five minutes of the usual time.
Seconds told(const Trouble& trouble) {
    const std::int64_t fives = std::max<std::int64_t>(1, (trouble.extra.likely.count() + 150) / 300);
    return Seconds{300 * fives};
}

}  // namespace

std::string_view word(Mishap::Kind kind) {
    switch (kind) {
        case Mishap::Kind::unable:
            return "unable";
        case Mishap::Kind::arm_lost:
            return "arm lost";
        case Mishap::Kind::no_coverage:
            return "coverage lost";
        case Mishap::Kind::hazard:
            return "hazard";
    }
    return {};
}

std::string_view word(Level level) { return level_words[static_cast<std::size_t>(level)]; }

std::optional<Level> level_named(std::string_view text) {
    const auto found = std::ranges::find(level_words, text);
    if (found == level_words.end()) return std::nullopt;
    return static_cast<Level>(found - level_words.begin());
}

Risk practice_risk(const Outing& outing, Level level) {
    Risk risk = outing.risk;
    switch (level) {
        case Level::none:
            return nothing_happens(risk);
        case Level::mild:
            break;
        case Level::medium:
        case Level::severe:
            add_practice(outing, level, risk);
            break;
    }
    return risk;
}

Luck::Luck(const Outing& outing, Level level, std::uint64_t seed)
    : outing_(&outing), model_(outing, practice_risk(outing, level)) {
    draw_day(seed);
    draw_outing_troubles();
    draw_mishaps(level, seed);
}

/// From a stream of its own, so that a seed brings the same stuck bolts whatever mishaps there are.
void Luck::draw_mishaps(Level level, std::uint64_t seed) {
    risk::Stream stream(seed, 1);
    const auto draw = [&] { return risk::unit(stream.next()); };
    const std::vector<WorksiteId> places = places_of_work(*outing_);
    using Kind = Mishap::Kind;
    constexpr std::array kinds{std::pair{Kind::unable, Practice::unable}, std::pair{Kind::arm_lost, Practice::arm_lost},
                               std::pair{Kind::no_coverage, Practice::no_coverage},
                               std::pair{Kind::hazard, Practice::hazard}};
    for (const auto& [kind, practice] : kinds) {
        const PracticeRate& rate = practice_rate(practice);
        const double happens = draw(), share = draw(), lasts = draw(), for_good = draw(), which = draw();
        const bool possible = kind == Kind::arm_lost      ? outing_->station.arm.has_value()
                              : kind == Kind::no_coverage ? waits_for_coverage(*outing_)
                              : kind == Kind::hazard      ? !places.empty()
                                                          : true;
        if (!possible || happens >= probability(rate, level)) continue;
        Mishap mishap;
        mishap.kind = kind;
        mishap.share = share;
        if (for_good >= rate.for_good) {
            // Even between the least and the most is enough for practice.
            const double minutes = rate.low_min + lasts * (rate.high_min - rate.low_min);
            mishap.length = rounded(60 * minutes);
        }
        mishap.crew = which < 0.5 ? Crew::ev1 : Crew::ev2;
        if (!places.empty()) mishap.site = places[static_cast<std::size_t>(which * static_cast<double>(places.size()))];
        mishaps_.push_back(mishap);
    }
    std::ranges::stable_sort(mishaps_, {}, &Mishap::share);
}

void Luck::draw_day(std::uint64_t seed) {
    risk::Stream stream(seed, 0);
    raw_.resize(static_cast<std::size_t>(model_.slots().count));
    for (std::uint32_t& raw : raw_) raw = stream.next();
    const risk::detail::Slots& slots = model_.slots();
    const risk::Factors factors = risk::prior(*outing_, model_.risk());
    // Cut off where the replay of src/risk cuts off: beyond 4.2 deviations nobody has seen anything.
    const auto deviate = [&](int slot) {
        return std::clamp(risk::normal_quantile(risk::unit(raw_[static_cast<std::size_t>(slot)])), -4.2, 4.2);
    };
    const double day = factors.mean[0] + factors.spread[0][0] * deviate(slots.day);
    for (const Crew crew : both_crew) {
        const std::size_t c = index(crew);
        factor_[1 + c] = std::exp(day + factors.mean[1 + c] + factors.spread[1 + c][1 + c] * deviate(slots.person[c]));
        metabolic_[c] = std::exp(factors.metabolic_mean[c] + factors.metabolic_sigma[c] * deviate(slots.metabolic[c]));
    }
    factor_[3] = std::max(factor_[1], factor_[2]);  // together they go at the slower one's pace
}

void Luck::draw_outing_troubles() {
    const std::vector<Trouble>& troubles = model_.risk().troubles;
    for (std::size_t t = 0; t < troubles.size(); ++t) {
        const auto& slot = model_.slots().outing_trouble[t];
        if (slot.happens == risk::detail::no_slot) continue;
        const double p = troubles[t].probability.value();
        const double u = risk::unit(raw_[static_cast<std::size_t>(slot.happens)]);
        if (u >= p) continue;
        const auto low = static_cast<double>(troubles[t].extra.low.count());
        const double width = static_cast<double>(troubles[t].extra.high.count()) - low;
        const Seconds extra = rounded(low + width * model_.extra(t).at(QuantileTable::bits_of(u / p)));
        if (troubles[t].kind == Trouble::Kind::late_start)
            late_ += extra;
        else
            talk_ = Talk{risk::unit(raw_[static_cast<std::size_t>(slot.when)]), extra};
    }
}

Seconds Luck::time(const Draw& draw) const {
    const double table = QuantileTable::look_up(draw.table, raw_[static_cast<std::size_t>(draw.slot)]);
    return rounded((static_cast<double>(draw.offset) + static_cast<double>(draw.scale) * table) * factor_[draw.mask]);
}

Seconds Luck::step(const Step& step, Crew lead) const { return time(model_.step(step, lead)); }

std::vector<Strike> Luck::strikes(StepId step) const {
    std::vector<Strike> strikes;
    const auto& of = model_.slots().troubles_of[index(step)];
    for (std::size_t i = 0; i < of.size(); ++i) {
        const Trouble& trouble = model_.risk().troubles[of[i]];
        const double p = trouble.probability.value();
        const double u = risk::unit(raw_[static_cast<std::size_t>(model_.slots().step_trouble[index(step)][i])]);
        if (u >= p) continue;
        const auto low = static_cast<double>(trouble.extra.low.count());
        const double width = static_cast<double>(trouble.extra.high.count()) - low;
        const double extra = low + width * model_.extra(of[i]).at(QuantileTable::bits_of(u / p));
        strikes.push_back({of[i], rounded(extra), told(trouble)});
    }
    return strikes;
}

Draw Luck::draw_of(const Part& part) const {
    switch (part.kind) {
        case ActivityKind::egress:
            return model_.airlock(part.planned, model_.slots().egress);
        case ActivityKind::clean_up:
            return model_.airlock(part.planned, model_.slots().clean_up);
        case ActivityKind::ingress:
            return model_.airlock(part.planned, model_.slots().ingress);
        case ActivityKind::step:
            return model_.step(outing_->step(*part.step), part.lead);
        case ActivityKind::translate:
        case ActivityKind::tether_swap:
        case ActivityKind::pick_up:
        case ActivityKind::put_down:
        case ActivityKind::glove_check:
        case ActivityKind::rest:
        case ActivityKind::arm_move:
            break;
    }
    const bool handling = part.kind == ActivityKind::pick_up || part.kind == ActivityKind::put_down;
    const Scatter& scatter = handling ? model_.risk().handling : model_.risk().translation;
    int slot = model_.slots().home[index(part.crew)];
    if (part.step) {
        const int way = model_.slots().way[index(*part.step)][part.crew == part.lead ? 0 : 1];
        if (way != risk::detail::no_slot) slot = way;
    }
    return model_.way(part.planned, scatter, slot, part.crew);
}

Seconds Luck::move(ActivityKind kind, Seconds planned, std::optional<StepId> next, Crew crew, Crew lead) const {
    return time(draw_of({kind, planned, next, crew, lead}));
}

Seconds Luck::airlock(ActivityKind kind, Seconds planned) const { return time(draw_of({kind, planned, {}, {}, {}})); }

/// Mean and variance of the extra time that troubles may bring to a step.
void Luck::add_troubles(StepId step, double& mean, double& variance) const {
    for (const std::size_t number : model_.slots().troubles_of[index(step)]) {
        const Trouble& trouble = model_.risk().troubles[number];
        const double p = trouble.probability.value();
        const risk::Pert extra{static_cast<double>(trouble.extra.low.count()),
                               static_cast<double>(trouble.extra.likely.count()),
                               static_cast<double>(trouble.extra.high.count())};
        mean += p * extra.mean();
        variance += p * (extra.variance() + (1 - p) * extra.mean() * extra.mean());
    }
}

Seconds Luck::sure(const std::vector<Part>& parts) const {
    double mean = 0;
    // What shares one draw (all moves on one way) deviates together: deviations add; between draws variances do.
    std::map<int, double> deviation;
    double troubles = 0;
    for (const Part& part : parts) {
        const bool drawn = part.kind != ActivityKind::glove_check && part.kind != ActivityKind::rest;
        if (!drawn || part.planned <= Seconds{0}) {
            mean += static_cast<double>(part.planned.count());
            continue;
        }
        const Draw draw = draw_of(part);
        mean += static_cast<double>(draw.mean);
        deviation[draw.slot] += std::sqrt(static_cast<double>(draw.variance));
        if (part.kind == ActivityKind::step) add_troubles(*part.step, mean, troubles);
    }
    double variance = troubles;
    for (const auto& [slot, sd] : deviation) variance += sd * sd;
    if (mean <= 0) return Seconds{0};
    const Risk& risk = model_.risk();
    const double factors = risk.day * risk.day + risk.person * risk.person;
    const double relative = variance / (mean * mean) + factors;
    // A sum of log-normals times log-normal factors, as one log-normal with the same mean and variance.
    const double sigma = std::sqrt(std::log(1 + relative));
    const double z = risk::normal_quantile(risk.confidence.value());
    return Seconds{static_cast<std::int64_t>(std::ceil(mean * std::exp(z * sigma - sigma * sigma / 2)))};
}

}  // namespace handrail::rehearse
