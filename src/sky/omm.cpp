#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sky/element_fields.h"

/// CCSDS Orbit Mean-elements Message (CCSDS 502.0-B): what its keywords must say for SGP4, and its KVN notation.
namespace handrail::sky::detail {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Digits at [at, at + count) as a number, or nothing.
std::optional<int> digits(std::string_view text, std::size_t at, std::size_t count) {
    if (at + count > text.size()) return std::nullopt;
    int value = 0;
    for (char c : text.substr(at, count)) {
        if (!is_digit(c)) return std::nullopt;
        value = value * 10 + (c - '0');
    }
    return value;
}

/// The two calendar notations of CCSDS 301.0-B: 2031-04-05T08:30:00.123456 and 2031-095T08:30:00.123456, Z optional.
std::optional<Epoch> epoch_from(std::string_view text) {
    if (text.ends_with('Z')) text.remove_suffix(1);
    const auto year = digits(text, 0, 4);
    if (!year || *year < 1957 || text.size() < 6 || text[4] != '-') return std::nullopt;
    std::chrono::sys_days day;
    std::size_t at = 0;
    if (text.size() > 8 && text[8] == 'T') {
        const auto of_year = digits(text, 5, 3);
        if (!of_year || *of_year < 1 || *of_year > 365 + std::chrono::year(*year).is_leap()) return std::nullopt;
        day = std::chrono::sys_days{std::chrono::year(*year) / 1 / 1} + std::chrono::days{*of_year - 1};
        at = 9;
    } else {
        const auto month = digits(text, 5, 2), of_month = digits(text, 8, 2);
        if (!month || !of_month || text.size() < 11 || text[7] != '-' || text[10] != 'T') return std::nullopt;
        const std::chrono::year_month_day date{std::chrono::year(*year), std::chrono::month(unsigned(*month)),
                                               std::chrono::day(unsigned(*of_month))};
        if (!date.ok()) return std::nullopt;
        day = date;
        at = 11;
    }
    const auto hour = digits(text, at, 2), minute = digits(text, at + 3, 2);
    if (!hour || !minute || text.size() < at + 8 || text[at + 2] != ':' || text[at + 5] != ':') return std::nullopt;
    const std::string_view second_text = text.substr(at + 6);
    const auto second = is_digit(second_text[0]) ? number(second_text) : std::nullopt;
    if (!second || second_text.find_first_not_of("0123456789.") != std::string_view::npos) return std::nullopt;
    if (*hour > 23 || *minute > 59 || *second >= 61) return std::nullopt;
    return Epoch{day, *hour * 3600.0 + *minute * 60.0 + *second};
}

class Message {
public:
    Message(const std::vector<OmmField>& fields, Errors& errors) : fields_(fields), errors_(errors) {
        for (auto field = fields.begin(); field != fields.end(); ++field) {
            const auto twin = std::find_if(fields.begin(), field, [&](const auto& f) { return f.key == field->key; });
            if (twin == field || field->key == "COMMENT" || field->key.starts_with("USER_DEFINED")) continue;
            errors_.add(field->line, field->column, field->key, "each keyword once, one element set in the message",
                        "a second " + field->key, "keep one element set");
            return;
        }
    }

    const OmmField* find(std::string_view key) const {
        const auto found = std::find_if(fields_.begin(), fields_.end(), [&](const auto& f) { return f.key == key; });
        return found == fields_.end() ? nullptr : &*found;
    }
    const OmmField* need(std::string_view key, std::string_view why) {
        const OmmField* field = find(key);
        if (!field) errors_.add(1, 1, std::string(key), std::string(why), "no such keyword", "add it to the message");
        return field;
    }
    void must_say(std::string_view key, std::initializer_list<std::string_view> choices, std::string_view remedy) {
        const OmmField* field = need(key, fmt::format("{} = {}", key, *choices.begin()));
        if (!field || std::find(choices.begin(), choices.end(), field->value) != choices.end()) return;
        errors_.add(field->line, field->column, field->key, std::string(*choices.begin()), shown(field->value),
                    std::string(remedy));
    }
    double value(std::string_view key, double low, double high, std::string_view unit) {
        const OmmField* field = need(key, fmt::format("a number from {} to {} {}", low, high, unit));
        if (!field) return 0;
        const auto value = number(field->value);
        if (value && *value >= low && *value <= high) return *value;
        errors_.add(field->line, field->column, field->key, fmt::format("a number from {} to {} {}", low, high, unit),
                    shown(field->value), "correct the message");
        return 0;
    }

private:
    const std::vector<OmmField>& fields_;
    Errors& errors_;
};

}  // namespace

Result<Elements> elements_from(const std::vector<OmmField>& fields, Errors& errors) {
    Message message(fields, errors);
    if (errors.any()) return errors.take();
    Elements e;
    if (const OmmField* name = message.find("OBJECT_NAME")) e.object = name->value;
    if (const OmmField* id = message.find("NORAD_CAT_ID")) e.catalogue = id->value;
    message.must_say("CENTER_NAME", {"EARTH", "Earth"}, "only orbits about the Earth are computed");
    message.must_say("REF_FRAME", {"TEME"}, "SGP4 elements are given in TEME");
    message.must_say("TIME_SYSTEM", {"UTC"}, "SGP4 elements are given in UTC");
    message.must_say("MEAN_ELEMENT_THEORY", {"SGP4", "SGP/SGP4"},
                     "these elements belong to another theory; ask for SGP4 elements");
    if (const OmmField* type = message.find("EPHEMERIS_TYPE"); type && type->value != "0" && type->value != "2")
        errors.add(type->line, type->column, type->key, "0 (SGP4)", shown(type->value),
                   "these elements belong to another theory; ask for SGP4 elements");
    if (const OmmField* epoch = message.need("EPOCH", "an epoch such as 2031-04-05T08:30:00.123456")) {
        if (const auto instant = epoch_from(epoch->value))
            e.epoch = *instant;
        else
            errors.add(epoch->line, epoch->column, "EPOCH", "an epoch such as 2031-04-05T08:30:00.123456",
                       shown(epoch->value), "write UTC in ISO 8601");
    }
    e.mean_motion_rev_per_day = message.value("MEAN_MOTION", 0.05, 18, "rev/day");
    e.eccentricity = message.value("ECCENTRICITY", 0, 0.9999999, "(an orbit that closes)");
    e.inclination = Degrees{message.value("INCLINATION", 0, 180, "deg")};
    // Angles may come as -180 to 180 or 0 to 360; both say the same.
    e.node = Degrees{message.value("RA_OF_ASC_NODE", -360, 360, "deg")};
    e.perigee = Degrees{message.value("ARG_OF_PERICENTER", -360, 360, "deg")};
    e.anomaly = Degrees{message.value("MEAN_ANOMALY", -360, 360, "deg")};
    e.bstar_per_earth_radius = message.value("BSTAR", -10, 10, "1/ER");
    if (errors.any()) return errors.take();
    return e;
}

Result<Elements> read_omm_kvn(const OrbitSource& source) {
    Errors errors(source.place);
    std::vector<OmmField> fields;
    const std::string_view text = source.text;
    int number_of_line = 1;
    for (std::size_t at = 0; at <= text.size(); ++number_of_line) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        const std::string_view line = trimmed(text.substr(at, end - at));
        at = end + 1;
        if (line.empty() || line == "COMMENT" || line.starts_with("COMMENT ")) continue;
        const std::size_t equals = line.find('=');
        if (equals == std::string_view::npos) {
            errors.add(number_of_line, 1, "OMM", "KEYWORD = value", shown(line), "correct the line");
            continue;
        }
        std::string_view value = trimmed(line.substr(equals + 1));
        // A unit may follow in brackets (CCSDS 502.0-B, 7.6); for these keywords it is always the standard's own.
        if (value.ends_with(']'))
            if (const std::size_t unit = value.rfind('['); unit != std::string_view::npos)
                value = trimmed(value.substr(0, unit));
        fields.push_back({std::string(trimmed(line.substr(0, equals))), std::string(value), number_of_line, 1});
    }
    if (errors.any()) return errors.take();
    if (fields.empty() || fields.front().key != "CCSDS_OMM_VERS") {
        errors.add(fields.empty() ? 1 : fields.front().line, 1, "OMM", "CCSDS_OMM_VERS as the first keyword",
                   fields.empty() ? "nothing" : shown(fields.front().key), "give a CCSDS OMM in KVN notation");
        return errors.take();
    }
    return elements_from(fields, errors);
}

}  // namespace handrail::sky::detail
