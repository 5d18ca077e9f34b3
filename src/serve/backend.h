#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "serve/roles.h"
#include "units/time.h"

namespace handrail::serve {

/// An entry somebody wants in the record, as the page sends it.
struct EntryRequest {
    std::string line;        ///< as typed: what stands in the record's own short language (docs/journal-format.md)
    std::string author;      ///< who writes it
    std::uint64_t seen = 0;  ///< newest position the writer had seen
    Utc at{};                ///< when it happened; not later than now
};
struct AdoptRequest {
    std::string option, author;
    std::uint64_t seen = 0;
};

/// What became of a wish to write.
struct Outcome {
    enum class Kind : std::uint8_t {
        written,       ///< `position` is the new newest position
        stale,         ///< somebody wrote since `seen`; nothing was written; `position` is the newest
        bad_input,     ///< nothing was written; `sentence` says why
        store_failed,  ///< the journal could not take it; nothing was written; `sentence` says why
    } kind = Kind::written;
    std::uint64_t position = 0;
    std::string sentence;
};

/// What a question with more than one ending gets.
struct Reply {
    enum class Kind : std::uint8_t {
        done,       ///< `body` is the answer
        saved,      ///< the same, and something is on disk that was not before
        stale,      ///< somebody wrote since; nothing was done; `position` is the newest
        bad_input,  ///< `body` is a sentence
        missing,    ///< there is no such thing; `body` is a sentence
        failed,     ///< the disk could not take it; nothing was done; `body` is a sentence
    } kind = Kind::done;
    std::string body;
    std::string content_type = "application/json";
    std::uint64_t position = 0;
};

/// Which document of the briefing view, in the words of the address: "cue-sheet", "html", "ev1", "large".
struct DocumentRequest {
    std::string kind, format, reader, size;
};
/// Whose words a walk-through speaks, and whether it comes as data or as one page that stands alone.
enum class WalkWords : std::uint8_t { everyone, crew };
enum class WalkForm : std::uint8_t { json, page };

/// What the server serves: one outing with its journal, as JSON texts. Every member may be called from any thread.
/// Texts hold only what the viewer's role may read; the server adds and removes nothing.
class Backend {
public:
    virtual ~Backend() = default;
    /// Newest journal position, entries of other processes included; 0 for an empty journal. Cheap.
    virtual std::uint64_t newest() = 0;
    /// The status document (docs/status.md) for lead, console or medical; never asked for the public.
    virtual std::string status_json(Role viewer, Utc now) = 0;
    /// What everyone may know (serve/public_feed.h): built from a list of its own, not by leaving things out.
    virtual std::string public_json(Utc now) = 0;
    /// {"position": newest, "entries": [those after `from`, oldest first]}
    virtual std::string record_json(Role viewer, std::uint64_t from, Utc now) = 0;
    /// {"position": newest, "options": [...]}; may take a second.
    virtual std::string options_json(Role viewer, Utc now) = 0;
    /// What the page needs once (serve/outing_json.h).
    virtual std::string outing_json() = 0;
    /// The status and the options that would follow if these lines were logged now, in this order (docs/openapi.json,
    /// WhatIf), for lead, console or medical. Writes nothing, and nothing in it can be adopted; may take a second.
    virtual Reply what_if(Role viewer, const std::vector<std::string>& lines, Utc now) = 0;
    /// The course of both suits over the day (live/suit_curves.h).
    virtual std::string suits_json(Role viewer, Utc now) = 0;
    /// The rest of the day with the wishes in `request` (docs/openapi.json, DraftRequest), judged by the checker.
    /// Touches nothing; what was drafted last can be adopted as the option "draft".
    virtual Reply draft(const std::string& request, Utc now) = 0;
    /// What there is to brief with, and the plan it would be made from.
    virtual std::string documents_json(Utc now) = 0;
    virtual Reply document(const DocumentRequest& wish, Utc now) = 0;
    /// The outing file as it stands on disk, its tables and texts; the day itself keeps the one it was opened with.
    virtual Reply outing_file() = 0;
    /// Changes the outing file, or only tries to (docs/openapi.json, FileRequest).
    virtual Reply edit_outing_file(const std::string& request) = 0;
    /// The light on the station for today's PET zero (brief/scene.h).
    virtual std::string light_json(Utc now) = 0;
    /// The adopted plan as a walk-through (brief/walk_through.h); nothing without a plan, or where the player was not
    /// built into this program.
    virtual std::optional<std::string> walk_through(WalkWords words, WalkForm form, Utc now) = 0;
    virtual Outcome append(const EntryRequest& entry, Utc now) = 0;
    virtual Outcome adopt(const AdoptRequest& wish, Utc now) = 0;
    /// The chart as SVG, if this build can draw it.
    virtual std::optional<std::string> chart_svg() = 0;
};

}  // namespace handrail::serve
