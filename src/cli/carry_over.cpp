#include "live/carry_over.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/terminal.h"

namespace handrail::cli {
namespace {

namespace fs = std::filesystem;

struct Options {
    std::string journal, into, name, pet_zero;
};

/// The outing as the journal keeps it, and where its files were.
struct Kept {
    std::vector<OutingText> texts;
    fs::path folder;  ///< of the outing file

    /// Where a text's file was.
    fs::path path_of(const std::string& text) const {
        return (folder / fs::path(text).lexically_relative(fs::path(texts.front().name).parent_path()))
            .lexically_normal();
    }
};

Kept kept_in(const OpenDay& open) {
    const auto& opened = std::get<live::OutingOpened>(open.entries.front().entry.body);
    return {opened.sources, fs::path(opened.path).parent_path()};
}

/// Included files that had to change are copied under a new name: other outings go on using the old ones.
std::vector<OutingText> copies_of(const Kept& kept, const EditedOuting& next, const fs::path& into,
                                  std::vector<std::pair<std::string, std::string>>& renamed) {
    std::vector<OutingText> copies;
    for (const std::string& name : next.changed) {
        if (name == kept.texts.front().name) continue;
        const fs::path old = kept.path_of(name);
        const fs::path copy =
            old.parent_path() / (old.stem().string() + "-" + into.stem().string() + old.extension().string());
        const auto text = std::ranges::find(next.texts, name, &OutingText::name);
        copies.push_back({copy.string(), text->text});
        renamed.emplace_back(old.lexically_relative(kept.folder).generic_string(),
                             copy.lexically_relative(kept.folder).generic_string());
    }
    return copies;
}

/// Points the includes of the outing file at the copies. Only what the outing file itself includes can be copied so.
std::string with_includes(const OutingText& main, const std::vector<std::pair<std::string, std::string>>& renamed) {
    std::string text = main.text;
    for (const auto& [old, now] : renamed) {
        const std::size_t at = text.find("\"" + old + "\"");
        if (at == std::string::npos)
            fail(
                fmt::format("{} would have to change, but it is not included by the outing file itself; include it "
                            "there, or move its tasks and items into the outing file.",
                            old));
        text.replace(at, old.size() + 2, toml_text(now));
    }
    return text;
}

Outing create(const Options& options, const OpenDay& open, const live::LeftOver& left, std::vector<std::string>& said) {
    const Kept kept = kept_in(open);
    auto only = live::only_what_is_left(kept.texts, open.outing, left);
    if (!only) fail(only.errors());
    std::vector<OutingEdit> head{
        SetKey{"outing", "name", toml_text(options.name.empty() ? live::next_name(open.outing.name) : options.name)}};
    if (!options.pet_zero.empty()) head.push_back(SetKey{"outing", "pet_zero", toml_text(options.pet_zero)});
    auto next = edit_texts(only.value().texts, head);
    if (!next) fail(next.errors());
    EditedOuting whole = std::move(next).value();
    for (std::size_t i = 0; i < kept.texts.size(); ++i)
        if (kept.texts[i].text != whole.texts[i].text &&
            std::ranges::find(whole.changed, kept.texts[i].name) == whole.changed.end())
            whole.changed.push_back(kept.texts[i].name);
    const fs::path into = fs::absolute(options.into).lexically_normal();
    std::vector<std::pair<std::string, std::string>> renamed;
    std::vector<OutingText> files = copies_of(kept, whole, into, renamed);
    const auto moved = moved_text({whole.texts.front().name, with_includes(whole.texts.front(), renamed)}, kept.folder,
                                  into.parent_path());
    if (!moved) fail(moved.errors());
    files.insert(files.begin(), OutingText{options.into, moved.value()});
    Result<Outing> made = create_outing(files);
    if (!made) fail(made.errors());
    for (std::size_t i = 1; i < files.size(); ++i)
        said.push_back(fmt::format("An included file had to change; its copy is {}.", files[i].name));
    if (options.pet_zero.empty())
        said.push_back(fmt::format("PET zero still says {}: give --pet-zero, or set it in the file.",
                                   print_utc(made.value().pet_zero)));
    return std::move(made).value();
}

/// True when the next outing took everything.
bool add(const Options& options, const OpenDay& open, const live::LeftOver& left, std::vector<std::string>& said) {
    const Kept kept = kept_in(open);
    auto only = live::only_what_is_left(kept.texts, open.outing, left);
    if (!only) fail(only.errors());
    const auto next = read_outing_with_texts(options.into);
    if (!next) fail(next.errors());
    auto added = live::added_to(next.value().texts, only.value().texts, open.outing, left);
    if (!added) fail(added.errors());
    const live::AddedTo& result = added.value();
    if (std::vector<InputError> wrong = replace_texts(next.value().texts, result.next); !wrong.empty()) fail(wrong);
    for (const TaskId task : result.there_already)
        said.push_back(fmt::format("{} has {} already; its steps stay as they are there.", options.into,
                                   open.outing.task(task).name));
    for (const live::AddedTo::Refused& one : result.refused)
        said.push_back(fmt::format("{} was NOT carried over, the next outing would be wrong with it: {}.",
                                   open.outing.task(one.task).name, print(one.why)));
    return result.refused.empty();
}

void run(const Options& options) {
    const auto open = open_day_or_fail(options.journal, "");
    if (!live::can_close(open->day))
        fail("The day is not over: nobody has logged \"hatch closed\" with both inside, or \"scrub\" before egress.");
    if (!options.pet_zero.empty()) instant_or_fail(options.pet_zero, open->outing.pet_zero);
    const live::Status status = live::status_of(open->outing, open->entries, open->day);
    const live::LeftOver left =
        live::left_over(open->outing, open->day, live::close_out_of(open->outing, open->entries, status));
    std::vector<std::string> said = live::sentences(open->outing, left);
    const bool there = fs::exists(options.into);
    if (left.tasks.empty() && !there) {
        for (const std::string& sentence : said) fmt::print("{}\n", sentence);
        fmt::print("Every job is done: there is no next outing to write.\n");
        return;
    }
    bool whole = true;
    if (there) {
        if (!options.name.empty() || !options.pet_zero.empty())
            fail(fmt::format("{} is there already and keeps its name and clock; leave --name and --pet-zero out.",
                             options.into));
        whole = add(options, *open, left, said);
    } else {
        create(options, *open, left, said);
    }
    for (const std::string& sentence : said) fmt::print("{}\n", sentence);
    fmt::print("{} {}. Look at it, then: handrail check {}\n{}\n", there ? "Added to" : "Written:", options.into,
               options.into, caution);
    if (!whole) throw Exit{1};
}

}  // namespace

void add_carry_over(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command =
        app.add_subcommand("carry-over", "Put what a day left (jobs, parts, tools) into the next outing file");
    command->footer(
        "Example: handrail carry-over day.journal --into outing-4.toml --pet-zero 2031-04-09T08:30:00Z\n\n"
        "A file that is not there is made from the day's own outing file, with its comments; done jobs go out of it.\n"
        "A file that is there gets what it does not have yet, and items are put where they are now. Nothing of what\n"
        "anybody said that day, private or not, is carried over. Exit code 1: some job could not be taken in.");
    command->add_option("journal", options->journal, "journal of a day that is over (hatch closed, or scrubbed)")
        ->required();
    command->add_option("--into", options->into, "the next outing file, made when it is not there")->required();
    command->add_option("--name", options->name, "its name (default: the old one, counted on)");
    command->add_option("--pet-zero", options->pet_zero, "its planned PET zero, UTC");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
