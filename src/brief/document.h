#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "outing/model.h"
#include "timeline/timeline.h"

/// What all text documents share: who they are, what plan they come from, and how they print.
namespace handrail::brief {

enum class TypeSize : std::uint8_t { normal, large };

/// A document's identity: printed on every document, so that two sheets of paper can be told to belong together.
struct Origin {
    std::string title;    ///< "Cue sheet EV1"
    std::string made;     ///< when and from which journal position, if the caller wants it said
    std::string warning;  ///< a sentence the reader must see, or empty
    TypeSize type = TypeSize::normal;
};

/// "Plan d194-9b71 · outing file 0f1e2d3c4b5a · PET zero 2031-04-05T08:30:00Z · PET is hours:minutes since then; ..."
std::string origin_line(const Outing& outing, const Timeline& timeline, const Origin& origin);

/// A whole HTML page around `main`: nothing fetched from anywhere, readable without colour, pages that break between
/// cues and never inside one. `main` is trusted markup made with escape().
std::string html_document(const Outing& outing, const Timeline& timeline, const Origin& origin, std::string_view main);

/// A whole Markdown document around `body`.
std::string markdown_document(const Outing& outing, const Timeline& timeline, const Origin& origin,
                              std::string_view body);
/// Text that Markdown (CommonMark) shows as it stands.
std::string markdown_escape(std::string_view text);

}  // namespace handrail::brief
