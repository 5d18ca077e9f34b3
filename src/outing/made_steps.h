#pragma once

#include "outing/draft.h"

/// Steps that are made from what the file says: the parts of a step that may be interrupted, watching, the commands of
/// inhibits. They are steps like any other from then on, right after the step they come from, or at the task's end.
namespace handrail::detail {

/// Splits the step read last into parts, if it asks for that. Items and close-ups go to the last part, `opens` to the
/// first; each part needs what the step needs.
void make_parts(const Fields& from, Draft& draft, Task& task);
/// The other crew member's watching of `watched`, if it asks for that.
void make_watch(const Fields& from, Draft& draft, Task& task, StepId watched);
/// Command, confirmation and release of every inhibit the task's steps name. `from`: the task.
void make_inhibit_steps(const Fields& from, Draft& draft, Task& task);
/// Whose steps may come between the parts of `first`. REQUIRES: all tasks are known by name.
void read_interrupters(const Fields& from, Draft& draft, StepId first);

}  // namespace handrail::detail
