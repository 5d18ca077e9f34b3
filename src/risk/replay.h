#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "risk/program.h"

namespace handrail::risk::detail {

/// What may be left out on the way.
struct Policy {
    /// Latest moment at which each task may be begun, by task; a task without one goes by likely times. Empty: none.
    std::vector<float> gate;
    /// Start home while it is in time with the model's confidence; false: while it is at likely times.
    bool sure = false;
    bool drop = true;  ///< false: everything is done, however late (what the end time would be)
};

/// How one run ended.
struct Outcome {
    const Program* program = nullptr;  ///< what was left of the plan
    std::uint32_t run = 0;
    std::uint16_t row = 0;             ///< of Program::done
    bool reserve_kept = true;          ///< both suits came home with their reserves
    float finish = 0;                  ///< end of ingress, seconds of PET
    std::array<float, 2> suit_left{};  ///< seconds at the reserve's rate that the tightest consumable would still last
};
/// A run that must leave something out: it goes on with the plan that follows.
struct Diverted {
    const Program* program = nullptr;  ///< the one it leaves
    std::uint32_t run = 0;
    std::int16_t task = 0, keep = 0;
    std::int32_t decision = -1;  ///< where; -1: within a step, so that it starts over
    std::size_t saved = 0;       ///< where its state stands in Ended::saved
};
/// How a number of runs ended.
struct Ended {
    std::vector<Outcome> outcomes;
    std::vector<Diverted> diverted;
    std::vector<float> saved;
    void clear() {
        outcomes.clear();
        diverted.clear();
        saved.clear();
    }
};
/// How many numbers a lane's state takes at this decision.
std::size_t saved_size(const Decision& decision);

/// A run need not start at PET zero: a gate asks from a decision on, with everything before it shifted alike.
struct From {
    int decision = -1;   ///< its number in the program; past the last one: from the way home
    float shift = 0;     ///< seconds later than planned
    bool begin = false;  ///< the task at that decision is begun, whatever its gate says
};
/// The plan and every plan that follows from it; simulate.h.
class Programs;

/// Runs that go on in another program from where they were in `before`.
struct Resume {
    const Decision* decision = nullptr;  ///< of the program they come from
    std::span<const float> saved;        ///< saved_size() numbers a run
};

inline constexpr int lanes = 32;
struct LaneState;

/// What each lane drew and when it did what, for looking closer at single runs; arrays by node or part, then lane.
struct Trace {
    std::vector<std::array<float, lanes>> start;                ///< by node
    std::vector<std::array<std::array<float, lanes>, 2>> free;  ///< by node: of EV1 and EV2 before it
    std::vector<std::array<float, lanes>> end;                  ///< by node: of its last part
};

/// Replays runs 32 at a time. The slow version beside it: tests/risk/slow_replay.h. Flat arrays, no allocation in the
/// loops, every lane computed whether it still matters or not: so that the compiler can use vector registers.
class Replayer {
public:
    Replayer(const Ground& ground, const Factors& factors, std::uint64_t seed);
    ~Replayer();
    Replayer(const Replayer&) = delete;
    Replayer& operator=(const Replayer&) = delete;

    /// Runs `runs` through the program; appends to `ended`. Where most of a batch leave out the same at once they go on
    /// together in the plan that follows.
    void run(Programs& programs, const Program& program, const Policy& policy, std::span<const std::uint32_t> runs,
             From from, Resume resume, Ended& ended);
    /// The same for at most `lanes` runs, keeping every time. Nothing is left out.
    void trace(const Program& program, std::span<const std::uint32_t> runs, Trace& trace,
               std::vector<Outcome>& outcomes);
    /// The random bits of the last batch: by slot, then lane.
    std::span<const std::uint32_t> raw(int slot) const;

private:
    const Ground& ground_;
    Factors factors_;
    std::uint64_t seed_;
    std::unique_ptr<LaneState> state_;

    void make_room(const Program& program);
    void draw(std::span<const std::uint32_t> runs);
    void draw_factors();
    void draw_outing_troubles(const Program& program);
    void begin(const Program& program, From from);
    void begin_running(const Program& program);
    void load(Resume resume);
};

}  // namespace handrail::risk::detail
