#include "brief/public_words.h"

#include <algorithm>

namespace handrail::brief {
namespace {

PublicWords say(PublicWords::Literal own) { return own; }

}  // namespace

bool is_public(const Outing& outing, const Task& task) {
    return !task.why.empty() ||
           std::ranges::any_of(task.steps, [&](StepId id) { return !outing.step(id).public_words.empty(); });
}

PublicWords public_title(const Outing& outing, const Activity& activity) {
    switch (activity.kind) {
        case ActivityKind::egress:
            return say("Going out: ") + PublicFields::name(outing.worksite(outing.station.airlock));
        case ActivityKind::step: {
            const Task& task = outing.task(outing.step(*activity.step).task);
            return is_public(outing, task) ? PublicFields::name(task) : say("At work");
        }
        case ActivityKind::translate:
            return say("On the way to: ") + PublicFields::name(outing.worksite(activity.path.back()));
        case ActivityKind::tether_swap:
            return say("Moving the safety tether");
        case ActivityKind::pick_up:
            return say("Taking tools and parts along");
        case ActivityKind::put_down:
            return say("Putting tools and parts down");
        case ActivityKind::glove_check:
            return say("Looking over the gloves");
        case ActivityKind::rest:
            return say("A planned pause");
        case ActivityKind::arm_move:
            return say("The robot arm moves");
        case ActivityKind::clean_up:
            return say("Gathering the tools: ") + PublicFields::name(outing.worksite(outing.station.airlock));
        case ActivityKind::ingress:
            return say("Going back in: ") + PublicFields::name(outing.worksite(outing.station.airlock));
    }
    return {};
}

PublicWords public_words(const Outing& outing, const Activity& activity) {
    if (!activity.step) return {};
    const Step& step = outing.step(*activity.step);
    return is_public(outing, outing.task(step.task)) ? PublicFields::words(step) : PublicWords{};
}

}  // namespace handrail::brief
