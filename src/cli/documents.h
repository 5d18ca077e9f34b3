#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "brief/registry.h"
#include "cli/day.h"
#include "live/status.h"

namespace CLI {
class App;
}

/// What the commands that write documents (brief, hand-over, close) have in common.
namespace handrail::cli {

/// Options that every document takes.
struct DocumentWishes {
    std::string language = "en", units = "metric", made;
    bool large = false;
};
/// A check for options that take one of a few words, in any case: what was expected and what was found, in a sentence.
std::function<std::string(const std::string&)> one_of(std::vector<std::string> words);
/// --language, --units and --large.
void add_document_options(CLI::App& command, DocumentWishes& wishes);
brief::Language language_or_fail(const std::string& tag);
void apply(const DocumentWishes& wishes, brief::Options& options);
/// "--made": UTC, "now", or empty; then SOURCE_DATE_EPOCH if it is set (reproducible-builds.org), else nothing.
std::optional<Utc> made_or_fail(const std::string& text);

/// A journal opened and told: status with odds, as documents need it.
class ToldDay {
public:
    ToldDay(const std::string& journal, const std::string& at);
    explicit ToldDay(std::unique_ptr<OpenDay> open);
    const OpenDay& open() const { return *open_; }
    const live::Status& status() const { return status_; }
    const brief::Subject& subject() const { return *subject_; }

private:
    std::unique_ptr<OpenDay> open_;
    live::Status status_;
    std::optional<brief::Subject> subject_;
};

/// Writes one document under the format its file name asks for; further sheets go to "chart-2.png" and so on. "-" is
/// stdout, in the document's first text format.
void write_document(const std::string& kind, const brief::Subject& subject, brief::Options options,
                    const std::string& out);
/// Every document in every format into a folder; what needs WeasyPrint is left out with a sentence when it is missing.
void write_every_document(const brief::Subject& subject, const brief::Options& options, const std::string& folder);

}  // namespace handrail::cli
