#pragma once

#include "plan/causes.h"
#include "plan/planner.h"

/// Why a timeline is as it is: what would let each left-out task in, what each wait waits for, what sets the finish,
/// and which rule costs most. Every sentence rests on a search that was made or on the timeline itself.
namespace handrail::plan {

/// One change that, alone, lets a left-out task in beside everything that is in the plan: a plan with it was found. It
/// is made as small as the searches could make it, to the minute; a little less may do.
struct Remedy {
    enum class Kind : std::uint8_t {
        room,           ///< none is needed: it fits already
        person,         ///< another lead than the file's
        item,           ///< items that lie elsewhere to begin with
        limit,          ///< a later hard end
        window,         ///< longer light, coverage or other conditions, or a shorter one that must not hold
        suits,          ///< suits that last longer, by so much of moving hand over hand
        end_and_suits,  ///< a later hard end and longer-lasting suits, where neither alone will do
        latest,         ///< a later latest start and end of the task
        work,           ///< more work for a person than their limit
        drop            ///< another task out
    };
    /// A condition that would have to hold, or must not hold, in a stretch where now it does not, or does.
    struct Stretch {
        StepId step{};                    ///< for which step
        std::string condition, worksite;  ///< as in WindowTable
        bool holds = true;
        Pet from{}, to{};
    };
    Kind kind = Kind::room;
    Seconds by{0};                                     ///< limit, window, suits, latest, work: how much
    Seconds suits_by{0};                               ///< end_and_suits: how much longer the suits would have to last
    std::vector<Stretch> stretches;                    ///< window
    std::vector<std::pair<ItemId, WorksiteId>> items;  ///< item: where each would have to lie
    std::optional<TaskId> out;                         ///< drop
    double value = 0;                                  ///< drop: what is given up
    std::string what;                                  ///< a sentence
};
std::string_view word(Remedy::Kind);

struct Missing {
    TaskId task{};
    std::string reason;        ///< as in Timeline::left_out
    std::vector<TaskId> with;  ///< come in with it, because it needs them
    std::vector<Remedy>
        remedies;        ///< cheapest first: room, person, item, then by time, then drop; empty: none was found
    bool looked = true;  ///< false: left aside, as there are too many (ExplainBudget::most_left_out)
    std::string what;    ///< a sentence: the cheapest
};

/// What relaxing one rule, alone, brings.
struct RuleCost {
    std::string rule;            ///< as in docs/rules.md, or "window: daylight" for one condition
    std::string relaxed;         ///< "without glove checks"
    double value = 0;            ///< more value than the same search finds with the rule
    Seconds sooner{0};           ///< how much sooner the crew is home, when the value is the same
    Seconds required_sooner{0};  ///< how much sooner the last required task ends, when the value is the same
    std::vector<TaskId> comes;   ///< optional tasks that come in, compared with the search with the rule
    std::string what;            ///< a sentence
};

struct Explanation {
    std::vector<Missing> missing;         ///< in task order
    std::vector<Wait> waits;              ///< by time
    std::vector<ChainLink> chain;         ///< first to last
    std::string finish;                   ///< a sentence: where the chain begins and what it is made of
    std::vector<RuleCost> rules;          ///< those that cost something, most first
    std::vector<std::string> rules_free;  ///< those whose relaxing brought nothing
    Timeline timeline;                    ///< the one explained
};

struct ExplainBudget {
    std::uint64_t iterations = 3000;  ///< of each search made
    std::uint64_t seed = 1;
    int threads = 0;  ///< 0: one per core; the answer is the same on any number
    int most_left_out = 8;
    int most_drops = 12;  ///< how many tasks are tried out in exchange for one
};

/// Thread-safe. `stop`, if given, ends it soon after becoming true; what was not looked at then is missing.
Explanation explain(const Outing& outing, const WindowTable& windows, const Situation& situation,
                    const Timeline& timeline, const ExplainBudget& budget = {},
                    const std::atomic<bool>* stop = nullptr);

/// "Value 441, no plan has more than 486 (gap 9.3 %); home at PET 04:29, ...": how far from the best a plan can be, by
/// the bounds noted in it; "optimal" only when value and finish are both proven. Empty without bounds.
std::string how_good(const Timeline& timeline);
/// Whether the chain is printed link by link, or each run of the same task as one line.
enum class ChainDetail : std::uint8_t { folded, whole };
/// For people: how good it is, the finish, what is left out, what the rules cost, the waits, the chain, the caution.
std::string print_explanation(const Outing& outing, const Explanation& explanation,
                              ChainDetail detail = ChainDetail::folded);
/// "handrail-explanation" JSON, version 1 (docs/how-the-planner-thinks.md).
std::string to_json(const Outing& outing, const Explanation& explanation);

}  // namespace handrail::plan
