#pragma once

#include <optional>
#include <string>

#include "outing/model.h"
#include "sky/survey.h"

/// Light and coverage of an outing in words and numbers: what `handrail sky` prints, and what the sky chart draws.
namespace handrail::brief {

/// One span of an outing under one PET zero.
struct SkySpan {
    const Outing& outing;
    Utc pet_zero;                              ///< may differ from outing.pet_zero: a slip
    Pet from, to;                              ///< of the span
    const std::optional<sky::Survey>& survey;  ///< none for an outing without an orbit
    const WindowTable& windows;                ///< for pet_zero
    const WindowTable* planned = nullptr;      ///< for outing.pet_zero, when there is a slip
};

/// For how long a condition holds at a place between `from` and `to`.
Seconds held(const WindowTable& windows, const std::string& condition, const std::string& worksite, Pet from, Pet to);

/// Tables for people: the sun, coverage with its gaps and passes, light at each worksite, what a slip changes. Ends
/// with the caution.
std::string sky_table(const SkySpan& span);
/// The same as JSON ("handrail-sky", version 1): times as PET seconds (`pet_s`) and UTC.
std::string sky_json(const SkySpan& span);
/// Every window of the span as the CSV that [windows] csv takes: condition, worksite, from, to, note; times in UTC.
std::string sky_csv(const SkySpan& span);

}  // namespace handrail::brief
