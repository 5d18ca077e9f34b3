#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "live/state.h"

/// What people call tasks, steps, items and worksites in a hurry, brought back to the outing file's names.
namespace handrail::live::detail {

/// Thrown within the reading of one line, with the sentence for the person.
struct Trouble {
    std::string sentence;
};
[[noreturn]] void trouble(std::string sentence);

std::string lower(std::string_view text);

/// Names are found by id or name in any spelling of case, spaces, dots and hyphens ("Bag-2", "bag 2"), by some of their
/// words where only one thing has them all ("bag 2" for "Tool bag 2", "drill" for "Cordless drill"). Steps also by the
/// numbers and the codes that printed sheets carry ("4.2" and "D2": second step of the fourth task), and by task and
/// number or words ("valve 2", "valve open"). Throw Trouble where nothing, or more than one thing, can be meant.
class Names {
public:
    explicit Names(const Outing& outing) : outing_(outing) {}

    TaskId task(const std::string& text) const;
    ItemId item(const std::string& text) const;
    WorksiteId site(const std::string& text) const;
    std::optional<WorksiteId> site_if_any(const std::string& text) const;
    std::optional<ItemId> item_if_any(const std::string& text) const;

    /// By label or by numbers alone; what may stand anywhere in a line.
    std::optional<StepId> step_exactly(const std::string& text) const;
    /// Among several that can be meant, the one with this status; a task's name stands for its next such step.
    StepId step(const std::string& text, const Day& day, plan::StepStatus wanted) const;

private:
    std::optional<StepId> step_by_code(const std::string& text) const;
    std::optional<StepId> step_of(const Task& task, const std::string& rest) const;
    std::optional<StepId> step_of_a_task(const std::string& text) const;

    const Outing& outing_;
};

}  // namespace handrail::live::detail
