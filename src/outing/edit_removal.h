#pragma once

#include <filesystem>
#include <vector>

#include "outing/edit_outing.h"

/// Edits that take more than one place: a thing goes out together with every mention of it.
namespace handrail {

/// What goes out of an outing. Items are not looked for in the steps that stay: those still need them.
struct Removal {
    std::vector<TaskId> tasks;
    std::vector<StepId> steps;
    std::vector<ItemId> items;
    /// Orders that go although both their steps stay: the latest start (`within`) or the common start (`together`) of
    /// `after` against `before`.
    struct Tie {
        StepId before, after;
    };
    std::vector<Tie> ties;
};

/// The edits for edit_texts(). Where a step stays, its orders keep what they can: a step that came after one that goes
/// comes after the others it names, or after the one before it in its task; a latest start counted from a step that
/// goes is gone; steps named by number are named by their new number. A task goes when all its steps do; a trouble
/// goes when every step it can strike does. REQUIRES: `outing` was read from `texts`.
Result<std::vector<OutingEdit>> removal_of(const std::vector<OutingText>& texts, const Outing& outing,
                                           const Removal& removal);

/// The outing file's text as it must be in another folder: what it includes, and the files it takes orbit and windows
/// from, are looked up from there.
Result<std::string> moved_text(const OutingText& text, const std::filesystem::path& from,
                               const std::filesystem::path& to);

}  // namespace handrail
