#include <fmt/format.h>

#include "outing/draft.h"
#include "outing/risk_defaults.h"

namespace handrail::detail {
namespace {

void read_scatter(const Fields& from, std::string_view key, Scatter& scatter) {
    const std::optional<Fields> one = from.one(key);
    if (!one) return;
    one->take("median", scatter.median);
    one->take("sigma", scatter.sigma);
    one->take("weight", scatter.weight);
    one->take("sources", scatter.sources);
}

void read_work(const Fields& from, WorkClass& work) {
    from.take("spread", work.spread);
    if (from.has("median") != from.has("sigma")) {
        from.wrong(from.has("median") ? "median" : "sigma", "median and sigma together", "one of them",
                   "give both, or leave both out and let each step's low and high speak");
        return;
    }
    if (!from.has("median")) return;
    if (work.spread != Spread::log_normal) {
        if (from.has("spread"))
            from.wrong("spread", "\"log-normal\" beside median and sigma", "another spread",
                       "leave spread out, or leave median and sigma out");
        work.spread = Spread::log_normal;
    }
    Scatter share;
    from.take("median", share.median);
    from.take("sigma", share.sigma);
    from.take("weight", share.weight);
    from.take("sources", share.sources);
    work.share = std::move(share);
}

void read_trouble(const Fields& from, Draft& draft, Risk& risk) {
    Trouble trouble;
    from.take("name", trouble.name);
    from.take("kind", trouble.kind);
    from.take("probability", trouble.probability);
    from.take("extra", trouble.extra);
    from.take("effort", trouble.effort);
    trouble.steps = draft.references<StepId>(from, "steps", draft.steps);
    const bool of_outing = trouble.kind == Trouble::Kind::late_start || trouble.kind == Trouble::Kind::hold;
    if (of_outing && from.has("steps"))
        from.wrong("steps", fmt::format("no steps for a {}", word(trouble.kind)), "a list of steps", "take them out");
    if (!of_outing && !from.has("steps"))
        from.wrong("steps", "the steps it can strike", "none", "name them, such as steps = [\"valve.3\"]");
    if (!of_outing && risk.troubles.size() >= 64)
        from.wrong("name", "at most 64 troubles", "one more", "put some together");
    risk.troubles.push_back(std::move(trouble));
}

}  // namespace

void read_risk(const Fields& file, Draft& draft) {
    Risk& risk = draft.outing.risk;
    risk = default_risk();
    const std::optional<Fields> from = file.one("risk");
    if (!from) return;
    Fraction day{risk.day}, person{risk.person}, metabolic{risk.metabolic};
    from->take("day", day);
    from->take("person", person);
    from->take("metabolic", metabolic);
    risk.day = day.value();
    risk.person = person.value();
    risk.metabolic = metabolic.value();
    from->take("confidence", risk.confidence);
    if (risk.confidence.value() > 0.999)
        from->wrong("confidence", "at most \"99.9 %\": more cannot be told from some thousand runs",
                    fmt::format("{:g} %", 100 * risk.confidence.value()), "make it smaller");
    read_scatter(*from, "translation", risk.translation);
    read_scatter(*from, "handling", risk.handling);
    read_scatter(*from, "airlock", risk.airlock);
    if (const auto work = from->one("work"))
        for (std::size_t i = 0; i < effort_count; ++i)
            if (const auto one = work->one(word(static_cast<Effort>(i)))) read_work(*one, risk.work[i]);
    for (const Fields& one : from->each("known_person")) {
        KnownPerson person_known;
        one.take("name", person_known.name);
        one.take("factor", person_known.factor);
        one.take("sigma", person_known.sigma);
        one.take("sources", person_known.sources);
        risk.people.push_back(std::move(person_known));
    }
    for (const Fields& one : from->each("trouble")) read_trouble(one, draft, risk);
    if (const auto pool = from->one("pool_to_flight"))
        for (std::size_t i = 0; i < effort_count; ++i) pool->take(word(static_cast<Effort>(i)), risk.pool_to_flight[i]);
}

}  // namespace handrail::detail
