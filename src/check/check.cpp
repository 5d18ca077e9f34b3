#include "check/check.h"

#include "check/replay.h"
#include "check/report.h"
#include "check/rules.h"

namespace handrail {

std::vector<Finding> check(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                           const CheckOptions& options) {
    using namespace checking;
    Replay replay(outing, windows, timeline, options);
    Report report;
    check_items(replay, report);  // first: the loads it finds decide routes, efforts and the way home
    check_overlaps(replay, report);
    check_way_out(replay, report);
    check_way_in(replay, report);
    check_places(replay, report);
    check_translations(replay, report);
    check_tethers(replay, report);
    check_durations(replay, report);
    check_who(replay, report);
    check_orders(replay, report);
    check_tasks(replay, report);
    check_windows(replay, report);
    check_arm(replay, report);
    check_arm_spans(replay, report);
    check_gloves(replay, report);
    check_rests(replay, report);
    check_open_sites(replay, report);
    check_suits(replay, report);
    check_partners(replay, report);
    check_voice(replay, report);
    check_arm_clears(replay, report);
    check_watches(replay, report);
    check_inhibits(replay, report);
    check_quiet(replay, report);
    check_interruptions(replay, report);
    check_persons(replay, report);
    check_resources(replay, report);
    check_preferences(replay, report);
    return report.take();
}

}  // namespace handrail
