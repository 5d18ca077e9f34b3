#pragma once

#include <atomic>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "live/options.h"
#include "rehearse/rehearsal.h"
#include "store/journal.h"

namespace handrail::cli {

struct DeskOptions {
    double speed = 1;
    bool hints = false;  ///< show the line that records a call
    bool notes = false;  ///< write every call into the journal as a note of who said it, for a console beside
};

/// One lead at the terminal: hears the calls, types entry lines. With a terminal the clock runs; without one (a script)
/// time passes only where a line says so.
class RehearsalDesk {
public:
    RehearsalDesk(rehearse::Rehearsal& rehearsal, std::unique_ptr<store::Journal> journal, DeskOptions options);
    /// Until everybody is in, or the lead leaves.
    void run();
    /// The rehearsal's clock; from any thread.
    Utc clock() const { return Utc{Milliseconds{clock_ms_.load()}}; }

private:
    void obey(const std::string& line);
    void command(const std::string& name, const std::string& rest);
    void entry(const std::string& line);
    void show_status();
    void show_options();
    void adopt(const std::string& id);
    void pass(Pet to);
    void on_to_next_call();
    void show(const std::vector<rehearse::Call>& calls);
    void append(live::Entry entry);
    void hear_journal();
    live::Entry made(live::Body body) const;
    live::Position seen() const { return live::Position{rehearsal_.entries().size()}; }

    rehearse::Rehearsal& rehearsal_;
    std::unique_ptr<store::Journal> journal_;
    DeskOptions options_;
    Pet now_;
    bool paused_ = false, leaving_ = false;
    std::vector<live::Option> offered_;
    std::atomic<std::int64_t> clock_ms_;
};

/// What can be typed, for --help and /help.
std::string_view desk_help();

}  // namespace handrail::cli
