#pragma once

#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lifesupport/consumption.h"
#include "outing/model.h"
#include "timeline/timeline.h"

/// Everything documents say, by language. The words themselves stand in src/brief/messages/<language>.txt and nowhere
/// else; code names them by key and never joins pieces of sentences.
namespace handrail::brief {

enum class Language : std::uint8_t { english, german };
inline constexpr std::array all_languages{Language::english, Language::german};
/// "en", "de": the language as HTML and the command line have it (BCP 47).
std::string_view tag(Language language);
std::optional<Language> language_of(std::string_view tag);

/// Wording in one language. Cheap to copy.
class Wording {
public:
    explicit Wording(Language language = Language::english) : language_(language) {}
    Language language() const { return language_; }

    /// The message of this key with {0}, {1}, ... replaced. REQUIRES a key that the message file has (tested for every
    /// key in the sources).
    std::string operator()(std::string_view key, std::initializer_list<std::string> values = {}) const;

    std::string lane(Lane lane) const;                  ///< "EV1", "arm"
    std::string crew(Crew crew) const;                  ///< "EV1"
    std::string lanes(const Activity& activity) const;  ///< "EV1 and EV2"
    std::string task_class(TaskClass c) const;          ///< "required"
    std::string size(SizeClass size) const;             ///< "small"
    std::string consumable(lifesupport::Consumable c) const;
    std::string activity(ActivityKind kind) const;         ///< "tether swap"; as a heading and in a legend
    std::string condition(const std::string& name) const;  ///< "daylight"; the outing file's own names as they stand
    /// "translate to Radiator root", "glove check"; for a step its name alone.
    std::string title(const Outing& outing, const Activity& activity) const;
    /// A number as this language writes it: "12.5" or "12,5".
    std::string number(std::string text) const;
    /// "a, b and c"
    std::string list(const std::vector<std::string>& parts) const;
    /// The caution every document carries, in this language and, where that is not English, in English too.
    std::string caution() const;

private:
    Language language_;
};

/// Every key a language's message file has, sorted; for tests.
std::vector<std::string> message_keys(Language language);

}  // namespace handrail::brief
