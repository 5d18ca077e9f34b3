#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "check/check.h"
#include "plan/rearrange.h"

/// Editing a timeline by hand: timeline + edit -> timeline + findings, within 50 ms for forty tasks, the same on every
/// machine. Thread-safe: nothing is kept between calls.
///
///     edit::Edited now = ...;   // timeline and wishes so far
///     const auto result = edit::apply(outing, windows, plan::initial(outing), now.timeline, now.wishes,
///                                     edit::Pin{step, from, from});
namespace handrail::edit {

/// The step starts between these (the same moment: exactly there), as when it is dragged to a time. Replaces an earlier
/// pin of the step.
struct Pin {
    StepId step{};
    Pet from{}, to{};
};
/// Takes back every pin, order and ban of this step.
struct FreeStep {
    StepId step{};
};
/// That person leads the task. Replaces an earlier one.
struct Give {
    TaskId task{};
    Crew lead{};
};
/// The task must be there.
struct PutIn {
    TaskId task{};
};
struct LeaveOut {
    TaskId task{};
};
/// Takes back who leads the task and whether it must be there or out.
struct FreeTask {
    TaskId task{};
};
struct PutBefore {
    StepId first{}, then{};
};
/// That person takes no part in the step.
struct Forbid {
    StepId step{};
    Crew crew{};
};
/// Nobody works there or passes; `open` takes it back.
struct CloseSite {
    WorksiteId site{};
};
struct OpenSite {
    WorksiteId site{};
};
/// Changes no wish; rearranges and checks with those there are.
struct Nothing {};

using Edit =
    std::variant<Nothing, Pin, FreeStep, Give, PutIn, LeaveOut, FreeTask, PutBefore, Forbid, CloseSite, OpenSite>;

/// The wishes with the edit in them. Nothing is checked.
plan::Wishes with(plan::Wishes wishes, const Edit& edit);

/// One thing in which two timelines differ.
struct Difference {
    enum class Kind : std::uint8_t { task_in, task_out, lead, start } kind = Kind::start;
    TaskId task{};
    std::optional<StepId> step;  ///< Kind::start
    Seconds by{0};               ///< Kind::start: later; negative: sooner
    std::string what;            ///< a sentence
};
/// Tasks that came, went or changed hands, and steps that start at another time; in task order, then step order.
std::vector<Difference> differences(const Outing& outing, const Timeline& before, const Timeline& after);

struct Edited {
    Timeline timeline;
    plan::Wishes wishes;                  ///< with the edit in them
    std::vector<Finding> findings;        ///< every rule again
    std::vector<std::string> unkept;      ///< wishes that this timeline does not keep, in sentences
    std::vector<Difference> differences;  ///< against the timeline before
};
/// The edit cannot be: two wishes contradict each other or the file. Nothing has changed.
struct Refused {
    std::string why;  ///< a sentence
};

/// The timeline with the edit in it. What is not touched keeps its order and its people; times follow. The result may
/// break rules (that is what `findings` are for); it is refused only where no timeline at all could obey.
/// `situation` is plan::initial(outing) before the outing, the state of the day in it; `options` as for check().
std::variant<Edited, Refused> apply(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
                                    const Timeline& before, const plan::Wishes& wishes, const Edit& edit,
                                    const CheckOptions& options = {});

}  // namespace handrail::edit
