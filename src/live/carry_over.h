#pragma once

#include <string>
#include <vector>

#include "live/close_out.h"
#include "outing/edit_outing.h"
#include "outing/edit_removal.h"

/// What a day that is over leaves for the next outing: jobs not done or done in part, and where parts and tools are
/// now. Made from what happened only; nobody's words (reasons, notes, private matters) come in.
namespace handrail::live {

/// A task that goes on.
struct TaskLeft {
    TaskId task{};
    bool whole = false;
    std::vector<StepId> left;   ///< not done
    std::vector<StepId> again;  ///< done, and to be done again for those left
};
/// Where an item starts next time.
struct ItemLeft {
    ItemId item{};
    enum class Fate : std::uint8_t {
        starts,      ///< at `place` or in `bag`, which may be where it started before
        fixed,       ///< installed, and no job needs it any more
        brought_in,  ///< taken off by a job, inside, and no job needs it any more
        lost,        ///< and no job needs it any more
        replaced     ///< lost, but jobs need it: another one is counted on at the airlock
    } fate = Fate::starts;
    WorksiteId place{};
    std::optional<ItemId> bag;
    bool elsewhere = false;  ///< not where the outing file has it
};
struct LeftOver {
    std::vector<TaskLeft> tasks;
    std::vector<TaskId> done;
    std::vector<StepId> skipped;      ///< by the lead's decision, of tasks that go on; they do not
    std::vector<ItemLeft> items;      ///< by ItemId
    std::vector<Removal::Tie> loose;  ///< orders that cannot hold next time, because `before` is done for good
    std::vector<WorksiteId> open;     ///< worksites nobody closed up
};
/// REQUIRES: can_close(day)
LeftOver left_over(const Outing& outing, const Day& day, const CloseOut& close_out);

/// The outing of `texts` with only what is left in it, everything where it is now: the next outing, but for its name
/// and its clock. Nothing when no job is left. REQUIRES: `outing` was read from `texts`, `left` from its day.
Result<EditedOuting> only_what_is_left(const std::vector<OutingText>& texts, const Outing& outing,
                                       const LeftOver& left);

/// The same jobs and items put into an outing that is there already.
struct AddedTo {
    EditedOuting next;
    std::vector<TaskId> added, there_already;
    struct Refused {
        TaskId task{};
        InputError why;  ///< the first thing the reader says against it
    };
    std::vector<Refused> refused;
};
/// `left_texts`: what only_what_is_left() made. A task the next outing would not take (its worksite is unknown there,
/// say) is left aside, the others go in.
Result<AddedTo> added_to(const std::vector<OutingText>& next, const std::vector<OutingText>& left_texts,
                         const Outing& outing, const LeftOver& left);

/// Plain sentences, one a line: what goes on, what does not, where things are. For the lead; nothing private in them.
std::vector<std::string> sentences(const Outing& outing, const LeftOver& left);

/// "Larkspur outing 4" after "Larkspur outing 3"; a name without a number gets a 2.
std::string next_name(const std::string& name);

}  // namespace handrail::live
