#pragma once

#include <span>
#include <string>

#include "brief/wording.h"
#include "live/record.h"

namespace handrail::brief {

/// A line of the record as the console may read it, in the reader's language: made from its entry's fields, with what
/// somebody typed as it stands. In English, and where the entry is not among `entries`, it is what the record itself
/// says. REQUIRES: `line` came out of live::visible() for the console.
std::string line_words(const Outing& outing, const live::RecordLine& line, std::span<const live::Recorded> entries,
                       const Wording& say);
/// An entry for those who may read all of it.
std::string entry_words(const Outing& outing, const live::Entry& entry, const Wording& say);

}  // namespace handrail::brief
