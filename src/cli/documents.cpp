#include "cli/documents.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include <algorithm>
#include <charconv>
#include <cstdlib>
#include <filesystem>

#include "cli/terminal.h"
#include "units/parse.h"

namespace handrail::cli {
namespace {

std::string extension_of(const std::string& out) {
    const std::size_t dot = out.rfind('.'), slash = out.rfind('/');
    return dot == std::string::npos || (slash != std::string::npos && dot < slash) ? "" : out.substr(dot + 1);
}

/// "chart.png" is the first page, "chart-2.png" the second.
std::string page_name(const std::string& out, std::size_t page) {
    if (page == 0) return out;
    const std::size_t dot = out.rfind('.');
    return fmt::format("{}-{}{}", out.substr(0, dot), page + 1, out.substr(dot));
}

void write_files(const brief::Document& document, const std::string& out) {
    for (std::size_t i = 0; i < document.files.size(); ++i) write_or_fail(page_name(out, i), document.files[i]);
    if (document.files.size() > 1)
        fmt::print(stderr, "{} sheets: {} to {}.\n", document.files.size(), out,
                   page_name(out, document.files.size() - 1));
    for (const std::string& remark : document.remarks) fmt::print(stderr, "{}: {}\n", out, remark);
}

std::string known_formats(const brief::DocumentKind& kind) {
    std::string known;
    for (std::size_t i = 0; i < kind.formats.size(); ++i)
        known += (i == 0                         ? "."
                  : i + 1 == kind.formats.size() ? " or ."
                                                 : ", .") +
                 std::string(extension(kind.formats[i]));
    return known;
}

}  // namespace

std::function<std::string(const std::string&)> one_of(std::vector<std::string> words) {
    return [words = std::move(words)](const std::string& found) -> std::string {
        if (std::ranges::find(words, CLI::detail::to_lower(found)) != words.end()) return {};
        std::string known;
        for (std::size_t i = 0; i < words.size(); ++i)
            known += (i == 0 ? "" : i + 1 == words.size() ? " or " : ", ") + words[i];
        return fmt::format("expected {}, found \"{}\".", known, found);
    };
}

void add_document_options(CLI::App& command, DocumentWishes& wishes) {
    command.add_option("--language", wishes.language, "en or de (default en)")->check(one_of({"en", "de"}));
    command.add_option("--units", wishes.units, "metric, or us for US units beside metric (default metric)")
        ->check(one_of({"metric", "us"}));
    command.add_flag("--large", wishes.large, "text documents: large type, on landscape pages");
}

brief::Language language_or_fail(const std::string& tag) {
    const auto language = brief::language_of(tag);
    if (!language) fail(fmt::format("--language: expected en or de, found \"{}\".", tag));
    return *language;
}

void apply(const DocumentWishes& wishes, brief::Options& options) {
    options.language = language_or_fail(wishes.language);
    options.units = wishes.units == "us" ? brief::Units::metric_and_us : brief::Units::metric;
    options.type = wishes.large ? brief::TypeSize::large : brief::TypeSize::normal;
}

std::optional<Utc> made_or_fail(const std::string& text) {
    if (text == "now") return std::chrono::floor<Seconds>(clock_now());
    if (!text.empty()) {
        const auto made = parse_utc(text);
        if (const auto* error = std::get_if<ParseError>(&made))
            fail(fmt::format("--made: expected {}, or now, found \"{}\"; {}.", error->expected, text, error->remedy));
        return std::get<Utc>(made);
    }
    const char* epoch =
        std::getenv("SOURCE_DATE_EPOCH");  // NOLINT(concurrency-mt-unsafe): before any thread is started
    if (epoch == nullptr) return std::nullopt;
    const std::string_view digits = epoch;
    std::int64_t seconds = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), seconds);
    // Up to the end of year 9999, the last that ISO 8601 writes with four digits.
    if (error != std::errc{} || end != digits.data() + digits.size() || seconds < 0 || seconds > 253402300799)
        fail(fmt::format(
            "SOURCE_DATE_EPOCH: expected seconds since 1970 such as 1933142400, found \"{}\"; correct it or "
            "unset it.",
            digits));
    return Utc{Seconds{seconds}};
}

ToldDay::ToldDay(const std::string& journal, const std::string& at) : ToldDay(open_day_or_fail(journal, at)) {}

ToldDay::ToldDay(std::unique_ptr<OpenDay> open)
    : open_(std::move(open)), status_(live::status_of(open_->outing, open_->entries, open_->day)) {
    status_.odds = live::odds_now(open_->outing, status_.day, status_.forecast, live::WithGates::yes);
    subject_.emplace(brief::subject_of_day(open_->outing, open_->entries, status_));
}

void write_document(const std::string& kind, const brief::Subject& subject, brief::Options options,
                    const std::string& out) {
    const brief::DocumentKind* known = brief::document_kind(kind);
    if (known == nullptr) fail(fmt::format("--what: there is no document \"{}\".", kind));
    if (out == "-") {
        const auto text = std::ranges::find(known->formats, brief::Format::text);
        options.format = text != known->formats.end() ? *text : known->formats.front();
    } else {
        const auto format = brief::format_of(extension_of(out));
        if (!format || std::ranges::find(known->formats, *format) == known->formats.end())
            fail(fmt::format("--out {}: the document \"{}\" is written as {}; end the file name with one of them.", out,
                             kind, known_formats(*known)));
        options.format = *format;
    }
    auto made = brief::make_document(kind, subject, options);
    if (const auto* none = std::get_if<brief::NotMade>(&made)) fail(none->why);
    const auto& document = std::get<brief::Document>(made);
    if (out == "-" && document.files.size() != 1) fail("--out: this document has several sheets; name a file.");
    write_files(document, out);
}

void write_every_document(const brief::Subject& subject, const brief::Options& options, const std::string& folder) {
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (error) fail(fmt::format("{}: the folder could not be made: {}.", folder, error.message()));
    std::vector<brief::Wanted> wanted;
    std::vector<std::string> files;
    for (const brief::DocumentKind& kind : brief::document_kinds()) {
        if (kind.needs_day && subject.status == nullptr) continue;
        std::vector<std::pair<std::string, brief::Reader>> readers{{"", options.reader}};
        if (kind.id == "cue-sheet") {
            readers = {{"-ev1", brief::Reader::ev1}, {"-ev2", brief::Reader::ev2}, {"-iv", brief::Reader::iv}};
            if (subject.outing.station.arm) readers.emplace_back("-arm", brief::Reader::arm);
        }
        for (const brief::Format format : kind.formats)
            for (const auto& [suffix, reader] : readers) {
                wanted.push_back({kind.id, options});
                wanted.back().options.format = format;
                wanted.back().options.reader = reader;
                files.push_back(fmt::format("{}/{}{}.{}", folder, kind.id, suffix, extension(format)));
            }
    }
    std::string missing;
    const std::vector<brief::MadeOrNot> made = brief::make_documents(subject, wanted);
    for (std::size_t i = 0; i < made.size(); ++i) {
        if (const auto* document = std::get_if<brief::Document>(&made[i])) {
            write_files(*document, files[i]);
            continue;
        }
        const auto& none = std::get<brief::NotMade>(made[i]);
        if (none.nothing_to_tell)
            fmt::print(stderr, "{}: {}\n", files[i], none.why);
        else
            missing = none.why;
    }
    if (!missing.empty()) fail("some documents are missing: " + missing);
}

}  // namespace handrail::cli
