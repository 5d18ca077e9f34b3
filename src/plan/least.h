#pragma once

#include "plan/problem.h"

/// What things take at least, whoever does them and however: the ground that every bound stands on. Whatever is not
/// understood here is left out, so that nothing is ever too much.
namespace handrail::plan::detail {

/// No step of the crew starts sooner.
Time start_of_work(const Problem& problem);
/// A step under a lead, with the arm or hand over hand.
Time least_time(const StepData& step, int lead);
/// By task: its steps that are still to be done, in file order.
using TaskSteps = std::vector<std::vector<int>>;
TaskSteps steps_by_task(const Problem& problem);
/// True for a task that no plan may leave out.
bool must_be_done(const TaskData& task);
/// By task: an outing with it ends no sooner, all other tasks left aside; `never`: no plan has it.
std::vector<Time> earliest_home(const Problem& problem, const TaskSteps& steps);
/// By item: a step moves it, or a bag it is in, or something in it, without a pick-up.
std::vector<std::uint8_t> moved_by_steps(const Problem& problem);
/// The bag that holds an item (or the bag that holds that one); the item itself when it is in none.
int outermost(const Problem& problem, int item);
/// The longest time from one glove check to the next: the interval, or one activity that is longer.
Time longest_unchecked(const Problem& problem);
/// The most of a stretch of `work` seconds between egress and clean-up that is left when the glove checks which must
/// fall into it are taken out. From one check to the next it is at most `unchecked`, so n checks must fall into more
/// than n × unchecked + (n - 1) × check. Just before one more falls due there is more time than just after it.
double unchecked_work(const Problem& problem, Time work, Time unchecked);

}  // namespace handrail::plan::detail
