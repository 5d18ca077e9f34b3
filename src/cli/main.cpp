#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <algorithm>
#include <cstdio>
#include <exception>
#include <string>
#include <vector>

#include "cli/commands.h"
#include "outing/model.h"

namespace handrail::cli {
namespace {

std::string command_of(const CLI::App& app) {
    const std::vector<const CLI::App*> commands =
        app.get_subcommands([](const CLI::App* one) { return one->parsed(); });
    return commands.empty() ? "handrail" : "handrail " + commands.front()->get_name();
}

/// What CLI11 says about an option, as one sentence.
int refused(const CLI::App& app, const CLI::Error& error) {
    const std::string command = command_of(app);
    fmt::print(stderr, "{}: {}. \"{} --help\" lists what it takes; nothing was done.\n", command, error.what(),
               command);
    return 2;
}

/// CLI11 lists what it does not know from last to first and does not say what is known.
int unknown_arguments(const CLI::App& app) {
    const std::vector<std::string> unknown = app.remaining(true);
    const auto option = std::ranges::find_if(unknown, [](const std::string& one) { return one.starts_with('-'); });
    const std::string command = command_of(app);
    if (option != unknown.end())
        fmt::print(stderr, "{}: there is no option \"{}\"", command, *option);
    else
        fmt::print(stderr, "{}: \"{}\" is one argument too many", command, unknown.empty() ? "" : unknown.front());
    fmt::print(stderr, ". \"{} --help\" lists what it takes; nothing was done.\n", command);
    return 2;
}

int run(int argc, char** argv) {
    CLI::App app{"Handrail: plan, check, brief, run, re-plan and close out a spacewalk.\n" + std::string(caution)};
    app.require_subcommand(1);
    app.set_version_flag("--version", "handrail 0.1.0");
    // In the order of the work: before, on the day, after.
    add_check(app);
    add_hand_over(app);
    add_import(app);
    add_plan(app);
    add_explain(app);
    add_sky(app);
    add_suits(app);
    add_walk_through(app);
    add_prebreathe(app);
    add_risk(app);
    add_brief(app);
    add_rehearse(app);
    add_open(app);
    add_serve(app);
    add_log(app);
    add_status(app);
    add_options(app);
    add_adopt(app);
    add_close(app);
    add_carry_over(app);
    add_export(app);
    add_learn(app);
    add_bench(app);
    try {
        app.parse(argc, argv);
        return 0;
    } catch (const CLI::ExtrasError&) {
        return unknown_arguments(app);
    } catch (const CLI::RequiredError& error) {
        if (argc < 2 || !app.get_subcommands().empty()) return refused(app, error);
        fmt::print(stderr, "handrail: there is no command \"{}\". \"handrail --help\" lists them; nothing was done.\n",
                   argv[1]);
        return 2;
    } catch (const CLI::ParseError& error) {
        return error.get_exit_code() == 0 ? app.exit(error) : refused(app, error);
    } catch (const Exit& exit) {
        return exit.code;
    } catch (const std::exception& error) {
        fmt::print(stderr, "handrail: internal error: {}. Nothing was written; please report it.\n", error.what());
        return 3;
    }
}

}  // namespace
}  // namespace handrail::cli

int main(int argc, char** argv) { return handrail::cli::run(argc, argv); }
