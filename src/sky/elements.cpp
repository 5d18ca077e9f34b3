#include "sky/elements.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdlib>

#include "sky/element_fields.h"

namespace handrail::sky {

double seconds_since(const Epoch& epoch, Utc t) {
    const Utc midnight{epoch.day};
    return static_cast<double>((t - midnight).count()) * 1e-3 - epoch.seconds_of_day;
}

Utc nearest(const Epoch& epoch) { return Utc{epoch.day} + Milliseconds{std::llround(epoch.seconds_of_day * 1000.0)}; }

Result<Elements> read_elements(const OrbitSource& source) {
    // An element set has a few hundred characters and an OMM a few thousand; anything longer is not one.
    constexpr std::size_t longest = 1u << 20;
    if (source.text.size() > longest)
        return InputError{source.place.file,        "orbit",           source.place.line,
                          source.place.column,      "one element set", "more than 1 MiB of text",
                          "give one TLE or one OMM"};
    switch (source.kind) {
        case OrbitSource::Kind::tle:
            return detail::read_tle(source);
        case OrbitSource::Kind::omm_kvn:
            return detail::read_omm_kvn(source);
        case OrbitSource::Kind::omm_xml:
            return detail::read_omm_xml(source);
    }
    std::abort();
}

namespace detail {

void Errors::add(int line, int column, std::string field, std::string expected, std::string found, std::string remedy) {
    const int first = std::max(first_.line, 1);
    all_.push_back({first_.file, "orbit, " + field, first + line - 1, column, std::move(expected), std::move(found),
                    std::move(remedy)});
}

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view blanks = " \t\r\n";
    const std::size_t from = text.find_first_not_of(blanks);
    if (from == std::string_view::npos) return {};
    return text.substr(from, text.find_last_not_of(blanks) - from + 1);
}

std::optional<double> number(std::string_view text) {
    text = trimmed(text);
    if (text.starts_with('+')) text.remove_prefix(1);
    if (text.starts_with('+')) return std::nullopt;
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
    return value;
}

std::string shown(std::string_view text) {
    constexpr std::size_t longest = 40;
    std::string out(text.substr(0, longest));
    for (char& c : out)
        if (static_cast<unsigned char>(c) < 0x20 || static_cast<unsigned char>(c) >= 0x7f) c = '?';
    if (text.size() > longest) out += "...";
    return "\"" + out + "\"";
}

}  // namespace detail
}  // namespace handrail::sky
