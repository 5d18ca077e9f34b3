// What a day can do to a journal: a killed process, a full disk, a torn or damaged file.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <random>

#include "journal_under_test.h"

namespace handrail::store {
namespace {

using testing::HasSubstr;

/// Appends notes numbered on from what is there, and writes each position to `acknowledge` once append() has returned.
[[noreturn]] void append_for_ever(const std::filesystem::path& file, int acknowledge) {
    auto journal = std::get<0>(open_sqlite_journal(file));
    Position last = std::get<Position>(journal->newest());
    while (true) {
        const auto result = journal->append(note(std::to_string(live::number(last))), last);
        if (!std::holds_alternative<Position>(result)) _exit(1);
        last = std::get<Position>(result);
        const std::uint64_t at = live::number(last);
        if (write(acknowledge, &at, sizeof at) != sizeof at) _exit(1);
    }
}

/// Runs the writer in a child process, kills it after `acknowledged` entries and some microseconds more, and returns
/// the last position it had acknowledged.
std::uint64_t killed_writer(const std::filesystem::path& file, int acknowledged, int microseconds) {
    int ends[2];
    if (pipe(ends) != 0) std::abort();
    const pid_t child = fork();
    if (child == 0) {
        close(ends[0]);
        append_for_ever(file, ends[1]);
    }
    close(ends[1]);
    std::uint64_t last = 0;
    std::uint64_t at = 0;
    for (int i = 0; i < acknowledged && read(ends[0], &at, sizeof at) == sizeof at; ++i) last = at;
    usleep(static_cast<useconds_t>(microseconds));
    kill(child, SIGKILL);
    int status = 0;
    waitpid(child, &status, 0);
    EXPECT_TRUE(WIFSIGNALED(status)) << "the writer ended by itself";
    while (read(ends[0], &at, sizeof at) == sizeof at) last = at;
    close(ends[0]);
    return last;
}

/// Most of the time goes into waiting for the disk; HANDRAIL_KILLS=500 is the whole soak.
int kills_wanted() {
    const char* wanted = std::getenv("HANDRAIL_KILLS");
    return wanted != nullptr ? std::max(1, std::atoi(wanted)) : 100;
}

TEST(Faults, AKilledWriterLosesNothingThatWasAcknowledged) {
    const TestFolder folder;
    std::mt19937 random(7);
    std::filesystem::path file;
    std::uint64_t acknowledged = 0;
    const int kills = kills_wanted();
    for (int kill = 0; kill < kills; ++kill) {
        // A new journal now and then: each is read whole after every kill.
        constexpr int kills_a_journal = 50;
        if (kill % kills_a_journal == 0) {
            file = folder / ("day-" + std::to_string(kill) + ".journal").c_str();
            write_notes(file, 0);
        }
        acknowledged = killed_writer(file, static_cast<int>(random() % 4) + 1, static_cast<int>(random() % 3000));
        auto read = opened(file)->read(Position{0});
        ASSERT_TRUE(std::holds_alternative<std::vector<live::Recorded>>(read));
        const auto& entries = std::get<std::vector<live::Recorded>>(read);
        ASSERT_GE(entries.size(), acknowledged) << "after kill " << kill;
        // One more may have reached the disk without having been acknowledged.
        ASSERT_LE(entries.size(), acknowledged + 1) << "after kill " << kill;
        for (const live::Recorded& entry : entries)
            ASSERT_EQ(std::get<live::Note>(entry.entry.body).text, std::to_string(live::number(entry.position) - 1));
    }
    EXPECT_GT(acknowledged, 0u);
}

/// Appends large notes under a limit on file size, as on a full disk; returns how many went in, or -1 when a refusal
/// did not come as it should.
int append_until_full(const std::filesystem::path& file) {
    signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{400'000, 400'000};
    if (setrlimit(RLIMIT_FSIZE, &limit) != 0) return -1;
    auto journal = std::get<0>(open_sqlite_journal(file));
    Position last = std::get<Position>(journal->newest());
    for (int i = 0; i < 200; ++i) {
        const auto result = journal->append(note(std::string(20'000, 'a')), last);
        if (const auto* error = std::get_if<StoreError>(&result)) {
            if (error->what.find("day.journal") == std::string::npos) return -1;
            const bool unchanged = std::get<Position>(journal->newest()) == last;
            const bool readable = std::holds_alternative<std::vector<live::Recorded>>(journal->read(Position{0}));
            return unchanged && readable ? i : -1;
        }
        last = std::get<Position>(result);
    }
    return -1;
}

TEST(Faults, AFullDiskRefusesTheEntryAndKeepsAllBeforeIt) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 2);
    const pid_t child = fork();
    if (child == 0) {
        const int appended_before_full = append_until_full(folder / "day.journal");
        _exit(appended_before_full < 0 ? 255 : appended_before_full);
    }
    int status = 0;
    waitpid(child, &status, 0);
    ASSERT_TRUE(WIFEXITED(status));
    const int went_in = WEXITSTATUS(status);
    ASSERT_NE(went_in, 255);
    ASSERT_GT(went_in, 3);
    const auto journal = opened(folder / "day.journal");
    auto read = journal->read(Position{0});
    EXPECT_EQ(std::get<std::vector<live::Recorded>>(read).size(), static_cast<std::size_t>(2 + went_in));
    // With room again, the same journal goes on.
    (void)appended(*journal, note("room again"), Position{static_cast<std::uint64_t>(2 + went_in)});
}

TEST(Faults, AFileCutShortIsReportedAsDamaged) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 400);
    const auto size = std::filesystem::file_size(folder / "day.journal");
    std::filesystem::resize_file(folder / "day.journal", size / 2);
    const auto result = open_sqlite_journal(folder / "day.journal");
    ASSERT_TRUE(std::holds_alternative<StoreError>(result));
    EXPECT_THAT(std::get<StoreError>(result).what, HasSubstr("damaged"));
}

TEST(Faults, FlippedBytesNeverPassUnnoticed) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 200);
    const auto size = std::filesystem::file_size(folder / "day.journal");
    std::mt19937 random(11);
    int noticed = 0;
    for (int i = 0; i < 60; ++i) {
        std::filesystem::copy_file(folder / "day.journal", folder / "hit.journal",
                                   std::filesystem::copy_options::overwrite_existing);
        std::fstream file(folder / "hit.journal", std::ios::in | std::ios::out | std::ios::binary);
        // Past the header page, in which SQLite keeps counters that mean nothing to us.
        const auto at = static_cast<std::streamoff>(4096 + random() % (size - 4096));
        file.seekg(at);
        const int old = file.get();
        file.seekp(at);
        file.put(static_cast<char>(old ^ 0x15));
        file.close();
        auto result = open_sqlite_journal(folder / "hit.journal");
        if (std::holds_alternative<StoreError>(result)) {
            ++noticed;
            continue;
        }
        auto read = std::get<0>(result)->read(Position{0});
        if (!std::holds_alternative<std::vector<live::Recorded>>(read)) {
            ++noticed;
            continue;
        }
        // Whatever still reads as a whole journal says exactly what was written (the byte was in unused space).
        const auto& entries = std::get<std::vector<live::Recorded>>(read);
        ASSERT_EQ(entries.size(), 200u) << "byte " << at;
        for (const live::Recorded& entry : entries)
            ASSERT_EQ(std::get<live::Note>(entry.entry.body).text, std::to_string(live::number(entry.position) - 1));
    }
    EXPECT_GT(noticed, 30);
}

}  // namespace
}  // namespace handrail::store
