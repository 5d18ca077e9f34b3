#include <gtest/gtest.h>

#include <algorithm>

#include "outing/outing.h"

/// The two demo outings are what the README and the docs say they are.
namespace handrail {
namespace {

Outing demo(const std::string& name) {
    Result<Outing> outing = read_outing(std::string(HANDRAIL_SOURCE_DIR) + "/demo/" + name + "/outing.toml");
    if (!outing.ok()) {
        for (const InputError& error : outing.errors()) ADD_FAILURE() << print(error);
        return {};
    }
    return std::move(outing).value();
}

std::size_t tasks_of(const Outing& outing, TaskClass task_class) {
    return static_cast<std::size_t>(std::ranges::count(outing.tasks, task_class, &Task::task_class));
}

TEST(Demo, LarkspurHasWhatTheTourShows) {
    const Outing outing = demo("larkspur");
    EXPECT_EQ(outing.note, "invented");
    EXPECT_GE(outing.station.worksites.size(), 8U);
    EXPECT_EQ(tasks_of(outing, TaskClass::required), 3U);
    EXPECT_EQ(tasks_of(outing, TaskClass::get_ahead), 2U);
    EXPECT_GE(outing.steps.size(), 55U);
    std::vector<TaskId> riding;
    for (const Step& step : outing.steps)
        if (step.arm == ArmUse::ride && (riding.empty() || riding.back() != step.task)) riding.push_back(step.task);
    EXPECT_EQ(riding.size(), 2U);
    const auto lift = std::ranges::find_if(outing.steps, [&](const Step& step) {
        return std::ranges::any_of(step.moves,
                                   [&](ItemId item) { return outing.item(item).size == SizeClass::oversize; });
    });
    ASSERT_NE(lift, outing.steps.end());
    EXPECT_EQ(crew_in(*lift, Crew::ev1).size(), 2U);
    EXPECT_TRUE(std::ranges::any_of(outing.station.routes,
                                    [](const Route& route) { return route.largest < SizeClass::large; }));
    EXPECT_TRUE(outing.orbit) << "light and coverage come from a synthetic orbit";
    EXPECT_EQ(outing.coverage.relays.size(), 2U);
}

TEST(Demo, EveryStepHasWordsForTheCrewAndForThePublic) {
    for (const char* name : {"larkspur", "pool"}) {
        const Outing outing = demo(name);
        for (const Step& step : outing.steps) {
            EXPECT_FALSE(step.crew_words.empty()) << step.label;
            EXPECT_FALSE(step.public_words.empty()) << step.label;
        }
        for (const Task& task : outing.tasks) EXPECT_FALSE(task.why.empty()) << task.key;
    }
}

TEST(Demo, TheSuitIsThePublishedOne) {
    const SuitType suit = demo("larkspur").suit_of(Crew::ev1);
    EXPECT_EQ(suit.oxygen, Kilograms{0.552});
    EXPECT_EQ(suit.co2_capacity, Kilograms{0.671});
    EXPECT_EQ(suit.battery, WattHours{426});
    EXPECT_EQ(suit.reserve, std::chrono::minutes{30});
    EXPECT_EQ(suit.reserve_rate, Watts{205});
}

TEST(Demo, ThePoolIsAnotherKindOfOuting) {
    const Outing outing = demo("pool");
    EXPECT_EQ(outing.rules.limit, std::chrono::hours{3});
    EXPECT_FALSE(outing.orbit || outing.station.arm || outing.prebreathe);
    EXPECT_EQ(outing.suit_of(Crew::ev2).kind, SuitType::Kind::umbilical);
    EXPECT_FALSE(outing.suit_of(Crew::ev2).oxygen || outing.suit_of(Crew::ev2).battery);
    EXPECT_FALSE(outing.windows.knows("daylight"));
    EXPECT_TRUE(outing.windows.knows("camera crew in the water")) << "from its CSV file";
}

TEST(Demo, ThePublishedOrbitOutingHasAnOrbitAndBothKindsOfLinks) {
    const Outing outing = demo("published-orbit");
    EXPECT_TRUE(outing.orbit);
    EXPECT_FALSE(outing.coverage.ground_stations.empty() || outing.coverage.relays.empty());
}

}  // namespace
}  // namespace handrail
