#pragma once

#include <span>
#include <string>
#include <variant>

#include "live/state.h"
#include "outing/outing.h"

/// A journal as something to work with: its outing and the windows that go with it.
namespace handrail::live {

/// The outing from the texts in the journal's first entry, so that a changed or missing outing file does not matter.
/// Otherwise a whole sentence.
std::variant<Outing, std::string> outing_of(std::span<const Recorded> entries);

/// The first entry of a journal. `path` is where the outing file is, `timeline` the plan in force.
Entry opening(const OutingWithTexts& outing, const std::string& path, const Timeline& timeline,
              const std::string& author, Utc now);

/// The outing's windows for any PET zero, kept for the last one asked for. From one thread at a time; `outing` must
/// outlive it. An orbit that cannot be computed there leaves the windows of the file.
WindowSource windows_for(const Outing& outing);

}  // namespace handrail::live
