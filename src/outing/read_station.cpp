#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "outing/draft.h"

namespace handrail::detail {
namespace {

/// The direction at unit length; a zero one is an error.
void take_direction(const Fields& from, std::string_view key, Vec3& target) {
    if (!from.has(key)) return;
    Vec3 read = target;
    from.take(key, read);
    const double length = std::hypot(read.x, read.y, read.z);
    if (length < 1e-9) {
        from.wrong(key, "a direction", "[0, 0, 0]", "say which way it points, for example [0, 0, -1]");
        return;
    }
    target = {read.x / length, read.y / length, read.z / length};
}

void take_angle(const Fields& from, std::string_view key, double lowest, double highest, Degrees& target) {
    Degrees read = target;
    from.take(key, read);
    if (read.value() < lowest || read.value() > highest)
        from.wrong(key, fmt::format("an angle from {} to {} degrees", lowest, highest),
                   fmt::format("{} degrees", read.value()), "correct it");
    else
        target = read;
}

void read_worksite(const Fields& from, Draft& draft) {
    Worksite site;
    from.take("id", site.id);
    draft.worksites.add(site.id, from.place_of("id"), from, "id");
    site.name = site.id;
    from.take("name", site.name);
    from.take("position", site.position_station_m);
    take_direction(from, "normal", site.normal_station);
    from.take("anchor", site.anchor);
    from.take("about", site.about);
    draft.outing.station.worksites.push_back(std::move(site));
}

void read_route(const Fields& from, Draft& draft) {
    Route route{};
    route.length = Metres{1};
    from.take("length", route.length);
    from.take("pace", route.pace);
    from.take("largest", route.largest);
    const std::vector<Fields::Placed> ends = from.texts("between");
    if (!from.has("between")) return;
    if (ends.size() != 2) {
        from.wrong("between", "the ids of two worksites", fmt::format("{} of them", ends.size()),
                   "write between = [\"airlock\", \"valve-panel\"]");
        return;
    }
    const auto a = draft.worksites.find(ends[0], from, "between");
    const auto b = draft.worksites.find(ends[1], from, "between");
    if (!a || !b) return;
    if (*a == *b) {
        from.wrong("between", "two different worksites", fmt::format("{} twice", shown_text(ends[0].text)),
                   "name the other end, or take the route out");
        return;
    }
    route.a = static_cast<WorksiteId>(*a);
    route.b = static_cast<WorksiteId>(*b);
    draft.outing.station.routes.push_back(route);
    draft.route_places.push_back(from.place());
}

void read_solid(const Fields& from, Draft& draft) {
    Solid solid;
    from.take("name", solid.name);
    from.take("shape", solid.shape);
    from.take("centre", solid.centre_station_m);
    from.take("size", solid.size_station_m);
    from.take("radius", solid.radius);
    from.take("length", solid.length);
    solid.axis_station = {1, 0, 0};
    take_direction(from, "axis", solid.axis_station);
    const bool box = solid.shape == Solid::Shape::box;
    const auto need = [&](std::string_view key, std::string_view example) {
        if (from.has("shape") && !from.has(key))
            from.wrong(key, fmt::format("this of a {}", word(solid.shape)), "nothing",
                       fmt::format("add {} = {}", key, example));
    };
    const auto forbid = [&](std::string_view key) {
        if (from.has(key))
            from.wrong(key, fmt::format("nothing of the kind for a {}", word(solid.shape)), describe(*from.find(key)),
                       "take it out");
    };
    if (box) {
        need("size", R"(["4 m", "4 m", "8 m"])");
        for (const std::string_view key : {"axis", "radius", "length"}) forbid(key);
    } else {
        need("axis", "[1, 0, 0]");
        need("radius", "\"2 m\"");
        need("length", "\"8 m\"");
        forbid("size");
    }
    if (box) solid.axis_station = {};
    draft.outing.station.solids.push_back(std::move(solid));
}

void read_arm(const Fields& from, Draft& draft) {
    Arm arm{};
    arm.name = "Arm";
    arm.speed = MetresPerSecond{0.15};
    arm.reach = Metres{1};
    from.take("name", arm.name);
    from.take("base", arm.base_station_m);
    const std::size_t before = from.context().errors.count();
    from.take("reach", arm.reach);
    from.take("speed", arm.speed);
    from.take("setup", arm.setup);
    from.take("operator", arm.operator_name);
    const auto parked = draft.reference<WorksiteId>(from, "parked", draft.worksites);
    if (parked) arm.parked = *parked;
    arm.clears = draft.references<WorksiteId>(from, "clears", draft.worksites);
    draft.outing.station.arm = arm;
    const bool whole = parked && from.has("base") && from.has("reach") && from.context().errors.count() == before;
    if (whole && !arm_reaches(draft.outing.station, *parked))
        from.wrong("parked", fmt::format("a worksite within {} m of the arm's base", arm.reach.value()),
                   shown_text(draft.outing.worksite(*parked).id), "park it elsewhere, or correct base or reach");
}

/// True when the string at this place opens with three quotes at the end of its line: its text begins on the next one.
bool opens_on_next_line(const Sources& sources, const SourcePlace& place) {
    for (const Source& source : sources.all()) {
        if (source.name != place.file) continue;
        std::string_view rest = source.text;
        for (int line = 1; line < place.line && !rest.empty(); ++line)
            rest.remove_prefix(std::min(rest.find('\n'), rest.size() - 1) + 1);
        std::string_view line = rest.substr(0, rest.find('\n'));
        line = line.substr(0, line.find_last_not_of(" \t\r") + 1);
        return line.ends_with("\"\"\"") || line.ends_with("'''");
    }
    return false;
}

std::string element_text(const Fields& from, std::string_view key, Draft& draft, Sources& sources,
                         const std::filesystem::path& folder) {
    std::string name;
    from.take(key, name);
    if (name.empty()) return {};
    Errors unreadable;
    const Source* source = sources.read((folder / name).lexically_normal(), unreadable);
    if (source) {
        draft.outing.orbit->place = {source->name, 1, 1};
        return source->text;
    }
    for (const InputError& why : unreadable.sorted({}))
        from.wrong(key, why.expected, fmt::format("{} ({})", shown_text(name), why.found), why.remedy);
    return {};
}

void read_coverage(const Fields& from, Draft& draft) {
    for (const Fields& one : from.each("ground_station")) {
        GroundStation station{};
        one.take("name", station.name);
        take_angle(one, "latitude", -90, 90, station.latitude);
        take_angle(one, "longitude", -180, 360, station.longitude);
        one.take("height", station.height);
        take_angle(one, "mask", 0, 90, station.mask);
        draft.outing.coverage.ground_stations.push_back(std::move(station));
    }
    for (const Fields& one : from.each("relay")) {
        RelaySatellite relay{};
        one.take("name", relay.name);
        take_angle(one, "longitude", -180, 360, relay.longitude);
        if (one.has("cone")) {
            Degrees cone{90};
            take_angle(one, "cone", 0, 180, cone);
            relay.cone = cone;
        }
        draft.outing.coverage.relays.push_back(std::move(relay));
    }
}

}  // namespace

void read_station(const Fields& file, Draft& draft) {
    const std::optional<Fields> from = file.one("station");
    if (!from) return;
    Station& station = draft.outing.station;
    from->take("name", station.name);
    take_angle(*from, "glare_within", 0, 180, station.glare_within);
    for (const Fields& one : from->each("worksite")) read_worksite(one, draft);
    if (from->has("worksite") && station.worksites.empty())
        from->wrong("worksite", "at least one worksite", "none", "add [[station.worksite]]");
    if (const auto airlock = draft.reference<WorksiteId>(*from, "airlock", draft.worksites)) {
        station.airlock = *airlock;
        station.worksites[index(*airlock)].anchor = true;
    }
    for (const Fields& one : from->each("route")) read_route(one, draft);
    for (const Fields& one : from->each("solid")) read_solid(one, draft);
    if (const auto arm = from->one("arm")) read_arm(*arm, draft);
    if (const auto attitude = from->one("attitude")) {
        attitude->take("hold", station.attitude.hold);
        take_angle(*attitude, "yaw", -360, 360, station.attitude.yaw);
        take_angle(*attitude, "pitch", -360, 360, station.attitude.pitch);
        take_angle(*attitude, "roll", -360, 360, station.attitude.roll);
    }
}

void read_orbit(const Fields& file, Draft& draft, Sources& sources, const std::filesystem::path& folder) {
    if (const auto coverage = file.one("coverage")) read_coverage(*coverage, draft);
    const std::optional<Fields> from = file.one("orbit");
    if (!from) return;
    const auto given = from->has("tle") + from->has("tle_file") + from->has("omm");
    if (given != 1) {
        from->wrong_at(from->place(), {}, "one of tle, tle_file and omm", given == 0 ? "none" : "several",
                       given == 0 ? "add one, or take [orbit] out and give windows" : "keep one");
        return;
    }
    OrbitSource& orbit = draft.outing.orbit.emplace();
    if (from->has("tle")) {
        orbit.place = source_place(from->place_of("tle"));
        if (opens_on_next_line(sources, orbit.place)) orbit.place = {orbit.place.file, orbit.place.line + 1, 1};
        from->take("tle", orbit.text);
    } else if (from->has("tle_file")) {
        orbit.text = element_text(*from, "tle_file", draft, sources, folder);
    } else {
        orbit.text = element_text(*from, "omm", draft, sources, folder);
        const std::size_t first = orbit.text.find_first_not_of(" \t\r\n");
        const bool xml = first != std::string::npos && orbit.text[first] == '<';
        orbit.kind = xml ? OrbitSource::Kind::omm_xml : OrbitSource::Kind::omm_kvn;
    }
}

}  // namespace handrail::detail
