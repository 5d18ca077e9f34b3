#include "schedule/psplib.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "schedule/solve.h"

namespace handrail::schedule {
namespace {

// Invented: three jobs between source and sink, two modes for the third.
const std::string small_sm = R"(************************************************************************
file with basedata            : invented
jobs (incl. supersource/sink ):  4
horizon                       :  9
RESOURCES
  - renewable                 :  1   R
  - nonrenewable              :  1   N
  - doubly constrained        :  0   D
PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          2           2   3
   2        1          1           4
   3        2          1           4
   4        1          0
REQUESTS/DURATIONS:
jobnr. mode duration  R 1  N 1
------------------------------------------------------------------------
  1      1     0       0    0
  2      1     3       2    0
  3      1     2       1    2
         2     4       0    1
  4      1     0       0    0
RESOURCEAVAILABILITIES:
  R 1  N 1
    2    1
)";

// Invented: 2 starts between 3 and 4 periods after 1.
const std::string small_sch =
    "2\t1\t0\t0\n0\t1\t2\t1\t2\t[0]\t[0]\n1\t1\t2\t2\t3\t[3]\t[2]\n2\t1\t2\t1\t3\t[-4]\t[1]\n3\t1\t0\n"
    "0\t1\t0\t0\n1\t1\t2\t1\n2\t1\t1\t1\n3\t1\t0\t0\n1\n";

std::string with(std::string text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    return text.replace(at, from.size(), to);
}

ReadError error_of(const Reading& reading) {
    const auto* error = std::get_if<ReadError>(&reading);
    EXPECT_NE(error, nullptr);
    return error ? *error : ReadError{};
}

TEST(Psplib, ReadsJobsModesAndResources) {
    const Reading reading = read_psplib(small_sm);
    ASSERT_TRUE(std::holds_alternative<Project>(reading)) << error_of(reading).expected;
    const Project& project = std::get<Project>(reading);
    EXPECT_EQ(fault(project), "");
    EXPECT_EQ(project.activities.size(), 4u);
    EXPECT_EQ(project.activities[2].modes.size(), 2u);
    EXPECT_EQ(project.activities[2].modes[1].duration, 4);
    EXPECT_THAT(project.activities[2].modes[0].demand, testing::ElementsAre(1));
    EXPECT_THAT(project.activities[2].modes[0].uses, testing::ElementsAre(2));
    EXPECT_THAT(project.capacity, testing::ElementsAre(2));
    EXPECT_THAT(project.stock, testing::ElementsAre(1));
    EXPECT_EQ(project.lags.size(), 4u);
    EXPECT_EQ(solve(project, {}).makespan, 4);
}

TEST(Psplib, ReadsLeastAndLargestGaps) {
    const Reading reading = read_progen_max(small_sch);
    ASSERT_TRUE(std::holds_alternative<Project>(reading)) << error_of(reading).expected;
    const Project& project = std::get<Project>(reading);
    EXPECT_EQ(project.activities.size(), 4u);
    EXPECT_EQ(project.lags[4].gap, -4);
    const Answer answer = solve(project, {});
    EXPECT_EQ(answer.verdict, Verdict::optimal);
    EXPECT_EQ(answer.makespan, 4);
}

TEST(Psplib, SaysTheLineAndWhatWasExpected) {
    const ReadError word = error_of(read_psplib(with(small_sm, "  2      1     3", "  2      1     x")));
    EXPECT_EQ(word.line, 19);
    EXPECT_EQ(word.found, "\"x\"");
    const ReadError successor = error_of(read_psplib(with(small_sm, "2           2   3", "2           2   9")));
    EXPECT_EQ(successor.line, 11);
    EXPECT_EQ(successor.expected, "a job from 1 to 4");
    const ReadError missing = error_of(read_psplib(with(small_sm, "REQUESTS/DURATIONS:", "")));
    EXPECT_EQ(missing.expected, "a line \"REQUESTS/DURATIONS:\" further on");
    const ReadError negative = error_of(read_psplib(with(small_sm, "    2    1\n", "   -2    1\n")));
    EXPECT_EQ(negative.expected, "2 capacities, none negative");
    EXPECT_EQ(error_of(read_psplib(with(small_sm, "constrained        :  0", "constrained        :  1"))).line, 8);
    EXPECT_EQ(error_of(read_progen_max(with(small_sch, "[-4]", "[-x]"))).line, 4);
}

TEST(Psplib, NonsenseIsRefusedWithoutACrash) {
    for (const std::string& text :
         {std::string(), std::string("hello"), std::string(1000, '\0'), std::string(":::::\n"),
          std::string("jobs : 99999999999999\n"), std::string("-1 -1\n"), std::string("1\n")}) {
        EXPECT_TRUE(std::holds_alternative<ReadError>(read_psplib(text)));
        EXPECT_TRUE(std::holds_alternative<ReadError>(read_progen_max(text)));
    }
    // Cut off anywhere, a file is either whole or refused.
    for (const std::string& whole : {small_sm, small_sch})
        for (std::size_t length = 0; length + 4 < whole.size(); ++length) {
            const std::string cut = whole.substr(0, length);
            EXPECT_TRUE(
                std::holds_alternative<ReadError>(&whole == &small_sm ? read_psplib(cut) : read_progen_max(cut)));
        }
}

}  // namespace
}  // namespace handrail::schedule
