#include "outing/table_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "outing/rules_defaults.h"
#include "units/parse.h"

namespace handrail::detail {
namespace {

/// `worksite "Valve panel"`, or `worksite 3` while it has no name.
std::string element_path(std::string_view parent, std::string_view word, const Node& element, std::size_t number) {
    const Table* table = std::get_if<Table>(&element.value);
    std::string label = fmt::format("{} {}", word, number);
    for (const std::string_view key : {"name", "id"}) {
        const Node* name = table && word != "step" ? find(*table, key) : nullptr;
        if (name && std::holds_alternative<std::string>(name->value)) {
            label = fmt::format("{} {}", word, shown_text(std::get<std::string>(name->value)));
            break;
        }
    }
    return parent.empty() ? label : fmt::format("{}, {}", parent, label);
}

/// `add duration = "12 min"`, `add [[task.step]]`.
std::string how_to_add(const Field& field, const Section& section) {
    if (!field.section) return fmt::format("add {} = {}", field.key, field.example);
    const std::string header =
        section.word == "file" ? std::string(field.key) : fmt::format("{}.{}", section.word, field.key);
    return field.kind == Kind::section ? fmt::format("add [{}]", header) : fmt::format("add [[{}]]", header);
}

/// Not a number when the value is none.
double number_in(const Node& node) {
    if (const auto* whole = std::get_if<std::int64_t>(&node.value)) return static_cast<double>(*whole);
    if (const double* number = std::get_if<double>(&node.value)) return *number;
    return std::numeric_limits<double>::quiet_NaN();
}

/// Line breaks and tabs are part of words that may run over several lines.
bool has_control_character(std::string_view text, bool over_lines) {
    return std::ranges::any_of(text, [&](unsigned char c) {
        const bool layout = c == '\n' || c == '\r' || c == '\t';
        return (c < ' ' || c == 0x7F) && !(over_lines && layout);
    });
}

double as_number(Seconds d) { return static_cast<double>(d.count()); }
template <class Unit>
double as_number(Quantity<Unit> q) {
    return q.value();
}

}  // namespace

Fields::Fields(const Node& node, const Section& section, std::string path, Context& context)
    : node_(node),
      table_(std::get_if<Table>(&node.value)),
      section_(&section),
      path_(std::move(path)),
      context_(&context) {
    Errors& errors = context_->errors;
    if (!table_) {
        errors.add(node.place, path_, "a table", describe(node),
                   fmt::format("write its fields: {}", fmt::join(section.keys(), ", ")));
        return;
    }
    for (const Member& member : *table_) {
        if (section.field(member.key)) continue;
        if (errors.full()) break;
        const std::vector<std::string_view> keys = section.keys();
        errors.add(member.place, path_, "a field that exists here", shown_text(member.key),
                   did_you_mean(member.key, keys, fmt::format("use one of {}", fmt::join(keys, ", "))));
    }
    for (const Field& one : section.fields) {
        if (!one.required || detail::find(*table_, one.key)) continue;
        errors.add(node.place, path_of(one.key), expectation(one), "nothing", how_to_add(one, section));
    }
}

std::string Fields::path_of(std::string_view key) const {
    return path_.empty() ? std::string(key) : fmt::format("{}, {}", path_, key);
}

const Node* Fields::find(std::string_view key) const {
    assert(section_->field(key) && "only fields of the table may be asked for");
    return table_ ? detail::find(*table_, key) : nullptr;
}

Place Fields::place_of(std::string_view key) const {
    const Node* value = find(key);
    return value ? value->place : node_.place;
}

const Field& Fields::field(std::string_view key) const {
    const Field* found = section_->field(key);
    assert(found);
    return *found;
}

void Fields::wrong_at(Place place, std::string_view key, std::string expected, std::string found,
                      std::string remedy) const {
    context_->errors.add(place, key.empty() ? path_ : path_of(key), std::move(expected), std::move(found),
                         std::move(remedy));
}

void Fields::wrong(std::string_view key, std::string expected, std::string found, std::string remedy) const {
    wrong_at(place_of(key), key, std::move(expected), std::move(found), std::move(remedy));
}

std::optional<Fields> Fields::one(std::string_view key) const {
    const Node* node = find(key);
    if (!node) return std::nullopt;
    return Fields(*node, *field(key).section, path_of(key), *context_);
}

std::vector<Fields> Fields::each(std::string_view key) const {
    const Node* node = find(key);
    if (!node) return {};
    const Section& section = *field(key).section;
    const List* list = std::get_if<List>(&node->value);
    if (!list) {
        wrong(key, "a list of tables", describe(*node), fmt::format("write [[{}]] before each {}", key, section.word));
        return {};
    }
    std::vector<Fields> fields;
    fields.reserve(list->size());
    const std::string_view parent =
        section_->word == "station" || section_->word == "file" || section_->word == "coverage" ? std::string_view{}
                                                                                                : path_;
    for (const Node& element : *list)
        fields.emplace_back(element, section, element_path(parent, section.word, element, fields.size() + 1),
                            *context_);
    return fields;
}

const std::string* Fields::text(const Field& one, const Node& node) const {
    if (const std::string* found = std::get_if<std::string>(&node.value)) {
        // Words may run over several lines; a name has to fit a lane, a table cell and a line of the record.
        const bool lines = one.kind == Kind::text && one.key != "name";
        if (!has_control_character(*found, lines)) return found;
        context_->errors.add(node.place, path_of(one.key),
                             lines ? "text without control characters" : "text on one line, without control characters",
                             describe(node), fmt::format("take them out; write it like {}", one.example));
        return nullptr;
    }
    const bool number = std::holds_alternative<std::int64_t>(node.value) || std::holds_alternative<double>(node.value);
    const bool unit = one.kind >= Kind::duration;
    std::string remedy = fmt::format("write it like {}", one.example);
    if (number && unit)
        remedy = fmt::format("add the unit, in quotes: {}", one.example);
    else if (number)
        remedy = "put it in quotes";
    context_->errors.add(node.place, path_of(one.key), expectation(one), describe(node), std::move(remedy));
    return nullptr;
}

void Fields::take(std::string_view key, std::string& target) const {
    const Node* node = find(key);
    assert(field(key).kind == Kind::text);
    if (!node) return;
    if (const std::string* found = text(field(key), *node)) target = *found;
}

std::vector<Fields::Placed> Fields::texts(std::string_view key) const {
    const Node* node = find(key);
    const Field& one = field(key);
    std::vector<Placed> all;
    if (!node) return all;
    const auto add = [&](const Node& element) {
        if (const std::string* found = text(one, element)) all.push_back({*found, element.place});
    };
    if (const List* list = std::get_if<List>(&node->value))
        std::ranges::for_each(*list, add);
    else
        add(*node);
    return all;
}

void Fields::take(std::string_view key, std::vector<std::string>& target) const {
    if (!has(key)) return;
    target.clear();
    for (Placed& one : texts(key)) target.push_back(std::move(one.text));
}

void Fields::take(std::string_view key, bool& target) const {
    const Node* node = find(key);
    if (!node) return;
    if (const bool* flag = std::get_if<bool>(&node->value))
        target = *flag;
    else
        wrong(key, "true or false", describe(*node), "write true or false, without quotes");
}

bool Fields::sign_fits(const Field& one, const Node& node, double value) const {
    const bool fits = one.sign == Sign::any || (one.sign == Sign::positive ? value > 0 : value >= 0);
    if (!fits)
        context_->errors.add(node.place, path_of(one.key), expectation(one), describe(node),
                             one.sign == Sign::positive ? "it must be more than zero" : "it cannot be negative");
    return fits;
}

void Fields::take(std::string_view key, int& target) const {
    const Node* node = find(key);
    if (!node) return;
    constexpr std::int64_t largest = 1'000'000;
    const auto* whole = std::get_if<std::int64_t>(&node->value);
    if (!whole || *whole > largest || *whole < -largest)
        wrong(key, expectation(field(key)), describe(*node), "write a whole number, without quotes");
    else if (sign_fits(field(key), *node, static_cast<double>(*whole)))
        target = static_cast<int>(*whole);
}

void Fields::take(std::string_view key, double& target) const {
    const Node* node = find(key);
    if (!node) return;
    const double number = number_in(*node);
    constexpr double largest = 1e9;
    if (!std::isfinite(number) || std::abs(number) > largest)
        wrong(key, expectation(field(key)), describe(*node), "write a number, without quotes");
    else if (sign_fits(field(key), *node, number))
        target = number;
}

template <class T, class Parse>
void Fields::take_parsed(std::string_view key, Kind kind, T& target, Parse parse) const {
    const Node* node = find(key);
    const Field& one = field(key);
    assert(one.kind == kind);
    static_cast<void>(kind);
    if (!node) return;
    const std::string* found = text(one, *node);
    if (!found) return;
    const auto parsed = parse(*found);
    if (const ParseError* error = std::get_if<ParseError>(&parsed)) {
        wrong(key, expectation(one), describe(*node), error->remedy);
        return;
    }
    const T value = std::get<T>(parsed);
    constexpr double largest = 1e9;
    const double number = as_number(value);
    if (std::abs(number) > largest)
        wrong(key, expectation(one), describe(*node), "check the unit: it is far too large");
    else if (sign_fits(one, *node, number))
        target = value;
}

void Fields::take(std::string_view key, Seconds& target) const {
    take_parsed(key, Kind::duration, target, parse_duration);
}
void Fields::take(std::string_view key, Metres& target) const { take_parsed(key, Kind::length, target, parse_length); }
void Fields::take(std::string_view key, MetresPerSecond& target) const {
    take_parsed(key, Kind::speed, target, parse_speed);
}
void Fields::take(std::string_view key, KiloPascal& target) const {
    take_parsed(key, Kind::pressure, target, parse_pressure);
}
void Fields::take(std::string_view key, Kilograms& target) const { take_parsed(key, Kind::mass, target, parse_mass); }
void Fields::take(std::string_view key, KilogramsPerHour& target) const {
    take_parsed(key, Kind::mass_flow, target, parse_mass_flow);
}
void Fields::take(std::string_view key, Watts& target) const { take_parsed(key, Kind::power, target, parse_power); }
void Fields::take(std::string_view key, WattHours& target) const {
    take_parsed(key, Kind::energy, target, parse_energy);
}
void Fields::take(std::string_view key, Degrees& target) const { take_parsed(key, Kind::angle, target, parse_angle); }
void Fields::take(std::string_view key, Litres& target) const { take_parsed(key, Kind::volume, target, parse_volume); }
void Fields::take(std::string_view key, LitresPerMinute& target) const {
    take_parsed(key, Kind::volume_flow, target, parse_volume_flow);
}
void Fields::take(std::string_view key, Celsius& target) const {
    take_parsed(key, Kind::temperature, target, parse_temperature);
}
void Fields::take(std::string_view key, Fraction& target) const {
    const Node* node = find(key);
    Fraction read = target;
    take_parsed(key, Kind::share, read, parse_fraction);
    if (node && read.value() > 1)
        wrong(key, expectation(field(key)), describe(*node), "a share is at most 100 %");
    else
        target = read;
}

void Fields::take(std::string_view key, Utc& target) const {
    const Node* node = find(key);
    if (!node) return;
    const std::string* found = text(field(key), *node);
    if (!found) return;
    const auto parsed = parse_utc(*found);
    if (const auto* error = std::get_if<ParseError>(&parsed))
        wrong(key, error->expected, describe(*node), error->remedy);
    else
        target = std::get<Utc>(parsed);
}

void Fields::take(std::string_view key, Pet& target) const {
    const Node* node = find(key);
    if (!node) return;
    const std::string* found = text(field(key), *node);
    if (!found) return;
    const auto utc = parse_utc(*found);
    const auto clock = parse_pet(*found);
    const Utc* instant = std::get_if<Utc>(&utc);
    if (const Pet* at = std::get_if<Pet>(&clock))
        target = *at;
    else if (instant && context_->pet_zero)
        target = to_pet(*instant, *context_->pet_zero);
    else if (!instant)
        wrong(key, expectation(field(key)), describe(*node), "write hh:mm since PET zero, or UTC ending with Z");
}

void Fields::take(std::string_view key, Duration3& target) const {
    const Node* node = find(key);
    if (!node) return;
    const Field& one = field(key);
    if (std::holds_alternative<Table>(node->value)) {
        const std::size_t before = context_->errors.count();
        const Fields fields(*node, duration_section(), path_of(key), *context_);
        Duration3 read;
        fields.take("low", read.low);
        fields.take("likely", read.likely);
        fields.take("high", read.high);
        if (context_->errors.count() != before) return;
        if (read.low <= read.likely && read.likely <= read.high)
            target = read;
        else
            wrong(key, "low no more than likely, likely no more than high",
                  fmt::format("{}, {}, {}", print_duration(read.low), print_duration(read.likely),
                              print_duration(read.high)),
                  "put them in order");
        return;
    }
    const std::string* found = text(one, *node);
    if (!found) return;
    const auto parsed = parse_duration(*found);
    if (const auto* error = std::get_if<ParseError>(&parsed)) {
        wrong(key, expectation(one), describe(*node), error->remedy);
        return;
    }
    const Seconds likely = std::get<Seconds>(parsed);
    if (likely <= Seconds{0}) {
        wrong(key, expectation(one), describe(*node), "it must be more than zero");
        return;
    }
    const auto share = [&](double of) {
        return std::max(Seconds{1}, Seconds{std::llround(static_cast<double>(likely.count()) * of)});
    };
    target = {share(low_share), likely, share(high_share)};
}

void Fields::take(std::string_view key, Vec3& target) const {
    const Node* node = find(key);
    if (!node) return;
    const Field& one = field(key);
    const List* list = std::get_if<List>(&node->value);
    if (!list || list->size() != 3) {
        wrong(key, expectation(one), list ? fmt::format("{} of them", list->size()) : describe(*node),
              fmt::format("write it like {}", one.example));
        return;
    }
    double read[3] = {0, 0, 0};
    for (std::size_t i = 0; i < 3; ++i) {
        const Node& element = (*list)[i];
        double number = number_in(element);
        std::string remedy = fmt::format("write it like {}", one.example);
        if (one.kind == Kind::point) {
            const auto* written = std::get_if<std::string>(&element.value);
            if (std::isfinite(number)) remedy = fmt::format("add the unit, in quotes: \"{} m\"", number);
            number = std::numeric_limits<double>::quiet_NaN();
            const Parsed<Metres> length = written ? parse_length(*written) : Parsed<Metres>{ParseError{{}, {}, remedy}};
            if (const Metres* metres = std::get_if<Metres>(&length))
                number = metres->value();
            else
                remedy = std::get<ParseError>(length).remedy;
        }
        constexpr double farthest_m = 1e6;
        if (!std::isfinite(number) || std::abs(number) > farthest_m) {
            wrong_at(element.place, key, expectation(one), describe(element), remedy);
            return;
        }
        if (!sign_fits(one, element, number)) return;
        read[i] = number;
    }
    target = {read[0], read[1], read[2]};
}

std::optional<std::size_t> Fields::word_index(const Field& one, const Node& node) const {
    const std::string* found = text(one, node);
    if (!found) return std::nullopt;
    const auto known = std::ranges::find(one.words, *found);
    if (known != one.words.end()) return static_cast<std::size_t>(known - one.words.begin());
    context_->errors.add(node.place, path_of(one.key), expectation(one), describe(node),
                         did_you_mean(*found, one.words, "use one of these words"));
    return std::nullopt;
}

std::optional<std::size_t> Fields::choice(std::string_view key) const {
    const Node* node = find(key);
    return node ? word_index(field(key), *node) : std::nullopt;
}

std::vector<std::size_t> Fields::words(std::string_view key) const {
    const Node* node = find(key);
    std::vector<std::size_t> all;
    const auto add = [&](const Node& element) {
        if (const auto chosen = word_index(field(key), element)) all.push_back(*chosen);
    };
    if (!node) return all;
    if (const List* list = std::get_if<List>(&node->value))
        std::ranges::for_each(*list, add);
    else
        add(*node);
    return all;
}

}  // namespace handrail::detail
