#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include <algorithm>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/terminal.h"
#include "live/options.h"
#include "live/record.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string journal, id, at, from, author;
    std::optional<std::uint64_t> seen;
};

live::StandDown stand_down_or_fail(const Options& options, const std::string& line) {
    using Kind = live::StandDownKind;
    for (const Kind kind : {Kind::scrub, Kind::terminate, Kind::abort})
        if (line == word(kind)) return {kind, {}};
    fail(fmt::format("{}: expected scrub, terminate or abort as stand-down, found \"{}\"; make the options again.",
                     options.from, line));
}

/// The option as it was shown, from the file that handrail options --out wrote.
live::Body kept_or_fail(const Options& options, const OpenDay& open) {
    const auto json = nlohmann::json::parse(text_or_fail(options.from), nullptr, false);
    const auto wrong = [&] {
        fail(fmt::format("{}: this is not what handrail options --out writes; make it again.", options.from));
    };
    try {
        if (json.is_discarded() || json.at("format") != "handrail-options") wrong();
        const auto made_at = json.at("position").get<std::uint64_t>();
        if (made_at != live::number(open.seen())) {
            fmt::print(stderr,
                       "{}: these options were made at entry {}, the journal is at entry {}; make them again.\n",
                       options.from, made_at, live::number(open.seen()));
            tell_since(open, live::Position{made_at});
            throw Exit{1};
        }
        for (const auto& one : json.at("options")) {
            if (one.at("id") != options.id) continue;
            if (const auto down = one.find("stand_down"); down != one.end() && down->is_object())
                return stand_down_or_fail(options, down->at("line").get<std::string>());
            live::PlanAdopted adopted{options.id, one.at("title"), one.at("timeline"), one.at("dropped"), {}};
            for (const auto& use : one.value("uses", nlohmann::json::array()))
                adopted.uses.emplace_back(use.at("item"), use.at("by"));
            const auto timeline = read_timeline(open.outing, adopted.timeline, options.from);
            if (!timeline) fail(timeline.errors());
            return adopted;
        }
    } catch (const nlohmann::json::exception&) {
        wrong();
    }
    fail(fmt::format("{}: there is no option \"{}\".", options.from, options.id));
}

live::Body made_or_fail(const Options& options, const OpenDay& open) {
    const auto ways = live::options_of(open.outing, open.day);
    const auto chosen = std::ranges::find(ways, options.id, &live::Option::id);
    if (chosen == ways.end()) {
        std::string known;
        for (const live::Option& way : ways) known += (known.empty() ? "" : ", ") + way.id;
        fail(known.empty() ? std::string("There is nothing left to decide; nothing was adopted.")
                           : fmt::format("There is no option \"{}\" now; there are {}.", options.id, known));
    }
    return live::adoption(open.outing, *chosen);
}

[[noreturn]] void refuse_stale(const Options& options, live::Position seen) {
    fmt::print(stderr, "Nothing was adopted: the journal went on after entry {}. Look at the options again.\n",
               live::number(seen));
    tell_since(*open_day_or_fail(options.journal, options.at), seen);
    throw Exit{1};
}

void run(const Options& options) {
    const auto open = open_day_or_fail(options.journal, options.at);
    if (options.seen && *options.seen > live::number(open->seen()))
        fail(fmt::format("--seen: expected at most {}, the last entry of this journal, found {}; nothing was adopted.",
                         live::number(open->seen()), *options.seen));
    if (options.seen && *options.seen != live::number(open->seen()))
        refuse_stale(options, live::Position{*options.seen});
    const live::Body adopted = options.from.empty() ? made_or_fail(options, *open) : kept_or_fail(options, *open);
    live::Entry entry;
    entry.happened = open->day.now;
    entry.logged = std::max(clock_now(), entry.happened);
    entry.pet = to_pet(entry.happened, open->day.pet_zero);
    entry.author = author_or_user(options.author);
    entry.body = adopted;
    const auto appended = open->journal->append(entry, open->seen());
    if (const auto* error = std::get_if<store::StoreError>(&appended)) fail(error->what);
    if (std::holds_alternative<store::Stale>(appended)) refuse_stale(options, open->seen());
    fmt::print("entry {} at PET {}: {}\n", live::number(std::get<live::Position>(appended)), print_pet(entry.pet),
               live::words(open->outing, entry));
}

}  // namespace

void add_adopt(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("adopt", "Make one of the options the plan");
    command->footer("Example: handrail adopt day.journal leave-out:camera --at 01:26");
    command->add_option("journal", options->journal, "the day's journal")->required();
    command->add_option("id", options->id, "which option, as handrail options names it")->required();
    command->add_option("--from", options->from, "take it as it stands in this file (handrail options --out)");
    command->add_option("--seen", options->seen,
                        "the last entry you had read; if others have written since, nothing is adopted and their "
                        "entries are shown");
    command->add_option("--at", options->at, "the moment: PET, UTC, or a shift from PET zero (default: now)");
    command->add_option("--author", options->author, "who decides (default: whoever is logged in)");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
