#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <memory>

#include "cli/commands.h"
#include "cli/terminal.h"
#include "outing/import_tasks.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string file, out = "-";
};

void run(const Options& options) {
    const Result<std::string> tasks = import_tasks(text_or_fail(options.file), options.file);
    if (!tasks) fail(tasks.errors());
    write_or_fail(options.out, tasks.value());
    if (options.out != "-")
        fmt::print(stderr, "{}: written; name it in the include list of an outing file.\n", options.out);
}

}  // namespace

void add_import(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command =
        app.add_subcommand("import", "Turn a CSV table of tasks into a file that an outing can include");
    command
        ->add_option("file", options->file,
                     "CSV with one step a row: task, task_name, class, value, step, who, at, duration, ...")
        ->required();
    command->add_option("--out", options->out, "where to write the TOML (default: standard output)");
    command->footer(
        "Example: handrail import tasks.csv --out tasks.toml\nThe columns are described in docs/outing-file.md.");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
