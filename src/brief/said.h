#pragma once

#include <string>
#include <vector>

#include "brief/wording.h"
#include "outing/model.h"
#include "timeline/timeline.h"

namespace handrail::brief {

/// A sentence that the planner, the live state or the sky made in English (why a task is left out, why somebody is
/// behind, why an entry changes nothing, why there is no coverage), in the reader's language. They are kept as text in
/// plans and journals, so the fields are read out of it: the forms are the English messages whose keys begin with
/// "said.", the longest that fits counts, and what stands in its places is read the same way. A sentence of no such
/// form was typed by somebody: in another language it stands between quotation marks, as it was written.
std::string said_again(const std::string& sentence, const Wording& say);

/// "K Fit a light (get-ahead, value 5): ...": what a timeline leaves out, those for the same reason in one line.
std::vector<std::string> left_out_lines(const Outing& outing, const Timeline& timeline, const Wording& say);

/// Steps by code and name, as every document has them, where a sentence has them by their label in the outing file:
/// "mast.turn", "mast.turn Turn the antenna" and "mast.turn, Turn the antenna" become "F4 Turn the antenna".
std::string with_codes(const Outing& outing, std::string sentence);

}  // namespace handrail::brief
