#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "brief/wording.h"
#include "live/status.h"
#include "outing/model.h"
#include "timeline/timeline.h"

/// What all text documents share: who they are, what plan they come from, and how they print.
namespace handrail::brief {

enum class TypeSize : std::uint8_t { normal, large };

/// From what a document was made: two sheets of paper belong together when these agree.
struct Stamp {
    std::string plan;                       ///< plan id of the plan in force; empty: of the timeline shown
    std::optional<std::uint64_t> position;  ///< of the journal's last entry known to it; none: made from a plan alone
    std::optional<Utc> made;                ///< none: nobody said; documents never look at a clock
    std::string version;                    ///< of Handrail; empty: this one
};

/// A document's identity, printed on every document.
struct Origin {
    std::string title;    ///< "Cue sheet EV1"
    std::string warning;  ///< a sentence the reader must see, or empty
    TypeSize type = TypeSize::normal;
    Stamp stamp{};
    Wording say{};
    const live::Status* day = nullptr;  ///< the day told; none: a plan
};

/// "Plan d194-9b71 · journal position 12 · check code K7QF-3M2P · outing file 0f1e2d3c4b5a · made ... · Handrail 0.1.0"
std::string stamp_line(const Outing& outing, const Timeline& timeline, const Stamp& stamp, const Wording& say);
/// "PET zero 2031-04-05T08:30:00Z · PET is hours:minutes since then; clock times are UTC"; of a day on which it has not
/// come yet, or never came, that.
std::string clock_line(const Timeline& timeline, const Wording& say, const live::Status* day = nullptr);
/// The version of this program.
std::string_view version();

/// A whole HTML page around `main`: nothing fetched from anywhere, readable without colour, pages that break between
/// cues and never inside one. `main` is trusted markup made with escape().
std::string html_document(const Outing& outing, const Timeline& timeline, const Origin& origin, std::string_view main);

/// A whole Markdown document around `body`.
std::string markdown_document(const Outing& outing, const Timeline& timeline, const Origin& origin,
                              std::string_view body);
/// A whole plain text document around `body`.
std::string text_document(const Outing& outing, const Timeline& timeline, const Origin& origin, std::string_view body);
/// Text that Markdown (CommonMark) shows as it stands.
std::string markdown_escape(std::string_view text);

}  // namespace handrail::brief
