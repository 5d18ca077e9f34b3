#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "outing/document.h"
#include "outing/fields.h"
#include "outing/model.h"
#include "outing/nearest.h"
#include "outing/words.h"

namespace handrail::detail {

/// What reading a value needs besides the value itself.
struct Context {
    Errors& errors;
    std::optional<Utc> pet_zero;  ///< once known: turns a UTC moment into PET
};

/// One table of the file, read by its section's fields. Construction reports unknown and missing keys; each `take`
/// fills its target, or leaves it alone when the key is absent or (reported) wrong.
class Fields {
public:
    /// `path` names the table in words: `task "Swap the valve", step 2`.
    Fields(const Node& node, const Section& section, std::string path, Context& context);

    const std::string& path() const { return path_; }
    std::string path_of(std::string_view key) const;
    bool has(std::string_view key) const { return find(key) != nullptr; }
    const Node* find(std::string_view key) const;
    /// Of the value if it is there, else of the table.
    Place place_of(std::string_view key) const;
    Place place() const { return node_.place; }
    /// The elements of a list of tables, or the table itself, with their section and path, ready for Fields.
    std::vector<Fields> each(std::string_view key) const;
    std::optional<Fields> one(std::string_view key) const;

    void take(std::string_view key, std::string& target) const;
    void take(std::string_view key, std::vector<std::string>& target) const;
    void take(std::string_view key, bool& target) const;
    void take(std::string_view key, int& target) const;
    void take(std::string_view key, double& target) const;
    void take(std::string_view key, Seconds& target) const;
    void take(std::string_view key, Duration3& target) const;
    void take(std::string_view key, Utc& target) const;
    void take(std::string_view key, Pet& target) const;
    void take(std::string_view key, Metres& target) const;
    void take(std::string_view key, MetresPerSecond& target) const;
    void take(std::string_view key, KiloPascal& target) const;
    void take(std::string_view key, Kilograms& target) const;
    void take(std::string_view key, KilogramsPerHour& target) const;
    void take(std::string_view key, Watts& target) const;
    void take(std::string_view key, WattHours& target) const;
    void take(std::string_view key, Degrees& target) const;
    void take(std::string_view key, Litres& target) const;
    void take(std::string_view key, LitresPerMinute& target) const;
    void take(std::string_view key, Celsius& target) const;
    void take(std::string_view key, Fraction& target) const;
    void take(std::string_view key, Vec3& target) const;

    template <class T>
    void take(std::string_view key, std::optional<T>& target) const {
        const std::size_t errors = context_->errors.count();
        T value{};
        take(key, value);
        if (has(key) && context_->errors.count() == errors) target = value;
    }
    template <class Enum>
    requires std::is_enum_v<Enum>
    void take(std::string_view key, Enum& target) const {
        if (const std::optional<std::size_t> chosen = choice(key)) target = static_cast<Enum>(*chosen);
    }
    template <class Enum>
    requires std::is_enum_v<Enum>
    void take(std::string_view key, std::vector<Enum>& target) const {
        if (!has(key)) return;
        target.clear();
        for (const std::size_t chosen : words(key)) target.push_back(static_cast<Enum>(chosen));
    }

    /// Each text of a list with the place where it stands.
    struct Placed {
        std::string text;
        Place place;
    };
    std::vector<Placed> texts(std::string_view key) const;
    /// Which of the field's words a choice or list of choices gives; wrong ones are reported and left out.
    std::vector<std::size_t> words(std::string_view key) const;

    void wrong(std::string_view key, std::string expected, std::string found, std::string remedy) const;
    void wrong_at(Place place, std::string_view key, std::string expected, std::string found, std::string remedy) const;
    Context& context() const { return *context_; }

private:
    const Field& field(std::string_view key) const;
    /// The text of a value that must be one; a bare number gets its own remedy.
    const std::string* text(const Field& field, const Node& node) const;
    std::optional<std::size_t> choice(std::string_view key) const;
    std::optional<std::size_t> word_index(const Field& field, const Node& node) const;
    template <class T, class Parse>
    void take_parsed(std::string_view key, Kind kind, T& target, Parse parse) const;
    bool sign_fits(const Field& field, const Node& node, double value) const;

    const Node& node_;
    const Table* table_;  ///< null when the node is no table
    const Section* section_;
    std::string path_;
    Context* context_;
};

}  // namespace handrail::detail
