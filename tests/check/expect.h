#pragma once

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>
#include <string>

#include "check/check.h"
#include "support/yard.h"

namespace handrail::test {

inline std::vector<Finding> findings(const Yard& yard, const CheckOptions& options = {}) {
    return check(yard.outing, yard.windows, yard.timeline, options);
}

/// The ids of the broken rules; notes do not count.
inline std::set<std::string> broken(const Yard& yard, const CheckOptions& options = {}) {
    std::set<std::string> rules;
    for (const Finding& finding : findings(yard, options))
        if (finding.severity == Severity::finding) rules.insert(finding.rule);
    return rules;
}

/// The findings, each of which must be of this one rule; there must be at least one.
inline std::vector<Finding> only(const std::string& rule, const Yard& yard, const CheckOptions& options = {}) {
    std::vector<Finding> all = findings(yard, options);
    EXPECT_FALSE(all.empty()) << "nothing was found, expected " << rule;
    for (const Finding& finding : all) EXPECT_EQ(finding.rule, rule) << print_findings(all);
    if (all.empty()) all.emplace_back();
    return all;
}

MATCHER(IsFine, "breaks no rule") {
    const std::vector<Finding> all = findings(arg);
    *result_listener << print_findings(all);
    return !any_broken(all);
}

}  // namespace handrail::test
