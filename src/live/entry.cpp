#include "live/entry.h"

namespace handrail::live {

std::string_view word(Visibility visibility) {
    switch (visibility) {
        case Visibility::everyone:
            return "public";
        case Visibility::console:
            return "console";
        case Visibility::medical:
            return "medical";
    }
    return {};
}

std::string_view word(Reader reader) {
    switch (reader) {
        case Reader::everyone:
            return "public";
        case Reader::console:
            return "console";
        case Reader::medical:
            return "medical";
    }
    return {};
}

std::string_view word(Phase phase) {
    switch (phase) {
        case Phase::planned:
            return "planned";
        case Phase::suit_up:
            return "suit_up";
        case Phase::prebreathe:
            return "prebreathe";
        case Phase::depress:
            return "depress";
        case Phase::egress:
            return "egress";
        case Phase::work:
            return "work";
        case Phase::clean_up:
            return "clean_up";
        case Phase::ingress:
            return "ingress";
        case Phase::repress:
            return "repress";
        case Phase::post:
            return "post";
        case Phase::closed:
            return "closed";
    }
    return {};
}

std::string_view word(StandDownKind kind) {
    switch (kind) {
        case StandDownKind::scrub:
            return "scrub";
        case StandDownKind::terminate:
            return "terminate";
        case StandDownKind::abort:
            return "abort";
    }
    return {};
}

std::string_view word(ItemPlaced::Where where) {
    switch (where) {
        case ItemPlaced::Where::loose:
            return "loose";
        case ItemPlaced::Where::in_bag:
            return "in_bag";
        case ItemPlaced::Where::carried:
            return "carried";
        case ItemPlaced::Where::installed:
            return "installed";
        case ItemPlaced::Where::lost:
            return "lost";
    }
    return {};
}

namespace {
// In the order of Body.
constexpr std::string_view kinds[] = {
    "outing_opened", "pet_zero", "phase",        "step_started", "step_finished", "step_skipped",      "step_undone",
    "step_delayed",  "hold",     "resume",       "item_placed",  "crew_placed",   "gloves_checked",    "suit_reading",
    "note",          "decision", "plan_adopted", "task_dropped", "crew_able",     "arm_available",     "stand_down",
    "closed",        "struck",   "condition",    "worksite",     "item_replaced", "pet_zero_expected", "oxygen",
    "crew_inside"};
static_assert(std::size(kinds) == std::variant_size_v<Body>);
}  // namespace

std::string_view kind(const Body& body) { return kinds[body.index()]; }

}  // namespace handrail::live
