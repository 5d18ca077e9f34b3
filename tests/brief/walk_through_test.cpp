#include "brief/walk_through.h"

#include <gmock/gmock.h>

#include <nlohmann/json.hpp>

#include "brief/public_words.h"
#include "brief/scene.h"
#include "html_check.h"
#include "invented_outing.h"
#include "outing/outing.h"
#include "planted.h"
#include "sky/windows.h"

namespace handrail::brief {
namespace {

using nlohmann::json;
using testing::HasSubstr;
using testing::Not;

std::string walk(const Invented& made, CaptionWords words) {
    return walk_through_json(made.outing, made.outing.windows, made.timeline, words);
}

TEST(WalkThrough, InThePublicsWordsNothingIsFoundThatWasNotWrittenForThem) {
    Invented made = invented();
    plant(made.outing);
    made.timeline.left_out = {{TaskId{0}, planted_marker}};
    const std::string text = walk(made, CaptionWords::everyone);
    EXPECT_THAT(text, Not(HasSubstr(planted_marker)));
    EXPECT_THAT(walk_through_page(made.outing, text, "play()", "p{}"), Not(HasSubstr(planted_marker)));
    EXPECT_THAT(walk(made, CaptionWords::crew), HasSubstr(planted_marker)) << "the marker was planted";
}

TEST(WalkThrough, ATaskNobodyWroteAboutForThePublicIsOnlyWork) {
    Invented made = invented();
    for (Task& task : made.outing.tasks) {
        task.why.clear();
        task.name = planted_marker;
    }
    for (Step& step : made.outing.steps) step.public_words.clear();
    EXPECT_THAT(walk(made, CaptionWords::everyone), Not(HasSubstr(planted_marker)));
}

TEST(WalkThrough, TheCrewReadTheirWordsHazardsAndHands) {
    const json document = json::parse(walk(invented(), CaptionWords::crew));
    EXPECT_EQ(document["words"], "crew");
    bool hazards = false, hands = false;
    for (const json& activity : document["activities"]) {
        hazards |= !activity["hazards"].empty();
        hands |= activity["hands"].contains("EV1") && activity["hands"]["EV1"] != "nothing";
    }
    EXPECT_TRUE(hazards);
    EXPECT_TRUE(hands);
    EXPECT_THAT(document.dump(), HasSubstr(crew_marker));
}

TEST(WalkThrough, PlaysEveryActivityOfThePlanInItsOrder) {
    const Invented made = invented();
    for (const CaptionWords words : {CaptionWords::everyone, CaptionWords::crew}) {
        const json document = json::parse(walk(made, words));
        ASSERT_EQ(document["activities"].size(), made.timeline.activities.size());
        for (std::size_t i = 0; i < made.timeline.activities.size(); ++i) {
            const Activity& activity = made.timeline.activities[i];
            const json& drawn = document["activities"][i];
            EXPECT_EQ(drawn["start_s"], since_zero(activity.start).count());
            EXPECT_EQ(drawn["duration_s"], activity.duration.count());
            EXPECT_EQ(drawn["path"].size(), activity.path.size());
            EXPECT_NE(drawn["title"], "");
        }
        EXPECT_EQ(document["finish_s"], since_zero(made.timeline.finish()).count());
        EXPECT_EQ(document["caution"], std::string(caution));
    }
}

TEST(WalkThrough, TheSamePlanGivesTheSameBytes) {
    EXPECT_EQ(walk(invented(), CaptionWords::everyone), walk(invented(), CaptionWords::everyone));
    EXPECT_EQ(walk(invented(), CaptionWords::crew), walk(invented(), CaptionWords::crew));
}

TEST(WalkThrough, ThePageStandsAloneAndAsksNobody) {
    Invented made = invented();
    made.outing.name = "Outing </script><script>alert(1)</script>";
    made.outing.about = "<!-- </script>";
    const std::string page =
        walk_through_page(made.outing, walk(made, CaptionWords::everyone), "if (1 < 2) play();", "p{}");
    EXPECT_THAT(page, HasSubstr("default-src 'none'"));
    EXPECT_THAT(page, HasSubstr("if (1 < 2) play();"));
    EXPECT_THAT(page, HasSubstr(std::string(caution)));
    for (const char* asks : {"http:", "https:", "src=", "@import"}) EXPECT_THAT(page, Not(HasSubstr(asks))) << asks;
    std::size_t ends = 0;
    for (std::size_t at = page.find("</script"); at != std::string::npos; at = page.find("</script", at + 1)) ++ends;
    EXPECT_EQ(ends, 2u) << "the data cannot end its element";
}

TEST(WalkThrough, AScriptThatNamesItsOwnEndCannotEndIt) {
    const std::string page = walk_through_page(invented().outing, "{}", R"(a = "</script>"; b = "<!-- x";)", "");
    EXPECT_THAT(page, HasSubstr(R"(a = "<\/script>"; b = "<\!-- x";)"));
}

TEST(Scene, CallsWorksitesByNumberWhereItIsHandedOut) {
    const Outing outing = invented().outing;
    const json ids = json::parse(scene_json(outing, SiteKeys::ids)),
               numbers = json::parse(scene_json(outing, SiteKeys::numbers));
    EXPECT_EQ(ids["worksites"][2]["id"], "Truss node 2");
    EXPECT_EQ(numbers["worksites"][2]["id"], "w2");
    EXPECT_EQ(numbers["airlock"], "w0");
    EXPECT_EQ(numbers["arm"]["parked"], "w7");
}

TEST(Scene, HoldsTheSolidsOfTheStation) {
    auto read = read_outing(HANDRAIL_SOURCE_DIR "/demo/larkspur/outing.toml");
    ASSERT_TRUE(read.ok());
    const Outing outing = std::move(read).value();
    const json scene = json::parse(scene_json(outing, SiteKeys::ids));
    EXPECT_EQ(scene["solids"][0],
              json::parse(
                  R"({"shape":"cylinder","at_m":[0.0,0.0,0.0],"axis":[1.0,0.0,0.0],"radius_m":2.2,"length_m":25.0})"));
    EXPECT_EQ(scene["solids"][2], json::parse(R"({"shape":"box","at_m":[0.0,0.0,-3.6],"size_m":[1.6,40.0,1.4]})"));
    EXPECT_EQ(scene["routes"].size(), outing.station.routes.size());
    EXPECT_EQ(scene["arm"]["reach_m"], 17.0);
}

TEST(Light, IsThatOfTheWindowsCutToTheSpan) {
    auto read = read_outing(HANDRAIL_SOURCE_DIR "/demo/larkspur/outing.toml");
    ASSERT_TRUE(read.ok());
    const Outing outing = std::move(read).value();
    const WindowTable windows = sky::windows_of(outing, outing.pet_zero).value();
    const Pet to = pet(Seconds{2 * 3600});
    const json light = json::parse(light_json(outing, windows, outing.pet_zero, Pet{}, to, SiteKeys::ids));
    ASSERT_EQ(light["daylight"].size(), 2u);
    EXPECT_EQ(light["daylight"][0][0], 0);
    const Window second = windows.of("daylight", "")[2];
    EXPECT_EQ(light["daylight"][1][0], since_zero(second.from()).count());
    EXPECT_EQ(light["sites"].size(), outing.station.worksites.size());
    EXPECT_TRUE(light["sites"]["camera-boom"].contains("glare"));
    EXPECT_FALSE(
        json::parse(light_json(outing, windows, outing.pet_zero, Pet{}, to, SiteKeys::numbers))["sites"]["w7"].contains(
            "glare"));
    EXPECT_EQ(light["sun"]["toward"].size() % 3, 0u);
}

TEST(Light, IsUnknownWhereNobodyKnowsIt) {
    auto read = read_outing(HANDRAIL_SOURCE_DIR "/demo/pool/outing.toml");
    ASSERT_TRUE(read.ok());
    const Outing outing = std::move(read).value();
    const json light =
        json::parse(light_json(outing, outing.windows, outing.pet_zero, Pet{}, pet(Seconds{3600}), SiteKeys::ids));
    EXPECT_TRUE(light["daylight"].is_null());
    EXPECT_TRUE(light["sun"].is_null());
    EXPECT_TRUE(light["sites"].empty());
}

static_assert(!std::is_constructible_v<PublicWords, std::string>,
              "words that were not written for everyone do not fit");
static_assert(!std::is_constructible_v<PublicWords, std::string_view>);
static_assert(std::is_constructible_v<PublicWords, PublicWords::Literal>);

}  // namespace
}  // namespace handrail::brief
