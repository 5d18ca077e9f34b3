#include "outing/edit_outing.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <fstream>
#include <sstream>

#include "support/small_outing.h"

/// Edits in place: what changes, what stays, what is refused.
namespace handrail {
namespace {

namespace fs = std::filesystem;

std::vector<OutingText> texts_of(const std::string& text) { return {{"small.toml", text}}; }

std::string after(const std::string& text, const std::vector<OutingEdit>& edits) {
    const Result<EditedOuting> result = edit_texts(texts_of(text), edits);
    if (!result) return print(result.errors().front());
    return result.value().texts.front().text;
}
std::string replaced(std::string text, std::string_view old_piece, std::string_view new_piece) {
    const std::size_t at = text.find(old_piece);
    if (at == std::string::npos) throw std::logic_error("not in the text: " + std::string(old_piece));
    return text.replace(at, old_piece.size(), new_piece);
}
std::string error_of(const std::string& text, const OutingEdit& edit) {
    const Result<EditedOuting> result = edit_texts(texts_of(text), {edit});
    if (result.ok()) return "no error";
    EXPECT_FALSE(result.errors().front().remedy.empty());
    return print(result.errors().front());
}
bool says(const std::string& message, const std::string& part) { return message.find(part) != std::string::npos; }

const std::string whole{test::SmallOuting::whole};

TEST(EditOuting, AValueIsReplacedWhereItStands) {
    EXPECT_EQ(after(whole, {SetKey{"task[look]", "value", "4"}}), replaced(whole, "value = 3", "value = 4"));
    EXPECT_EQ(after(whole, {SetKey{"crew.EV2", "name", "\"Eva Probe\""}}), replaced(whole, "Ben Probe", "Eva Probe"));
    EXPECT_EQ(after(whole, {SetKey{"station.route[2]", "length", "\"11 m\""}}),
              replaced(whole, "10 m\"\n\n[[suit", "11 m\"\n\n[[suit"));
}

TEST(EditOuting, AStepIsNamedByItsIdOrItsNumber) {
    EXPECT_EQ(after(whole, {SetKey{"task[fit].step[1]", "duration", "\"9 min\""}}),
              replaced(whole, "duration = \"10 min\"", "duration = \"9 min\""));
    EXPECT_EQ(after(whole, {SetKey{"task[fit].step[fix]", "duration", "\"9 min\""}}),
              replaced(whole, "{ low = \"8 min\", likely = \"12 min\", high = \"20 min\" }", "\"9 min\""));
    EXPECT_EQ(after(whole, {SetKey{"task[fit].step[2].duration", "high", "\"30 min\""}}),
              replaced(whole, "high = \"20 min\"", "high = \"30 min\""));
}

TEST(EditOuting, ACommentBehindAValueKeepsItsColumn) {
    const std::string text = replaced(whole, "value = 3", "value = 3        # so much, äh");
    EXPECT_EQ(after(text, {SetKey{"task[look]", "value", "12.5"}}), replaced(text, "3        #", "12.5     #"));
    EXPECT_EQ(after(text, {SetKey{"task[look]", "value", "12345678.25"}}),
              replaced(text, "3        #", "12345678.25 #"));
}

TEST(EditOuting, ANewKeyStandsUnderTheLastOfItsTable) {
    EXPECT_EQ(after(whole, {SetKey{"task[fit].step[1]", "say", "\"Lid to the left.\""}}),
              replaced(whole, "needs = [\"driver\"]\n", "needs = [\"driver\"]\nsay = \"Lid to the left.\"\n"));
    EXPECT_EQ(after(whole, {SetKey{"task[fit]", "why", "\"It is time.\""}}),
              replaced(whole, "value = 10\n", "value = 10\nwhy = \"It is time.\"\n"));
    EXPECT_EQ(after(whole, {SetKey{"rules", "limit", "\"5 h\""}}), whole + "\n[rules]\nlimit = \"5 h\"\n");
    EXPECT_EQ(after(whole, {SetKey{"rules.effort", "light", "\"200 W\""}}),
              whole + "\n[rules.effort]\nlight = \"200 W\"\n");
}

TEST(EditOuting, AKeyGoesWithItsLine) {
    EXPECT_EQ(after(whole, {RemoveKey{"task[fit].step[1]", "needs"}}), replaced(whole, "needs = [\"driver\"]\n", ""));
    const std::string text = replaced(whole, "value = 10\n", "value = 10\nafter = [  # these\n    \"look\",\n]\n");
    EXPECT_EQ(after(text, {RemoveKey{"task[fit]", "after"}}), whole);
}

TEST(EditOuting, DottedKeysAndBracesStayWhatTheyAre) {
    const std::string dotted = replaced(
        whole,
        "[crew.EV1]\nname = \"Ada Testa\"\nsuit = \"suit\"\n\n[crew.EV2]\nname = \"Ben Probe\"\nsuit = \"suit\"\n",
        "[crew]\nEV1.name = \"Ada Testa\"\nEV1.suit = \"suit\"\nEV2 = { name = \"Ben Probe\", suit = \"suit\" }\n");
    EXPECT_EQ(after(dotted, {SetKey{"crew.EV1", "carry", "5"}}),
              replaced(dotted, "EV1.name = \"Ada Testa\"\n", "EV1.name = \"Ada Testa\"\nEV1.carry = 5\n"));
    EXPECT_EQ(after(dotted, {SetKey{"crew.EV2", "carry", "5"}}),
              replaced(dotted, "\"Ben Probe\", suit = \"suit\" }", "\"Ben Probe\", suit = \"suit\", carry = 5 }"));
    EXPECT_EQ(after(dotted, {SetKey{"crew.EV2", "carry", "5"}, RemoveKey{"crew.EV2", "carry"}}), dotted);
}

TEST(EditOuting, ATaskIsPutWhereItIsWanted) {
    const std::string body =
        "id = \"wave\"\nname = \"Wave\"\n\n[[task.step]]\nname = \"Wave\"\nat = \"bay\"\nduration = \"1 min\"\n";
    const std::string wanted = "[[task]]\n" + body;
    EXPECT_EQ(after(whole, {InsertTable{"task", body}}), whole + "\n" + wanted);
    EXPECT_EQ(after(whole, {InsertTable{"task", body, InsertTable::Where::before, "fit"}}),
              replaced(whole, "[[task]]\nid = \"fit\"", wanted + "\n[[task]]\nid = \"fit\""));
    EXPECT_EQ(after(whole, {InsertTable{"task", "# hello\n" + wanted, InsertTable::Where::after, "fit"}}),
              replaced(whole, "[[task]]\nid = \"look\"", "# hello\n" + wanted + "\n[[task]]\nid = \"look\""));
    const Result<std::string> copied = table_text(texts_of(after(whole, {InsertTable{"task", body}})), "task[wave]");
    ASSERT_TRUE(copied.ok());
    EXPECT_EQ(copied.value(), wanted);
}

TEST(EditOuting, AStepIsPutInAndTakenOut) {
    const InsertTable step{"task[fit].step", "id = \"tug\"\nname = \"Tug\"\nat = \"bay\"\nduration = \"1 min\"",
                           InsertTable::Where::after, "fix"};
    const std::string with = after(whole, {step});
    EXPECT_EQ(with, replaced(whole, "installs = [\"part\"]\n",
                             "installs = [\"part\"]\n\n[[task.step]]\nid = \"tug\"\nname = \"Tug\"\nat = "
                             "\"bay\"\nduration = \"1 min\"\n"));
    EXPECT_EQ(after(with, {RemoveTable{"task[fit].step[tug]"}}), whole);
}

TEST(EditOuting, EditsThatLeanOnEachOtherAreReadOnce) {
    EXPECT_TRUE(says(error_of(whole, RemoveTable{"item[driver]"}), "driver")) << "a step needs it";
    const std::string text = after(whole, {RemoveTable{"item[driver]"}, RemoveKey{"task[fit].step[1]", "needs"}});
    EXPECT_EQ(text, replaced(replaced(whole, "[[item]]\nid = \"driver\"\nin = \"bag\"\n\n", ""),
                             "needs = [\"driver\"]\n", ""));
}

TEST(EditOuting, ACommentRightAboveGoesAndAHeadingGoesWithTheLastUnderIt) {
    const std::string text = replaced(
        replaced(replaced(whole, "[[task]]\nid = \"fit\"", "# ---- the part\n\n# required\n[[task]]\nid = \"fit\""),
                 "[[task]]\nid = \"look\"", "# ---- the tip\n\n[[task]]\nid = \"look\""),
        "[[item]]\nid = \"bag\"", "# ---- items\n\n[[item]]\nid = \"bag\"");
    const std::string without = after(text, {RemoveTable{"task[fit]"}});
    EXPECT_FALSE(says(without, "# required"));
    EXPECT_FALSE(says(without, "# ---- the part"));
    EXPECT_TRUE(says(without, "id = \"part\"\nat = \"airlock\"\n\n# ---- the tip\n\n[[task]]\nid = \"look\""));
    EXPECT_TRUE(says(after(text, {RemoveTable{"task[fit]"}, RemoveTable{"item[part]"}}),
                     "# ---- items\n\n[[item]]\nid = \"bag\""))
        << "two are left under it";
}

TEST(EditOuting, TheLastTableOfAFileLeavesNoBlankLinesBehind) {
    EXPECT_EQ(after(whole, {RemoveTable{"task[look]"}}), whole.substr(0, whole.find("\n[[task]]\nid = \"look\"")));
}

TEST(EditOuting, WindowsLineEndsAndAMissingLastOneAreKept) {
    std::string text = whole;
    for (std::size_t at = 0; (at = text.find('\n', at)) != std::string::npos; at += 2) text.insert(at, "\r");
    text.resize(text.size() - 2);
    const std::string with = after(text, {SetKey{"task[look].step[2]", "say", "\"Slowly.\""}});
    EXPECT_EQ(with, text + "\r\nsay = \"Slowly.\"\r\n");
}

TEST(EditOuting, WhatIsNoLongerValidIsRefusedInTheReadersWords) {
    const std::string error = error_of(whole, SetKey{"task[fit].step[1]", "duration", "25"});
    EXPECT_TRUE(says(error, "small.toml:69:12")) << error;
    EXPECT_TRUE(says(error, "duration: expected a time")) << error;
    EXPECT_TRUE(says(error_of(whole, SetKey{"task[fit]", "vallue", "3"}), "did you mean"));
}

TEST(EditOuting, AnAddressThatMeansNothingIsRefused) {
    EXPECT_TRUE(says(error_of(whole, SetKey{"task[fitt]", "value", "3"}), "did you mean \"fit\"?"));
    EXPECT_TRUE(says(error_of(whole, SetKey{"task[fit", "value", "3"}), "entries in brackets"));
    EXPECT_TRUE(says(error_of(whole, SetKey{"task", "value", "3"}), "write task[its id]"));
    EXPECT_TRUE(says(error_of(whole, SetKey{"station.route[3]", "length", "\"3 m\""}), "its number from 1 to 2"));
    EXPECT_TRUE(says(error_of(whole, RemoveKey{"task[fit]", "why"}), "nothing there"));
    EXPECT_TRUE(says(error_of(whole, RemoveTable{""}), "nothing there"));
    EXPECT_TRUE(says(error_of(whole, RemoveTable{"rules"}), "nothing there"));
    EXPECT_TRUE(says(error_of(whole, InsertTable{"task[fit]", "id = \"x\""}), "name the list"));
}

TEST(EditOuting, AValueCannotSmuggleInAnythingElse) {
    for (const char* value : {"3\nname = \"x\"", "3 # and a comment", "", "3\n[rules]", "one two", "\"open"})
        EXPECT_TRUE(says(error_of(whole, SetKey{"task[fit]", "value", value}), "one TOML value")) << value;
    const std::string extra =
        "id = \"x\"\nname = \"X\"\n[[task.step]]\nname = \"X\"\nduration = \"1 min\"\n[rules]\nlimit = \"1 h\"\n";
    EXPECT_TRUE(says(error_of(whole, InsertTable{"task", extra}), "other tables"));
    EXPECT_TRUE(
        says(error_of(whole, InsertTable{"task", "[[task]]\nid = \"x\"\n[[task]]\nid = \"y\"\n"}), "other tables"));
}

TEST(EditOuting, TextsSurviveBeingWrittenAsToml) {
    const std::string odd = "say \"a\\b\"\n\ttab ä";
    const Result<EditedOuting> result = edit_texts(texts_of(whole), {SetKey{"outing", "about", toml_text(odd)}});
    ASSERT_TRUE(result.ok()) << print(result.errors().front());
    EXPECT_EQ(result.value().outing.about, odd);
    EXPECT_EQ(toml_list({"a", "b\"c"}), R"(["a", "b\"c"])");
    EXPECT_EQ(toml_text("\x01"), R"("\u0001")");
    EXPECT_FALSE(edit_texts(texts_of(whole), {SetKey{"outing", "about", toml_text("\x01")}}).ok());
}

class EditFiles : public testing::Test {
protected:
    EditFiles()
        : folder_(fs::temp_directory_path() / ("handrail-edit-" + std::to_string(::getpid()) + "-" +
                                               testing::UnitTest::GetInstance()->current_test_info()->name())) {
        fs::create_directories(folder_);
        const std::size_t station = whole.find("[station]");
        const std::size_t suits = whole.find("[[suit]]");
        const std::size_t look = whole.find("[[task]]\nid = \"look\"");
        write("station.toml", "# the place\n\n" + whole.substr(station, suits - station));
        write("more.toml", whole.substr(look));
        write("outing.toml", replaced(whole.substr(0, station) + whole.substr(suits, look - suits), "handrail = 1",
                                      "handrail = 1\ninclude = [\"station.toml\", \"more.toml\"]"));
    }
    ~EditFiles() override { fs::remove_all(folder_); }
    fs::path path(const std::string& name) const { return folder_ / name; }
    void write(const std::string& name, const std::string& text) const {
        std::ofstream(path(name), std::ios::binary) << text;
    }
    std::string content(const std::string& name) const {
        std::ostringstream text;
        text << std::ifstream(path(name), std::ios::binary).rdbuf();
        return text.str();
    }
    std::size_t files_in_folder() const {
        return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder_), fs::directory_iterator()));
    }
    fs::path folder_;
};

TEST_F(EditFiles, AnEditLandsInTheFileThatHoldsTheTable) {
    const std::string outing = content("outing.toml");
    const std::string station = content("station.toml");
    const Result<EditedOuting> result = edit_outing(
        path("outing.toml"), {SetKey{"station.worksite[bay]", "name", "\"Bay\""}, SetKey{"task[1]", "value", "7"}});
    ASSERT_TRUE(result.ok()) << print(result.errors().front());
    EXPECT_EQ(result.value().changed, (std::vector{path("station.toml").string(), path("more.toml").string()}));
    EXPECT_EQ(content("outing.toml"), outing);
    EXPECT_EQ(content("station.toml"), replaced(station, "Equipment bay", "Bay"));
    EXPECT_TRUE(says(content("more.toml"), "id = \"look\"\nname = \"Look at the tip\"\nvalue = 7\n"))
        << "included tasks count first";
    EXPECT_EQ(files_in_folder(), 3U) << "no temporary file is left";
}

TEST_F(EditFiles, ANewTaskGoesBehindTheLastOfTheOuting) {
    const std::string more = content("more.toml");
    const std::string outing = content("outing.toml");
    ASSERT_TRUE(
        edit_outing(
            path("outing.toml"),
            {InsertTable{"task",
                         "id = \"wave\"\nname = \"Wave\"\n[[task.step]]\nname = \"Wave\"\nduration = \"1 min\""}})
            .ok());
    EXPECT_EQ(content("more.toml"), more);
    EXPECT_TRUE(content("outing.toml").starts_with(outing));
}

TEST_F(EditFiles, AnOverridingFileIsTheOneThatIsEdited) {
    write("outing.toml", content("outing.toml") + "\n[rules]\nlimit = \"3 h\"\n");
    write("station.toml", content("station.toml") + "\n[rules]\nlimit = \"4 h\"\nmargin = \"5 min\"\n");
    const Result<EditedOuting> result =
        edit_outing(path("outing.toml"), {SetKey{"rules", "limit", "\"2 h\""}, SetKey{"rules", "margin", "\"6 min\""}});
    ASSERT_TRUE(result.ok()) << print(result.errors().front());
    EXPECT_EQ(result.value().outing.rules.limit, Seconds{7200});
    EXPECT_TRUE(says(content("outing.toml"), "limit = \"2 h\"\n"));
    EXPECT_TRUE(says(content("station.toml"), "limit = \"4 h\"\nmargin = \"6 min\"\n"));
}

TEST_F(EditFiles, NothingIsWrittenWhenTheResultIsInvalid) {
    const std::string outing = content("outing.toml");
    EXPECT_FALSE(edit_outing(path("outing.toml"),
                             {SetKey{"station.worksite[bay]", "name", "\"Bay\""}, SetKey{"task[fit]", "value", "-3"}})
                     .ok());
    EXPECT_EQ(content("outing.toml"), outing);
    EXPECT_TRUE(says(content("station.toml"), "Equipment bay"));
    EXPECT_EQ(files_in_folder(), 3U);
}

TEST_F(EditFiles, PermissionsLinksAndTheByteOrderMarkAreKept) {
    write("real.toml", "\xEF\xBB\xBF" + content("outing.toml"));
    fs::permissions(path("real.toml"), fs::perms(0640));
    fs::create_symlink("real.toml", path("link.toml"));
    ASSERT_TRUE(edit_outing(path("link.toml"), {SetKey{"task[fit]", "value", "11"}}).ok());
    EXPECT_TRUE(fs::is_symlink(path("link.toml")));
    EXPECT_TRUE(content("real.toml").starts_with("\xEF\xBB\xBFhandrail"));
    EXPECT_TRUE(says(content("real.toml"), "value = 11"));
    EXPECT_EQ(fs::status(path("real.toml")).permissions(), fs::perms(0640));
}

TEST_F(EditFiles, AnIncludeMayBeAdded) {
    write("rules.toml", "[rules]\nlimit = \"2 h\"\n");
    const Result<EditedOuting> result = edit_outing(
        path("outing.toml"), {SetKey{"", "include", toml_list({"station.toml", "more.toml", "rules.toml"})}});
    ASSERT_TRUE(result.ok()) << print(result.errors().front());
    EXPECT_EQ(result.value().outing.rules.limit, Seconds{7200});
}

TEST_F(EditFiles, AFolderThatCannotBeWrittenIsSaid) {
    const std::vector<InputError> wrong = replace_file(path("none") / "x.toml", "x");
    ASSERT_EQ(wrong.size(), 1U);
    EXPECT_TRUE(says(print(wrong.front()), "No such file")) << print(wrong.front());
}

}  // namespace
}  // namespace handrail
