#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "live/options.h"
#include "live/state.h"

/// Parts that the documents made here have in common.
namespace handrail::live::detail {

using OrderedJson = nlohmann::ordered_json;

/// Whole seconds since PET zero; null where there is no time.
OrderedJson pet_s(Pet t);
OrderedJson pet_s(const std::optional<Pet>& t);
/// Whole minutes, rounded down; null where nothing limits.
OrderedJson minutes(const std::optional<Seconds>& d);
/// To four decimals: more would be noise, and makes equal states unequal texts.
double rounded(double amount);

std::string_view consumable_key(lifesupport::Consumable);
std::string_view step_word(plan::StepStatus);
std::string_view class_key(TaskClass);
std::string_view where_key(plan::ItemPlace::Where);
/// Worksite, bag or crew id; null when lost.
OrderedJson place_key(const Outing& outing, const plan::ItemPlace& place);
/// How far an activity of the plan has come: "to_do", "running", "done" or "skipped".
std::string_view planned_progress(const Day& day, const Activity& activity);
/// One activity as docs/status.md has it.
OrderedJson activity_json(const Outing& outing, const AsRun& run);
/// Findings as docs/status.md has them.
OrderedJson findings_json(const std::vector<Finding>& findings);
/// What is open, what is outside and the steps until everyone is in, as docs/status.md has them.
OrderedJson coming_in_json(const Outing& outing, const Day& day, const StandingDown& down);
/// UTF-8 text without spaces.
std::string dumped(const OrderedJson& json);

}  // namespace handrail::live::detail

namespace handrail::live {
/// One option as docs/status.md has it.
detail::OrderedJson option_json(const Outing& outing, const Day& day, const Option& option);
}  // namespace handrail::live
