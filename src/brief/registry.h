#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "brief/amounts.h"
#include "brief/cues.h"
#include "brief/document.h"
#include "brief/public_script.h"
#include "brief/storyboard.h"
#include "brief/timeline_chart.h"
#include "live/close_out.h"

/// Every document in one place: kind and options in, bytes and media type out. The command line and the console's
/// briefing view both go through here, so they show the same bytes.
namespace handrail::brief {

enum class Format : std::uint8_t { html, pdf, svg, png, markdown, text, csv, json, icalendar };
/// "html", "md": as the end of a file's name and as --format have it.
std::string_view extension(Format format);
std::string_view media_type(Format format);
std::optional<Format> format_of(std::string_view extension);

enum class Audience : std::uint8_t { everyone, console };

/// What there is to ask for.
struct DocumentKind {
    std::string_view id;         ///< "cue-sheet"
    std::string_view title_key;  ///< its name is Wording{...}(title_key); "cue sheet {0}" takes whose it is
    Audience audience = Audience::console;
    bool needs_day = false;       ///< can only be made from a journal
    std::vector<Format> formats;  ///< the usual one first
    /// Which of Options' members change it, by name: "for", "large", "sheet", "minutes", "pace", "trace", "per",
    /// "units".
    std::vector<std::string_view> options;
};
std::span<const DocumentKind> document_kinds();
const DocumentKind* document_kind(std::string_view id);

/// The odds of a plan, simulated when the first document asks and kept for the others. Thread-safe.
class OddsOnce;

/// What a document tells: a plan, or a day as its journal has it. Holds references; whatever it was made from must
/// outlive it. Nothing that only the medical reader may see can reach a document from here: entries are read as the
/// console reads them, and as the public does for documents for everyone.
struct Subject {
    const Outing& outing;
    WindowTable windows;
    Timeline timeline;                          ///< the plan; on the day what happened, then the forecast
    Stamp stamp;                                ///< plan in force, journal position, time made
    std::string warning;                        ///< a sentence every document must show, or empty
    const live::Status* status = nullptr;       ///< the day; none: made from a plan alone
    std::span<const live::Recorded> entries{};  ///< of the day
    std::optional<Timeline> first_plan{};       ///< of the day: what it began with, for comparison
    std::shared_ptr<OddsOnce> odds{};           ///< none: each document that tells them simulates for itself

    std::optional<Pet> now() const;
};
/// `made`: when the document is made, if that is to be printed; never looked up here.
Subject subject_of_plan(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                        std::optional<Utc> made = {});
/// Made at the day's own moment (Day::now). REQUIRES: `status` was made from `entries`.
Subject subject_of_day(const Outing& outing, std::span<const live::Recorded> entries, const live::Status& status);

enum class Sheets : std::uint8_t {
    apart,    ///< a file a sheet
    together  ///< one picture, the sheets one under the other
};

struct Options {
    Format format = Format::html;
    Language language = Language::english;
    Units units = Units::metric;
    TypeSize type = TypeSize::normal;          ///< "large"
    Reader reader = Reader::iv;                ///< "for", cue-sheet
    SheetKind sheet = SheetKind::a3;           ///< "sheet", timeline
    Sheets sheets = Sheets::apart;             ///< charts of several sheets as SVG or PNG
    double pixels_per_unit = 0;                ///< "scale", PNG; 0: 150 dpi on paper, 1 on a screen
    std::optional<Pet> now{};                  ///< "now", timeline of a plan: draws this moment
    const Timeline* planned_before = nullptr;  ///< "before", timeline: an earlier plan under the blocks
    std::optional<double> minutes{};           ///< "minutes", script
    double pace = usual_pace;                  ///< "pace", script
    Trace trace = Trace::no;                   ///< "trace", script
    Frames frames = Frames::groups;            ///< "per", storyboard
};

struct Document {
    std::vector<std::string> files;  ///< more than one for charts of several sheets as SVG or PNG
    std::string_view media_type;
    std::string_view extension;
    std::string title;                 ///< "cue sheet EV1, Ada Fenn"
    std::vector<std::string> remarks;  ///< sentences for whoever asked: what could not be had as asked
};
/// Why there is no such document: a whole sentence that says what to do.
struct NotMade {
    std::string why;
    bool nothing_to_tell = false;  ///< no fault: the subject has nothing that this document could tell
};
using MadeOrNot = std::variant<Document, NotMade>;

/// Same subject and options, same bytes. From any thread; PDFs of text documents run WeasyPrint as a process.
MadeOrNot make_document(std::string_view kind, const Subject& subject, const Options& options);

struct Wanted {
    std::string_view kind;
    Options options;
};
/// Several documents of one subject, in the order wanted: the same bytes as one by one, in less time, because the PDFs
/// are laid out together.
std::vector<MadeOrNot> make_documents(const Subject& subject, std::span<const Wanted> wanted);

/// How a printed check code stands to a journal.
struct Verified {
    enum class Verdict : std::uint8_t {
        current,     ///< made from the last entry and the plan in force
        same_plan,   ///< entries came after it; the plan is the same
        superseded,  ///< another plan is in force
        unknown      ///< not a document of this journal
    } verdict = Verdict::unknown;
    std::optional<std::uint64_t> made_at;  ///< journal position; none: made from a plan alone
    std::string made_plan;                 ///< plan id then
    std::uint64_t newest = 0;              ///< journal position now
    std::string plan;                      ///< plan id now
};
/// Case, spaces and a missing dash do not matter; I, O, 1 and 0 are read as the characters they are mistaken for.
Verified verify(std::string_view code, const Outing& outing, std::span<const live::Recorded> entries);
/// The same in a sentence or two.
std::string verdict_words(const Verified& verified, const Wording& say);

}  // namespace handrail::brief
