#pragma once

#include <optional>
#include <string>

#include "brief/cues.h"
#include "brief/document.h"
#include "brief/sections.h"

namespace handrail::brief {

/// A cue sheet as one self-contained HTML page: a row a cue with a box to tick and a line for the actual time, cautions
/// above the step they belong to, the partner's step beside it. For the crew with what is in their hands before and
/// after; for IV with a column for each of the two and the words to say; for the arm with who rides.
/// A cue is never split between pages; large type prints on landscape pages.
std::string cue_sheet_html(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Reader reader,
                           const Origin& origin);
/// The same as Markdown (CommonMark with task list items).
std::string cue_sheet_markdown(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                               Reader reader, const Origin& origin);
/// A row a cue, for spreadsheets and programs.
Grid cue_table(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Reader reader,
               const Wording& say);
/// The moment a sheet is made at, of a day whose PET runs.
std::optional<Pet> moment_of(const Origin& origin);
/// What stands on a sheet without cues.
std::string nothing_to_do(const Origin& origin);
/// "Cue sheet EV1, Ada Fenn"
std::string cue_sheet_title(const Outing& outing, Reader reader, const Wording& say = Wording{});

}  // namespace handrail::brief
