#include "risk/learn.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "risk/model.h"

namespace handrail::risk {
namespace {

/// A class of steps whose distribution is not known yet: common practice, median 1.10 and sigma 0.25, worth twenty
/// observations so that one outing does not overturn it.
const Scatter unknown_class{1.10, 0.25, 20, {}};

/// Classes of times: the eight efforts, then the ways and the airlock.
constexpr std::size_t translation_class = effort_count;
constexpr std::size_t handling_class = effort_count + 1;
constexpr std::size_t airlock_class = effort_count + 2;
constexpr std::size_t class_count = effort_count + 3;

struct Seen {
    std::size_t of = 0;          ///< class
    double logarithm = 0;        ///< of actual over planned
    std::array<double, 3> by{};  ///< weights of day, EV1, EV2
};

std::string_view name_of(std::size_t k) {
    if (k < effort_count) return word(static_cast<Effort>(k));
    return k == translation_class ? "translation" : k == handling_class ? "handling" : "airlock";
}

/// Planned seconds of a translation along its path with small loads; 0 when a leg is no route.
double way_seconds(const Outing& outing, const Activity& activity, Crew crew) {
    double sum = 0;
    for (std::size_t i = 0; i + 1 < activity.path.size(); ++i) {
        const WorksiteId a = activity.path[i];
        const WorksiteId b = activity.path[i + 1];
        double leg = 0;
        for (const Route& route : outing.station.routes)
            if ((route.a == a && route.b == b) || (route.a == b && route.b == a)) {
                const auto time = static_cast<double>(
                    translation_time(outing.rules, outing.person(crew), route, SizeClass::small).count());
                leg = leg > 0 ? std::min(leg, time) : time;
            }
        if (leg <= 0) return 0;
        sum += leg;
    }
    return sum;
}

double planned_seconds(const Outing& outing, const Timeline& timeline, const Activity& activity, std::size_t& of) {
    const Rules& rules = outing.rules;
    const auto seconds = [](Seconds s) { return static_cast<double>(s.count()); };
    const Crew crew = activity.on(Lane::ev1) ? Crew::ev1 : Crew::ev2;
    switch (activity.kind) {
        case ActivityKind::step: {
            const Step& step = outing.step(activity.step.value());
            of = index(step.effort);
            return seconds(planned_duration(outing, step, timeline.lead_of(step.task).value_or(Crew::ev1)));
        }
        case ActivityKind::translate:
            of = translation_class;
            return way_seconds(outing, activity, crew);
        case ActivityKind::tether_swap:
            of = translation_class;
            return seconds(rules.tether_swap);
        case ActivityKind::pick_up:
        case ActivityKind::put_down:
            of = handling_class;
            return seconds(rules.pick_up) * static_cast<double>(activity.items.size());
        case ActivityKind::egress:
            of = airlock_class;
            return seconds(rules.egress);
        case ActivityKind::clean_up:
            of = airlock_class;
            return seconds(rules.clean_up);
        case ActivityKind::ingress:
            of = airlock_class;
            return seconds(rules.ingress);
        case ActivityKind::glove_check:
        case ActivityKind::rest:
        case ActivityKind::arm_move:
            return 0;
    }
    return 0;
}

std::vector<Seen> observations(const Outing& outing, const Timeline& as_run, RunIn where, int& not_counted) {
    std::vector<Seen> list;
    for (const Activity& activity : as_run.activities) {
        if (!activity.as_run) continue;
        Seen seen;
        const double planned = planned_seconds(outing, as_run, activity, seen.of);
        double actual = static_cast<double>(activity.duration.count());
        const bool ev1 = activity.on(Lane::ev1);
        const bool ev2 = activity.on(Lane::ev2);
        if (planned <= 0 || actual <= 0 || (!ev1 && !ev2)) {
            ++not_counted;
            continue;
        }
        if (where == RunIn::pool) {
            const std::size_t effort = seen.of < effort_count         ? seen.of
                                       : seen.of == translation_class ? index(Effort::translate)
                                       : seen.of == airlock_class     ? index(Effort::airlock)
                                                                      : index(Effort::light);
            actual *= outing.risk.pool_to_flight[effort];
        }
        seen.logarithm = std::log(actual / planned);
        seen.by = {1, ev1 ? (ev2 ? 0.5 : 1.0) : 0.0, ev2 ? (ev1 ? 0.5 : 1.0) : 0.0};
        list.push_back(seen);
    }
    return list;
}

void keep(Risk& risk, std::size_t k, const Scatter& scatter) {
    if (k == translation_class)
        risk.translation = scatter;
    else if (k == handling_class)
        risk.handling = scatter;
    else if (k == airlock_class)
        risk.airlock = scatter;
    else
        risk.work[k] = {Spread::log_normal, scatter};
}

Scatter prior_of(const Risk& risk, std::size_t k) {
    if (k == translation_class) return risk.translation;
    if (k == handling_class) return risk.handling;
    if (k == airlock_class) return risk.airlock;
    return risk.work[k].share.value_or(unknown_class);
}

/// Day, EV1, EV2 and each class's offset from what is known of it: jointly normal, learned one observation at a time
/// (Kalman update). An outing that went slowly is thereby shared out between a slow day, slow people and classes whose
/// times were thought too short, in proportion to how uncertain each was.
struct Belief {
    static constexpr std::size_t size = 3 + class_count;
    std::array<double, size> mean{};
    std::array<std::array<double, size>, size> covariance{};

    Belief(const Factors& factors, const Risk& risk) {
        // The day and the people count from their means: the classes were learned with those in them.
        for (std::size_t i = 0; i < 3; ++i) covariance[i][i] = factors.spread[i][i] * factors.spread[i][i];
        for (std::size_t k = 0; k < class_count; ++k) {
            const Scatter known = prior_of(risk, k);
            covariance[3 + k][3 + k] = known.sigma * known.sigma / known.weight;
        }
    }
    void see(const Seen& seen, const Scatter& known) {
        std::array<double, size> weight{};
        for (std::size_t i = 0; i < 3; ++i) weight[i] = seen.by[i];
        weight[3 + seen.of] = 1;
        std::array<double, size> with{};
        double expected = std::log(known.median);
        double total = std::max(known.sigma * known.sigma, 1e-6);
        for (std::size_t i = 0; i < size; ++i) {
            expected += weight[i] * mean[i];
            for (std::size_t j = 0; j < size; ++j) with[i] += covariance[i][j] * weight[j];
        }
        for (std::size_t i = 0; i < size; ++i) total += weight[i] * with[i];
        for (std::size_t i = 0; i < size; ++i) {
            mean[i] += with[i] / total * (seen.logarithm - expected);
            for (std::size_t j = 0; j < size; ++j) covariance[i][j] -= with[i] * with[j] / total;
        }
    }
};

KnownPerson person_in(const Factors& before, const Belief& belief, const std::string& name, Crew crew) {
    const std::size_t i = 1 + index(crew);
    return {name, std::exp(before.mean[i] + belief.mean[i]), std::sqrt(std::max(0.0, belief.covariance[i][i])), {}};
}

std::string quoted(const std::string& text) {
    std::string out = "\"";
    for (char c : text) {
        if (c == '"' || c == '\\') out += '\\';
        if (static_cast<unsigned char>(c) < 0x20)
            out += fmt::format("\\u{:04x}", static_cast<unsigned char>(c));
        else
            out += c;
    }
    return out + "\"";
}

std::string sources_toml(const std::vector<std::string>& sources) {
    std::string out = "[";
    for (const std::string& source : sources) out += (out.size() > 1 ? ", " : "") + quoted(source);
    return out + "]";
}

}  // namespace

Scatter updated(const Scatter& prior, const std::vector<double>& logarithms, const std::string& source) {
    if (logarithms.empty()) return prior;
    // Normal-inverse-gamma (Gelman and others, Bayesian Data Analysis, 3rd ed., 3.3): kappa = weight, alpha = weight /
    // 2, beta = alpha sigma².
    const auto n = static_cast<double>(logarithms.size());
    double mean = 0;
    for (double y : logarithms) mean += y / n;
    double squares = 0;
    for (double y : logarithms) squares += (y - mean) * (y - mean);
    const double mu = std::log(prior.median);
    const double kappa = prior.weight + n;
    const double beta = prior.weight / 2 * prior.sigma * prior.sigma + squares / 2 +
                        prior.weight * n * (mean - mu) * (mean - mu) / (2 * kappa);
    Scatter after = prior;
    after.median = std::exp((prior.weight * mu + n * mean) / kappa);
    after.sigma = std::sqrt(beta / (kappa / 2));
    after.weight = kappa;
    after.sources.push_back(
        fmt::format("{} ({} {})", source, logarithms.size(), logarithms.size() == 1 ? "time" : "times"));
    return after;
}

Learned learn(const Outing& outing, const Timeline& as_run, RunIn where, const std::string& source) {
    Learned learned;
    learned.risk = outing.risk;
    const std::vector<Seen> list = observations(outing, as_run, where, learned.not_counted);
    const Factors before = prior(outing, outing.risk);
    const Belief nothing_seen(before, outing.risk);
    Belief belief = nothing_seen;
    for (const Seen& seen : list) belief.see(seen, prior_of(outing.risk, seen.of));
    learned.day = std::exp(belief.mean[0]);
    std::array<std::vector<double>, class_count> left;
    for (const Seen& seen : list) {
        double own = seen.logarithm;
        for (std::size_t i = 0; i < 3; ++i) own -= seen.by[i] * belief.mean[i];
        left[seen.of].push_back(own);
    }
    const std::string from = where == RunIn::pool ? source + ", pool" : source;
    for (std::size_t k = 0; k < class_count; ++k) {
        if (left[k].empty()) continue;
        Learned::Row row;
        row.what = std::string(name_of(k));
        row.before = prior_of(outing.risk, k);
        row.after = updated(row.before, left[k], from);
        row.seen = static_cast<int>(left[k].size());
        std::vector<double> sorted = left[k];
        std::sort(sorted.begin(), sorted.end());
        row.seen_median = std::exp(sorted[sorted.size() / 2]);
        keep(learned.risk, k, row.after);
        learned.rows.push_back(std::move(row));
    }
    for (Crew c : both_crew) {
        const std::string& name = outing.person(c).name;
        const bool worked =
            std::any_of(list.begin(), list.end(), [&](const Seen& s) { return s.by[1 + index(c)] > 0; });
        if (!worked || name.empty()) continue;
        Learned::Person person{name, person_in(before, nothing_seen, name, c), person_in(before, belief, name, c)};
        for (const KnownPerson& known : outing.risk.people)
            if (known.name == name) person.before.sources = person.after.sources = known.sources;
        person.after.sources.push_back(from);
        std::erase_if(learned.risk.people, [&](const KnownPerson& known) { return known.name == name; });
        learned.risk.people.push_back(person.after);
        learned.people.push_back(std::move(person));
    }
    return learned;
}

std::string library_toml(const Learned& learned) {
    std::string text =
        "# Times learned from closed outings, by handrail learn. Include this file in the next outing; a table of the\n"
        "# outing's own goes before it. median and sigma: log-normal share of the planned time; weight: how many\n"
        "# observations it stands for.\n";
    const auto table = [&](const std::string& name, const Scatter& scatter) {
        if (scatter.sources.empty()) return;
        text += fmt::format("\n[risk.{}]\nmedian = {:.4f}\nsigma = {:.4f}\nweight = {:.1f}\nsources = {}\n", name,
                            scatter.median, scatter.sigma, scatter.weight, sources_toml(scatter.sources));
    };
    table("translation", learned.risk.translation);
    table("handling", learned.risk.handling);
    table("airlock", learned.risk.airlock);
    for (std::size_t e = 0; e < effort_count; ++e)
        if (learned.risk.work[e].share)
            table(fmt::format("work.{}", word(static_cast<Effort>(e))), *learned.risk.work[e].share);
    for (const KnownPerson& person : learned.risk.people)
        text += fmt::format("\n[[risk.known_person]]\nname = {}\nfactor = {:.4f}\nsigma = {:.4f}\nsources = {}\n",
                            quoted(person.name), person.factor, person.sigma, sources_toml(person.sources));
    return text;
}

std::string print_learned(const Learned& learned) {
    std::string text = fmt::format("This outing's day went at {:.2f} of the usual time.\n\n", learned.day);
    text += fmt::format("{:<14}{:>6}{:>10}{:>20}{:>20}\n", "times", "seen", "median", "before", "after");
    for (const Learned::Row& row : learned.rows)
        text += fmt::format("{:<14}{:>6}{:>10.2f}{:>13.2f} ±{:.2f}{:>14.2f} ±{:.2f}\n", row.what, row.seen,
                            row.seen_median, row.before.median, row.before.sigma, row.after.median, row.after.sigma);
    if (!learned.people.empty()) text += "\n";
    for (const Learned::Person& person : learned.people)
        text += fmt::format("{}: own pace {:.3f} ±{:.3f} before, {:.3f} ±{:.3f} after\n", person.name,
                            person.before.factor, person.before.sigma, person.after.factor, person.after.sigma);
    if (learned.not_counted > 0)
        text += fmt::format("\n{} activities say nothing about times and were left aside.\n", learned.not_counted);
    text +=
        "\nmedian: actual over planned, the day and the people taken out; ±: standard deviation of the logarithm.\n";
    return text;
}

}  // namespace handrail::risk
