#pragma once

#include <string>

#include "brief/wording.h"

namespace handrail::brief {

/// A sentence that the planner, the live state or the sky made in English (why a task is left out, why somebody is
/// behind, why an entry changes nothing, why there is no coverage), in the reader's language. They are kept as text in
/// plans and journals, so the fields are read out of it: the forms are the English messages whose keys begin with
/// "said.", the longest that fits counts, and what stands in its places is read the same way. A sentence of no such
/// form was typed by somebody and stays as it is.
std::string said_again(const std::string& sentence, const Wording& say);

}  // namespace handrail::brief
