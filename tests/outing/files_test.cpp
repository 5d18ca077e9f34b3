#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "support/small_outing.h"

/// What can be wrong with a file before its first line is understood, and what includes do.
namespace handrail {
namespace {

namespace fs = std::filesystem;

class Files : public testing::Test {
protected:
    Files()
        : folder_(fs::temp_directory_path() / ("handrail-outing-" + std::to_string(::getpid()) + "-" +
                                               testing::UnitTest::GetInstance()->current_test_info()->name())) {
        fs::create_directories(folder_);
    }
    ~Files() override { fs::remove_all(folder_); }

    fs::path write(const std::string& name, const std::string& text) const {
        fs::create_directories((folder_ / name).parent_path());
        std::ofstream(folder_ / name, std::ios::binary) << text;
        return folder_ / name;
    }
    static std::string first_error(const fs::path& file) {
        const Result<Outing> outing = read_outing(file);
        if (outing.ok()) return "no error";
        EXPECT_EQ(outing.errors().size(), 1U) << print(outing.errors().back());
        EXPECT_FALSE(outing.errors().front().remedy.empty());
        return print(outing.errors().front());
    }
    static bool says(const std::string& message, const std::string& part) {
        return message.find(part) != std::string::npos;
    }

    fs::path folder_;
};

TEST_F(Files, AMissingFileIsNamed) {
    const std::string error = first_error(folder_ / "none.toml");
    EXPECT_TRUE(says(error, "none.toml") && says(error, "no such file")) << error;
}

TEST_F(Files, AFolderIsNoFile) { EXPECT_TRUE(says(first_error(folder_), "found a folder; name a file in it")); }

TEST_F(Files, AnEmptyFileIsRefused) {
    EXPECT_TRUE(says(first_error(write("empty.toml", "")), "found an empty one"));
    EXPECT_TRUE(says(first_error(write("blank.toml", "\xEF\xBB\xBF \r\n\t\n")), "found an empty one"));
}

TEST_F(Files, AFileOfFiftyMegabytesIsRefusedUnread) {
    const fs::path file = write("big.toml", "handrail = 1\n");
    fs::resize_file(file, 50U << 20U);
    EXPECT_TRUE(says(first_error(file), "at most 16 MiB, found 50 MiB"));
}

TEST_F(Files, ABinaryFileIsRefused) {
    const std::string error = first_error(write("binary.toml", std::string("handrail\n\x7F"
                                                                           "ELF\0\0\1",
                                                                           16)));
    EXPECT_TRUE(says(error, "binary.toml:2:5") && says(error, "binary")) << error;
}

TEST_F(Files, ADeviceIsRefused) { EXPECT_TRUE(says(first_error("/dev/null"), "not a file")); }

TEST_F(Files, BadUtf8IsFoundWithLineAndColumn) {
    for (const char* bad : {"\xFF", "\xC0\xAF", "\xED\xA0\x80", "\xF5\x80\x80\x80", "\xE4\xB8", "\x80"}) {
        const std::string error = first_error(write("latin.toml", std::string("handrail = 1\n# caf") + bad + "\n"));
        EXPECT_TRUE(says(error, "latin.toml:2:6") && says(error, "save the file as UTF-8")) << error;
    }
}

TEST_F(Files, AByteOrderMarkAndCrLfChangeNothing) {
    std::string text;
    for (const char c : test::SmallOuting{}.text()) text += c == '\n' ? std::string("\r\n") : std::string(1, c);
    const Result<Outing> outing = read_outing(write("windows.toml", "\xEF\xBB\xBF" + text));
    ASSERT_TRUE(outing.ok()) << print(outing.errors().front());
    EXPECT_EQ(outing.value().tasks.size(), 2U);
}

TEST_F(Files, LinesOfAFileWithCrLfCountRight) {
    std::string text;
    for (const char c : test::SmallOuting{}.with("handrail = 1\n", "handrail = 1\nhandrial = 1\n").text())
        text += c == '\n' ? std::string("\r\n") : std::string(1, c);
    EXPECT_TRUE(says(first_error(write("crlf.toml", text)), "crlf.toml:2:1"));
}

TEST_F(Files, DeepNestingIsAnErrorAndNoCrash) {
    std::string keys = "a";
    for (int i = 0; i < 200'000; ++i) keys += ".a";
    EXPECT_TRUE(says(first_error(write("dots.toml", keys + " = 1\n")), "a key of at most"));
    EXPECT_TRUE(says(first_error(write("header.toml", "[" + keys + "]\n")), "a key of at most"));
    EXPECT_TRUE(says(first_error(write("lists.toml", "a = " + std::string(100'000, '['))), "valid TOML"));
    std::string tables;
    for (int i = 0; i < 50'000; ++i) tables += "{a=";
    EXPECT_TRUE(says(first_error(write("tables.toml", "a = " + tables)), "valid TOML"));
}

TEST_F(Files, DotsInTextsAndCommentsAreNoDeepKeys) {
    const std::string dots(60, '.');
    const fs::path file =
        write("dots.toml", test::SmallOuting{}.with("\"Small outing\"", "\"" + dots + "\" # " + dots).text());
    EXPECT_TRUE(read_outing(file).ok());
}

TEST_F(Files, IncludesLieUnderTheFileThatIncludesThem) {
    write("lib/rules.toml", "[rules]\nlimit = \"5 h\"\nmargin = \"10 min\"\n\n[[item]]\nid = \"lamp\"\nat = \"bay\"\n");
    const fs::path file = write("outing.toml", test::SmallOuting{}
                                                   .with("handrail = 1", "handrail = 1\ninclude = [\"lib/rules.toml\"]")
                                                   .add("[rules]\nlimit = \"4 h\"\n")
                                                   .text());
    const Result<Outing> outing = read_outing(file);
    ASSERT_TRUE(outing.ok()) << print(outing.errors().front());
    EXPECT_EQ(outing.value().rules.limit, std::chrono::hours{4});
    EXPECT_EQ(outing.value().rules.margin, std::chrono::minutes{10});
    ASSERT_EQ(outing.value().items.size(), 4U);
    EXPECT_EQ(outing.value().items.front().id, "lamp");
}

TEST_F(Files, AnErrorInAnIncludedFileNamesThatFile) {
    write("rules.toml", "[rules]\nlimit = 5\n");
    const fs::path file =
        write("outing.toml", test::SmallOuting{}.with("handrail = 1", "handrail = 1\ninclude = \"rules.toml\"").text());
    const std::string error = first_error(file);
    EXPECT_TRUE(says(error, "rules.toml:2:9: rules, limit")) << error;
}

TEST_F(Files, IncludesInACircleAreAnError) {
    write("b.toml", "include = [\"outing.toml\"]\n");
    write("a.toml", "include = [\"b.toml\"]\n");
    const fs::path file =
        write("outing.toml", test::SmallOuting{}.with("handrail = 1", "handrail = 1\ninclude = \"a.toml\"").text());
    const std::string error = first_error(file);
    EXPECT_TRUE(says(error, "b.toml:1:12: include") && says(error, "in a circle")) << error;
}

TEST_F(Files, AFileIncludedByTwoOthersCountsOnce) {
    write("suits.toml", "[[suit]]\nid = \"spare\"\n");
    write("a.toml", "include = \"suits.toml\"\n");
    write("b.toml", "include = \"suits.toml\"\n");
    const fs::path file =
        write("outing.toml",
              test::SmallOuting{}.with("handrail = 1", "handrail = 1\ninclude = [\"a.toml\", \"b.toml\"]").text());
    const Result<Outing> outing = read_outing(file);
    ASSERT_TRUE(outing.ok()) << print(outing.errors().front());
    EXPECT_EQ(outing.value().suits.size(), 2U);
}

TEST_F(Files, IncludedFilesThatDisagreeAreAnError) {
    write("a.toml", "[rules]\nlimit = \"5 h\"\n");
    write("b.toml", "[rules]\nlimit = \"6 h\"\n");
    const fs::path file =
        write("outing.toml",
              test::SmallOuting{}.with("handrail = 1", "handrail = 1\ninclude = [\"a.toml\", \"b.toml\"]").text());
    const std::string error = first_error(file);
    EXPECT_TRUE(says(error, "b.toml:2:1") && says(error, "one included file only")) << error;
}

TEST_F(Files, AMissingIncludeIsFoundWhereItIsNamed) {
    const fs::path file = write(
        "outing.toml", test::SmallOuting{}.with("handrail = 1", "handrail = 1\ninclude = [\"gone.toml\"]").text());
    const std::string error = first_error(file);
    EXPECT_TRUE(says(error, "outing.toml:2:12: include") && says(error, "no such file")) << error;
}

TEST_F(Files, IncludesTooDeepAreAnError) {
    for (int i = 0; i < 40; ++i)
        write("f" + std::to_string(i) + ".toml", "include = \"f" + std::to_string(i + 1) + ".toml\"\n");
    write("f40.toml", "# end\n");
    const fs::path file =
        write("outing.toml", test::SmallOuting{}.with("handrail = 1", "handrail = 1\ninclude = \"f0.toml\"").text());
    EXPECT_TRUE(says(first_error(file), "files inside each other"));
}

TEST_F(Files, TheFingerprintFollowsEveryFileAndNoName) {
    const std::string outing = test::SmallOuting{}
                                   .with("handrail = 1", "handrail = 1\ninclude = \"rules.toml\"")
                                   .add("[windows]\ncsv = \"w.csv\"\n")
                                   .text();
    const auto fingerprint = [&](const std::string& folder, const std::string& rules, const std::string& csv) {
        write(folder + "/rules.toml", rules);
        write(folder + "/w.csv", csv);
        return read_outing(write(folder + "/outing.toml", outing)).value().fingerprint;
    };
    const std::string csv = "condition,from,to\ndaylight,00:10,01:00\n";
    const std::string first = fingerprint("a", "[rules]\nlimit = \"5 h\"\n", csv);
    EXPECT_EQ(first.size(), 64U);
    EXPECT_EQ(first, fingerprint("b", "[rules]\nlimit = \"5 h\"\n", csv));
    EXPECT_NE(first, fingerprint("c", "[rules]\nlimit = \"4 h\"\n", csv));
    EXPECT_NE(first, fingerprint("d", "[rules]\nlimit = \"5 h\"\n", csv + "daylight,02:00,03:00\n"));
}

TEST_F(Files, WindowsComeFromCsvInPetOrUtc) {
    write("w.csv",
          "# invented\r\n\r\ncondition;worksite;from;to;note\r\ndaylight;;00:10;01:00;\"first; \"\"low\"\" "
          "sun\"\r\nglare;tip;2031-04-05T08:40:00Z;2031-04-05T08:50:00Z;\r\ndaylight;;01:00;01:30;second\r\n");
    const fs::path file = write("outing.toml", test::SmallOuting{}.add("[windows]\ncsv = \"w.csv\"\n").text());
    const Result<Outing> outing = read_outing(file);
    ASSERT_TRUE(outing.ok()) << print(outing.errors().front());
    const auto daylight = outing.value().windows.of("daylight", "bay");
    ASSERT_EQ(daylight.size(), 1U) << "windows that touch are joined";
    EXPECT_EQ(daylight[0].from(), pet(Seconds{600}));
    EXPECT_EQ(daylight[0].to(), pet(Seconds{5400}));
    EXPECT_EQ(daylight[0].note(), "first; \"low\" sun; second");
    const auto glare = outing.value().windows.of("glare", "tip");
    ASSERT_EQ(glare.size(), 1U);
    EXPECT_EQ(glare[0].from(), pet(Seconds{600}));
    EXPECT_TRUE(outing.value().windows.of("glare", "bay").empty());
}

TEST_F(Files, ErrorsInACsvNameItsLineAndColumn) {
    struct Case {
        std::string csv, place, part;
    };
    const std::vector<Case> cases{
        {"condition,form,to\ndaylight,00:10,01:00\n", "w.csv:1:11", "did you mean \"from\"?"},
        {"condition,from\ndaylight,00:10\n", "w.csv:1:1", "a column to"},
        {"condition,from,to\ndaylight,00:10,ten\n", "w.csv:2:16", "a PET such as"},
        {"condition,from,to\ndaylight,01:10,01:00\n", "w.csv:2:1", "an end after its start"},
        {"condition,from,to\ndaylight,00:10,01:00\ndaylight,00:50,01:20\n", "w.csv:3:1", "do not overlap"},
        {"condition,worksite,from,to\ndaylight,bya,00:10,01:00\n", "w.csv:2:10", "did you mean \"bay\"?"},
        {"condition,from,to\ndaylight,00:10,01:00,note\n", "w.csv:2:22", "3 cells in a row"},
        {"condition,from,to\n\"daylight,00:10,01:00\n", "w.csv:2:1", "a closing quote"},
        {"condition,from,to\n,00:10,01:00\n", "w.csv:2:1", "the word steps use"},
    };
    const fs::path file = write("outing.toml", test::SmallOuting{}.add("[windows]\ncsv = \"w.csv\"\n").text());
    for (const Case& one : cases) {
        write("w.csv", one.csv);
        const std::string error = first_error(file);
        EXPECT_TRUE(says(error, one.place) && says(error, one.part)) << error;
    }
}

TEST_F(Files, OrbitElementsComeFromFilesOfTheirKind) {
    write("a.xml", "\n  <?xml version=\"1.0\"?><omm/>\n");
    write("a.kvn", "CCSDS_OMM_VERS = 2.0\n");
    write("a.tle", "1 x\n2 y\n");
    const auto orbit = [&](const std::string& line) {
        const fs::path file = write("outing.toml", test::SmallOuting{}.add("[orbit]\n" + line + "\n").text());
        return read_outing(file).value().orbit.value();
    };
    EXPECT_EQ(orbit("omm = \"a.xml\"").kind, OrbitSource::Kind::omm_xml);
    EXPECT_EQ(orbit("omm = \"a.kvn\"").kind, OrbitSource::Kind::omm_kvn);
    const OrbitSource tle = orbit("tle_file = \"a.tle\"");
    EXPECT_EQ(tle.kind, OrbitSource::Kind::tle);
    EXPECT_EQ(tle.text, "1 x\n2 y\n");
    EXPECT_EQ(tle.place.line, 1);
    EXPECT_TRUE(tle.place.file.ends_with("a.tle"));
}

}  // namespace
}  // namespace handrail
