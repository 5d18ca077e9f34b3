#include "brief/wording.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>
#include <set>

namespace handrail::brief {
namespace {

using testing::HasSubstr;

std::string text_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

/// The places {0}, {1}, ... of a message.
std::set<std::string> places(const std::string& message) {
    std::set<std::string> out;
    const std::regex place(R"(\{\d\})");
    for (std::sregex_iterator it(message.begin(), message.end(), place), end; it != end; ++it) out.insert(it->str());
    return out;
}

TEST(Wording, EveryLanguageHasTheSameMessagesWithTheSamePlaces) {
    const std::vector<std::string> keys = message_keys(Language::english);
    EXPECT_GT(keys.size(), 300u);
    EXPECT_EQ(keys, message_keys(Language::german));
    const Wording english{Language::english}, german{Language::german};
    for (const std::string& key : keys) {
        EXPECT_EQ(places(english(key)), places(german(key))) << key;
        EXPECT_FALSE(german(key).empty()) << key;
    }
}

TEST(Wording, EveryKeyInTheSourcesIsAMessageAndEveryMessageIsUsed) {
    const std::vector<std::string> keys = message_keys(Language::english);
    const std::set<std::string> known(keys.begin(), keys.end());
    std::set<std::string> groups;
    for (const std::string& key : keys) groups.insert(key.substr(0, key.find('.')));
    std::string sources;
    for (const auto& file :
         std::filesystem::directory_iterator(std::filesystem::path(HANDRAIL_SOURCE_DIR) / "src/brief"))
        if (file.path().extension() == ".cpp") sources += text_of(file.path());
    const std::regex quoted("\"([a-z_]+\\.[a-z_0-9]+)\"");
    for (std::sregex_iterator it(sources.begin(), sources.end(), quoted), end; it != end; ++it) {
        const std::string key = (*it)[1];
        const bool file_name = key.ends_with(".html") || key.ends_with(".pdf");
        const bool message = !file_name && groups.contains(key.substr(0, key.find('.')));
        EXPECT_TRUE(!message || known.contains(key)) << key;
    }
    for (const std::string& key : keys) {
        // Named by an enumerator, a rule or a form: their own tests hold them to what there is.
        const bool made_up = std::ranges::any_of(std::array{"phase.", "stand_down.", "record.phase.", "said.", "down.",
                                                            "called_off.", "broken.", "noted.", "work."},
                                                 [&](const char* group) { return key.starts_with(group); });
        EXPECT_TRUE(made_up || sources.find('"' + key + '"') != std::string::npos) << key << " is never used";
    }
}

TEST(Wording, FillsPlacesInAnyOrderAndLeavesOthersAlone) {
    EXPECT_EQ(Wording{}("cue.since", {"Fit {1}", "01:40"}), "Fit {1} since 01:40");
    EXPECT_EQ(Wording{Language::german}("cue.needs", {"Licht", "01:00", "02:00", "5 min"}),
              "braucht Licht: PET 01:00 bis 02:00, am Ende bleiben 5 min");
}

TEST(Wording, TheCautionStandsInTheReadersLanguageAndInEnglish) {
    EXPECT_EQ(Wording{}.caution(), handrail::caution);
    const std::string german = Wording{Language::german}.caution();
    EXPECT_THAT(german, HasSubstr("Planungshilfe"));
    EXPECT_THAT(german, HasSubstr(std::string(handrail::caution)));
}

TEST(Wording, NoMessageSoundsLikeAClearance) {
    // "no go", "go ahead" and the like; "goes" and "safety" are other words.
    const std::regex clearance(R"(\b(cleared|is safe|are safe|go for|no-go|freigegeben|freigabe|sicher für)\b)",
                               std::regex::icase);
    for (const Language language : all_languages)
        for (const std::string& key : message_keys(language))
            EXPECT_FALSE(std::regex_search(Wording{language}(key), clearance)) << key;
}

TEST(Wording, GermanWritesNumbersWithACommaAndListsWithUnd) {
    const Wording german{Language::german};
    EXPECT_EQ(german.number("12.5"), "12,5");
    EXPECT_EQ(german.list({"EV1", "EV2", "Arm"}), "EV1, EV2 und Arm");
    EXPECT_EQ(Wording{}.list({"EV1"}), "EV1");
}

}  // namespace
}  // namespace handrail::brief
