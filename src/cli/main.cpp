#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <cstdio>
#include <exception>

#include "cli/commands.h"
#include "outing/model.h"

namespace handrail::cli {
namespace {

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
    } catch (const CLI::ParseError& error) {
        const int code = app.exit(error);
        return code == 0 ? 0 : 2;
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
