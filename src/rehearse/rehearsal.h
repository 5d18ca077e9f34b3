#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "live/forecast.h"
#include "live/session.h"
#include "rehearse/crew.h"

/// A simulated outing with a lead at the console: the world behind it, the journal in front of it.
namespace handrail::rehearse {

struct Setup {
    Level level = Level::medium;
    std::uint64_t seed = 1;
    std::string author = "lead";
};

class Rehearsal {
public:
    /// `source` and `plan` as for live::opening().
    Rehearsal(OutingWithTexts source, Timeline plan, const Setup& setup);
    Rehearsal(const Rehearsal&) = delete;
    Rehearsal& operator=(const Rehearsal&) = delete;

    const Outing& outing() const { return source_.outing; }
    const Timeline& plan() const { return plan_; }
    const Setup& setup() const { return setup_; }
    const Luck& luck() const { return luck_; }
    const World& world() const { return world_; }
    const WindowTable& windows() const { return table_; }
    /// The first entry of its journal, made when the clock starts.
    live::Entry opening() const;
    /// When the clock starts: shortly before PET zero.
    Pet begins() const;

    /// Lets time pass; what was said meanwhile, in order.
    std::vector<Call> advance(Pet to);
    /// When something is said next; nothing when everybody waits for the lead, or all is over.
    std::optional<Pet> next() const { return world_.next(); }
    bool over() const { return world_.over(); }

    /// Every entry of the journal, in order, as soon as it is in it. Decisions among them change what the crew do;
    /// what they answer at once is returned.
    std::vector<Call> hear(const live::Recorded& recorded);
    const std::vector<live::Recorded>& entries() const { return entries_; }
    /// The day as the journal has it.
    live::Day day(Pet now) const;
    Utc utc(Pet at) const { return to_utc(at, plan_.pet_zero); }

    /// How slow this day is by what has ended until then: time taken over time planned, of steps without trouble; an
    /// hour of work at the planned pace counts with it, so that little evidence changes little. Not below 1.
    double pace(Pet until) const;

    /// Everything said so far.
    const std::vector<Call>& calls() const { return calls_; }
    /// When home was started by decision; nothing when the plan ran out by itself.
    std::optional<Pet> stood_down_at() const { return stood_down_at_; }

private:
    OutingWithTexts source_;
    Timeline plan_;
    Setup setup_;
    Luck luck_;
    live::WindowSource source_of_windows_;
    WindowTable table_;
    World world_;
    std::vector<live::Recorded> entries_;
    std::vector<Call> calls_;
    std::optional<Pet> stood_down_at_;
};

}  // namespace handrail::rehearse
