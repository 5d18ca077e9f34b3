#include "cli/day_documents.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>
#include <optional>
#include <utility>

#include "brief/cue_sheet.h"
#include "brief/registry.h"

namespace handrail::cli {
namespace {

using nlohmann::json;
using serve::Reply;

struct CueReader {
    std::string_view id;
    brief::Reader reader;
};
constexpr std::array cue_readers{CueReader{"ev1", brief::Reader::ev1}, CueReader{"ev2", brief::Reader::ev2},
                                 CueReader{"iv", brief::Reader::iv}, CueReader{"arm", brief::Reader::arm}};

bool takes(const brief::DocumentKind& kind, std::string_view option) {
    return std::ranges::find(kind.options, option) != kind.options.end();
}

json entry_of(const Outing& outing, const brief::DocumentKind& kind, const CueReader* reader) {
    const brief::Wording say;
    json formats = json::array(), sizes = json::array({"normal"});
    for (const brief::Format format : kind.formats) formats.push_back(std::string(brief::extension(format)));
    if (takes(kind, "large")) sizes.push_back("large");
    return {{"kind", std::string(kind.id)},
            {"reader", reader ? std::string(reader->id) : std::string()},
            {"title", reader ? brief::cue_sheet_title(outing, reader->reader, say) : say(kind.title_key)},
            {"formats", std::move(formats)},
            {"public", kind.audience == brief::Audience::everyone},
            {"sizes", std::move(sizes)}};
}

/// HTML, SVG and plain text show themselves; everything is told as UTF-8.
std::string with_charset(std::string_view media) {
    const bool text = media.starts_with("text/");
    return std::string(media) + (text && media.find("charset") == std::string_view::npos ? "; charset=utf-8" : "");
}

}  // namespace

std::string documents_json(const Outing& outing, const live::Status& status) {
    json list = json::array();
    for (const brief::DocumentKind& kind : brief::document_kinds()) {
        if (takes(kind, "for"))
            for (const CueReader& reader : cue_readers) list.push_back(entry_of(outing, kind, &reader));
        else
            list.push_back(entry_of(outing, kind, nullptr));
    }
    const brief::Subject subject = brief::subject_of_day(outing, {}, status);
    return json{{"position", live::number(status.day.position)},
                {"plan_position", live::number(status.day.plan_position)},
                {"plan", subject.stamp.plan},
                {"documents", std::move(list)}}
        .dump(-1, ' ', false, json::error_handler_t::replace);
}

serve::Reply made_document(const Outing& outing, const std::vector<live::Recorded>& entries, const live::Status& status,
                           const serve::DocumentRequest& wish) {
    const brief::DocumentKind* kind = brief::document_kind(wish.kind);
    if (kind == nullptr) return {Reply::Kind::missing, "There is no such document; /api/v1/documents lists them."};
    const auto format = wish.format.empty() ? std::optional(kind->formats.front()) : brief::format_of(wish.format);
    if (!format || std::ranges::find(kind->formats, *format) == kind->formats.end())
        return {Reply::Kind::bad_input, "This document is not made in that format; /api/v1/documents lists which."};
    brief::Options options;
    options.format = *format;
    options.type = wish.size == "large" ? brief::TypeSize::large : brief::TypeSize::normal;
    if (kind->id == "timeline" && *format != brief::Format::pdf) options.sheet = brief::SheetKind::screen;
    options.sheets = brief::Sheets::together;  // one answer, one file
    if (takes(*kind, "for")) {
        const auto reader = std::ranges::find(cue_readers, wish.reader, &CueReader::id);
        if (reader == cue_readers.end()) return {Reply::Kind::bad_input, "for: expected ev1, ev2, iv or arm."};
        options.reader = reader->reader;
    }
    const brief::Subject subject = brief::subject_of_day(outing, entries, status);
    brief::MadeOrNot made = brief::make_document(wish.kind, subject, options);
    if (const auto* not_made = std::get_if<brief::NotMade>(&made)) return {Reply::Kind::missing, not_made->why};
    brief::Document& document = std::get<brief::Document>(made);
    if (document.files.empty()) return {Reply::Kind::missing, "There is nothing to show in this document yet."};
    return {Reply::Kind::done, std::move(document.files.front()), with_charset(document.media_type)};
}

}  // namespace handrail::cli
