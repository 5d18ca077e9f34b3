#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sky/element_fields.h"

/// Two-line element sets. Columns are counted from 1, as the format's descriptions do.
namespace handrail::sky::detail {
namespace {

struct Line {
    std::string text;
    int number;  ///< within the element set's text, from 1
};

constexpr std::size_t line_length = 69;

std::vector<Line> lines_of(const std::string& text) {
    std::vector<Line> lines;
    std::size_t at = 0;
    for (int number = 1; at <= text.size(); ++number) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        std::string line = text.substr(at, end - at);
        while (!line.empty() && (line.back() == '\r' || line.back() == ' ' || line.back() == '\t')) line.pop_back();
        if (!line.empty()) lines.push_back({std::move(line), number});
        at = end + 1;
    }
    return lines;
}

std::string_view columns(const Line& line, std::size_t from, std::size_t to) {
    return std::string_view(line.text).substr(from - 1, to - from + 1);
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Digits count their value, a minus sign counts 1, everything else 0; modulo 10.
char checksum(std::string_view first_68) {
    int sum = 0;
    for (char c : first_68) sum += is_digit(c) ? c - '0' : c == '-' ? 1 : 0;
    return static_cast<char>('0' + sum % 10);
}

/// "12345", or alpha-5: a letter but I and O in front stands for 10 to 33 ("B0042" is 110042).
std::optional<std::string> catalogue_number(std::string_view field) {
    int value = 0;
    if (field[0] >= 'A' && field[0] <= 'Z' && field[0] != 'I' && field[0] != 'O')
        value = field[0] - 'A' + 10 - (field[0] > 'I') - (field[0] > 'O');
    else if (is_digit(field[0]) || field[0] == ' ')
        value = is_digit(field[0]) ? field[0] - '0' : 0;
    else
        return std::nullopt;
    bool digits_begun = field[0] != ' ';
    for (char c : field.substr(1)) {
        if (c == ' ' && !digits_begun) continue;
        if (!is_digit(c)) return std::nullopt;
        digits_begun = true;
        value = value * 10 + (c - '0');
    }
    if (!digits_begun) return std::nullopt;
    return fmt::format("{:05}", value);
}

/// Reads fields of a pair of lines and collects what is wrong.
class Reader {
public:
    Reader(const Line& first, const Line& second, Errors& errors) : first_(first), second_(second), errors_(errors) {}

    bool shape_is_right() {
        bool right = true;
        for (const Line* line : {&first_, &second_}) {
            if (line->text.size() == line_length) continue;
            errors_.add(line->number, 1, fmt::format("TLE line {}", which(*line)), "69 columns",
                        fmt::format("{}", line->text.size()), "copy the whole line again");
            right = false;
        }
        if (!right) return false;
        for (const Line* line : {&first_, &second_}) {
            const char expected = checksum(columns(*line, 1, 68));
            if (line->text[68] == expected) continue;
            errors_.add(line->number, 69, fmt::format("TLE line {}, checksum", which(*line)), std::string(1, expected),
                        shown(columns(*line, 69, 69)),
                        "a character has changed on the way; copy the element set again");
            right = false;
        }
        blank(first_, {2, 9, 18, 33, 44, 53, 62, 64});
        blank(second_, {2, 8, 17, 26, 34, 43, 52});
        return right;
    }

    double decimal(const Line& line, std::size_t from, std::size_t to, const char* field, double low, double high) {
        const std::string_view text = columns(line, from, to);
        const std::optional<double> value = number(text);
        if (value && *value >= low && *value <= high) return *value;
        errors_.add(line.number, static_cast<int>(from), field, fmt::format("a number from {} to {}", low, high),
                    shown(text), "correct the element set");
        return 0;
    }

    /// Seven digits behind an assumed decimal point.
    double assumed_point(const Line& line, std::size_t from, std::size_t to, const char* field) {
        std::string text(columns(line, from, to));
        for (char& c : text)
            if (c == ' ') c = '0';
        const bool digits = std::all_of(text.begin(), text.end(), is_digit);
        if (digits) return *number("0." + text);
        errors_.add(line.number, static_cast<int>(from), field, "seven digits (the decimal point is assumed)",
                    shown(columns(line, from, to)), "correct the element set; eccentricity is always below 1");
        return 0;
    }

    /// " 12808-3" is 0.12808e-3.
    double assumed_exponent(const Line& line, std::size_t from, std::size_t to, const char* field) {
        const std::string_view text = columns(line, from, to);
        const std::string_view whole = trimmed(text);
        if (whole.empty()) return 0;
        const char sign = text[0];
        std::string mantissa(text.substr(1, 5));
        for (char& c : mantissa)
            if (c == ' ') c = '0';
        const char exponent_sign = text[6], exponent = text[7];
        const bool right = (sign == ' ' || sign == '+' || sign == '-') &&
                           std::all_of(mantissa.begin(), mantissa.end(), is_digit) &&
                           (exponent_sign == '-' || exponent_sign == '+' || exponent_sign == ' ') && is_digit(exponent);
        if (right) {
            const double size =
                *number("0." + mantissa) * std::pow(10.0, (exponent_sign == '-' ? -1 : 1) * (exponent - '0'));
            return sign == '-' ? -size : size;
        }
        errors_.add(line.number, static_cast<int>(from), field,
                    "five digits and an exponent such as \"12808-3\" for 0.12808e-3", shown(text),
                    "correct the element set");
        return 0;
    }

    Epoch epoch() {
        const double year_field = decimal(first_, 19, 20, "epoch year", 0, 99);
        // Two-digit years from 57 on are of the 1900s: nothing was in orbit before 1957.
        const int year = static_cast<int>(year_field) + (year_field < 57 ? 2000 : 1900);
        const bool leap = std::chrono::year(year).is_leap();
        const double day = decimal(first_, 21, 32, "epoch day of the year", 1, leap ? 366.99999999 : 365.99999999);
        const double whole = std::floor(day);
        return {std::chrono::sys_days{std::chrono::year(year) / 1 / 1} + std::chrono::days{static_cast<int>(whole) - 1},
                (day - whole) * 86400.0};
    }

    void ephemeris_type() {
        const char type = first_.text[62];
        if (type == '0' || type == '2' || type == ' ') return;
        errors_.add(first_.number, 63, "ephemeris type", "0 (SGP4)", shown(columns(first_, 63, 63)),
                    "these elements belong to another theory; ask for SGP4 elements");
    }

    std::string catalogue() {
        const auto a = catalogue_number(columns(first_, 3, 7)), b = catalogue_number(columns(second_, 3, 7));
        for (const auto& [value, line] : {std::pair{&a, &first_}, std::pair{&b, &second_}})
            if (!*value)
                errors_.add(line->number, 3, "catalogue number", "five digits, or a letter and four digits (alpha-5)",
                            shown(columns(*line, 3, 7)), "correct the element set");
        if (a && b && *a != *b)
            errors_.add(second_.number, 3, "catalogue number", *a + " as in the line before", *b,
                        "the two lines belong to different objects; pair them again");
        return a.value_or("");
    }

private:
    int which(const Line& line) const { return &line == &first_ ? 1 : 2; }
    void blank(const Line& line, std::initializer_list<std::size_t> places) {
        for (std::size_t place : places)
            if (line.text[place - 1] != ' ') {
                errors_.add(line.number, static_cast<int>(place), fmt::format("TLE line {}", which(line)),
                            fmt::format("a blank in column {}", place), shown(columns(line, place, place)),
                            "the columns have shifted; copy the line again");
                return;
            }
    }

    const Line& first_;
    const Line& second_;
    Errors& errors_;
};

bool is_line(const Line& line, char number) {
    return line.text.size() > 20 && line.text[0] == number && line.text[1] == ' ';
}

}  // namespace

Result<Elements> read_tle(const OrbitSource& source) {
    Errors errors(source.place);
    std::vector<Line> lines = lines_of(source.text);
    std::string name;
    if (lines.size() == 3 && !is_line(lines[0], '1') && !is_line(lines[0], '2')) {
        const std::string_view text = trimmed(lines[0].text);
        name = text.starts_with("0 ") ? text.substr(2) : text;
        lines.erase(lines.begin());
    }
    if (lines.size() != 2) {
        errors.add(lines.empty() ? 1 : lines.back().number, 1, "TLE", "two lines, with or without a name line above",
                   fmt::format("{} lines", lines.size()), "give exactly one element set");
        return errors.take();
    }
    if (is_line(lines[0], '2') && is_line(lines[1], '1')) {
        errors.add(lines[0].number, 1, "TLE", "line 1 before line 2", "line 2 first", "swap the two lines");
        return errors.take();
    }
    for (std::size_t i = 0; i < 2; ++i)
        if (!is_line(lines[i], static_cast<char>('1' + i)))
            errors.add(lines[i].number, 1, fmt::format("TLE line {}", i + 1), fmt::format("\"{} ...\"", i + 1),
                       shown(lines[i].text), "give line 1 and line 2 of one element set");
    if (errors.any()) return errors.take();

    Reader reader(lines[0], lines[1], errors);
    if (!reader.shape_is_right()) return errors.take();
    const Line &first = lines[0], &second = lines[1];
    Elements e;
    e.object = name;
    e.catalogue = reader.catalogue();
    e.epoch = reader.epoch();
    reader.ephemeris_type();
    e.bstar_per_earth_radius = reader.assumed_exponent(first, 54, 61, "BSTAR drag term");
    e.inclination = Degrees{reader.decimal(second, 9, 16, "inclination", 0, 180)};
    e.node = Degrees{reader.decimal(second, 18, 25, "right ascension of the ascending node", 0, 360)};
    e.eccentricity = reader.assumed_point(second, 27, 33, "eccentricity");
    e.perigee = Degrees{reader.decimal(second, 35, 42, "argument of perigee", 0, 360)};
    e.anomaly = Degrees{reader.decimal(second, 44, 51, "mean anomaly", 0, 360)};
    e.mean_motion_rev_per_day = reader.decimal(second, 53, 63, "mean motion", 0.05, 18);
    if (errors.any()) return errors.take();
    return e;
}

}  // namespace handrail::sky::detail
