#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sky/elements.h"

/// What the readers of the three formats share.
namespace handrail::sky::detail {

/// Collects errors; each is placed relative to the first line of the element set.
class Errors {
public:
    explicit Errors(const SourcePlace& first) : first_(first) {}
    void add(int line, int column, std::string field, std::string expected, std::string found, std::string remedy);
    bool any() const { return !all_.empty(); }
    std::vector<InputError> take() { return std::move(all_); }

private:
    SourcePlace first_;
    std::vector<InputError> all_;
};

/// A finite number and nothing else; blanks around it are allowed.
std::optional<double> number(std::string_view text);
std::string_view trimmed(std::string_view text);
/// At most 40 characters of it, control characters replaced, for messages.
std::string shown(std::string_view text);

Result<Elements> read_tle(const OrbitSource& source);
Result<Elements> read_omm_kvn(const OrbitSource& source);
Result<Elements> read_omm_xml(const OrbitSource& source);

/// One keyword of an OMM, wherever it came from.
struct OmmField {
    std::string key, value;
    int line = 1, column = 1;
};
/// The rules of CCSDS 502.0-B that concern an SGP4 element set, for both notations.
Result<Elements> elements_from(const std::vector<OmmField>& fields, Errors& errors);

}  // namespace handrail::sky::detail
