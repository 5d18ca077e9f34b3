#pragma once

#include <memory>
#include <stdexcept>
#include <string>

#include "plan/planner.h"
#include "rehearse/auto_lead.h"
#include "rehearse/debrief.h"
#include "sky/windows.h"

namespace handrail::rehearse {

struct Planned {
    OutingWithTexts source;
    Timeline plan;
};

/// Planned with so many iterations, on one thread: the same plan everywhere.
inline Planned planned(OutingWithTexts source, std::uint64_t iterations) {
    plan::Budget budget;
    budget.iterations = iterations;
    budget.threads = 1;
    const auto windows = sky::windows_of(source.outing, source.outing.pet_zero);
    if (!windows) throw std::runtime_error(print(windows.errors().front()));
    auto plan = plan::make_plan(source.outing, windows.value(), plan::initial(source.outing), budget);
    if (!std::holds_alternative<Timeline>(plan)) throw std::runtime_error("no plan");
    return {std::move(source), std::get<Timeline>(std::move(plan))};
}
inline Planned demo(const std::string& name, std::uint64_t iterations = 1000) {
    auto outing = read_outing_with_texts(std::string(HANDRAIL_SOURCE_DIR) + "/demo/" + name + "/outing.toml");
    if (!outing) throw std::runtime_error(print(outing.errors().front()));
    return planned(std::move(outing).value(), iterations);
}
inline Planned from_text(const std::string& text, std::uint64_t iterations = 300) {
    auto outing = read_outing_from({{"outing.toml", text}});
    if (!outing) throw std::runtime_error(print(outing.errors().front()));
    return planned({std::move(outing).value(), {{"outing.toml", text}}}, iterations);
}

inline std::unique_ptr<Rehearsal> led(const Planned& of, Level level, std::uint64_t seed,
                                      Policy policy = Policy::follow) {
    Setup setup;
    setup.level = level;
    setup.seed = seed;
    auto rehearsal = std::make_unique<Rehearsal>(of.source, of.plan, setup);
    lead_automatically(*rehearsal, policy);
    return rehearsal;
}
inline Debrief debriefed(const Rehearsal& rehearsal, std::uint64_t iterations = 100) {
    DebriefOptions options;
    options.iterations = iterations;
    options.threads = 1;
    return debrief(rehearsal, options);
}

}  // namespace handrail::rehearse
