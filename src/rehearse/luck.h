#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "outing/model.h"
#include "risk/model.h"
#include "timeline/timeline.h"

/// What a rehearsal's outing will really take: drawn once, by the seed, with the distributions of src/risk. The draws
/// belong to the steps and people, not to the order in which things are done: whatever the lead decides, the same bolt
/// is stuck.
namespace handrail::rehearse {

/// none: everything takes its planned time. mild: times scatter as the outing's [risk] says, and its troubles strike.
/// medium, severe: practice troubles besides (practice.h), and slower days.
enum class Level : std::uint8_t { none, mild, medium, severe };
std::string_view word(Level level);
std::optional<Level> level_named(std::string_view word);

/// The outing's risk with the practice troubles of this level: stuck fasteners, lost tools, a late start, a private
/// talk. What happens to the whole outing besides is a Mishap.
Risk practice_risk(const Outing& outing, Level level);

/// Something that happens to the whole outing while they are outside.
struct Mishap {
    enum class Kind : std::uint8_t {
        unable,       ///< one of the two can do no more
        arm_lost,     ///< the arm moves no more
        no_coverage,  ///< coverage is gone, whatever was foreseen
        hazard        ///< nobody may work at a worksite
    } kind = Kind::unable;
    double share = 0;                 ///< when, as a share of the planned outing
    std::optional<Seconds> length{};  ///< until it is over; none: not today
    Crew crew = Crew::ev1;            ///< of unable
    WorksiteId site{};                ///< of hazard
};
std::string_view word(Mishap::Kind kind);

/// A trouble that strikes a step.
struct Strike {
    std::size_t trouble = 0;  ///< of Luck::risk().troubles
    Seconds extra{};          ///< what it really costs
    Seconds told{};           ///< what the crew believe it will cost
};

class Luck {
public:
    /// `outing` must outlive it. Same outing, level and seed: the same luck on any machine.
    Luck(const Outing& outing, Level level, std::uint64_t seed);

    const Risk& risk() const { return model_.risk(); }
    /// How long the step takes when `lead` leads its task, without troubles.
    Seconds step(const Step& step, Crew lead) const;
    std::vector<Strike> strikes(StepId step) const;
    /// A translation, swap, pick-up or put-down on the way to `next` (none: on the way home) that is planned for so
    /// long.
    Seconds move(ActivityKind kind, Seconds planned, std::optional<StepId> next, Crew crew, Crew lead) const;
    Seconds airlock(ActivityKind kind, Seconds planned) const;
    /// By how much egress begins later than PET zero.
    Seconds late_start() const { return late_; }
    struct Talk {
        double share = 0;  ///< when it begins, as a share of the planned outing
        Seconds length{};
    };
    const std::optional<Talk>& private_talk() const { return talk_; }
    /// At most one of each kind, by time.
    const std::vector<Mishap>& mishaps() const { return mishaps_; }
    /// Multiplies this person's metabolic rate all through the outing.
    double metabolic(Crew crew) const { return metabolic_[index(crew)]; }

    /// How long the things on the way home take at most with the confidence that the outing's risk asks for (95 of 100
    /// outings by default): from mean and variance of what is drawn for each, troubles and the factors of day and
    /// person included, as risk's own decision times are. `parts`: what one person still has to do, with planned times.
    struct Part {
        ActivityKind kind = ActivityKind::translate;
        Seconds planned{};
        std::optional<StepId> step;
        Crew crew = Crew::ev1, lead = Crew::ev1;
    };
    Seconds sure(const std::vector<Part>& parts) const;

private:
    void add_troubles(StepId step, double& mean, double& variance) const;
    risk::detail::Draw draw_of(const Part& part) const;
    Seconds time(const risk::detail::Draw& draw) const;
    void draw_day(std::uint64_t seed);
    void draw_outing_troubles();
    void draw_mishaps(Level level, std::uint64_t seed);

    const Outing* outing_;
    risk::detail::Model model_;
    std::vector<std::uint32_t> raw_;            ///< by slot
    std::array<double, 4> factor_{1, 1, 1, 1};  ///< by who works: nobody, EV1, EV2, both
    std::array<double, 2> metabolic_{1, 1};
    Seconds late_{0};
    std::optional<Talk> talk_;
    std::vector<Mishap> mishaps_;
};

}  // namespace handrail::rehearse
