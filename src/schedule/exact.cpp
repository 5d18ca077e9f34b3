#include "schedule/exact.h"

#include <algorithm>

#include "schedule/timetable.h"

namespace handrail::schedule::detail {
namespace {

using Term = Learner::Term;

Time longest(const Activity& activity) { return std::ranges::max(activity.modes, {}, &Mode::duration).duration; }

/// If anything can be done at all, then something is done by this time: where no activity runs and no gap is waited
/// for, everything later can be shifted left.
Time latest_end(const Project& project) {
    std::vector<std::int64_t> span;
    std::int64_t end = 0;
    for (const Activity& activity : project.activities) {
        span.push_back(longest(activity));
        end = std::max<std::int64_t>(end, activity.release);
    }
    for (const Lag& lag : project.lags) {
        const std::int64_t from = lag.since == Since::finish ? longest(project.activities[lag.from]) : 0;
        span[lag.from] = std::max(span[lag.from], from + lag.gap);
    }
    for (const std::int64_t each : span) end += each;
    return static_cast<Time>(std::min<std::int64_t>(end, unlimited / 2));
}

}  // namespace

Exact::Exact(const Project& project) : project_(project) {
    const Time horizon = latest_end(project_);
    for (const Activity& activity : project_.activities) add_activity(activity, horizon);
    end_ = learner_.add_variable(0, horizon);
    for (const Choice& choice : choices_) ends_by(choice, end_);
    for (const Lag& lag : project_.lags) add_lag(lag);
    for (std::size_t r = 0; r < project_.capacity.size(); ++r) add_resource(static_cast<int>(r));
    for (std::size_t s = 0; s < project_.stock.size(); ++s) add_stock(static_cast<int>(s));
    add_choice_rules();
    add_value();
    shape_.resize(learner_.variables());
    for (const Choice& choice : choices_) {
        if (choice.present >= 0) shape_[choice.present] = 1;
        for (const int mode : choice.mode) shape_[mode] = 1;
    }
}

void Exact::add_activity(const Activity& activity, Time horizon) {
    Choice choice;
    Time shortest = activity.modes.front().duration;
    for (const Mode& mode : activity.modes) shortest = std::min(shortest, mode.duration);
    const Time last = std::min({horizon - shortest, activity.latest_start, activity.deadline - shortest});
    choice.start = learner_.add_variable(activity.release, std::max(activity.release, last));
    if (activity.optional) choice.present = learner_.add_variable(0, 1);
    if (last < activity.release) possible(activity.optional && learner_.require(is_false(choice.present)));
    add_modes(activity, choice);
    if (activity.deadline < unlimited && choice.duration >= 0) {
        const std::vector<Term> terms{{value_of(choice.start), 1}, {value_of(choice.duration), 1}};
        std::vector<Fact> conditions;
        if (choice.present >= 0) conditions.push_back(is_true(choice.present));
        possible(learner_.add_sum(terms, -static_cast<std::int64_t>(activity.deadline), conditions));
    }
    choices_.push_back(choice);
}

void Exact::add_modes(const Activity& activity, Choice& choice) {
    choice.same_duration = activity.modes.front().duration;
    if (activity.modes.size() == 1) {
        if (choice.present >= 0) choice.mode = {choice.present};
        return;
    }
    std::vector<Fact> one_of;
    if (choice.present >= 0) one_of.push_back(is_false(choice.present));
    for (std::size_t m = 0; m < activity.modes.size(); ++m) {
        const int mode = learner_.add_variable(0, 1);
        if (choice.present >= 0) possible(learner_.add_clause({is_false(mode), is_true(choice.present)}));
        for (const int other : choice.mode) possible(learner_.add_clause({is_false(mode), is_false(other)}));
        choice.mode.push_back(mode);
        one_of.push_back(is_true(mode));
    }
    possible(learner_.add_clause(one_of));
    std::vector<int> durations;
    for (const Mode& mode : activity.modes) durations.push_back(mode.duration);
    choice.duration = depending_on_mode(choice, durations);
}

/// A variable that has the amount of the mode chosen; -1 where all are the same. Its bounds follow as modes drop out.
int Exact::depending_on_mode(const Choice& choice, const std::vector<int>& amounts) {
    const auto [least, most] = std::ranges::minmax(amounts);
    if (least == most) return -1;
    const int variable = learner_.add_variable(least, most);
    for (std::size_t m = 0; m < amounts.size(); ++m) {
        possible(learner_.add_clause({is_false(choice.mode[m]), at_least(variable, amounts[m])}));
        possible(learner_.add_clause({is_false(choice.mode[m]), at_most(variable, amounts[m])}));
    }
    for (const int amount : amounts) {
        std::vector<Fact> up{at_least(variable, amount)}, down{at_most(variable, amount)};
        for (std::size_t m = 0; m < amounts.size(); ++m) {
            if (amounts[m] < amount) up.push_back(is_true(choice.mode[m]));
            if (amounts[m] > amount) down.push_back(is_true(choice.mode[m]));
        }
        if (choice.present >= 0)
            for (auto* clause : {&up, &down}) clause->push_back(is_false(choice.present));
        if (amount > least) possible(learner_.add_clause(up));
        if (amount < most) possible(learner_.add_clause(down));
    }
    return variable;
}

void Exact::ends_by(const Choice& choice, int variable) {
    if (choice.duration < 0 && choice.present < 0) {
        possible(learner_.add_arc(value_of(choice.start), value_of(variable), choice.same_duration));
        return;
    }
    std::vector<Term> terms{{value_of(choice.start), 1}, {opposite(value_of(variable)), 1}};
    if (choice.duration >= 0) terms.push_back({value_of(choice.duration), 1});
    std::vector<Fact> conditions;
    if (choice.present >= 0) conditions.push_back(is_true(choice.present));
    possible(learner_.add_sum(terms, choice.duration < 0 ? choice.same_duration : 0, conditions));
}

void Exact::add_lag(const Lag& lag) {
    const Choice &from = choices_[lag.from], &to = choices_[lag.to];
    const bool varies = lag.since == Since::finish && from.duration >= 0;
    const Time gap = lag.gap + (lag.since == Since::finish && !varies ? from.same_duration : 0);
    if (lag.from == lag.to && !varies) {
        if (gap > 0) possible(from.present >= 0 && learner_.require(is_false(from.present)));
        return;
    }
    if (!varies && from.present < 0 && to.present < 0) {
        possible(learner_.add_arc(value_of(from.start), value_of(to.start), gap));
        return;
    }
    std::vector<Term> terms;
    if (lag.from != lag.to) terms = {{value_of(from.start), 1}, {opposite(value_of(to.start)), 1}};
    if (varies) terms.push_back({value_of(from.duration), 1});
    std::vector<Fact> conditions;
    for (const Choice* choice : {&from, &to})
        if (choice->present >= 0 && (choice == &from || lag.from != lag.to))
            conditions.push_back(is_true(choice->present));
    possible(learner_.add_sum(terms, gap, conditions));
}

void Exact::add_resource(int resource) {
    std::vector<Timetable::Use> uses;
    std::int64_t sum = 0;
    for (std::size_t i = 0; i < choices_.size(); ++i) {
        const Choice& choice = choices_[i];
        int most = 0;
        for (std::size_t m = 0; m < project_.activities[i].modes.size(); ++m) {
            const Mode& mode = project_.activities[i].modes[m];
            if (mode.duration == 0 || mode.demand[resource] == 0) continue;
            if (mode.demand[resource] > project_.capacity[resource]) {
                possible(!choice.mode.empty() && learner_.require(is_false(choice.mode[m])));
                continue;
            }
            most = std::max(most, mode.demand[resource]);
            uses.push_back({choice.start, mode.duration, mode.demand[resource], std::nullopt});
            if (!choice.mode.empty()) uses.back().present = is_true(choice.mode[m]);
        }
        sum += most;
    }
    if (sum <= project_.capacity[resource]) return;
    const std::vector<Side> sides = Timetable::sides(uses);
    learner_.add_propagator(std::make_unique<Timetable>(std::move(uses), project_.capacity[resource]), sides);
}

void Exact::add_stock(int stock) {
    std::vector<Term> terms;
    std::int64_t constant = -static_cast<std::int64_t>(project_.stock[stock]);
    for (std::size_t i = 0; i < choices_.size(); ++i) {
        const Choice& choice = choices_[i];
        std::vector<int> amounts;
        for (const Mode& mode : project_.activities[i].modes) amounts.push_back(mode.uses[stock]);
        const int variable = amounts.size() > 1 ? depending_on_mode(choice, amounts) : -1;
        if (choice.present < 0) {
            if (variable < 0) constant += amounts.front();
            if (variable >= 0) terms.push_back({value_of(variable), 1});
        } else if (variable < 0) {
            if (amounts.front() > 0) terms.push_back({value_of(choice.present), amounts.front()});
        } else {
            // Counts only where it is done: a variable of its own that is 0 otherwise.
            const int used = learner_.add_variable(0, std::ranges::max(amounts));
            const std::vector<Term> at_least_amount{{value_of(variable), 1}, {opposite(value_of(used)), 1}};
            const std::vector<Fact> done{is_true(choice.present)};
            possible(learner_.add_sum(at_least_amount, 0, done));
            terms.push_back({value_of(used), 1});
        }
    }
    if (terms.empty()) return possible(constant <= 0);
    possible(learner_.add_sum(terms, constant, {}));
}

void Exact::add_choice_rules() {
    for (const Group& group : project_.groups) {
        std::vector<Term> done, left_out;
        std::int64_t always = 0;
        for (const int member : group.members) {
            if (choices_[member].present < 0) {
                ++always;
                continue;
            }
            done.push_back({value_of(choices_[member].present), 1});
            left_out.push_back({opposite(value_of(choices_[member].present)), 1});
        }
        if (done.empty()) {
            possible(always >= group.at_least && always <= group.at_most);
            continue;
        }
        possible(learner_.add_sum(done, always - group.at_most, {}));
        possible(learner_.add_sum(left_out, group.at_least - always, {}));
    }
    for (const Needs& need : project_.needs) {
        const int activity = choices_[need.activity].present, other = choices_[need.other].present;
        if (other < 0) continue;
        if (activity < 0) possible(learner_.require(is_true(other)));
        if (activity >= 0) possible(learner_.add_clause({is_false(activity), is_true(other)}));
    }
}

void Exact::add_value() {
    std::vector<Term> terms;
    std::int64_t sum = 0;
    for (std::size_t i = 0; i < choices_.size(); ++i) {
        const std::int64_t worth = project_.activities[i].value;
        if (choices_[i].present < 0 || worth == 0) continue;
        terms.push_back({opposite(value_of(choices_[i].present)), worth});
        sum += worth;
    }
    if (terms.empty()) return;
    value_ = learner_.add_variable(0, static_cast<int>(sum));
    terms.push_back({value_of(value_), 1});
    possible(learner_.add_sum(terms, 0, {}));
}

bool Exact::require_makespan(Time at_most_end) {
    learner_.relax();
    possible(learner_.require(at_most(end_, at_most_end)));
    return !impossible_;
}

bool Exact::require_value(std::int64_t at_least_value) {
    learner_.relax();
    if (value_ < 0) possible(at_least_value <= 0);
    if (value_ >= 0) possible(learner_.require(at_least(value_, static_cast<int>(at_least_value))));
    return !impossible_;
}

Exact::Outcome Exact::search_assuming(std::span<const Fact> assumptions, const Learner::Budget& budget) {
    if (impossible_) return Outcome::impossible;
    learner_.relax();
    const Outcome outcome = learner_.search(*this, assumptions, budget);
    if (outcome == Outcome::solution) read_solution();
    learner_.relax();
    if (outcome == Outcome::impossible) impossible_ = true;
    return outcome;
}

Exact::Outcome Exact::search(Time assumed, const Learner::Budget& budget) {
    std::vector<Fact> assumptions;
    if (assumed < learner_.high(end_)) assumptions.push_back(at_most(end_, assumed));
    const Outcome outcome = search_assuming(assumptions, budget);
    // What was refuted under its only assumption is known for good.
    if (outcome == Outcome::impossible_as_assumed) possible(learner_.require(at_least(end_, assumed + 1)));
    return impossible_ ? Outcome::impossible : outcome;
}

Exact::Outcome Exact::search_window(const Schedule& from, Time begin, Time end, const Learner::Budget& budget) {
    std::vector<Fact> assumptions;
    for (std::size_t i = 0; i < choices_.size(); ++i) {
        const Time start = from.start[i], duration = project_.activities[i].modes[from.mode[i]].duration;
        if (start + duration > begin && start < end) continue;
        const Time kept = start + duration <= begin ? start : start - 1;
        assumptions.push_back(at_most(choices_[i].start, kept));
        assumptions.push_back(at_least(choices_[i].start, kept));
    }
    follow(from);
    return search_assuming(assumptions, budget);
}

void Exact::read_solution() {
    const std::size_t count = choices_.size();
    found_.start.assign(count, 0);
    found_.mode.assign(count, Schedule::left_out);
    for (std::size_t i = 0; i < count; ++i) {
        const Choice& choice = choices_[i];
        if (!is_done(choice)) continue;
        found_.start[i] = learner_.low(choice.start);
        found_.mode[i] = 0;
        for (std::size_t m = 0; m < choice.mode.size(); ++m)
            if (learner_.holds(is_true(choice.mode[m]))) found_.mode[i] = static_cast<int>(m);
    }
    model_.resize(learner_.variables());
    for (int v = 0; v < learner_.variables(); ++v) model_[v] = learner_.low(v);
}

void Exact::follow(const Schedule& schedule) {
    model_.assign(learner_.variables(), 0);
    for (std::size_t i = 0; i < choices_.size(); ++i) {
        const Choice& choice = choices_[i];
        model_[choice.start] = schedule.start[i];
        if (choice.present >= 0) model_[choice.present] = schedule.done(static_cast<int>(i)) ? 1 : 0;
        for (std::size_t m = 0; m < choice.mode.size(); ++m)
            model_[choice.mode[m]] = schedule.mode[i] == static_cast<int>(m) ? 1 : 0;
        if (choice.duration >= 0 && schedule.done(static_cast<int>(i)))
            model_[choice.duration] = project_.activities[i].modes[schedule.mode[i]].duration;
    }
    model_[end_] = makespan(project_, schedule);
    if (value_ >= 0) model_[value_] = static_cast<int>(value(project_, schedule));
}

/// What is worth most is taken first; then what can start first does, in its shortest mode.
std::optional<Fact> Exact::decide(const Learner& learner) {
    int best = -1;
    for (std::size_t i = 0; i < choices_.size(); ++i) {
        const int present = choices_[i].present;
        if (present < 0 || learner.low(present) == learner.high(present)) continue;
        if (best < 0 || project_.activities[i].value > project_.activities[best].value) best = static_cast<int>(i);
    }
    if (best >= 0) {
        if (project_.activities[best].value > 0) return is_true(choices_[best].present);
        return is_false(choices_[best].present);
    }
    for (std::size_t i = 0; i < choices_.size(); ++i) {
        const Choice& choice = choices_[i];
        if (!is_done(choice)) continue;
        bool open = learner.low(choice.start) < learner.high(choice.start);
        for (const int mode : choice.mode) open |= learner.low(mode) < learner.high(mode);
        if (!open) continue;
        if (best < 0 || learner.low(choice.start) < learner.low(choices_[best].start) ||
            (learner.low(choice.start) == learner.low(choices_[best].start) &&
             learner.high(choice.start) < learner.high(choices_[best].start)))
            best = static_cast<int>(i);
    }
    if (best < 0) {
        if (value_ >= 0 && learner.low(value_) < learner.high(value_)) return at_least(value_, learner.high(value_));
        if (learner.low(end_) < learner.high(end_)) return at_most(end_, learner.low(end_));
        return std::nullopt;
    }
    const Choice& choice = choices_[best];
    int shortest = -1;
    for (std::size_t m = 0; m < choice.mode.size(); ++m) {
        if (learner.low(choice.mode[m]) == learner.high(choice.mode[m])) continue;
        if (shortest < 0 ||
            project_.activities[best].modes[m].duration < project_.activities[best].modes[shortest].duration)
            shortest = static_cast<int>(m);
    }
    if (shortest >= 0) return is_true(choice.mode[shortest]);
    return at_most(choice.start, learner.low(choice.start));
}

bool Exact::prefers(Fact fact) {
    const int variable = fact.side / 2;
    if (!model_.empty()) return fact.side % 2 == 0 ? model_[variable] >= fact.at : -model_[variable] >= fact.at;
    return shape_[variable] ? fact.side % 2 == 0 : fact.side % 2 == 1;
}

}  // namespace handrail::schedule::detail
