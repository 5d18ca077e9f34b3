#include "risk/words.h"

#include <fmt/format.h>

namespace handrail::risk {

std::string name_of(const Outing& outing, StepId id) {
    const Step& step = outing.step(id);
    return outing.task(step.task).name + ": " + step.name;
}

std::string name_of(const Outing& outing, const Driver& driver) {
    switch (driver.what) {
        case Driver::What::day:
            return "the day, shared by both";
        case Driver::What::person:
            return fmt::format("{}'s own pace", handrail::word(driver.person.value()));
        case Driver::What::step:
            return name_of(outing, driver.step.value());
        case Driver::What::way:
            if (driver.step) return "way to " + name_of(outing, *driver.step);
            return fmt::format("{}'s way home", handrail::word(driver.person.value()));
        case Driver::What::trouble: {
            const std::string& trouble = outing.risk.troubles[driver.trouble.value()].name;
            return driver.step ? fmt::format("{} at {}", trouble, name_of(outing, *driver.step)) : trouble;
        }
        case Driver::What::airlock:
            return "airlock work";
    }
    return {};
}

std::string_view word(Driver::What what) {
    switch (what) {
        case Driver::What::day:
            return "day";
        case Driver::What::person:
            return "person";
        case Driver::What::step:
            return "step";
        case Driver::What::way:
            return "way";
        case Driver::What::trouble:
            return "trouble";
        case Driver::What::airlock:
            return "airlock";
    }
    return {};
}

std::string_view word(StepRisk::For waits_for) {
    switch (waits_for) {
        case StepRisk::For::nothing:
            return "nothing";
        case StepRisk::For::window:
            return "a window";
        case StepRisk::For::partner:
            return "the partner";
        case StepRisk::For::arm:
            return "the arm";
        case StepRisk::For::other:
            return "another step or an item";
        case StepRisk::For::rule:
            return "a check, a rest or a hold";
    }
    return {};
}

std::string_view word(Gate::Because because) {
    switch (because) {
        case Gate::Because::home:
            return "home in time";
        case Gate::Because::required:
            return "a required task";
        case Gate::Because::value:
            return "value elsewhere";
    }
    return {};
}

std::string sentence(const Outing& outing, const Gate& gate, double confidence) {
    const std::string when = gate.after
                                 ? fmt::format("At the end of {}'s step \"{}\" (planned {})", handrail::word(gate.crew),
                                               name_of(outing, *gate.after), print_pet(gate.planned))
                                 : fmt::format("Before the first step of {} (planned {})", handrail::word(gate.crew),
                                               print_pet(gate.planned));
    const std::string& task = outing.task(gate.task).name;
    if (!gate.begin_until)
        return fmt::format("{}: leave out \"{}\"; it would cost {}.", when, task, word(gate.because));
    return fmt::format("{}: after {} leave out \"{}\"; after {} start home ({:.0f} %).", when,
                       print_pet(*gate.begin_until), task, print_pet(gate.start_home_by), 100 * confidence);
}

std::vector<Unlikely> unlikely(const Outing& outing, const Odds& odds) {
    constexpr double seldom = 0.1;
    std::vector<Unlikely> list;
    for (const TaskOdds& one : odds.tasks) {
        const Task& task = outing.task(one.task);
        if (!one.planned || task.task_class == TaskClass::required || one.done.value >= seldom) continue;
        std::string gate;
        for (const Gate& other : odds.gates) {
            if (other.task != one.task) continue;
            if (!other.begin_until)
                gate = ": its gate says to leave it out";
            else if (*other.begin_until < other.planned)
                gate = fmt::format(": its gate is at PET {}, and the plan has come that far only at PET {}",
                                   print_pet(*other.begin_until), print_pet(other.planned));
        }
        list.push_back(
            {one.task, fmt::format("\"{}\" is in the plan and done in {:.1f} % of the runs{}. Do not count on it.",
                                   task.name, 100 * one.done.value, gate)});
    }
    return list;
}

}  // namespace handrail::risk
