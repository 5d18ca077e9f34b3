#pragma once

namespace CLI {
class App;
}

/// Each command adds itself to the app and runs in its callback; a callback ends by throwing Exit{code}.
/// Exit codes: 0 fine, 1 findings (or no plan), 2 bad input, 3 internal.
namespace handrail::cli {

struct Exit {
    int code;
};

void add_adopt(CLI::App& app);
void add_bench(CLI::App& app);
void add_brief(CLI::App& app);
void add_carry_over(CLI::App& app);
void add_check(CLI::App& app);
void add_close(CLI::App& app);
void add_explain(CLI::App& app);
void add_export(CLI::App& app);
void add_hand_over(CLI::App& app);
void add_import(CLI::App& app);
void add_learn(CLI::App& app);
void add_log(CLI::App& app);
void add_open(CLI::App& app);
void add_options(CLI::App& app);
void add_plan(CLI::App& app);
void add_prebreathe(CLI::App& app);
void add_rehearse(CLI::App& app);
void add_risk(CLI::App& app);
void add_serve(CLI::App& app);
void add_sky(CLI::App& app);
void add_status(CLI::App& app);
void add_suits(CLI::App& app);
void add_walk_through(CLI::App& app);

}  // namespace handrail::cli
