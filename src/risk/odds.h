#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/planner.h"
#include "risk/model.h"
#include "timeline/timeline.h"

/// How fragile a plan is. Every run follows the plan's order and people with drawn times, waits for windows, partners,
/// arm and items, leaves tasks out at their gates, and starts home in time.
namespace handrail::risk {

struct Options {
    std::uint32_t runs = 100'000;
    std::uint64_t seed = 1;
    int threads = 0;    ///< 0: one a core
    bool gates = true;  ///< gates solved and in force; false: tasks are left out and home is started at likely times
    bool sure_home = false;  ///< without gates: start home early enough for the wanted confidence all the same
    bool explain = true;     ///< drivers, criticality and waiting too
};

/// A share of the runs and its standard error.
struct Share {
    double value = 0, error = 0;
};
/// A moment and the standard error of its estimate, seconds.
struct Moment {
    Pet at{};
    double error_s = 0;
};

struct TaskOdds {
    TaskId task{};
    Share done;
    bool planned = false;  ///< in the timeline at all
};

/// A decision agreed beforehand.
struct Gate {
    TaskId task{};                ///< which would be begun here
    std::optional<StepId> after;  ///< at the end of this step; none: after egress (live: from now)
    Crew crew = Crew::ev1;        ///< whose step that is
    Pet planned{};                ///< when this comes up in the plan
    /// Begin the task until then, later leave it out. None: not at any time that can come up.
    std::optional<Pet> begin_until;
    bool always = false;  ///< whenever this comes up before likely times forbid it: `begin_until` is that moment
    enum class Because : std::uint8_t {
        home,      ///< later, coming home in time with the reserves would be less likely than wanted
        required,  ///< later, it would cost a required task
        value      ///< later, it would cost more than it is worth
    } because = Because::home;
    Share home;           ///< P(in time with the reserves) when it is begun at that moment
    Pet start_home_by{};  ///< the last moment from which home is in time with the wanted confidence
};

/// What makes the end late: share of the variance of the end time that this input alone explains.
struct Driver {
    enum class What : std::uint8_t { day, person, step, way, trouble, airlock } what = What::day;
    std::optional<StepId> step;  ///< step, way
    std::optional<Crew> person;
    std::optional<std::size_t> trouble;
    double share = 0;
};
struct StepRisk {
    StepId step{};
    double critical = 0;     ///< share of the runs in which it is on the path that sets the end
    double wait_mean_s = 0;  ///< how long its people wait for it to begin
    enum class For : std::uint8_t { nothing, window, partner, arm, other, rule } waits_for = For::nothing;  ///< mostly
};

struct Odds {
    std::uint32_t runs = 0;
    std::uint64_t seed = 0;
    bool gates_in_force = false;
    double confidence = 0;
    Share required;      ///< all required tasks done
    Share in_time;       ///< home by the limit
    Share with_margin;   ///< home by the limit less the wanted margin
    Share reserve_kept;  ///< both suits home with their reserves; one less this: the reserve is touched
    Share home;          ///< in time with the reserves
    double value = 0, value_error = 0, value_planned = 0;
    std::vector<TaskOdds> tasks;
    Pet planned_finish{};
    double finish_mean_s = 0, finish_sd_s = 0;
    Moment p10, p50, p90;
    Pet histogram_from{};
    Seconds histogram_width{};
    std::vector<std::uint32_t> histogram;  ///< of the end time; everything outside is counted at the ends
    std::array<std::optional<Seconds>, 2> suit_left_p10;  ///< EV1, EV2: what the tightest consumable would still last
                                                          ///< at return; none: nothing limits the suit
    std::vector<Gate> gates;
    /// Of runs in which nothing is left out: how late everything would be.
    Moment everything_p50, everything_p90;
    std::vector<Driver> drivers;  ///< largest first
    double unexplained = 0;       ///< one less their sum
    std::vector<StepRisk> steps;  ///< in program order
    std::uint32_t explained_runs = 0;
    /// Seconds by which the end of the timeline differs from the end of the plan that its order gives: a timeline
    /// written by hand may hold waits that no rule asks for.
    std::int64_t order_differs_s = 0;
};

/// Before or during an outing: from `situation` on, following the order and the people of `timeline`. During it, what
/// has already taken longer or shorter than planned says something about the day and the people; that is used. What the
/// lead has settled holds in every run, as docs/risk.md tells.
Odds odds_from(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
               const Timeline& timeline, const Options& options, const plan::Wishes& wishes = {});
Odds odds_of(const Outing& outing, const WindowTable& windows, const Timeline& timeline, const Options& options,
             const plan::Wishes& wishes = {});

/// "handrail-risk" JSON, version 1.
std::string to_json(const Outing& outing, const Odds& odds);
/// Tables for people: odds, gates, drivers, waiting; ends with the caution.
std::string print_odds(const Outing& outing, const Odds& odds);
/// "At the end of EV1's step ... (planned 02:10): begin C until 02:40, later leave it out."
std::string sentence(const Outing& outing, const Gate& gate, double confidence);

}  // namespace handrail::risk
