#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "check/check.h"

namespace handrail::checking {

/// How much a rule is broken by.
struct Amount {
    double value = 0;
    std::string_view unit;
};
Amount seconds(Milliseconds d);
Amount metres(double m);

/// Collects findings; every rule writes here and reads nothing from here.
class Report {
public:
    /// `rule` must be in the registry, whose source is used unless a more precise one is given.
    void add(std::string_view rule, std::vector<Lane> lanes, Pet at, Amount amount, std::string what,
             std::string source = {});
    void note(std::string_view rule, std::vector<Lane> lanes, Pet at, Amount amount, std::string what);
    /// By time, then in the order of the registry.
    std::vector<Finding> take();

private:
    std::vector<Finding> findings_;
};

/// "larkspur.toml:120", or nothing where the place is unknown.
std::string source_of(const SourcePlace& place);
/// "PET 01:35:00"
std::string clock(Pet t);
/// "2 min 30 s", or "0.4 s" for less than a second.
std::string span_text(Milliseconds d);

}  // namespace handrail::checking
