// A document in German is German: everything Handrail says of its own accord, in every kind and format, of a plan and
// of a day however it ends. What people typed stays as they typed it.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>

#include "brief/entry_words.h"
#include "brief/finding_words.h"
#include "brief/registry.h"
#include "brief/said.h"
#include "brief/subject_charts.h"
#include "invented_outing.h"
#include "planted.h"
#include "reading.h"
#include "told_day.h"

namespace handrail::brief {
namespace {

using testing::HasSubstr;
using testing::Not;

/// What a reader reads: without markup and names of fields.
std::string read_of(Format format, std::string text) {
    if (format == Format::html || format == Format::svg) text = without_tags(text);
    if (format == Format::json) {
        std::string values;
        const std::function<void(const nlohmann::json&)> walk = [&](const nlohmann::json& json) {
            if (json.is_string()) values += json.get<std::string>() + "\n";
            if (json.is_structured())
                for (const auto& [key, value] : json.items())
                    if (key != "kind" && key != "format" && key != "weight") walk(value);
        };
        walk(nlohmann::json::parse(text));
        text = values;
    }
    if (format == Format::icalendar) {
        text = unfolded(text);
        for (std::size_t id = text.find("UID:"); id != std::string::npos; id = text.find("UID:", id))
            text.erase(id, text.find('\n', id) - id);
        std::erase(text, '\\');
    }
    const std::string english(caution);
    for (std::size_t at = text.find(english); at != std::string::npos; at = text.find(english))
        text.erase(at, english.size());
    return text;
}

/// The longest stretch of a message between its places.
std::string longest_words(const std::string& message) {
    std::string longest;
    for (std::size_t from = 0; from < message.size();) {
        const std::size_t end = std::min(message.find('{', from), message.size());
        if (end - from > longest.size()) longest = message.substr(from, end - from);
        from = end == message.size() ? end : end + 3;
    }
    return longest;
}

/// English messages long enough to be known again, which German does not share.
const std::vector<std::string>& english_sentences() {
    static const std::vector<std::string> all = [] {
        std::vector<std::string> list;
        std::string german;
        for (const std::string& key : message_keys(Language::german)) german += Wording{Language::german}(key) + "\n";
        for (const std::string& key : message_keys(Language::english)) {
            const std::string words = longest_words(Wording{}(key));
            const bool sentence = std::ranges::count(words, ' ') >= 2 && words.size() > 12;
            if (sentence && german.find(words) == std::string::npos) list.push_back(words);
        }
        return list;
    }();
    return all;
}

const std::set<std::string>& english_words() {
    static const std::set<std::string> words{
        "the",     "of",      "and",     "is",       "are",      "with",    "by",       "from",     "at",     "not",
        "for",     "has",     "have",    "left",     "until",    "before",  "when",     "on",       "or",     "be",
        "been",    "begins",  "began",   "takes",    "took",     "to",      "than",     "later",    "longer", "less",
        "this",    "that",    "these",   "they",     "their",    "it",      "its",      "there",    "no",     "none",
        "done",    "nothing", "you",     "your",     "start",    "started", "finished", "step",     "steps",  "task",
        "tasks",   "hatch",   "home",    "suit",     "rule",     "note",    "finding",  "required", "wanted", "egress",
        "ingress", "oxygen",  "battery", "daylight", "coverage", "lit",     "glare",    "value",    "light",  "heavy"};
    return words;
}

/// What is English in a text, or nothing.
std::string english_in(const std::string& text) {
    std::string word, out;
    for (std::size_t at = 0; at <= text.size() && out.empty(); ++at) {
        // Letters of other languages belong to the word; "camera.take" and "egress_by" are names.
        const auto c = static_cast<unsigned char>(at < text.size() ? text[at] : ' ');
        if (std::isalnum(c) != 0 || c >= 0x80 || c == '_' || c == '.') {
            word += static_cast<char>(c);
            continue;
        }
        while (word.ends_with('.')) word.pop_back();
        if (english_words().contains(word)) out = "\"" + word + "\" in: " + text.substr(at < 70 ? 0 : at - 70, 140);
        word.clear();
    }
    for (const std::string& sentence : english_sentences())
        if (text.find(sentence) != std::string::npos) out += " [" + sentence + "]";
    return out;
}

class German : public testing::TestWithParam<const char*> {
protected:
    /// The demo with every text that somebody typed made a word that is of no language.
    static PlannedDemo muted() {
        PlannedDemo demo = planned_demo(GetParam());
        mute(demo.outing);
        for (LeftOut& left : demo.timeline.left_out) EXPECT_FALSE(left.reason.empty());
        return demo;
    }
    /// Conditions are named, and their windows noted, in the outing file; a chart may cut a name short. Rules have
    /// names of their own.
    static std::string without_conditions(const Subject& subject, std::string text) {
        const auto without = [&](const std::string& words) {
            if (words.find(' ') == std::string::npos) return;
            for (std::size_t at = text.find(words); at != std::string::npos; at = text.find(words, at))
                text.erase(at, words.size());
        };
        for (const RuleEntry& rule : rule_registry()) {
            without("(Regel " + std::string(rule.id) + ")");
            without("Regel " + std::string(rule.id) + " um");
        }
        for (const auto& [key, windows] : subject.windows.all()) {
            for (const Window& window : windows) without(window.note());
            without(key.first);
            for (std::size_t letters = key.first.size() - 1; letters > 6; --letters) {
                without(key.first.substr(0, letters) + "\xE2\x80\xA6");
                without(key.first.substr(0, letters) + " \xE2\x80\xA6");
            }
        }
        return text;
    }
    /// The day with the words that somebody typed into it made words of no language.
    static std::unique_ptr<ToldDay> muted_day(Ending ending) {
        auto day = told_day(GetParam(), ending);
        for (live::Recorded& recorded : day->entries) {
            if (auto* decision = std::get_if<live::Decision>(&recorded.entry.body)) decision->text = "Qx";
            if (auto* stand_down = std::get_if<live::StandDown>(&recorded.entry.body)) stand_down->reason = "Qx";
        }
        if (day->status.day.stand_down) day->status.day.stand_down->reason = "Qx";
        return day;
    }
    static void expect_german(const Subject& subject, const std::string& what) {
        for (const DocumentKind& kind : document_kinds()) {
            if (kind.needs_day && subject.status == nullptr) continue;
            for (const Format format : kind.formats) {
                // Drawn from the same words as the SVG or the HTML; the JSON of a timeline is the plan itself.
                // And the table of a script names the fields of the outing file.
                const bool plan_itself =
                    (kind.id == "timeline" && format == Format::json) || (kind.id == "script" && format == Format::csv);
                if (format == Format::pdf || format == Format::png || plan_itself) continue;
                for (const Reader reader : {Reader::ev1, Reader::iv, Reader::arm}) {
                    if (kind.id != "cue-sheet" && reader != Reader::ev1) continue;
                    Options options;
                    options.format = format;
                    options.language = Language::german;
                    options.reader = reader;
                    options.units = Units::metric_and_us;
                    const MadeOrNot made = make_document(kind.id, subject, options);
                    if (const auto* none = std::get_if<NotMade>(&made)) {
                        EXPECT_TRUE(none->nothing_to_tell) << kind.id << ": " << none->why;
                        EXPECT_EQ(english_in(none->why), "");
                        continue;
                    }
                    const Document& document = std::get<Document>(made);
                    EXPECT_EQ(english_in(document.title), "");
                    for (const std::string& file : document.files)
                        EXPECT_EQ(english_in(without_conditions(subject, read_of(format, file))), "")
                            << what << ", " << kind.id << "." << extension(format);
                }
            }
        }
    }
};
INSTANTIATE_TEST_SUITE_P(Outings, German, testing::Values("larkspur", "pool"));

TEST_P(German, EveryDocumentOfAPlanIsGerman) {
    const PlannedDemo demo = muted();
    expect_german(demo.subject(), "plan");
}

TEST_P(German, EveryDocumentOfADayIsGermanHoweverItEnds) {
    const PlannedDemo demo = muted();
    for (const Ending ending : {Ending::at_work, Ending::home, Ending::terminated, Ending::scrubbed}) {
        const auto day = muted_day(ending);
        expect_german(day->subject_of(demo.outing), "day " + std::to_string(static_cast<int>(ending)));
    }
}

TEST_P(German, ABrokenPlanIsToldInGermanRuleByRule) {
    PlannedDemo demo = muted();
    // Everything comes twenty minutes early but the first and the last, one step is gone, and one is too short.
    for (Activity& activity : demo.timeline.activities)
        if (activity.step) activity.start -= std::chrono::minutes{20};
    std::erase_if(demo.timeline.activities, [](const Activity& a) { return a.step == StepId{2}; });
    demo.timeline.activities.back().duration += std::chrono::hours{9};
    ASSERT_GT(check(demo.outing, demo.windows, demo.timeline).size(), 5u);
    demo.odds = std::make_shared<OddsOnce>();
    expect_german(demo.subject(), "broken plan");
}

TEST(GermanFindings, EveryRuleHasWords) {
    const Invented made = invented();
    for (const RuleEntry& rule : rule_registry())
        for (const Severity severity : {Severity::finding, Severity::note}) {
            Finding finding;
            finding.rule = rule.id;
            finding.severity = severity;
            finding.lanes = {Lane::ev1};
            finding.at = made.timeline.activities[4].start;
            finding.amount = 960;
            finding.unit = "s";
            const std::string words = finding_words(made.outing, made.timeline, finding, Wording{Language::german});
            EXPECT_THAT(words, Not(HasSubstr("broken."))) << rule.id;
            EXPECT_THAT(words, HasSubstr(": ")) << "it says what EV1 does then: " << words;
            if (rule.id != "preference") {
                EXPECT_THAT(words, HasSubstr("16 min")) << rule.id;
            }
        }
}

TEST(GermanFindings, NameTheStepAndTheAmount) {
    const Invented made = invented();
    const auto step =
        std::ranges::find_if(made.timeline.activities, [](const Activity& a) { return a.step.has_value(); });
    Finding finding;
    finding.rule = "tether";
    finding.lanes.push_back(step->lanes.front());
    finding.at = step->start;
    finding.amount = 5.25;
    finding.unit = "m";
    finding.what = "the checker's own sentence";
    const std::string name = made.outing.step(*step->step).name;
    EXPECT_THAT(finding_words(made.outing, made.timeline, finding, Wording{Language::german}),
                testing::AllOf(HasSubstr(name + ": die Sicherungsleine"), HasSubstr(", um 5,25 m")));
    EXPECT_THAT(words_of_fields(made.outing, made.timeline, finding, Wording{}),
                testing::AllOf(HasSubstr(name + ": the safety tether"), HasSubstr(", by 5.25 m")));
    EXPECT_EQ(finding_words(made.outing, made.timeline, finding, Wording{}), finding.what);
}

/// One entry of every kind that says something.
std::vector<live::Body> every_body() {
    using namespace live;
    const std::string nowhere = "?";
    std::vector<Body> all{OutingOpened{"Larkspur", "", "", {}, "", {}},
                          PetZero{},
                          StepStarted{nowhere, Crew::ev1},
                          StepStarted{nowhere, {}},
                          StepFinished{nowhere},
                          StepSkipped{nowhere, "R"},
                          StepUndone{nowhere},
                          StepDelayed{nowhere, Seconds{300}, "R"},
                          StepDelayed{nowhere, Seconds{-300}, ""},
                          HoldBegan{"R"},
                          Resumed{},
                          CrewPlaced{Crew::ev2, nowhere, {}},
                          CrewPlaced{Crew::ev2, nowhere, nowhere},
                          GlovesChecked{Crew::ev1},
                          SuitReading{Crew::ev1, lifesupport::Consumable::oxygen, 412},
                          Note{"typed"},
                          Decision{"typed"},
                          PlanAdopted{"x", "typed", "", {}},
                          TaskDropped{nowhere, "R"},
                          CrewAble{Crew::ev1, true, ""},
                          CrewAble{Crew::ev1, false, "R"},
                          ArmAvailable{true, ""},
                          ArmAvailable{false, "R"},
                          Closed{"typed"},
                          Closed{""},
                          Struck{},
                          ConditionChanged{"X", true, {}, ""},
                          ConditionChanged{"X", false, {}, "R"},
                          ConditionChanged{"X", false, Utc{}, ""},
                          WorksiteClosed{nowhere, true, {}, "R"},
                          WorksiteClosed{nowhere, true, Utc{}, ""},
                          WorksiteClosed{nowhere, false, {}, ""},
                          ItemReplaced{nowhere, nowhere},
                          PetZeroExpected{Utc{}, "R"},
                          OxygenBreathed{Crew::ev1, true, ""},
                          OxygenBreathed{Crew::ev1, false, "R"},
                          CrewInside{Crew::ev2}};
    for (const Phase phase : {Phase::planned, Phase::suit_up, Phase::prebreathe, Phase::depress, Phase::egress,
                              Phase::work, Phase::clean_up, Phase::ingress, Phase::repress, Phase::post, Phase::closed})
        all.emplace_back(PhaseBegan{phase});
    for (const auto where : {ItemPlaced::Where::loose, ItemPlaced::Where::in_bag, ItemPlaced::Where::carried,
                             ItemPlaced::Where::installed, ItemPlaced::Where::lost})
        all.emplace_back(ItemPlaced{where, nowhere, "EV1"});
    for (const auto kind : {StandDownKind::scrub, StandDownKind::terminate, StandDownKind::abort})
        all.emplace_back(StandDown{kind, "R"});
    return all;
}

TEST(EntryWords, InEnglishAreThoseOfTheRecordAndInGermanAreNot) {
    const Outing outing = invented().outing;
    for (const live::Body& body : every_body()) {
        live::Entry entry;
        entry.body = body;
        const std::string english = entry_words(outing, entry, Wording{});
        EXPECT_EQ(english, live::words(outing, entry));
        const std::string german = entry_words(outing, entry, Wording{Language::german});
        EXPECT_EQ(english_in(german), "") << german;
        if (english.find("typed") == std::string::npos) {
            EXPECT_NE(german, english);
        }
    }
}

TEST(EntryWords, OfAPrivateEntryTellNothingThatOthersMayNotKnow) {
    const Outing outing = invented().outing;
    for (live::Body body : every_body()) {
        live::Recorded recorded;
        recorded.position = live::Position{1};
        recorded.entry.author = "medical";
        recorded.entry.body = std::move(body);
        live::RecordLine line;
        line.position = recorded.position;
        line.words = "neutral";  // as live::visible() leaves it: neutral words, nobody's
        line.neutral = "neutral";
        const std::string words = line_words(outing, line, std::span(&recorded, 1), Wording{Language::german});
        for (const char* told : {"typed", "?", ": R", "X"}) EXPECT_THAT(words, Not(HasSubstr(told))) << words;
        if (std::holds_alternative<live::CrewAble>(recorded.entry.body)) {
            EXPECT_THAT(words, Not(HasSubstr("EV1")));
        }
    }
}

/// Every sentence between quotation marks in a source file, its {} filled in; pieces written one after the other
/// joined.
std::set<std::string> sentences_in(const std::string& source, const std::regex& before) {
    std::ifstream in(std::filesystem::path(HANDRAIL_SOURCE_DIR) / source);
    std::string text{std::istreambuf_iterator<char>(in), {}};
    text = std::regex_replace(text, std::regex("\"\\s*\\n\\s*\""), "");
    std::set<std::string> out;
    for (std::sregex_iterator it(text.begin(), text.end(), before), end; it != end; ++it) {
        std::string sentence = std::regex_replace((*it)[1].str(), std::regex("\\{[^}]*\\}"), "X7");
        sentence = std::regex_replace(sentence, std::regex("\\\\\""), "\"");
        if (std::ranges::count(sentence, ' ') >= 2) out.insert(sentence);
    }
    return out;
}

TEST(SaidAgain, KnowsEverySentenceThatTheEnginesWrite) {
    const Wording german{Language::german};
    const std::regex any(R"q("((?:[^"\\\n]|\\.)*)")q"), cannot(R"q(cannot\(context, "((?:[^"\\\n]|\\.)*)")q");
    std::size_t count = 0;
    const auto expect_known = [&](const std::string& source, const std::regex& which) {
        for (const std::string& sentence : sentences_in(source, which)) {
            const bool piece = sentence.starts_with(", ") || sentence.starts_with(" ");
            if (piece) continue;
            ++count;
            EXPECT_NE(said_again(sentence, german), sentence) << source;
            EXPECT_NE(said_again(sentence, german), german("said_as_written", {sentence})) << source;
        }
    };
    expect_known("src/plan/reasons.cpp", any);
    expect_known("src/plan/reasons_items.cpp", any);
    for (const char* cause : {"hold of 5 min", "7 min lost before valve.3", "7 min gained before valve.3",
                              "valve.3 took 5 min more than planned", "valve.3 took 5 min less than planned",
                              "valve.3 takes 5 min more than planned", "valve.3 takes 5 min less than planned"})
        EXPECT_NE(said_again(cause, german), cause);
    for (const char* file : {"src/live/folding.cpp", "src/live/folding_moves.cpp"}) expect_known(file, cannot);
    EXPECT_GT(count, 50u);
}

TEST(SaidAgain, ReadsTheFieldsOutOfASentenceAndKeepsWhatSomebodyTyped) {
    const Wording german{Language::german};
    EXPECT_EQ(said_again("Beside the rest of this plan it would end 12 min after the hard end at PET 06:30.", german),
              "Neben dem Rest dieses Plans geht es nicht: es würde 12 min nach dem harten Ende um PET 06:30 enden.");
    EXPECT_EQ(said_again("valve.3 took 12 min more than planned", german), "valve.3 dauerte 12 min länger als geplant");
    EXPECT_EQ(said_again("East below its mask of 5 deg; West behind the Earth", german),
              "East unter der Mindesthöhe von 5°; West hinter der Erde");
    // Nobody takes it for words of the German document.
    EXPECT_EQ(said_again("Because I say so.", german), "„Because I say so.“");
    EXPECT_EQ(said_again("", german), "");
    EXPECT_EQ(said_again("The lead wants it left out.", Wording{}), "The lead wants it left out.");
}

}  // namespace
}  // namespace handrail::brief
