#include "edit/edit.h"

#include <fmt/format.h>

#include <algorithm>

namespace handrail::edit {
namespace {

template <class... Ts>
struct Each : Ts... {
    using Ts::operator()...;
};

void forget(plan::Wishes& wishes, TaskId task) {
    std::erase_if(wishes.lead, [&](const auto& wish) { return wish.first == task; });
    std::erase(wishes.must_do, task);
    std::erase(wishes.leave_out, task);
}

plan::Touched touched_by(const Edit& edit) {
    return std::visit(
        Each{[](const Nothing&) { return plan::Touched{}; },
             [](const Pin& e) {
                 return plan::Touched{e.step, {}};
             },
             [](const FreeStep& e) {
                 return plan::Touched{e.step, {}};
             },
             [](const Give& e) {
                 return plan::Touched{{}, e.task};
             },
             [](const PutIn& e) {
                 return plan::Touched{{}, e.task};
             },
             [](const LeaveOut&) { return plan::Touched{}; },
             [](const FreeTask& e) {
                 return plan::Touched{{}, e.task};
             },
             [](const PutBefore& e) {
                 return plan::Touched{e.then, {}};
             },
             [](const Forbid& e) {
                 return plan::Touched{e.step, {}};
             },
             [](const CloseSite&) { return plan::Touched{}; }, [](const OpenSite&) { return plan::Touched{}; }},
        edit);
}

const Activity* run_of(const Timeline& timeline, StepId step) {
    const auto found = std::ranges::find(timeline.activities, std::optional{step}, &Activity::step);
    return found == timeline.activities.end() ? nullptr : &*found;
}

}  // namespace

plan::Wishes with(plan::Wishes wishes, const Edit& edit) {
    std::visit(Each{[](const Nothing&) {},
                    [&](const Pin& e) {
                        std::erase_if(wishes.starts, [&](const auto& wish) { return wish.step == e.step; });
                        wishes.starts.push_back({e.step, e.from, e.to});
                    },
                    [&](const FreeStep& e) {
                        std::erase_if(wishes.starts, [&](const auto& wish) { return wish.step == e.step; });
                        std::erase_if(wishes.not_by, [&](const auto& wish) { return wish.step == e.step; });
                        std::erase_if(wishes.before,
                                      [&](const auto& wish) { return wish.first == e.step || wish.then == e.step; });
                    },
                    [&](const Give& e) {
                        std::erase_if(wishes.lead, [&](const auto& wish) { return wish.first == e.task; });
                        wishes.lead.emplace_back(e.task, e.lead);
                    },
                    [&](const PutIn& e) {
                        std::erase(wishes.leave_out, e.task);
                        std::erase(wishes.must_do, e.task);
                        wishes.must_do.push_back(e.task);
                    },
                    [&](const LeaveOut& e) {
                        forget(wishes, e.task);
                        wishes.leave_out.push_back(e.task);
                    },
                    [&](const FreeTask& e) { forget(wishes, e.task); },
                    [&](const PutBefore& e) {
                        std::erase_if(wishes.before,
                                      [&](const auto& wish) { return wish.first == e.first && wish.then == e.then; });
                        wishes.before.push_back({e.first, e.then});
                    },
                    [&](const Forbid& e) {
                        std::erase_if(wishes.not_by,
                                      [&](const auto& wish) { return wish.step == e.step && wish.crew == e.crew; });
                        wishes.not_by.push_back({e.step, e.crew});
                    },
                    [&](const CloseSite& e) {
                        std::erase(wishes.closed, e.site);
                        wishes.closed.push_back(e.site);
                    },
                    [&](const OpenSite& e) { std::erase(wishes.closed, e.site); }},
               edit);
    return wishes;
}

std::vector<Difference> differences(const Outing& outing, const Timeline& before, const Timeline& after) {
    std::vector<Difference> list;
    for (const Task& task : outing.tasks) {
        const auto was = before.lead_of(task.id);
        const auto is = after.lead_of(task.id);
        if (was && !is)
            list.push_back(
                {Difference::Kind::task_out, task.id, {}, {}, fmt::format("\"{}\" is left out.", task.name)});
        if (!was && is)
            list.push_back({Difference::Kind::task_in,
                            task.id,
                            {},
                            {},
                            fmt::format("\"{}\" comes in, led by {}.", task.name, word(*is))});
        if (was && is && *was != *is)
            list.push_back({Difference::Kind::lead,
                            task.id,
                            {},
                            {},
                            fmt::format("\"{}\" is led by {} instead of {}.", task.name, word(*is), word(*was))});
        for (const StepId id : task.steps) {
            const Activity* old_run = run_of(before, id);
            const Activity* run = run_of(after, id);
            if (!old_run || !run || old_run->start == run->start) continue;
            const Seconds by = since_zero(run->start) - since_zero(old_run->start);
            list.push_back({Difference::Kind::start, task.id, id, by,
                            fmt::format("\"{}\" ({}) starts {} {}, at PET {}.", outing.step(id).name,
                                        outing.step(id).label, print_duration(by < Seconds{0} ? -by : by),
                                        by < Seconds{0} ? "sooner" : "later", print_pet_seconds(run->start))});
        }
    }
    return list;
}

std::variant<Edited, Refused> apply(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
                                    const Timeline& before, const plan::Wishes& wishes, const Edit& edit,
                                    const CheckOptions& options) {
    Edited edited;
    edited.wishes = with(wishes, edit);
    if (auto why = plan::contradiction(outing, edited.wishes)) return Refused{std::move(*why)};
    edited.timeline = plan::rearrange(outing, windows, situation, before, edited.wishes, touched_by(edit));
    edited.findings = check(outing, windows, edited.timeline, options);
    edited.unkept = plan::unkept(outing, edited.timeline, edited.wishes);
    edited.differences = differences(outing, before, edited.timeline);
    return edited;
}

}  // namespace handrail::edit
