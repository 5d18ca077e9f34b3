#include "brief/registry.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <iterator>
#include <map>
#include <nlohmann/json.hpp>
#include <sstream>
#include <tuple>

#include "brief/codes.h"
#include "brief/day_words.h"
#include "brief/facts.h"
#include "golden.h"
#include "html_check.h"
#include "told_day.h"

/// Every document of both demo outings, in every form that needs no other program.
namespace handrail::brief {
namespace {

using testing::HasSubstr;
using testing::Not;

Document made(std::string_view kind, const Subject& subject, const Options& options) {
    MadeOrNot result = make_document(kind, subject, options);
    if (const auto* none = std::get_if<NotMade>(&result)) throw std::runtime_error(none->why);
    return std::get<Document>(std::move(result));
}

struct Made {
    const DocumentKind* kind;
    Format format;
    Document document;
};

/// Every document of the subject but PDFs of text documents, which run WeasyPrint.
std::vector<Made> every_document(const Subject& subject, Language language) {
    std::vector<Made> all;
    for (const DocumentKind& kind : document_kinds()) {
        if (kind.needs_day && subject.status == nullptr) continue;
        for (const Format format : kind.formats) {
            const bool chart = std::ranges::find(kind.formats, Format::svg) != kind.formats.end();
            if ((format == Format::pdf && !chart) || format == Format::png) continue;
            for (const Reader reader : {Reader::ev1, Reader::ev2, Reader::iv, Reader::arm}) {
                if (kind.id != "cue-sheet" && reader != Reader::ev1) continue;
                Options options;
                options.format = format;
                options.language = language;
                options.reader = reader;
                options.trace = Trace::yes;
                MadeOrNot result = make_document(kind.id, subject, options);
                // A day that is over has no odds; in the pool nothing runs out and there is no arm; a suit that was
                // never worn outside has nothing to tell.
                const auto* none = std::get_if<NotMade>(&result);
                const bool pool = subject.outing.station.arm == std::nullopt;
                const bool off = subject.status != nullptr && scrubbed(subject.status->day);
                const bool rightly = kind.id == "risk" || ((pool || off) && kind.id == "suits") ||
                                     (pool && kind.id == "cue-sheet" && reader == Reader::arm);
                if (none != nullptr && none->nothing_to_tell && rightly) continue;
                if (none != nullptr) throw std::runtime_error(std::string(kind.id) + ": " + none->why);
                all.push_back({&kind, format, std::get<Document>(std::move(result))});
            }
        }
    }
    return all;
}

/// The same of a demo's plan, or of its day with this ending, made once for all tests that only read them.
const std::vector<Made>& documents_of(const std::string& demo, std::optional<Ending> ending, Language language) {
    static std::map<std::tuple<std::string, std::optional<Ending>, Language>, std::vector<Made>> all;
    const auto [made, fresh] = all.try_emplace({demo, ending, language});
    if (fresh)
        made->second = ending ? every_document(told_day(demo, *ending)->subject(), language)
                              : every_document(planned_demo(demo).subject(), language);
    return made->second;
}

class Both : public testing::TestWithParam<const char*> {};
INSTANTIATE_TEST_SUITE_P(Outings, Both, testing::Values("larkspur", "pool"));

TEST_P(Both, EveryDocumentCarriesCautionPlanCodeAndVersion) {
    const Subject subject = planned_demo(GetParam()).subject();
    const std::string plan = plan_id(subject.outing, subject.timeline), code = document_code(plan, {});
    for (const Language language : all_languages)
        for (const auto& [made_kind, format, document] : documents_of(GetParam(), {}, language)) {
            const DocumentKind& kind = *made_kind;
            // A chart's PDF is compressed, a timeline's JSON is the plan itself, a table has no room for it.
            if (format == Format::pdf || format == Format::csv || (kind.id == "timeline" && format == Format::json))
                continue;
            for (std::string text : document.files) {
                std::erase(text, '\r');
                for (std::size_t fold = text.find("\n "); format == Format::icalendar && fold != std::string::npos;
                     fold = text.find("\n ", fold))
                    text.erase(fold, 2);
                for (const char c : {'\\'}) std::erase(text, c);
                EXPECT_THAT(text, HasSubstr(plan)) << kind.id;
                EXPECT_THAT(text, HasSubstr(code)) << kind.id;
                EXPECT_THAT(text, HasSubstr(std::string(version()))) << kind.id;
                EXPECT_THAT(text, HasSubstr(Wording(language)("caution"))) << kind.id << " " << extension(format);
            }
        }
}

TEST_P(Both, TheSameSubjectGivesTheSameBytes) {
    const std::vector<Made>& once = documents_of(GetParam(), Ending::at_work, Language::english);
    const std::vector<Made> again = every_document(told_day(GetParam(), Ending::at_work)->subject(), Language::english);
    ASSERT_EQ(once.size(), again.size());
    for (std::size_t i = 0; i < once.size(); ++i)
        EXPECT_TRUE(once[i].document.files == again[i].document.files)
            << once[i].kind->id << " " << extension(once[i].format);
}

/// One test: whoever makes all the documents looks at everything that must hold of each.
TEST_P(Both, EveryDocumentIsWellFormedAndStandsAloneAndNothingPrivateReachesItNorTheConsolesThePublic) {
    const std::array<std::optional<Ending>, 5> subjects{std::nullopt, Ending::at_work, Ending::home, Ending::terminated,
                                                        Ending::scrubbed};
    for (const Language language : all_languages)
        for (const auto& ending : subjects)
            for (const auto& [kind, format, document] : documents_of(GetParam(), ending, language)) {
                if (format == Format::html) {
                    EXPECT_EQ(html_faults(document.files[0]), "") << kind->id;
                }
                if (format == Format::json) {
                    EXPECT_TRUE(nlohmann::json::accept(document.files[0])) << kind->id;
                }
                for (const std::string& file : document.files) {
                    EXPECT_EQ(file.find(private_marker), std::string::npos) << kind->id << " " << extension(format);
                    if (kind->audience == Audience::everyone) {
                        EXPECT_EQ(file.find(console_marker), std::string::npos) << kind->id;
                    }
                }
            }
}

TEST_P(Both, PrivateEntriesAreCountedAndConsoleOnesShown) {
    const auto day = told_day(GetParam(), Ending::at_work);
    for (const char* kind : {"hand-over", "close-out"}) {
        Options options;
        options.format = Format::text;
        const std::string text = made(kind, day->subject(), options).files[0];
        EXPECT_THAT(text, HasSubstr("4 entries are private and are not shown here")) << kind;
        EXPECT_THAT(text, HasSubstr(console_marker)) << kind;
    }
}

TEST_P(Both, AScrubbedOutingGetsAProperReport) {
    const auto day = told_day(GetParam(), Ending::scrubbed);
    Options options;
    options.format = Format::text;
    const std::string text = made("close-out", day->subject(), options).files[0];
    EXPECT_THAT(text, HasSubstr("Scrubbed at "));
    EXPECT_THAT(text, HasSubstr("Nobody went outside."));
    EXPECT_THAT(text, Not(HasSubstr("should have come back")));
    EXPECT_THAT(text, HasSubstr("it was planned for " + print_utc(day->demo.timeline.pet_zero)));
    EXPECT_THAT(text, HasSubstr("Every task of this outing goes into the next."));
    for (const std::string& step : day->demo.outing.doffing) EXPECT_THAT(text, HasSubstr(step));
}

TEST_P(Both, TheCloseOutOfAWholeDayComparesConsumablesAndTeachesDurations) {
    const auto day = told_day(GetParam(), Ending::home);
    Options options;
    options.format = Format::json;
    const auto json = nlohmann::json::parse(made("close-out", day->subject(), options).files[0]);
    std::size_t steps = 0, lessons = 0;
    bool consumables = false;
    for (const auto& section : json["sections"])
        for (const auto& table : section["tables"]) {
            if (section["heading"] == "As run against the plan") steps = table["rows"].size();
            if (section["heading"] == "Lessons: how long things took") lessons = table["rows"].size();
            consumables = consumables || section["heading"] == "Consumables, planned against measured";
        }
    EXPECT_EQ(static_cast<std::ptrdiff_t>(steps),
              std::ranges::count(day->demo.timeline.activities, ActivityKind::step, &Activity::kind));
    EXPECT_GT(lessons, 0u);
    // In the pool the suits breathe through hoses: nothing they carry could run out.
    EXPECT_EQ(consumables, std::string(GetParam()) != "pool");
}

TEST_P(Both, EveryTimeOnACueSheetIsThePlans) {
    const PlannedDemo& demo = planned_demo(GetParam());
    Options options;
    options.format = Format::csv;
    const std::string csv = made("cue-sheet", demo.subject(), options).files[0];
    std::size_t lines = static_cast<std::size_t>(std::ranges::count(csv, '\n'));
    EXPECT_EQ(lines, demo.timeline.activities.size() + 1);
    for (const Activity& a : demo.timeline.activities)
        EXPECT_THAT(
            csv, HasSubstr(print_pet_seconds(a.start) + "," + print_utc(to_utc(a.start, demo.timeline.pet_zero)) + "," +
                           std::to_string(a.duration.count()) + ","));
}

TEST_P(Both, AScriptFillsTheMinutesAskedForWithinFivePercentAtEveryPace) {
    const PlannedDemo& demo = planned_demo(GetParam());
    const auto day = told_day(GetParam(), Ending::at_work);
    const Subject of_day = day->subject();
    // Told of a plan and of a day, each in its own language: how long everything there is to say lasts.
    for (const Language language : all_languages)
        for (const double pace : {100.0, usual_pace, 170.0})
            for (const bool on_the_day : {false, true}) {
                const auto told = [&](double minutes) {
                    const ScriptOptions options{minutes, pace, Trace::no};
                    return on_the_day ? script(demo.outing, of_day.windows, of_day.timeline, options, Wording(language),
                                               &day->status)
                                      : script(demo.outing, demo.windows, demo.timeline, options, Wording(language));
                };
                const double all = static_cast<double>(told(1e6).words) / pace;
                EXPECT_GT(all, 3);
                // What must be said comes first: fewer minutes than it takes cannot be had.
                for (double minutes = 200 / pace; minutes < all / 1.05; minutes *= 1.23) {
                    const Script one = told(minutes);
                    EXPECT_FALSE(one.short_of) << *one.short_of;
                    // The words as they are counted here, not as the script counts them.
                    std::size_t words = 0;
                    for (const Spoken& line : one.lines) {
                        std::istringstream in(line.words);
                        words += static_cast<std::size_t>(std::distance(std::istream_iterator<std::string>(in),
                                                                        std::istream_iterator<std::string>()));
                    }
                    EXPECT_NEAR(static_cast<double>(words) / pace, minutes, 0.05 * minutes) << pace;
                    EXPECT_EQ(one.lines.front().part, Spoken::Part::opening);
                }
            }
    const Script impossible = script(demo.outing, demo.windows, demo.timeline, {600, usual_pace, Trace::no});
    ASSERT_TRUE(impossible.short_of);
    EXPECT_THAT(*impossible.short_of, HasSubstr("Asked for: 600 minutes."));
}

TEST_P(Both, OnTheDayTheScriptTellsWhatIsDoneInThePastAndTheRestAheadOfIt) {
    const auto day = told_day(GetParam(), Ending::at_work);
    const Subject subject = day->subject();
    const Script words = script(subject.outing, subject.windows, subject.timeline, {}, Wording{}, subject.status);
    std::string all;
    for (const Spoken& line : words.lines) {
        all += line.words + "\n";
        EXPECT_FALSE(line.field.empty()) << line.words;
    }
    EXPECT_THAT(all, HasSubstr("Next, at about "));
    EXPECT_THAT(all, HasSubstr("It began at " + print_utc(subject.timeline.pet_zero).substr(11, 5) + " UTC"));
    const std::size_t next = all.find("\nNext, at about ");
    std::size_t done = 0;
    for (std::size_t at = all.find("\nBy "); at != std::string::npos; at = all.find("\nBy ", at + 1)) {
        if (std::isdigit(static_cast<unsigned char>(all[at + 4])) == 0) continue;
        EXPECT_LT(at, next);
        ++done;
    }
    EXPECT_GT(done, 2u);
    const auto home = told_day(GetParam(), Ending::home);
    const Script past =
        script(subject.outing, home->subject().windows, home->subject().timeline, {}, Wording{}, &home->status);
    EXPECT_EQ(past.lines.back().words,
              "The hatch was closed again at " +
                  print_utc(to_utc(home->subject().timeline.finish(), home->status.day.pet_zero)).substr(11, 5) +
                  " UTC.");
}

TEST_P(Both, ATaskLeftHalfDoneIsNotCountedAsDone) {
    const auto day = told_day(GetParam(), Ending::terminated);
    std::size_t done = 0, required = 0;
    for (const Task& task : day->demo.outing.tasks) {
        if (task.task_class != TaskClass::required) continue;
        ++required;
        done += day->status.tasks[index(task.id)].progress == live::TaskProgress::done;
    }
    ASSERT_LT(done, required);
    const std::string words = std::to_string(done) + " of " + std::to_string(required) + " required tasks";
    Options text, svg;
    text.format = Format::text;
    svg.format = Format::svg;
    EXPECT_THAT(made("director", day->subject(), text).files[0], HasSubstr(words));
    EXPECT_THAT(made("close-out", day->subject(), text).files[0], HasSubstr(words));
    EXPECT_THAT(made("timeline", day->subject(), svg).files[0], HasSubstr(words));
}

TEST_P(Both, AfterAScrubNoDocumentSpeaksOfAnEndOrOfTurningBack) {
    const auto day = told_day(GetParam(), Ending::scrubbed);
    for (const char* kind : {"director", "hand-over", "script", "tools", "close-out"}) {
        Options options;
        options.format = Format::text;
        const std::string text = made(kind, day->subject(), options).files[0];
        for (const char* nonsense :
             {"turn back", "Forecast:", "Finish PET", "behind the plan", "0 minutes", "must come"})
            EXPECT_THAT(text, Not(HasSubstr(nonsense))) << kind;
    }
}

TEST_P(Both, OnTheDayACueSheetIsTickedUpToNow) {
    const auto day = told_day(GetParam(), Ending::at_work);
    const Subject subject = day->subject();
    Options options;
    options.format = Format::markdown;
    const std::string page = made("cue-sheet", subject, options).files[0];
    std::size_t ticked = 0, open = 0;
    for (std::size_t at = page.find("- ["); at != std::string::npos; at = page.find("- [", at + 1))
        ++(page.substr(at, 5) == "- [x]" ? ticked : open);
    const auto done = std::ranges::count_if(subject.timeline.activities,
                                            [&](const Activity& a) { return a.end() <= *subject.now(); });
    EXPECT_EQ(static_cast<std::ptrdiff_t>(ticked), done);
    EXPECT_EQ(ticked + open, subject.timeline.activities.size());
    EXPECT_GT(open, 0u);
    options.format = Format::html;
    const std::string html = made("cue-sheet", subject, options).files[0];
    EXPECT_THAT(html, HasSubstr("Now: PET " + print_pet(*subject.now())));
}

TEST_P(Both, StepsAreNamedByCodeAndNeverByTheirLabelInTheFile) {
    for (const Ending ending : {Ending::at_work, Ending::home, Ending::terminated}) {
        const auto day = told_day(GetParam(), ending);
        for (const char* kind : {"director", "hand-over", "close-out", "tools"}) {
            Options options;
            options.format = Format::text;
            const std::string text = made(kind, day->subject(), options).files[0];
            for (const Step& step : day->demo.outing.steps) EXPECT_THAT(text, Not(HasSubstr(step.label))) << kind;
        }
    }
}

TEST_P(Both, OnlyWhoRidesTheArmIsSaidToRideIt) {
    const PlannedDemo& demo = planned_demo(GetParam());
    for (const Activity& activity : demo.timeline.activities) {
        const auto who = rider(demo.outing, demo.timeline, activity);
        if (!who) continue;
        EXPECT_TRUE(activity.on(lane_of(*who)));
        const bool both = activity.on(Lane::ev1) && activity.on(Lane::ev2);
        if (both) {
            EXPECT_EQ(*who, *demo.timeline.lead_of(demo.outing.step(*activity.step).task));
        }
        const Reader other = *who == Crew::ev1 ? Reader::ev2 : Reader::ev1;
        for (const Cue& cue : cue_sheet(demo.outing, demo.windows, demo.timeline, other).cues)
            if (cue.activity == &activity) {
                EXPECT_THAT(cue.notes, Not(testing::Contains("riding the arm")));
            }
    }
}

TEST_P(Both, TheStoryboardHasEveryStepAndPutsBothPeopleWhereThePlanHasThem) {
    const PlannedDemo& demo = planned_demo(GetParam());
    const auto frames = story_frames(demo.outing, demo.windows, demo.timeline, Frames::steps, Wording{}, Units::metric);
    const auto steps = std::ranges::count(demo.timeline.activities, ActivityKind::step, &Activity::kind);
    EXPECT_EQ(static_cast<std::ptrdiff_t>(frames.size()), steps + 3);  // egress, clean-up and ingress
    for (const StoryFrame& frame : frames)
        for (const Activity& activity : demo.timeline.activities) {
            if (!activity.step || activity.start != frame.from || frame.codes != step_code(demo.outing, *activity.step))
                continue;
            const Step& step = demo.outing.step(*activity.step);
            for (const Crew crew : both_crew)
                if (activity.on(lane_of(crew)) && step.at) {
                    EXPECT_EQ(frame.moment.people[index(crew)].at, step.to.value_or(*step.at)) << frame.codes;
                }
        }
    EXPECT_LT(story_frames(demo.outing, demo.windows, demo.timeline, Frames::groups, Wording{}, Units::metric).size(),
              frames.size());
}

TEST_P(Both, NoTwoLabelsOfAStoryboardPageOverlap) {
    const PlannedDemo& demo = planned_demo(GetParam());
    for (const Canvas& page :
         storyboard_pages(demo.outing, demo.windows, demo.timeline, Frames::groups, {}, Units::metric))
        for (std::size_t i = 0; i < page.texts().size(); ++i)
            for (std::size_t j = 0; j < i; ++j) {
                const PlacedText &a = page.texts()[i], &b = page.texts()[j];
                EXPECT_FALSE(
                    a.box.inset(0.05 * a.size, 0.2 * a.size).overlaps(b.box.inset(0.05 * b.size, 0.2 * b.size)))
                    << '"' << a.text << "\" over \"" << b.text << '"';
            }
}

TEST_P(Both, UsUnitsStandBesideMetricOnesWhenAskedFor) {
    const PlannedDemo& demo = planned_demo(GetParam());
    Options options;
    options.format = Format::json;
    options.units = Units::metric_and_us;
    EXPECT_THAT(made("storyboard", demo.subject(), options).files[0], HasSubstr(" ft)"));
    options.units = Units::metric;
    EXPECT_THAT(made("storyboard", demo.subject(), options).files[0], Not(HasSubstr(" ft)")));
}

TEST_P(Both, LooksAsApproved) {
    const Subject plan = planned_demo(GetParam()).subject();
    const auto keep = [&](const std::string& name, std::string_view kind, const Subject& subject, Options options) {
        Subject fixed = subject;
        fixed.stamp.version = "(test)";
        expect_golden(std::string(GetParam()) + "-" + name + "." + std::string(extension(options.format)),
                      made(kind, fixed, options).files[0]);
    };
    Options text;
    text.format = Format::text;
    Options markdown;
    markdown.format = Format::markdown;
    Options german = text;
    german.language = Language::german;
    keep("tools", "tools", plan, text);
    keep("storyboard", "storyboard", plan, markdown);
    keep("cues-iv", "cue-sheet", plan, markdown);
    Options minutes = text;
    minutes.minutes = 4;
    keep("script", "script", plan, minutes);
    const auto at_work = told_day(GetParam(), Ending::at_work), home = told_day(GetParam(), Ending::home),
               scrubbed = told_day(GetParam(), Ending::scrubbed), ended = told_day(GetParam(), Ending::terminated);
    keep("hand-over", "hand-over", at_work->subject(), text);
    keep("uebergabe", "hand-over", at_work->subject(), german);
    keep("script-day", "script", at_work->subject(), text);
    keep("close-out", "close-out", home->subject(), text);
    keep("close-out-terminated", "close-out", ended->subject(), text);
    keep("close-out-scrubbed", "close-out", scrubbed->subject(), text);
}

TEST(Registry, RefusesWithASentenceThatSaysWhatToDo) {
    const Subject subject = planned_demo("pool").subject();
    const auto why = [&](std::string_view kind, Format format) {
        Options options;
        options.format = format;
        const MadeOrNot result = make_document(kind, subject, options);
        const auto* none = std::get_if<NotMade>(&result);
        return none == nullptr ? "" : none->why;
    };
    EXPECT_EQ(why("poem", Format::html), "there is no document \"poem\".");
    EXPECT_THAT(why("calendar", Format::html), HasSubstr("comes as .ics; it cannot be had as .html."));
    EXPECT_THAT(why("hand-over", Format::text), HasSubstr("give the day's journal"));
    EXPECT_EQ(why("director", Format::html), "");
}

TEST(Registry, ListsEveryKindOnceWithATitleInEveryLanguage) {
    std::vector<std::string_view> ids;
    for (const DocumentKind& kind : document_kinds()) {
        ids.push_back(kind.id);
        EXPECT_FALSE(kind.formats.empty());
        for (const Language language : all_languages) EXPECT_NE(Wording(language)(kind.title_key), kind.title_key);
        EXPECT_EQ(document_kind(kind.id), &kind);
    }
    std::ranges::sort(ids);
    EXPECT_EQ(std::ranges::adjacent_find(ids), ids.end());
    EXPECT_EQ(document_kind("nothing"), nullptr);
}

TEST(Registry, ADayThatIsOverHasNoOddsAndSaysSo) {
    const auto day = told_day("pool", Ending::home);
    Options options;
    options.format = Format::svg;
    const MadeOrNot result = make_document("risk", day->subject(), options);
    ASSERT_TRUE(std::holds_alternative<NotMade>(result));
    EXPECT_TRUE(std::get<NotMade>(result).nothing_to_tell);
    EXPECT_THAT(std::get<NotMade>(result).why, HasSubstr("nothing ahead to simulate"));
}

TEST(Registry, SheetsTogetherAreOnePicture) {
    const Subject subject = planned_demo("pool").subject();
    Options options;
    options.format = Format::svg;
    const Document apart = made("storyboard", subject, options);
    options.sheets = Sheets::together;
    const Document together = made("storyboard", subject, options);
    ASSERT_GT(apart.files.size(), 1u);
    ASSERT_EQ(together.files.size(), 1u);
    const std::string& all = together.files[0];
    for (std::size_t i = 0; i < apart.files.size(); ++i) {
        // What stands on a sheet stands in the picture, from its title on.
        const std::size_t from = apart.files[i].find("<title>");
        EXPECT_NE(all.find(apart.files[i].substr(from)), std::string::npos) << i;
    }
}

TEST(Verify, TellsADocumentInForceFromOneThatIsNot) {
    auto day = told_day("pool", Ending::at_work);
    const Subject subject = day->subject();
    const std::string& plan = subject.stamp.plan;
    const std::uint64_t newest = *subject.stamp.position;
    using Verdict = Verified::Verdict;
    const auto verdict = [&](const std::string& code) { return verify(code, day->demo.outing, day->entries).verdict; };
    EXPECT_EQ(verdict(document_code(plan, newest)), Verdict::current);
    EXPECT_EQ(verdict(document_code(plan, newest - 2)), Verdict::same_plan);
    EXPECT_EQ(verdict(document_code(plan, {})), Verdict::current);
    EXPECT_EQ(verdict(document_code("0000-0000", newest)), Verdict::unknown);
    EXPECT_EQ(verdict(""), Verdict::unknown);

    // Another plan is adopted: whatever was made before is superseded, and says by what.
    Timeline other = day->demo.timeline;
    other.activities.pop_back();
    live::Recorded adopted = day->entries.back();
    adopted.position = live::Position{newest + 1};
    adopted.entry.body = live::PlanAdopted{"other", "Another plan", to_json(day->demo.outing, other), {}};
    adopted.entry.visibility = live::Visibility::console;
    day->entries.push_back(adopted);
    EXPECT_EQ(verdict(document_code(plan, newest)), Verdict::superseded);
    EXPECT_EQ(verdict(document_code(plan, {})), Verdict::superseded);
    const std::string other_id = plan_id(day->demo.outing, other);
    EXPECT_EQ(verdict(document_code(other_id, newest + 1)), Verdict::current);
    EXPECT_THAT(verdict_words(verify(document_code(plan, newest), day->demo.outing, day->entries), Wording{}),
                HasSubstr("SUPERSEDED: made with plan " + plan));
}

TEST(Verify, ReadsACodeHoweverItIsTyped) {
    const auto day = told_day("pool", Ending::at_work);
    const Subject subject = day->subject();
    std::string code = document_code(subject.stamp.plan, subject.stamp.position);
    EXPECT_EQ(code.size(), 9u);
    std::erase(code, '-');
    for (char& c : code) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    EXPECT_EQ(verify(" " + code.substr(0, 3) + " " + code.substr(3), day->demo.outing, day->entries).verdict,
              Verified::Verdict::current);
}

}  // namespace
}  // namespace handrail::brief
