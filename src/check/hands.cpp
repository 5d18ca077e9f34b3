#include <fmt/format.h>

#include "check/rules.h"

/// What hand work asks for: looks at the gloves, and rest.
namespace handrail::checking {
namespace {

/// The stretches of one crew member between two looks at the gloves; going out and cleaning up count as looks.
class GloveRun {
public:
    GloveRun(const Replay& replay, Report& report, Crew c) : replay_(replay), report_(report), crew_(c) {}

    void see(const Activity& activity) {
        const bool checks = activity.kind == ActivityKind::glove_check || activity.kind == ActivityKind::clean_up;
        if (checks) looked_at(activity.start);
        if (checks || activity.kind == ActivityKind::egress) {
            since_ = activity.end();
            between_ = 0;
            starts_right_away_ = false;
            return;
        }
        if (!since_) return;
        if (between_ == 0) starts_right_away_ = activity.start == *since_;
        ++between_;
    }
    /// The end of a timeline without clean-up counts as a look, too.
    void end(Pet finish) {
        if (since_ && between_ > 0) looked_at(finish);
    }

private:
    void looked_at(Pet t) {
        if (!since_) return;
        const Milliseconds every = replay_.outing.rules.glove_check_every;
        const bool single_activity = between_ == 1 && starts_right_away_;
        if (t - *since_ > every && !single_activity)
            report_.add("glove-check", {lane_of(crew_)}, *since_ + every, seconds(t - *since_ - every),
                        fmt::format("{} goes {} without a glove check from {}: put one in by {}.", name(crew_),
                                    span_text(t - *since_), clock(*since_), clock(*since_ + every)));
        since_.reset();
    }

    const Replay& replay_;
    Report& report_;
    Crew crew_;
    std::optional<Pet> since_;  ///< end of the last look; nothing before egress and after clean-up
    int between_ = 0;           ///< activities since then
    bool starts_right_away_ = false;
};

bool is_hand_heavy(const Outing& outing, const Activity& activity) {
    if (!activity.step) return false;
    const Effort effort = outing.step(*activity.step).effort;
    return effort == Effort::tools || effort == Effort::forced;
}

void check_rests_of(const Replay& replay, Report& report, Crew c) {
    struct Block {
        int steps = 0;
        Seconds heavy{0};
        Pet from{}, to{};
        Pet crossed{};  ///< when it became too long
    };
    const Rules& rules = replay.outing.rules;
    Block block;
    const auto say = [&] {
        if (block.steps > 1 && block.heavy > rules.heavy_limit)
            report.add("rest", {lane_of(c)}, block.crossed, seconds(block.heavy - rules.heavy_limit),
                       fmt::format("{} does {} of hand-heavy work from {} to {} without {} of rest or other work in "
                                   "between: no more than {} at a stretch.",
                                   name(c), print_duration(block.heavy), clock(block.from), clock(block.to),
                                   print_duration(rules.rest), print_duration(rules.heavy_limit)));
        block = {};
    };
    for (const Stage& stage : replay.of(c)) {
        const Activity& activity = *stage.activity;
        if (!is_hand_heavy(replay.outing, activity)) continue;
        if (block.steps > 0 && activity.start - block.to >= rules.rest) say();
        if (block.steps == 0) block.from = activity.start;
        const bool was_within = block.heavy <= rules.heavy_limit;
        block.heavy += activity.duration;
        if (was_within && block.heavy > rules.heavy_limit)
            block.crossed = activity.end() - (block.heavy - rules.heavy_limit);
        block.to = std::max(block.to, activity.end());
        ++block.steps;
    }
    say();
}

}  // namespace

void check_gloves(const Replay& replay, Report& report) {
    for (const Crew c : both_crew) {
        GloveRun run(replay, report, c);
        for (const Stage& stage : replay.of(c)) run.see(*stage.activity);
        run.end(replay.timeline.finish());
    }
}

void check_rests(const Replay& replay, Report& report) {
    for (const Crew c : both_crew) check_rests_of(replay, report, c);
}

}  // namespace handrail::checking
