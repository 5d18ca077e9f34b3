#include "risk/model.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace handrail::risk {

Factors prior(const Outing& outing, const Risk& risk) {
    Factors factors;
    const std::array cv{risk.day, risk.person, risk.person};
    for (std::size_t i = 0; i < 3; ++i) {
        const LogNormal factor = LogNormal::with_mean_one(cv[i]);
        factors.mean[i] = std::log(factor.median);
        factors.spread[i][i] = factor.sigma;
    }
    for (Crew c : both_crew)
        for (const KnownPerson& known : risk.people)
            if (known.name == outing.person(c).name) {
                factors.mean[1 + index(c)] = std::log(known.factor);
                factors.spread[1 + index(c)][1 + index(c)] = known.sigma;
            }
    const LogNormal metabolic = LogNormal::with_mean_one(risk.metabolic);
    factors.metabolic_mean = {std::log(metabolic.median), std::log(metabolic.median)};
    factors.metabolic_sigma = {metabolic.sigma, metabolic.sigma};
    return factors;
}

Factors given(const Factors& factors, const std::array<double, 3>& weights, double seen, double variance) {
    std::array<std::array<double, 3>, 3> covariance{};
    const auto& l = factors.spread;
    for (std::size_t i = 0; i < 3; ++i)
        for (std::size_t j = 0; j < 3; ++j)
            for (std::size_t k = 0; k < 3; ++k) covariance[i][j] += l[i][k] * l[j][k];
    std::array<double, 3> with{};
    double expected = 0;
    double total = variance;
    for (std::size_t i = 0; i < 3; ++i) {
        expected += weights[i] * factors.mean[i];
        for (std::size_t j = 0; j < 3; ++j) with[i] += covariance[i][j] * weights[j];
    }
    for (std::size_t i = 0; i < 3; ++i) total += weights[i] * with[i];
    if (total <= 0) return factors;  // nothing is uncertain: nothing to learn
    Factors after = factors;
    for (std::size_t i = 0; i < 3; ++i) {
        after.mean[i] += with[i] / total * (seen - expected);
        for (std::size_t j = 0; j < 3; ++j) covariance[i][j] -= with[i] * with[j] / total;
    }
    // Cholesky; a variance that has become nothing but rounding is nothing.
    after.spread = {};
    for (std::size_t i = 0; i < 3; ++i)
        for (std::size_t j = 0; j <= i; ++j) {
            double sum = covariance[i][j];
            for (std::size_t k = 0; k < j; ++k) sum -= after.spread[i][k] * after.spread[j][k];
            if (i == j)
                after.spread[i][i] = sum > 1e-15 ? std::sqrt(sum) : 0;
            else
                after.spread[i][j] = after.spread[j][j] > 0 ? sum / after.spread[j][j] : 0;
        }
    return after;
}

namespace detail {
namespace {

void scatter_as(Draw& draw, const LogNormal& distribution) {
    draw.mean = static_cast<float>(distribution.mean());
    draw.variance = static_cast<float>(distribution.variance());
}

double seconds(Seconds s) { return static_cast<double>(s.count()); }

bool per_outing(Trouble::Kind kind) { return kind == Trouble::Kind::late_start || kind == Trouble::Kind::hold; }

Pert pert_of(const Duration3& d) { return {seconds(d.low), seconds(d.likely), seconds(d.high)}; }

double slowest(const Outing& outing, const Step& step, Crew lead) {
    double factor = 0;
    for (Crew c : crew_in(step, lead)) factor = std::max(factor, outing.person(c).experience_factor);
    return factor > 0 ? factor : 1.0;
}

}  // namespace

Model::Model(const Outing& outing, const Risk& risk) : outing_(&outing), risk_(risk) {
    int next = 0;
    slots_.day = next++;
    for (int* slot : {&slots_.person[0], &slots_.person[1], &slots_.metabolic[0], &slots_.metabolic[1], &slots_.home[0],
                      &slots_.home[1], &slots_.egress, &slots_.clean_up, &slots_.ingress})
        *slot = next++;
    slots_.outing_trouble.resize(risk_.troubles.size());
    slots_.troubles_of.resize(outing.steps.size());
    for (std::size_t t = 0; t < risk_.troubles.size(); ++t) {
        const Trouble& trouble = risk_.troubles[t];
        if (per_outing(trouble.kind)) {
            slots_.outing_trouble[t].happens = next++;
            if (trouble.kind == Trouble::Kind::hold) slots_.outing_trouble[t].when = next++;
        } else {
            for (StepId id : trouble.steps) slots_.troubles_of[index(id)].push_back(t);
        }
    }
    slots_.way.resize(outing.steps.size(), {no_slot, no_slot});
    slots_.step_trouble.resize(outing.steps.size());
    for (const Step& step : outing.steps) {
        slots_.step.push_back(next++);
        for (Role role : step.who)
            if (role == Role::lead || role == Role::helper)
                slots_.way[index(step.id)][role == Role::lead ? 0 : 1] = next++;
        for (std::size_t i = 0; i < slots_.troubles_of[index(step.id)].size(); ++i)
            slots_.step_trouble[index(step.id)].push_back(next++);
    }
    slots_.count = next;

    add_log_normal(1, 0);
    for (const Scatter& scatter : {risk_.translation, risk_.handling, risk_.airlock})
        add_log_normal(scatter.median, scatter.sigma);
    for (const Step& step : outing.steps) remember(step);
    for (const Trouble& trouble : risk_.troubles) {
        const Pert pert = pert_of(trouble.extra);
        add_beta(pert.alpha(), pert.beta());
        extra_.push_back(beta(pert.alpha(), pert.beta()));
    }
}

void Model::add_log_normal(double median, double sigma) {
    auto& table = tables_[{0, median, sigma}];
    if (!table) table = std::make_unique<QuantileTable>(QuantileTable::of(LogNormal{median, sigma}));
}

void Model::add_beta(double alpha, double beta) {
    auto& table = tables_[{1, alpha, beta}];
    if (!table) table = std::make_unique<QuantileTable>(QuantileTable::of_beta(alpha, beta));
}

const QuantileTable* Model::log_normal(double median, double sigma) const {
    return tables_.at({0, median, sigma}).get();
}
const QuantileTable* Model::beta(double alpha, double beta) const { return tables_.at({1, alpha, beta}).get(); }

void Model::remember(const Step& step) {
    const WorkClass& work = risk_.work[index(step.effort)];
    if (work.spread == Spread::none) return;
    if (work.share) {
        add_log_normal(work.share->median, work.share->sigma);
        return;
    }
    const Pert pert = pert_of(step.duration);
    if (work.spread == Spread::pert)
        add_beta(pert.alpha(), pert.beta());
    else
        add_log_normal(1, LogNormal::from_percentiles(pert.low, pert.high).sigma);
}

Draw Model::step(const Step& step, Crew lead) const {
    Draw draw;
    draw.slot = slots_.step[index(step.id)];
    for (Crew c : crew_in(step, lead)) draw.mask = static_cast<std::uint8_t>(draw.mask | 1u << index(c));
    const WorkClass& work = risk_.work[index(step.effort)];
    const Pert pert = pert_of(step.duration);
    const double slow = slowest(*outing_, step, lead);
    if (work.spread == Spread::none) {
        draw.table = log_normal(1, 0)->data();
        draw.scale = draw.mean = static_cast<float>(planned_duration(*outing_, step, lead).count());
    } else if (work.share) {
        draw.table = log_normal(work.share->median, work.share->sigma)->data();
        draw.scale = static_cast<float>(pert.likely * slow);
        scatter_as(draw, {work.share->median * pert.likely * slow, work.share->sigma});
    } else if (work.spread == Spread::pert) {
        draw.table = beta(pert.alpha(), pert.beta())->data();
        draw.offset = static_cast<float>(pert.low * slow);
        draw.scale = static_cast<float>((pert.high - pert.low) * slow);
        draw.mean = static_cast<float>(pert.mean() * slow);
        draw.variance = static_cast<float>(pert.variance() * slow * slow);
    } else {
        const LogNormal fit = LogNormal::from_percentiles(pert.low, pert.high);
        draw.table = log_normal(1, fit.sigma)->data();
        draw.scale = static_cast<float>(fit.median * slow);
        scatter_as(draw, {fit.median * slow, fit.sigma});
    }
    return draw;
}

Draw Model::around(double planned, const Scatter& scatter, int slot, std::uint8_t mask) const {
    assert(slot != no_slot);
    Draw draw;
    draw.table = log_normal(scatter.median, scatter.sigma)->data();
    draw.slot = slot;
    draw.scale = static_cast<float>(planned);
    draw.mask = mask;
    scatter_as(draw, {planned * scatter.median, scatter.sigma});
    return draw;
}

Draw Model::way(Seconds planned, const Scatter& scatter, int slot, Crew crew) const {
    return around(seconds(planned), scatter, slot, static_cast<std::uint8_t>(1u << index(crew)));
}

Draw Model::airlock(Seconds planned, int slot) const { return around(seconds(planned), risk_.airlock, slot, 3); }

}  // namespace detail
}  // namespace handrail::risk
