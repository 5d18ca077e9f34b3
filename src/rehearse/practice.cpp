#include "rehearse/practice.h"

#include <array>

namespace handrail::rehearse {
namespace {

constexpr std::string_view chosen =
    "from memory: chosen so that there is something to practise on; nobody's statistics";

constexpr std::array table{
    PracticeRate{Practice::stuck, "stuck fastener", 0.05, 0.12, 5, 12, 40, 0, chosen},
    PracticeRate{Practice::lost_tool, "lost tool", 0.01, 0.03, 3, 6, 15, 1, chosen},
    PracticeRate{Practice::late_start, "late start", 0.20, 0.50, 4, 12, 40, 0, chosen},
    PracticeRate{Practice::private_talk, "private talk", 0.20, 0.40, 5, 10, 25, 0, chosen},
    PracticeRate{Practice::unable, "one of the two can do no more", 0.04, 0.10, 0, 0, 0, 1, chosen},
    PracticeRate{Practice::arm_lost, "arm lost", 0.08, 0.20, 0, 0, 0, 1, chosen},
    PracticeRate{Practice::no_coverage, "coverage lost", 0.10, 0.25, 10, 25, 60, 0.2, chosen},
    PracticeRate{Practice::hazard, "hazard at a worksite", 0.08, 0.20, 15, 30, 90, 0.5, chosen},
};

constexpr bool in_order() {
    for (std::size_t i = 0; i < table.size(); ++i)
        if (static_cast<std::size_t>(table[i].what) != i) return false;
    return true;
}
static_assert(in_order());

}  // namespace

std::span<const PracticeRate> practice_rates() { return table; }

const PracticeRate& practice_rate(Practice what) { return table[static_cast<std::size_t>(what)]; }

}  // namespace handrail::rehearse
