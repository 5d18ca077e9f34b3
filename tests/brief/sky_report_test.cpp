#include "brief/sky_report.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>

#include "brief/sky_chart.h"
#include "outing/outing.h"
#include "sky/windows.h"

namespace handrail::brief {
namespace {

using testing::HasSubstr;
using testing::Not;

const std::filesystem::path demos = std::filesystem::path(HANDRAIL_SOURCE_DIR) / "demo";

/// A demo outing under a PET zero `slip` later than planned, with everything a span needs to live.
class Asked {
public:
    explicit Asked(const std::string& demo, Seconds slip = Seconds{0})
        : outing_(read(demo)), pet_zero_(outing_.pet_zero + slip) {
        ask(pet_zero_, survey_, windows_);
        if (slip != Seconds{0}) ask(outing_.pet_zero, planned_survey_, planned_);
    }
    SkySpan span() const {
        return {outing_,
                pet_zero_,
                pet(Seconds{0}),
                pet(outing_.rules.limit),
                survey_,
                windows_,
                pet_zero_ == outing_.pet_zero ? nullptr : &planned_};
    }
    const Outing& outing() const { return outing_; }

private:
    static Outing read(const std::string& demo) {
        auto result = read_outing(demos / demo / "outing.toml");
        if (!result) throw std::runtime_error(print(result.errors().front()));
        return std::move(result).value();
    }
    void ask(Utc pet_zero, std::optional<sky::Survey>& survey, WindowTable& windows) const {
        windows = sky::file_windows(outing_, pet_zero);
        if (!outing_.orbit) return;
        auto result = sky::survey(outing_, pet_zero, Seconds{0}, outing_.rules.limit);
        if (!result) throw std::runtime_error(print(result.errors().front()));
        survey = std::move(result).value();
        sky::add_computed(windows, outing_, *survey);
    }
    Outing outing_;
    Utc pet_zero_;
    std::optional<sky::Survey> survey_, planned_survey_;
    WindowTable windows_, planned_;
};

TEST(SkyTable, TellsSunCoverageWorksitesAndTheCaution) {
    const std::string table = sky_table(Asked("larkspur").span());
    EXPECT_THAT(table, HasSubstr("01:11:00   2031-04-05T09:41:00Z  whole sun in view"));
    EXPECT_THAT(table, HasSubstr("Beta angle"));
    EXPECT_THAT(table, HasSubstr("gap"));
    EXPECT_THAT(table, HasSubstr("Relay East"));
    EXPECT_THAT(table, HasSubstr("Camera boom"));
    EXPECT_THAT(table, HasSubstr(std::string(caution)));
    EXPECT_THAT(table, Not(HasSubstr("What the slip changes")));
    EXPECT_THAT(table, Not(HasSubstr("nan")));
}

TEST(SkyTable, ASlipIsSaidAndItsEffectShown) {
    const std::string table = sky_table(Asked("larkspur", Seconds{1800}).span());
    EXPECT_THAT(table, HasSubstr("30 min later than planned"));
    EXPECT_THAT(table, HasSubstr("00:41:00   2031-04-05T09:41:00Z  whole sun in view"));
    EXPECT_THAT(table, HasSubstr("What the slip changes"));
    EXPECT_THAT(table, HasSubstr("lit at Airlock"));
    EXPECT_THAT(sky_table(Asked("larkspur", Seconds{-600}).span()), HasSubstr("10 min earlier than planned"));
}

TEST(SkyTable, WithoutAnOrbitItShowsTheFilesOwnWindows) {
    const std::string table = sky_table(Asked("pool").span());
    EXPECT_THAT(table, HasSubstr("No orbit"));
    EXPECT_THAT(table, HasSubstr("crane free"));
}

TEST(SkyJson, HoldsBothClocksAndTheCaution) {
    const auto json = nlohmann::json::parse(sky_json(Asked("published-orbit").span()));
    EXPECT_EQ(json.at("format"), "handrail-sky");
    EXPECT_EQ(json.at("caution"), std::string(caution));
    EXPECT_FALSE(json.at("gaps").empty());
    EXPECT_EQ(json.at("orbit").at("catalogue"), "06251");
    bool passes = false;
    for (const auto& link : json.at("links"))
        for (const auto& pass : link.at("in_view")) passes |= pass.contains("highest_deg");
    EXPECT_TRUE(passes);
    for (const auto& window : json.at("windows")) {
        EXPECT_LT(window.at("from").at("pet_s").get<double>(), window.at("to").at("pet_s").get<double>());
        EXPECT_TRUE(window.at("from").at("utc").get<std::string>().ends_with("Z"));
    }
}

TEST(SkyCsv, CanBeReadBackAsAnOutingsWindows) {
    // Law: the windows written are the windows read, condition by condition, to the millisecond.
    const Asked asked("larkspur");
    const auto folder = std::filesystem::temp_directory_path() / ("handrail-sky-csv-" + std::to_string(getpid()));
    std::filesystem::create_directories(folder / "larkspur");
    for (const char* file : {"suits.toml", "larkspur/outing.toml", "larkspur/station.toml"})
        std::filesystem::copy_file(demos / file, folder / file, std::filesystem::copy_options::overwrite_existing);
    std::ofstream(folder / "larkspur/windows.csv") << sky_csv(asked.span());
    std::ifstream in(folder / "larkspur/outing.toml");
    std::string text((std::istreambuf_iterator<char>(in)), {});
    text += "\n[windows]\ncsv = \"windows.csv\"\n";
    const auto again = read_outing_text(text, "outing.toml", folder / "larkspur");
    std::filesystem::remove_all(folder);
    ASSERT_TRUE(again) << print(again.errors().front());
    const SkySpan span = asked.span();
    for (const auto& [key, list] : again.value().windows.all()) {
        std::vector<Window> want;
        for (const Window& w : span.windows.of(key.first, key.second))
            if (w.from() < span.to && span.from < w.to()) want.push_back(w);
        ASSERT_EQ(list.size(), want.size()) << key.first << " " << key.second;
        for (std::size_t i = 0; i < list.size(); ++i) {
            EXPECT_EQ(list[i].from(), std::max(want[i].from(), span.from)) << key.first << " " << key.second;
            EXPECT_EQ(list[i].to(), std::min(want[i].to(), span.to));
            EXPECT_EQ(list[i].note(), want[i].note());
        }
    }
    EXPECT_TRUE(again.value().windows.knows("daylight") && again.value().windows.knows("glare"));
}

class EverySkyChart : public testing::TestWithParam<const char*> {};
INSTANTIATE_TEST_SUITE_P(Demos, EverySkyChart, testing::Values("larkspur", "published-orbit", "pool"));

TEST_P(EverySkyChart, LabelsLieOnTheSheetAndNotOnEachOther) {
    const Asked asked(GetParam(), Seconds{1800});
    for (const Canvas& page : sky_chart(asked.span()))
        for (std::size_t i = 0; i < page.texts().size(); ++i) {
            const PlacedText& a = page.texts()[i];
            EXPECT_TRUE((Box{0, 0, page.size().w, page.size().h}).contains(a.box, 0.01)) << a.text;
            EXPECT_FALSE(a.cut) << a.text;
            for (std::size_t j = 0; j < i; ++j) {
                const PlacedText& b = page.texts()[j];
                EXPECT_FALSE(
                    a.box.inset(0.05 * a.size, 0.2 * a.size).overlaps(b.box.inset(0.05 * b.size, 0.2 * b.size)))
                    << a.text << " over " << b.text;
            }
        }
}

TEST(SkyChart, AGapIsAsLongAsTheTwoClocksBesideItSay) {
    const Asked asked("larkspur");
    static const std::regex told(R"((\d\d):(\d\d)–(\d\d):(\d\d) \((\d+) min\))");
    int seen = 0;
    for (const Canvas& page : sky_chart(asked.span()))
        for (const PlacedText& text : page.texts())
            if (std::smatch match; std::regex_search(text.text, match, told)) {
                const auto number = [&](int i) { return std::stoi(match[i]); };
                EXPECT_EQ(number(5), 60 * (number(3) - number(1)) + number(4) - number(2)) << text.text;
                ++seen;
            }
    EXPECT_GE(seen, 3);
}

TEST_P(EverySkyChart, CarriesTheCautionAndIsTheSameEveryTime) {
    const Asked asked(GetParam());
    const auto pages = sky_chart(asked.span());
    for (const Canvas& page : pages) {
        std::string all;
        for (const PlacedText& text : page.texts()) all += text.text + "\n";
        EXPECT_THAT(all, HasSubstr(std::string(caution)));
        EXPECT_THAT(all, HasSubstr(asked.outing().name));
    }
    EXPECT_EQ(pages.front().svg(), sky_chart(asked.span()).front().svg());
    EXPECT_TRUE(pdf(pages, "light").starts_with("%PDF"));
}

TEST(SkyChart, ManyWorksitesGoOnFurtherSheets) {
    Asked asked("larkspur");
    Outing crowded = asked.outing();
    for (int i = 0; i < 40; ++i) {
        Worksite more = crowded.station.worksites[3];
        more.id += std::to_string(i);
        crowded.station.worksites.push_back(more);
    }
    const auto survey = sky::survey(crowded, crowded.pet_zero, Seconds{0}, crowded.rules.limit);
    ASSERT_TRUE(survey);
    const std::optional<sky::Survey> kept = survey.value();
    WindowTable windows;
    sky::add_computed(windows, crowded, *kept);
    const SkySpan span{crowded, crowded.pet_zero, pet(Seconds{0}), pet(crowded.rules.limit), kept, windows, nullptr};
    const auto pages = sky_chart(span);
    EXPECT_GE(pages.size(), 2u);
    for (const Canvas& page : pages)
        for (const PlacedText& text : page.texts())
            EXPECT_TRUE((Box{0, 0, page.size().w, page.size().h}).contains(text.box, 0.01)) << text.text;
}

}  // namespace
}  // namespace handrail::brief
