// A marker planted in every text that was not released must never come out of the public feed.
#include "serve/public_feed.h"

#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <set>

#include "brief/planted.h"
#include "live/day_under_test.h"

namespace handrail::serve {
namespace {

using brief::planted_marker;
using live::DayUnderTest;
using live::Visibility;
using nlohmann::json;
using testing::HasSubstr;
using testing::Not;

json feed_of(const DayUnderTest& day, const std::string& pet) {
    const live::Status status = day.status(pet);
    return json::parse(public_json(public_feed(day.outing(), status), day.outing(), status.day.windows));
}

/// A day whose every entry of this visibility carries the marker wherever it can carry words.
void say_it_all(DayUnderTest& t, Visibility visibility) {
    const std::string why = planted_marker;
    const auto add = [&](const std::string& pet, live::Body body) {
        live::Entry entry;
        entry.happened = entry.logged = t.utc(pet);
        entry.pet = to_pet(entry.happened, t.outing().pet_zero);
        entry.author = why;
        entry.visibility = visibility;
        entry.body = std::move(body);
        t.add(std::move(entry));
    };
    add("00:21", live::HoldBegan{why});
    add("00:22", live::Note{why});
    add("00:22", live::Decision{why});
    add("00:23", live::StepDelayed{"lamp.1", Seconds{60}, why});
    add("00:23", live::StepSkipped{"paint.2", why});
    add("00:24", live::TaskDropped{"paint", why});
    add("00:24", live::CrewAble{Crew::ev2, false, why});
    add("00:25", live::ItemPlaced{live::ItemPlaced::Where::loose, why, why});
    add("00:25", live::SuitReading{});
    add("00:26", live::StandDown{live::StandDownKind::terminate, why});
    add("00:27", live::Resumed{});
}

TEST(PublicFeed, HoldsNothingOfAnyEntryThatWasNotReleased) {
    for (const Visibility visibility : {Visibility::console, Visibility::medical}) {
        const auto t = live::yard();
        t->say("00:00", "pet zero").say("00:10", "egress done").say("00:20", "EV1 started lamp.1");
        say_it_all(*t, visibility);
        for (const char* moment : {"00:21", "00:24", "00:26", "01:30"}) {
            const std::string text = feed_of(*t, moment).dump();
            EXPECT_THAT(text, Not(HasSubstr(planted_marker))) << moment;
            for (const char* never : {"margin", "turn_back", "medical", "oxygen", "behind", "forecast", "terminate",
                                      "position", "author", "reason"})
                EXPECT_THAT(text, Not(HasSubstr(never))) << moment;
        }
    }
}

TEST(PublicFeed, HoldsNoFieldOfTheOutingThatWasNotWrittenForEveryone) {
    const auto t = live::yard();
    t->follow_plan_until("01:00");
    const live::Status status = t->status("01:00");
    Outing planted = t->outing();
    brief::plant(planted);
    const std::string text = public_json(public_feed(planted, status), planted, status.day.windows);
    EXPECT_THAT(text, Not(HasSubstr(planted_marker)));
    EXPECT_THAT(text, HasSubstr("Mend the lamp"));
}

TEST(PublicFeed, AHoldLooksTheSameWhateverItWasFor) {
    std::set<std::string> seen;
    for (const char* line : {"hold", "hold private why", "hold a bolt jams"}) {
        const auto t = live::yard();
        t->say("00:00", "pet zero").say("00:10", "egress done").say("00:21", line);
        seen.insert(feed_of(*t, "00:30").dump());
    }
    EXPECT_EQ(seen.size(), 1u);
    EXPECT_THAT(*seen.begin(), HasSubstr("Work was put on hold."));
    EXPECT_THAT(*seen.begin(), HasSubstr(R"("on_hold_since_pet_s":1260)"));
}

TEST(PublicFeed, SaysThatBothComeInButNeitherWhyNorHowHastily) {
    std::set<std::string> seen;
    for (const char* line : {"terminate", "terminate private why", "abort a suit leaks"}) {
        const auto t = live::yard();
        t->say("00:00", "pet zero").say("00:10", "egress done").say("00:21", line);
        seen.insert(feed_of(*t, "00:22").dump());
    }
    ASSERT_EQ(seen.size(), 1u);
    EXPECT_EQ(json::parse(*seen.begin())["ending"], "coming_in");
    EXPECT_EQ(json::parse(*seen.begin())["crew"][0]["next"]["title"], "Going back in: Shed");
}

TEST(PublicFeed, SaysThatTheDayDoesNotTakePlace) {
    const auto t = live::yard();
    EXPECT_TRUE(feed_of(*t, "-00:20")["ending"].is_null());
    t->say("-00:10", "scrub weather at the pool");
    EXPECT_EQ(feed_of(*t, "-00:05")["ending"], "called_off");
}

TEST(PublicFeed, ALineThatTheLeadReleasedStandsInItUntilItIsTakenBack) {
    const auto t = live::yard();
    t->say("00:00", "pet zero").say("00:05", "public The sun is up.").say("00:06", "note inner");
    json feed = feed_of(*t, "00:10");
    ASSERT_EQ(feed["lines"].size(), 1u);
    EXPECT_EQ(feed["lines"][0]["words"], "The sun is up.");
    t->say("00:12", "fix 3 undo");
    EXPECT_TRUE(feed_of(*t, "00:13")["lines"].empty());
}

TEST(PublicFeed, SaysWhatIsHappeningAndWhatComesNextInWordsForEveryone) {
    const auto t = live::yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:20", "EV1 started lamp.1");
    const json feed = feed_of(*t, "00:22");
    const json& now = feed["crew"][0]["now"];
    EXPECT_EQ(now["title"], "Mend the lamp");
    EXPECT_EQ(now["words"], "Opening the lamp.");
    EXPECT_EQ(now["place"], "w2");
    EXPECT_EQ(feed["crew"][0]["next"]["title"], "Mend the lamp");
    EXPECT_EQ(feed["jobs"][0]["progress"], "under_way");
    EXPECT_EQ(feed["caution"], std::string(caution));
}

TEST(PublicFeed, SpeaksOfNoJobThatNobodyWroteAboutForEveryone) {
    const auto t = live::yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:20", "EV1 started lamp.1");
    const live::Status status = t->status("00:22");
    Outing quiet = t->outing();
    for (Task& task : quiet.tasks) {
        task.why.clear();
        task.name = planted_marker;
    }
    for (Step& step : quiet.steps) step.public_words.clear();
    const json feed = json::parse(public_json(public_feed(quiet, status), quiet, status.day.windows));
    EXPECT_TRUE(feed["jobs"].empty());
    EXPECT_EQ(feed["crew"][0]["now"]["title"], "At work");
    EXPECT_THAT(feed.dump(), Not(HasSubstr(planted_marker)));
}

}  // namespace
}  // namespace handrail::serve
