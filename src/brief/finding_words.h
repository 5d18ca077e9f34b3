#pragma once

#include <string>

#include "brief/wording.h"
#include "check/check.h"

namespace handrail::brief {

/// What a finding says: in English the checker's own sentence; in other languages a sentence from its fields (rule,
/// lanes, time, amount) and from what the timeline has there: "B3 Free the bolt: the step lies outside its windows, by
/// 16 min".
std::string finding_words(const Outing& outing, const Timeline& timeline, const Finding& finding, const Wording& say);
/// The same from the fields alone, in any language.
std::string words_of_fields(const Outing& outing, const Timeline& timeline, const Finding& finding, const Wording& say);

}  // namespace handrail::brief
