#include "outing/model.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace handrail {
namespace {

/// Up to the next whole second; a rounding error of the division does not cost a second.
Seconds rounded_up(double seconds) { return Seconds{static_cast<Seconds::rep>(std::ceil(seconds - 1e-9))}; }

Metres distance(const Vec3& a, const Vec3& b) { return Metres{std::hypot(a.x - b.x, a.y - b.y, a.z - b.z)}; }

bool takes_part(const Step& step, Role role) { return std::ranges::find(step.who, role) != step.who.end(); }

}  // namespace

std::string_view word(Lane lane) {
    switch (lane) {
        case Lane::ev1:
            return "EV1";
        case Lane::ev2:
            return "EV2";
        case Lane::arm:
            return "arm";
        case Lane::iv:
            return "IV";
        case Lane::ground:
            return "ground";
    }
    return {};
}

std::string_view word(Crew crew) { return word(lane_of(crew)); }

std::string_view word(Role role) {
    switch (role) {
        case Role::lead:
            return "lead";
        case Role::helper:
            return "helper";
        case Role::arm:
            return "arm";
        case Role::iv:
            return "IV";
        case Role::ground:
            return "ground";
    }
    return {};
}

std::string_view word(SizeClass size) {
    switch (size) {
        case SizeClass::small:
            return "small";
        case SizeClass::medium:
            return "medium";
        case SizeClass::large:
            return "large";
        case SizeClass::oversize:
            return "oversize";
    }
    return {};
}

std::string_view word(Effort effort) {
    switch (effort) {
        case Effort::rest:
            return "rest";
        case Effort::ride:
            return "ride";
        case Effort::light:
            return "light";
        case Effort::tools:
            return "tools";
        case Effort::translate:
            return "translate";
        case Effort::heavy:
            return "heavy";
        case Effort::airlock:
            return "airlock";
        case Effort::forced:
            return "forced";
    }
    return {};
}

std::string_view word(TaskClass task_class) {
    switch (task_class) {
        case TaskClass::required:
            return "required";
        case TaskClass::wanted:
            return "wanted";
        case TaskClass::get_ahead:
            return "get-ahead";
    }
    return {};
}

std::string_view word(Pace pace) {
    switch (pace) {
        case Pace::easy:
            return "easy";
        case Pace::normal:
            return "normal";
        case Pace::careful:
            return "careful";
    }
    return {};
}

std::string_view word(ArmUse use) {
    switch (use) {
        case ArmUse::none:
            return "none";
        case ArmUse::ride:
            return "ride";
        case ArmUse::hold:
            return "hold";
    }
    return {};
}

Seconds translation_time(const Rules& rules, const CrewMember& person, const Route& route, SizeClass load) {
    double speed = person.speed.value() * rules.pace_factor[static_cast<std::size_t>(route.pace)];
    if (load >= SizeClass::large) speed *= rules.large_item_pace.value();
    return rounded_up(route.length.value() / speed);
}

std::vector<Crew> crew_in(const Step& step, Crew lead) {
    std::vector<Crew> crew;
    if (takes_part(step, Role::lead)) crew.push_back(lead);
    if (takes_part(step, Role::helper)) crew.push_back(partner(lead));
    return crew;
}

std::vector<Lane> lanes_of(const Step& step, Crew lead) {
    std::vector<Lane> lanes;
    for (const Crew c : crew_in(step, lead)) lanes.push_back(lane_of(c));
    if (step.arm != ArmUse::none || takes_part(step, Role::arm)) lanes.push_back(Lane::arm);
    if (takes_part(step, Role::iv)) lanes.push_back(Lane::iv);
    if (takes_part(step, Role::ground)) lanes.push_back(Lane::ground);
    std::ranges::sort(lanes);
    return lanes;
}

namespace {
double slowest(const Outing& outing, const Step& step, Crew lead) {
    double factor = 0;
    for (const Crew c : crew_in(step, lead)) factor = std::max(factor, outing.person(c).experience_factor);
    return factor > 0 ? factor : 1.0;
}
}  // namespace

Seconds planned_duration(const Outing& outing, const Step& step, Crew lead) {
    if (step.watches) return planned_duration(outing, outing.step(*step.watches), lead);
    if (crew_in(step, lead).empty()) return step.duration.likely;
    return rounded_up(static_cast<double>(step.duration.likely.count()) * slowest(outing, step, lead));
}

Seconds by_hand_duration(const Outing& outing, const Step& step, Crew lead) {
    return rounded_up(static_cast<double>(step.by_hand.value_or(Seconds{0}).count()) * slowest(outing, step, lead));
}

Seconds arm_move_time(const Station& station, WorksiteId from, WorksiteId to) {
    if (from == to) return Seconds{0};
    assert(station.arm);
    const Metres way =
        distance(station.worksites[index(from)].position_station_m, station.worksites[index(to)].position_station_m);
    return station.arm->setup + rounded_up(way.value() / station.arm->speed.value());
}

bool arm_reaches(const Station& station, WorksiteId site) {
    if (!station.arm) return false;
    return distance(station.arm->base_station_m, station.worksites[index(site)].position_station_m) <=
           station.arm->reach;
}

}  // namespace handrail
