#include "outing/edit_removal.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "support/small_outing.h"

/// Things that go out with every mention of them.
namespace handrail {
namespace {

struct Without {
    Outing before;
    EditedOuting after;
};
Without without(const test::SmallOuting& small, const std::vector<std::string>& steps,
                const std::vector<std::string>& tasks = {}) {
    Without result{small.outing(), {}};
    Removal removal;
    for (const Step& step : result.before.steps)
        if (std::ranges::find(steps, step.label) != steps.end()) removal.steps.push_back(step.id);
    for (const Task& task : result.before.tasks)
        if (std::ranges::find(tasks, task.key) != tasks.end()) removal.tasks.push_back(task.id);
    const std::vector<OutingText> texts{{"small.toml", small.text()}};
    const auto edits = removal_of(texts, result.before, removal);
    if (!edits) throw std::logic_error(print(edits.errors().front()));
    auto after = edit_texts(texts, edits.value());
    if (!after) throw std::logic_error(print(after.errors().front()));
    result.after = std::move(after).value();
    return result;
}
bool says(const Without& one, const std::string& part) {
    return one.after.texts.front().text.find(part) != std::string::npos;
}
test::SmallOuting three_looks() {
    return test::SmallOuting{}.add(
        "[[task.step]]\nname = \"Look from above\"\nat = \"tip\"\nduration = \"2 min\"\nafter = [\"1\", \"look.2\"]\n"
        "within = \"40 min of 2\"\n");
}

TEST(Removal, StepsNamedByNumberAreNamedByTheirNewNumber) {
    const Without one = without(three_looks(), {"look.1"});
    EXPECT_TRUE(says(one, "after = [\"look.1\"]\nwithin = \"40 min of 1\"")) << one.after.texts.front().text;
    ASSERT_EQ(one.after.outing.tasks[1].steps.size(), 2U);
}

TEST(Removal, ATimeCountedFromAStepThatGoesIsGone) {
    const Without one = without(three_looks(), {"look.2"});
    EXPECT_TRUE(says(one, "after = [\"1\"]\n"));
    EXPECT_FALSE(says(one, "within"));
    for (const Order& order : one.after.outing.orders) EXPECT_FALSE(order.within);
}

TEST(Removal, AFirstStepComesAfterNothing) {
    const Without one = without(three_looks(), {"look.1", "look.2"});
    EXPECT_FALSE(says(one, "after ="));
    EXPECT_EQ(one.after.outing.tasks[1].steps.size(), 1U);
}

TEST(Removal, ATaskGoesWhenAllItsStepsDoAndSoDoMentionsOfIt) {
    const Without one = without(
        test::SmallOuting{}.with("value = 3", "value = 3\nafter = [\"fit\"]\nneeds = [\"fit\"]"), {"fit.1", "fit.fix"});
    ASSERT_EQ(one.after.outing.tasks.size(), 1U);
    EXPECT_FALSE(says(one, "fit"));
}

TEST(Removal, ATroubleGoesWithTheLastStepItCanStrike) {
    const auto small = test::SmallOuting{}.add(
        "[[risk.trouble]]\nname = \"stuck\"\nprobability = \"5 %\"\nextra = \"5 min\"\nsteps = [\"look.2\", "
        "\"fit.fix\"]\n\n"
        "[[risk.trouble]]\nname = \"fog\"\nprobability = \"5 %\"\nextra = \"5 min\"\nsteps = [\"look.1\"]\n");
    const Without one = without(small, {"look.1"});
    ASSERT_EQ(one.after.outing.risk.troubles.size(), 1U);
    EXPECT_TRUE(says(one, "steps = [\"look.1\", \"fit.fix\"]"));
    EXPECT_EQ(one.after.outing.step(one.after.outing.risk.troubles[0].steps[0]).name, "Look from the right");
}

TEST(Removal, FilesAreFoundFromAnotherFolder) {
    const OutingText text{"/a/b/outing.toml",
                          "handrail = 1\ninclude = [\"station.toml\", \"../suits.toml\"]  # shared\n[windows]\ncsv = "
                          "\"w.csv\"\n[orbit]\ntle_file = \"/abs/o.tle\"\n"};
    const auto moved = moved_text(text, "/a/b", "/a/next/day");
    ASSERT_TRUE(moved.ok());
    EXPECT_EQ(moved.value(),
              "handrail = 1\ninclude = [\"../../b/station.toml\", \"../../suits.toml\"]  # shared\n[windows]\ncsv = "
              "\"../../b/w.csv\"\n[orbit]\ntle_file = \"/abs/o.tle\"\n");
}

}  // namespace
}  // namespace handrail
