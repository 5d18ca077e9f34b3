#include "schedule/published.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "schedule/solve.h"

namespace handrail::schedule {
namespace {

namespace fs = std::filesystem;

fs::path folder() { return fs::path(HANDRAIL_SOURCE_DIR) / "../shared/reference/psplib"; }

/// Optima and refusals as published (the lists beside the sets; PSPLIB, Kolisch and Sprecher 1996, and ProGen/max,
/// Schwindt 1998): of closed cases the answer must be the published one.
void expect_published(const std::string& set, int every, std::uint64_t rounds) {
    if (!fs::exists(folder())) GTEST_SKIP() << "no published sets beside the source";
    const auto read = read_published(folder(), set, every, 0);
    const auto* error = std::get_if<PublishedError>(&read);
    ASSERT_EQ(error, nullptr) << error->file << ": expected " << error->error.expected;
    for (const PublishedCase& known : std::get<std::vector<PublishedCase>>(read)) {
        SCOPED_TRACE(set + " " + known.name);
        ASSERT_EQ(fault(known.project), "");
        Effort effort;
        effort.rounds = rounds;
        const Answer answer = solve(known.project, effort);
        if (known.infeasible) {
            EXPECT_EQ(answer.verdict, Verdict::infeasible);
            continue;
        }
        ASSERT_TRUE(answer.verdict == Verdict::optimal || answer.verdict == Verdict::feasible);
        EXPECT_THAT(broken_rules(known.project, answer.schedule), testing::IsEmpty());
        EXPECT_GE(answer.makespan, known.lower_bound.value_or(0));
        EXPECT_LE(answer.makespan_bound, known.upper_bound.value_or(unlimited));
        if (known.closed()) {
            EXPECT_EQ(answer.makespan, *known.upper_bound);
        }
    }
}

TEST(Published, SingleModeOptimaAreReached) { expect_published("j30", 40, 60); }
TEST(Published, MultiModeOptimaAreReached) { expect_published("mm-j10", 20, 60); }
TEST(Published, GapsOfTheSmallSetAreSolvedOrRefused) { expect_published("max-sm_j10", 6, 60); }
TEST(Published, HarderGapsAreSolvedOrRefused) { expect_published("max-ubo10", 4, 60); }

TEST(Published, AMissingOrDamagedSetIsAnErrorWithAPlace) {
    const fs::path temporary = fs::path(testing::TempDir()) / "published_sets";
    fs::create_directories(temporary);
    const auto none = read_published(temporary, "none", 1, 0);
    ASSERT_TRUE(std::holds_alternative<PublishedError>(none));
    EXPECT_THAT(std::get<PublishedError>(none).file, testing::HasSubstr("none-best.csv"));
    std::ofstream(temporary / "bad-best.csv") << "instance,optimum\na.sm,3\n";
    std::ofstream(temporary / "bad.tar.xz") << "not an archive";
    EXPECT_THAT(published_sets(temporary), testing::ElementsAre("bad"));
    const auto bad = read_published(temporary, "bad", 1, 0);
    ASSERT_TRUE(std::holds_alternative<PublishedError>(bad));
    EXPECT_EQ(std::get<PublishedError>(bad).error.expected, "a .tar.xz archive");
    fs::remove_all(temporary);
}

}  // namespace
}  // namespace handrail::schedule
