#include "rehearse/auto_lead.h"

#include <algorithm>

#include "live/line.h"
#include "live/options.h"
#include "live/status.h"
#include "plan/planner.h"

namespace handrail::rehearse {
namespace {

// Before that a few minutes' more way home, from where the next step takes them, change nothing (practice).
constexpr Seconds near_the_end{60 * 60};

// Looks at the gloves on the way, and the minute in which somebody speaks up (practice).
constexpr Seconds in_between{4 * 60};
// How often suits and the way home are looked at while the end is far (practice).
constexpr Seconds look_every{30 * 60};

constexpr std::array policy_words{"press-on", "follow", "adapt"};

/// What somebody still has to do, as parts whose time can be judged.
std::vector<Luck::Part> parts_of(const live::Forecast& home, const Outing& outing, Crew crew) {
    std::vector<Luck::Part> parts;
    for (const live::AsRun& run : home.ahead) {
        if (!run.activity.on(lane_of(crew))) continue;
        Luck::Part part{run.activity.kind, run.activity.duration, run.activity.step, crew, crew};
        if (part.step) part.lead = home.timeline->lead_of(outing.step(*part.step).task).value_or(crew);
        parts.push_back(part);
    }
    return parts;
}

class AutoLead {
public:
    AutoLead(Rehearsal& rehearsal, Policy policy, const AutoBudget& budget)
        : rehearsal_(rehearsal), policy_(policy), budget_(budget) {}

    void run() {
        write(rehearsal_.opening());
        // However bad the luck, an outing is over by then; a rehearsal that is not has a fault.
        const Pet latest = pet(rehearsal_.outing().rules.limit) + std::chrono::hours{24};
        while (!rehearsal_.over()) {
            std::optional<Pet> next = rehearsal_.next();
            if (home_by_ && !standing_down_ && (!next || *home_by_ < *next)) {
                now_ = std::max(now_, *home_by_);
                take(rehearsal_.advance(now_));
                if (!standing_down_) stand_down(live::StandDownKind::terminate);
                continue;
            }
            if (!next || *next > latest) {
                if (standing_down_) return;
                stand_down(live::StandDownKind::abort);
                continue;
            }
            now_ = *next;
            take(rehearsal_.advance(now_));
        }
    }

private:
    void write(live::Entry entry) {
        const live::Recorded recorded{live::Position{rehearsal_.entries().size() + 1}, std::move(entry), {}};
        // What they answer is only what they stop; it is recorded with the stand-down itself.
        for (const Call& call : rehearsal_.hear(recorded)) log(call);
    }
    void write(live::Body body) {
        live::Entry entry;
        entry.logged = entry.happened = rehearsal_.utc(now_);
        entry.pet = now_;
        entry.author = rehearsal_.setup().author;
        if (std::holds_alternative<live::HoldBegan>(body)) entry.visibility = live::Visibility::medical;
        entry.body = std::move(body);
        write(std::move(entry));
    }
    /// The line as it would be typed.
    void log(const Call& call) {
        if (call.line.empty()) return;
        // The calls name everything they mean, so that a day some minutes old understands them too.
        if (!day_) day_ = rehearsal_.day(call.at);
        const auto read = live::read_line(rehearsal_.outing(), rehearsal_.entries(), *day_, call.line);
        if (const auto* understood = std::get_if<live::Understood>(&read))
            write(live::entry_of(*understood, *day_, rehearsal_.setup().author, rehearsal_.utc(call.at)));
    }

    void take(const std::vector<Call>& calls) {
        bool look = false;
        bool moved = false;
        bool trouble = false;
        for (const Call& call : calls) {
            log(call);
            using What = Call::What;
            if (call.what == What::home) coming_in_ = true;
            look = look || call.what == What::ended || call.what == What::trouble || call.what == What::lost ||
                   call.what == What::egress_done || call.what == What::resume;
            moved = moved || call.what == What::began;
            trouble = trouble || call.what == What::trouble || call.what == What::lost ||
                      call.what == What::egress_done || call.what == What::resume;
            task_done_ = task_done_ || call.what == What::ended;
        }
        if (standing_down_ || coming_in_) return;
        if (std::ranges::find(calls, Call::What::unable, &Call::what) != calls.end())
            return stand_down(live::StandDownKind::terminate);
        if (look)
            consider(calls, trouble);
        else if (moved && home_is_near())
            look_home(look_at());
    }

    /// False when it is time to come in, which is then begun.
    bool look_home(const live::Day& day) {
        if (!live::can_replan(day)) return false;
        const Homeward home = homeward(rehearsal_, day);
        slack_ = home.sure - home.planned;
        looked_home_at_ = now_;
        home_by_ = home.start_by;
        if (!suits_looked_at_ || now_ - *suits_looked_at_ > look_every ||
            (suits_by_ && *suits_by_ - now_ < near_the_end)) {
            suits_by_ = suits_start_by(rehearsal_, day, home);
            suits_looked_at_ = now_;
        }
        if (suits_by_ && home_by_) home_by_ = std::min(*home_by_, *suits_by_);
        if (home.possible && !(home_by_ && *home_by_ <= now_)) return true;
        stand_down(home.possible ? live::StandDownKind::terminate : live::StandDownKind::abort);
        return false;
    }
    bool home_is_near() const {
        return !home_by_ || !looked_home_at_ || *home_by_ - now_ < near_the_end || now_ - *looked_home_at_ > look_every;
    }

    const live::Day& look_at() {
        day_ = rehearsal_.day(now_);
        return *day_;
    }

    /// How much later than in the timeline in force the last steps have ended.
    Seconds behind(const std::vector<Call>& calls) const {
        Seconds behind = Seconds{0};
        for (const Call& call : calls) {
            if (call.what != Call::What::ended || !call.step) continue;
            for (const Activity& activity : rehearsal_.world().instructions().activities)
                if (activity.step == call.step)
                    behind = std::max(behind, std::chrono::floor<Seconds>(call.at - activity.end()));
        }
        return behind;
    }

    void consider(const std::vector<Call>& calls, bool trouble) {
        // Nothing new: no later than when it was last found to end in time.
        const Seconds late = behind(calls);
        const bool look_ahead = policy_ != Policy::press_on && (trouble || late > good_until_ + Seconds{60} ||
                                                                (policy_ == Policy::adapt && task_done_));
        if (!look_ahead && !home_is_near()) return;
        const live::Day& day = look_at();
        if (!look_home(day) || !look_ahead) return;
        const live::Forecast ahead = live::carry_on(rehearsal_.outing(), day);
        const Pet latest = pet(rehearsal_.outing().rules.limit) - slack_;
        const bool too_late = !ahead.possible || ahead.finish > latest;
        // What cannot be done any more leaves time for something else.
        const bool room = (policy_ == Policy::adapt && task_done_) || (trouble && !ahead.cannot.empty());
        const bool better = room && ahead.timeline && !ahead.timeline->left_out.empty();
        task_done_ = false;
        // Looked at again when they are a minute later, or something happens; a plan adopted begins anew.
        good_until_ = std::max(good_until_, late);
        if (too_late || better) replan(day, ahead, slack_, too_late);
    }

    /// The best plan for what is left, with room for the way home to take longer; required tasks are given up, least
    /// value first, only when nothing else will do.
    void replan(const live::Day& day, const live::Forecast& ahead, Seconds slack, bool late) {
        Outing sooner = rehearsal_.outing();
        sooner.rules.limit = std::max(Seconds{60}, sooner.rules.limit - slack);
        std::vector<TaskId> not_begun;
        for (const Task& task : sooner.tasks)
            if (std::ranges::all_of(
                    task.steps, [&](StepId id) { return day.situation.steps[index(id)] == plan::StepStatus::to_do; }))
                not_begun.push_back(task.id);
        std::ranges::stable_sort(not_begun, {}, [&](TaskId id) { return sooner.task(id).value; });
        plan::Freedom freedom;
        freedom.start_from = day.plan;
        plan::Budget thinking;
        thinking.iterations = budget_.iterations;
        thinking.threads = 1;
        for (std::size_t given_up = 0; given_up <= not_begun.size(); ++given_up) {
            const live::Forecast found = live::carry_on_with(sooner, day, freedom, thinking);
            if (found.possible) return adopt(late ? best_of(found, day, not_begun, slack) : found, ahead, late);
            if (!late) return;
            if (given_up < not_begun.size()) freedom.leave_out.push_back(not_begun[given_up]);
        }
        // What is under way does not fit: home_by_ says when to go.
    }

    /// The plan found, or the order kept with one task left out, whichever in time does more.
    live::Forecast best_of(live::Forecast found, const live::Day& day, const std::vector<TaskId>& not_begun,
                           Seconds slack) const {
        const Outing& outing = rehearsal_.outing();
        const Pet latest = pet(outing.rules.limit) - slack;
        for (const TaskId id : not_begun) {
            plan::Freedom freedom;
            freedom.keep_order = true;
            freedom.start_from = day.plan;
            freedom.leave_out = {id};
            live::Forecast without = live::carry_on_with(outing, day, freedom, {});
            if (!without.possible || without.finish > latest) continue;
            if (found.finish > latest || worth(without, Pet::max()) > worth(found, Pet::max()))
                found = std::move(without);
        }
        return found;
    }

    void adopt(const live::Forecast& found, const live::Forecast& ahead, bool late) {
        if (!found.timeline) return;
        if (!late && ahead.timeline && value_of(found) <= value_of(ahead)) return;
        // Pressing on and coming home when it is time may still do more than what was found.
        if (late && ahead.possible && home_by_ && worth(found, Pet::max()) <= worth(ahead, *home_by_)) return;
        live::Option option;
        option.id = "replan";
        option.title = "The best plan for what is left";
        option.forecast = found;
        write(live::adoption(rehearsal_.outing(), option));
        good_until_ = Seconds{0};
    }
    /// Of the tasks to come that will be over by then: how many are required, and the value of the others.
    std::pair<int, double> worth(const live::Forecast& forecast, Pet by) const {
        const Outing& outing = rehearsal_.outing();
        std::vector<Pet> end(outing.tasks.size(), Pet::min());
        for (const live::AsRun& run : forecast.ahead)
            if (run.activity.step) {
                Pet& last = end[index(outing.step(*run.activity.step).task)];
                last = std::max(last, run.activity.end());
            }
        std::pair<int, double> sum{0, 0.0};
        for (const Task& task : outing.tasks) {
            if (end[index(task.id)] == Pet::min() || end[index(task.id)] > by) continue;
            if (task.task_class == TaskClass::required)
                ++sum.first;
            else
                sum.second += task.value;
        }
        return sum;
    }
    double value_of(const live::Forecast& forecast) const {
        double value = 0;
        std::vector<TaskId> seen;
        for (const live::AsRun& run : forecast.ahead) {
            if (!run.activity.step) continue;
            const Task& task = rehearsal_.outing().task(rehearsal_.outing().step(*run.activity.step).task);
            if (std::ranges::find(seen, task.id) != seen.end()) continue;
            seen.push_back(task.id);
            value += task.value;
        }
        return value;
    }

    void stand_down(live::StandDownKind kind) {
        standing_down_ = true;
        write(live::StandDown{kind, "time to come home"});
    }

    Rehearsal& rehearsal_;
    Policy policy_;
    AutoBudget budget_;
    Pet now_ = Pet{Seconds{-120}};
    std::optional<live::Day> day_;  ///< as last looked at
    std::optional<Pet> home_by_;
    std::optional<Pet> looked_home_at_, suits_by_, suits_looked_at_;
    Seconds slack_{};
    Seconds good_until_{};  ///< so far behind, the day was still found to end in time
    bool standing_down_ = false, coming_in_ = false, task_done_ = false;
};

}  // namespace

std::string_view word(Policy policy) { return policy_words[static_cast<std::size_t>(policy)]; }

std::optional<Policy> policy_named(std::string_view text) {
    const auto found = std::ranges::find(policy_words, text);
    if (found == policy_words.end()) return std::nullopt;
    return static_cast<Policy>(found - policy_words.begin());
}

Homeward homeward(const Rehearsal& rehearsal, const live::Day& day) {
    const Outing& outing = rehearsal.outing();
    Homeward result;
    live::Forecast home = live::come_in(outing, day, live::ComeIn::orderly);
    if (!home.possible || !home.timeline) home = live::come_in(outing, day, live::ComeIn::at_once);
    if (!home.possible || !home.timeline) return result;
    result.possible = true;
    const double pace = rehearsal.pace(rehearsal.world().now());
    const Pet limit = pet(outing.rules.limit);
    for (const Crew crew : both_crew) {
        const std::vector<Luck::Part> parts = parts_of(home, outing, crew);
        Seconds planned{0};
        for (const Luck::Part& part : parts) planned += part.planned;
        result.planned = std::max(result.planned, planned);
        const double sure = static_cast<double>(rehearsal.luck().sure(parts).count()) * pace;
        result.sure = std::max(result.sure, Seconds{static_cast<std::int64_t>(sure)} + in_between);
    }
    result.start_by = limit - result.sure;
    return result;
}

std::optional<Pet> suits_start_by(const Rehearsal& rehearsal, const live::Day& day, const Homeward& home) {
    const live::Forecast ahead = live::carry_on(rehearsal.outing(), day);
    std::optional<Pet> by;
    for (const live::SuitStatus& suit : live::suits_of(rehearsal.outing(), day, ahead))
        if (suit.terminate.at) {
            const Pet at = *suit.terminate.at - (home.sure - home.planned);
            by = std::min(by.value_or(at), at);
        }
    return by;
}

void lead_automatically(Rehearsal& rehearsal, Policy policy, const AutoBudget& budget) {
    AutoLead(rehearsal, policy, budget).run();
}

}  // namespace handrail::rehearse
