#include "cli/rehearsal_desk.h"

#include <fmt/format.h>
#include <poll.h>
#include <unistd.h>

#include <charconv>
#include <chrono>
#include <cstdio>

#include "cli/commands.h"
#include "cli/terminal.h"
#include "live/line.h"
#include "live/record.h"
#include "live/status.h"
#include "units/parse.h"

namespace handrail::cli {
namespace {

using rehearse::Call;

// Calls appear within a tenth of a second of their moment.
constexpr int look_every_ms = 100;
constexpr double fastest = 60;

/// Lines from standard input without waiting for them.
class Lines {
public:
    enum class Got : std::uint8_t { line, nothing, end };
    Got next(std::string& line, int wait_ms) {
        for (;;) {
            if (const std::size_t stop = held_.find('\n'); stop != std::string::npos) {
                line = held_.substr(0, stop);
                held_.erase(0, stop + 1);
                if (!line.empty() && line.back() == '\r') line.pop_back();
                return Got::line;
            }
            if (ended_) {
                if (held_.empty()) return Got::end;
                line = std::exchange(held_, {});
                return Got::line;
            }
            pollfd in{STDIN_FILENO, POLLIN, 0};
            if (::poll(&in, 1, wait_ms) <= 0) return Got::nothing;
            char buffer[4096];
            const ssize_t count = ::read(STDIN_FILENO, buffer, sizeof buffer);
            if (count <= 0)
                ended_ = true;
            else
                held_.append(buffer, static_cast<std::size_t>(count));
        }
    }

private:
    std::string held_;
    bool ended_ = false;
};

}  // namespace

std::string_view desk_help() {
    return "At the desk you type the lines of `handrail log` (\"EV1 started valve.open\", \"hold private\", ...), "
           "and:\n"
           "  Enter            on to the next call\n"
           "  /wait 10 min     let so much time pass\n"
           "  /speed 20        1 to 60; /pause stops the clock, /go starts it again\n"
           "  /status /options /adopt ID /record\n"
           "  /help /quit      quitting breaks the rehearsal off; the debrief comes all the same";
}

RehearsalDesk::RehearsalDesk(rehearse::Rehearsal& rehearsal, std::unique_ptr<store::Journal> journal,
                             DeskOptions options)
    : rehearsal_(rehearsal),
      journal_(std::move(journal)),
      options_(options),
      now_(rehearsal.begins()),
      clock_ms_(rehearsal.utc(rehearsal.begins()).time_since_epoch().count()) {
    append(rehearsal.opening());
}

void RehearsalDesk::run() {
    const bool live_clock = ::isatty(STDIN_FILENO) == 1;
    fmt::print("{}\n{}\n",
               live_clock ? "The clock runs. /help says what you can type."
                          : "Time passes where a line says so (Enter, /wait).",
               caution);
    Lines lines;
    auto then = std::chrono::steady_clock::now();
    while (!rehearsal_.over() && !leaving_) {
        std::fflush(stdout);
        std::string line;
        const Lines::Got got = lines.next(line, live_clock ? look_every_ms : -1);
        const auto moment = std::chrono::steady_clock::now();
        const double real_ms = std::chrono::duration<double, std::milli>(moment - then).count();
        then = moment;
        if (live_clock && !paused_) pass(now_ + Milliseconds{static_cast<std::int64_t>(real_ms * options_.speed)});
        if (got == Lines::Got::end) break;
        if (got == Lines::Got::line) obey(line);
        hear_journal();
    }
}

void RehearsalDesk::obey(const std::string& line) {
    const std::size_t from = line.find_first_not_of(" \t");
    if (from == std::string::npos) return on_to_next_call();
    if (line[from] != '/') return entry(line);
    const std::size_t stop = std::min(line.find(' ', from), line.size());
    const std::size_t rest = std::min(line.find_first_not_of(' ', stop), line.size());
    command(line.substr(from + 1, stop - from - 1), line.substr(rest));
}

void RehearsalDesk::command(const std::string& name, const std::string& rest) {
    if (name == "quit") {
        leaving_ = true;
    } else if (name == "help") {
        fmt::print("{}\n\n{}\n", desk_help(), live::line_help());
    } else if (name == "pause" || name == "go") {
        paused_ = name == "pause";
    } else if (name == "status") {
        show_status();
    } else if (name == "options") {
        show_options();
    } else if (name == "adopt") {
        adopt(rest);
    } else if (name == "record") {
        const live::Day day = rehearsal_.day(now_);
        for (const live::RecordLine& one : live::record_of(rehearsal_.outing(), rehearsal_.entries(), day))
            fmt::print("{:>4} {:>9} {}{}\n", live::number(one.position), print_pet_seconds(one.pet), one.words,
                       one.struck ? " (taken back)" : "");
    } else if (name == "speed") {
        double speed = 0;
        const auto [stop, error] = std::from_chars(rest.data(), rest.data() + rest.size(), speed);
        if (error != std::errc{} || stop != rest.data() + rest.size() || !(speed >= 1 && speed <= fastest))
            fmt::print("/speed takes a number from 1 to {:g}, such as /speed 20.\n", fastest);
        else
            options_.speed = speed;
    } else if (name == "wait") {
        const auto time = parse_duration(rest);
        if (const auto* error = std::get_if<ParseError>(&time))
            fmt::print("/wait takes a time such as /wait 10 min; {}.\n", error->remedy);
        else if (std::get<Seconds>(time) <= Seconds{0} || std::get<Seconds>(time) > std::chrono::hours{24})
            fmt::print("/wait takes a time of up to a day, such as /wait 10 min.\n");
        else
            pass(now_ + std::get<Seconds>(time));
    } else {
        fmt::print("There is no /{}; /help says what there is.\n", name);
    }
}

live::Entry RehearsalDesk::made(live::Body body) const {
    live::Entry entry;
    entry.logged = entry.happened = rehearsal_.utc(now_);
    entry.pet = now_;
    entry.author = rehearsal_.setup().author;
    entry.body = std::move(body);
    return entry;
}

void RehearsalDesk::entry(const std::string& line) {
    const live::Day day = rehearsal_.day(now_);
    auto read = live::read_line(rehearsal_.outing(), rehearsal_.entries(), day, line);
    if (const auto* no = std::get_if<live::NotUnderstood>(&read)) {
        fmt::print("{}\n", no->sentence);
        return;
    }
    live::Entry entry =
        live::entry_of(std::get<live::Understood>(read), day, rehearsal_.setup().author, rehearsal_.utc(now_));
    if (entry.happened > rehearsal_.utc(now_)) {
        fmt::print("{} lies ahead; a line tells what has happened.\n", print_utc(entry.happened));
        return;
    }
    if (!live::can_be_written(entry)) {
        fmt::print("A line takes UTF-8 text only.\n");
        return;
    }
    append(entry);
    const live::Day after = rehearsal_.day(now_);
    for (const live::Unapplied& one : after.unapplied)
        if (one.position == seen())
            fmt::print("It is in the record but changes nothing: {}. Take it back with \"fix {} undo\".\n", one.why,
                       live::number(one.position));
    fmt::print("  {:>4} {}\n", live::number(seen()), words(rehearsal_.outing(), entry));
}

void RehearsalDesk::append(live::Entry entry) {
    // The console beside may write between our reading and our writing.
    constexpr int attempts = 20;
    for (int attempt = 0; attempt < attempts; ++attempt) {
        const auto done = journal_->append(entry, seen());
        if (const auto* error = std::get_if<store::StoreError>(&done)) fail(error->what);
        hear_journal();
        if (!std::holds_alternative<store::Stale>(done)) return;
    }
    fail("others are writing to this journal faster than the desk can.");
}

void RehearsalDesk::hear_journal() {
    const auto read = journal_->read(seen());
    if (const auto* error = std::get_if<store::StoreError>(&read)) fail(error->what);
    if (const auto* tampered = std::get_if<store::Tampered>(&read)) fail(tampered->what);
    for (const live::Recorded& recorded : std::get<std::vector<live::Recorded>>(read)) show(rehearsal_.hear(recorded));
}

void RehearsalDesk::pass(Pet to) {
    if (paused_ && ::isatty(STDIN_FILENO) == 1 && to - now_ < Milliseconds{1}) return;
    now_ = to;
    clock_ms_ = rehearsal_.utc(now_).time_since_epoch().count();
    show(rehearsal_.advance(std::chrono::floor<Seconds>(now_)));
}

void RehearsalDesk::on_to_next_call() {
    // Things happen of which nobody speaks; a call is what is waited for.
    constexpr int most = 200;
    const std::size_t before = rehearsal_.calls().size();
    for (int i = 0; i < most && !rehearsal_.over() && rehearsal_.calls().size() == before; ++i) {
        const std::optional<Pet> next = rehearsal_.next();
        if (!next) {
            fmt::print("Nobody says anything: they wait for you.\n");
            return;
        }
        pass(std::max(now_, *next));
    }
}

void RehearsalDesk::show(const std::vector<Call>& calls) {
    for (const Call& call : calls) {
        fmt::print("PET {}  {}: {}{}\n", print_pet_seconds(call.at), call.who, call.words,
                   options_.hints && !call.line.empty() ? "   [" + call.line + "]" : "");
        if (!options_.notes) continue;
        live::Entry note = made(live::Note{call.words});
        note.happened = rehearsal_.utc(call.at);
        note.pet = call.at;
        note.author = call.who;
        if (call.of_health) note.visibility = live::Visibility::medical;
        append(std::move(note));
    }
}

void RehearsalDesk::show_status() {
    live::Day day = rehearsal_.day(now_);
    const live::Status status = live::status_of(rehearsal_.outing(), rehearsal_.entries(), std::move(day));
    fmt::print("{}", live::print(rehearsal_.outing(), status, live::Reader::console));
}

void RehearsalDesk::show_options() {
    const live::Day day = rehearsal_.day(now_);
    offered_ = live::options_of(rehearsal_.outing(), day);
    live::add_odds(rehearsal_.outing(), day, offered_);
    if (offered_.empty())
        fmt::print("Nothing is left to decide.\n");
    else
        fmt::print("{}", live::print(rehearsal_.outing(), day, offered_));
}

void RehearsalDesk::adopt(const std::string& id) {
    if (offered_.empty()) offered_ = live::options_of(rehearsal_.outing(), rehearsal_.day(now_));
    for (const live::Option& option : offered_) {
        if (option.id != id || !option.forecast.possible) continue;
        append(made(live::adoption(rehearsal_.outing(), option)));
        fmt::print("  {:>4} {}\n", live::number(seen()), option.title);
        offered_.clear();
        return;
    }
    std::string known;
    for (const live::Option& option : offered_) known += (known.empty() ? "" : ", ") + option.id;
    fmt::print("/adopt takes one of: {}. /options shows them.\n", known.empty() ? "(nothing now)" : known);
}

}  // namespace handrail::cli
