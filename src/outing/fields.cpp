#include "outing/fields.h"

#include <fmt/format.h>

#include <algorithm>

#include "outing/words.h"

namespace handrail::detail {

const Field* Section::field(std::string_view key) const {
    const auto found = std::ranges::find(fields, key, &Field::key);
    return found == fields.end() ? nullptr : &*found;
}

std::vector<std::string_view> Section::keys() const {
    std::vector<std::string_view> keys;
    for (const Field& one : fields) keys.push_back(one.key);
    return keys;
}

std::string expectation(const Field& field) {
    const auto such_as = [&](std::string_view what) { return fmt::format("{} such as {}", what, field.example); };
    switch (field.kind) {
        case Kind::text:
            return such_as("a text");
        case Kind::text_list:
            return such_as("a text or a list of texts");
        case Kind::flag:
            return "true or false";
        case Kind::whole:
            return such_as("a whole number");
        case Kind::number:
            return such_as("a number");
        case Kind::choice:
            return fmt::format("one of \"{}\"", fmt::join(field.words, "\", \""));
        case Kind::choice_list:
            return fmt::format("one or more of \"{}\"", fmt::join(field.words, "\", \""));
        case Kind::duration:
            return such_as("a time");
        case Kind::duration3:
            return "a time such as \"25 min\", or { low = \"20 min\", likely = \"25 min\", high = \"45 min\" }";
        case Kind::moment:
            return "a PET such as \"02:40\" or a UTC instant such as \"2031-04-05T08:30:00Z\"";
        case Kind::instant:
            return "a UTC instant such as \"2031-04-05T08:30:00Z\"";
        case Kind::length:
            return such_as("a length");
        case Kind::speed:
            return such_as("a speed");
        case Kind::pressure:
            return such_as("a pressure");
        case Kind::mass:
            return such_as("a mass");
        case Kind::mass_flow:
            return such_as("a mass flow");
        case Kind::power:
            return such_as("a power");
        case Kind::energy:
            return such_as("an energy");
        case Kind::angle:
            return such_as("an angle");
        case Kind::volume:
            return such_as("a volume");
        case Kind::volume_flow:
            return such_as("a volume flow");
        case Kind::temperature:
            return such_as("a temperature");
        case Kind::share:
            return such_as("a share");
        case Kind::point:
            return such_as("three lengths");
        case Kind::direction:
            return such_as("three numbers");
        case Kind::within:
            return such_as("a time and the step it counts from");
        case Kind::section:
            return "a table";
        case Kind::section_list:
            return "a list of tables";
    }
    return {};
}

const Section& file_section() {
    static const Section section{
        "file",
        "An outing file of Handrail: one EVA with everything needed to plan it",
        {
            Field("handrail", Kind::whole, "version of the file format: 1", "1").needed(),
            Field("include", Kind::text_list, "files to lay under this one, relative to it", R"(["station.toml"])"),
            Field("outing", Kind::section, outing_section(), "its name and its clock").needed(),
            Field("station", Kind::section, station_section(), "the place").needed(),
            Field("orbit", Kind::section, orbit_section(), "orbit elements, from which light and coverage follow"),
            Field("coverage", Kind::section, coverage_section(), "who can hear the station"),
            Field("window", Kind::section_list, window_section(), "when a condition holds"),
            Field("windows", Kind::section, window_file_section(), "the same from a CSV file"),
            Field("crew", Kind::section, crew_section(), "the two suited crew members").needed(),
            Field("inside", Kind::section, inside_section(), "who is inside"),
            Field("suit", Kind::section_list, suit_section(), "a suit type").needed(),
            Field("item", Kind::section_list, item_section(), "a tool, bag or part"),
            Field("resource", Kind::section_list, resource_section(), "of which only so much can be had at once"),
            Field("inhibit", Kind::section_list, inhibit_section(), "what the ground switches off for some steps"),
            Field("task", Kind::section_list, task_section(), "a job").needed(),
            Field("prefer", Kind::section_list, preference_section(), "what is wished and not required"),
            Field("rules", Kind::section, rules_section(), "operational limits; each has a default"),
            Field("risk", Kind::section, risk_section(), "how times scatter and what may go wrong"),
            Field("prebreathe", Kind::section, prebreathe_section(), "breathing oxygen before the outing"),
        }};
    return section;
}

const Section& outing_section() {
    static const Section section{
        "outing",
        "The outing's name and clock",
        {
            Field("name", Kind::text, "what it is called", R"("Outing 3")").needed(),
            Field("about", Kind::text, "words for the public", R"("Two crew members replace a valve")"),
            Field("note", Kind::text, "a remark, such as that it is invented", R"("invented")"),
            Field("pet_zero", Kind::instant, "planned moment of going to battery power", R"("2031-04-05T08:30:00Z")")
                .needed(),
            Field("doffing", Kind::text_list, "steps back after repress, in order", R"(["helmet off", "gloves off"])"),
        }};
    return section;
}

const Section& station_section() {
    static const Section section{
        "station",
        "The place. Station frame: x forward, y to the right, z towards the Earth",
        {
            Field("name", Kind::text, "what it is called", R"("Larkspur")").needed(),
            Field("airlock", Kind::text, "id of the worksite outside the hatch", R"("airlock")").needed(),
            Field("glare_within", Kind::angle, "the sun this near a worker's line of sight is in their face",
                  R"("20 deg")")
                .positive(),
            Field("worksite", Kind::section_list, worksite_section(), "a place where work is done").needed(),
            Field("route", Kind::section_list, route_section(), "handrails between two worksites, both ways"),
            Field("solid", Kind::section_list, solid_section(), "a simple body, for shadows and drawing"),
            Field("arm", Kind::section, arm_section(), "the robotic arm"),
            Field("attitude", Kind::section, attitude_section(), "how the station is turned"),
        }};
    return section;
}

const Section& worksite_section() {
    static const Section section{
        "worksite",
        "A place where work is done",
        {
            Field("id", Kind::text, "short name used by routes, items and steps", R"("valve-panel")").needed(),
            Field("name", Kind::text, "name for people", R"("Valve panel")"),
            Field("position", Kind::point, "in the station frame", R"(["4 m", "-1.5 m", "0 m"])").needed(),
            Field("normal", Kind::direction, "outward direction, any length", "[0, 0, -1]"),
            Field("anchor", Kind::flag, "a safety tether may be anchored here", "true"),
            Field("about", Kind::text, "words for the public", R"("Where the cooling pipes meet")"),
        }};
    return section;
}

const Section& route_section() {
    static const Section section{
        "route",
        "Handrails between two worksites, both ways",
        {
            Field("between", Kind::text_list, "ids of the two worksites", R"(["airlock", "valve-panel"])").needed(),
            Field("length", Kind::length, "along the handrails", R"("12 m")").needed().positive(),
            Field("pace", Kind::choice, "how quickly it can be followed", R"("normal")").of(words_of<Pace>()),
            Field("largest", Kind::choice, "the largest item that may be carried along it", R"("large")")
                .of(words_of<SizeClass>()),
        }};
    return section;
}

const Section& solid_section() {
    static const Section section{
        "solid",
        "A box or a cylinder along the station axes",
        {
            Field("name", Kind::text, "what it is", R"("Main module")").needed(),
            Field("shape", Kind::choice, "box or cylinder", R"("cylinder")").needed().of(words_of<Solid::Shape>()),
            Field("centre", Kind::point, "in the station frame", R"(["0 m", "0 m", "0 m"])").needed(),
            Field("size", Kind::point, "box: edge lengths", R"(["4 m", "4 m", "8 m"])").positive(),
            Field("axis", Kind::direction, "cylinder: along which direction", "[1, 0, 0]"),
            Field("radius", Kind::length, "cylinder", R"("2.1 m")").positive(),
            Field("length", Kind::length, "cylinder", R"("11 m")").positive(),
        }};
    return section;
}

const Section& arm_section() {
    static const Section section{
        "arm",
        "The robotic arm",
        {
            Field("name", Kind::text, "what it is called", R"("Arm")"),
            Field("base", Kind::point, "in the station frame", R"(["0 m", "0 m", "-3 m"])").needed(),
            Field("reach", Kind::length, "from its base to its tip", R"("14 m")").needed().positive(),
            Field("speed", Kind::speed, "of its tip with a rider", R"("0.15 m/s")").needed().positive(),
            Field("setup", Kind::duration, "start, stop and clearance calls of each move", R"("2 min")").not_negative(),
            Field("parked", Kind::text, "id of the worksite where its tip is at PET zero", R"("airlock")").needed(),
            Field("operator", Kind::text, "who inside flies it", R"("Imani Brandt")"),
            Field("clears", Kind::text_list, "worksites where nobody may be while its tip moves", R"(["truss-mid"])"),
        }};
    return section;
}

const Section& attitude_section() {
    static const Section section{"attitude",
                                 "How the station is turned: yaw about z, then pitch about y, then roll about x",
                                 {
                                     Field("hold", Kind::choice, "towards the Earth, or towards the stars", R"("LVLH")")
                                         .of(words_of<Attitude::Hold>()),
                                     Field("yaw", Kind::angle, "about z", R"("0 deg")"),
                                     Field("pitch", Kind::angle, "about y", R"("0 deg")"),
                                     Field("roll", Kind::angle, "about x", R"("0 deg")"),
                                 }};
    return section;
}

const Section& orbit_section() {
    static const Section section{
        "orbit",
        "Orbit elements: one of the three",
        {
            Field("tle", Kind::text, "a two-line element set, with or without its name line", R"("1 ...\n2 ...")"),
            Field("tle_file", Kind::text, "a file that holds one", R"("larkspur.tle")"),
            Field("omm", Kind::text, "a CCSDS OMM file, KVN or XML", R"("larkspur.xml")"),
        }};
    return section;
}

const Section& coverage_section() {
    static const Section section{
        "coverage",
        "Who can hear the station",
        {
            Field("ground_station", Kind::section_list, ground_station_section(), "an antenna on the ground"),
            Field("relay", Kind::section_list, relay_section(), "a geostationary relay satellite"),
        }};
    return section;
}

const Section& ground_station_section() {
    static const Section section{
        "ground station",
        "An antenna on the ground",
        {
            Field("name", Kind::text, "what it is called", R"("Tarn")").needed(),
            Field("latitude", Kind::angle, "north positive", R"("47.1 deg")").needed(),
            Field("longitude", Kind::angle, "east positive", R"("11.3 deg")").needed(),
            Field("height", Kind::length, "above the ellipsoid", R"("580 m")"),
            Field("mask", Kind::angle, "lowest elevation, 0 to 90 degrees", R"("5 deg")").not_negative(),
        }};
    return section;
}

const Section& relay_section() {
    static const Section section{
        "relay",
        "A geostationary relay satellite",
        {
            Field("name", Kind::text, "what it is called", R"("Relay West")").needed(),
            Field("longitude", Kind::angle, "east positive", R"("-46 deg")").needed(),
            Field("cone", Kind::angle, "half-angle about the zenith within which the station's antenna sees",
                  R"("80 deg")")
                .positive(),
        }};
    return section;
}

const Section& window_section() {
    static const Section section{"window",
                                 "A stretch in which a condition holds",
                                 {
                                     Field("condition", Kind::text, "the word steps use", R"("daylight")").needed(),
                                     Field("worksite", Kind::text, "id, when it holds there only", R"("mast")"),
                                     Field("from", Kind::moment, "its start", R"("00:35")").needed(),
                                     Field("to", Kind::moment, "its end", R"("01:32")").needed(),
                                     Field("note", Kind::text, "why, through whom", R"("Relay West")"),
                                 }};
    return section;
}

const Section& window_file_section() {
    static const Section section{"windows",
                                 "Windows from a CSV file with the columns condition, worksite, from, to, note",
                                 {
                                     Field("csv", Kind::text, "the file", R"("windows.csv")").needed(),
                                 }};
    return section;
}

const Section& crew_section() {
    static const Section section{"crew",
                                 "The two suited crew members",
                                 {
                                     Field("EV1", Kind::section, person_section(), "the first").needed(),
                                     Field("EV2", Kind::section, person_section(), "the second").needed(),
                                 }};
    return section;
}

const Section& inside_section() {
    static const Section section{
        "inside",
        "Who is inside",
        {
            Field("iv", Kind::text, "who talks the crew through", R"("Sol Okafor-Lind")").needed(),
        }};
    return section;
}

const Section& pace_section() {
    static const Section section{"pace",
                                 "Shares of a person's speed on a route of this pace",
                                 {
                                     Field("easy", Kind::number, "easy routes", "1.5").positive(),
                                     Field("normal", Kind::number, "normal routes", "1.0").positive(),
                                     Field("careful", Kind::number, "routes to take with care", "0.75").positive(),
                                 }};
    return section;
}

const Section& effort_section() {
    static const Section section{
        "effort",
        "Metabolic rate of each effort",
        {
            Field("rest", Kind::power, "resting, holding, waiting", R"("122 W")").positive(),
            Field("ride", Kind::power, "riding the arm", R"("151 W")").positive(),
            Field("light", Kind::power, "inspection, camera, one hand", R"("198 W")").positive(),
            Field("tools", Kind::power, "tools and connectors in a restraint", R"("221 W")").positive(),
            Field("translate", Kind::power, "hand over hand, small load", R"("262 W")").positive(),
            Field("heavy", Kind::power, "with a large item; into or out of a restraint", R"("314 W")").positive(),
            Field("airlock", Kind::power, "egress and ingress", R"("279 W")").positive(),
            Field("forced", Kind::power, "stuck bolt, forced connector, large mass by hand", R"("372 W")").positive(),
        }};
    return section;
}

const Section& rules_section() {
    static const Section section{
        "rules",
        "Operational limits; each has a default that names its source (src/outing/rules_defaults.h)",
        {
            Field("limit", Kind::duration, "PET by which the hatch is closed", R"("6 h 30 min")").positive(),
            Field("margin", Kind::duration, "wanted between planned end and limit", R"("15 min")").not_negative(),
            Field("egress", Kind::duration, "both crew out of the airlock", R"("15 min")").positive(),
            Field("ingress", Kind::duration, "both crew into the airlock", R"("15 min")").positive(),
            Field("clean_up", Kind::duration, "inventory at the airlock before ingress", R"("15 min")").positive(),
            Field("tether", Kind::length, "reach of the safety tether from its anchor", R"("26 m")").positive(),
            Field("tether_swap", Kind::duration, "moving the anchor, make before break", R"("1 min")").positive(),
            Field("pick_up", Kind::duration, "picking up or putting down one item", R"("1 min")").positive(),
            Field("glove_check_every", Kind::duration, "longest time between glove checks", R"("30 min")").positive(),
            Field("glove_check", Kind::duration, "a glove check", R"("1 min")").positive(),
            Field("heavy_limit", Kind::duration, "longest hand-heavy work without a break", R"("45 min")").positive(),
            Field("rest", Kind::duration, "the break", R"("5 min")").positive(),
            Field("partner_within", Kind::duration, "either can reach the other in this time", R"("10 min")")
                .positive(),
            Field("egress_by", Kind::moment, "latest end of egress", R"("00:45")"),
            Field("large_item_pace", Kind::share, "speed with a large item", R"("40 %")").positive(),
            Field("voice_loops", Kind::whole, "crew steps that can be talked through at once", "2").positive(),
            Field("quiet", Kind::section_list, quiet_section(), "when no step may run on some lanes"),
            Field("pace", Kind::section, pace_section(), "shares of a person's speed by route"),
            Field("effort", Kind::section, effort_section(), "metabolic rates"),
        }};
    return section;
}

const Section& prebreathe_section() {
    static const Section section{
        "prebreathe",
        "Breathing oxygen before the outing",
        {
            Field("protocol", Kind::text, "its name", R"("four hours in the suit")").needed(),
            Field("validated_exercise", Kind::flag, "an exercise protocol: followed or not, never judged by R", "true"),
            Field("stage", Kind::section_list, stage_section(), "its stages, in order").needed(),
            Field("half_time", Kind::duration, "of the tissue", R"("360 min")").positive(),
            Field("nitrogen_in_air", Kind::share, "share of nitrogen in air", R"("79 %")").positive(),
            Field("cabin", Kind::pressure, "cabin pressure", R"("101.35 kPa")").positive(),
            Field("limit_r", Kind::number, "largest R at depress the rules accept", "1.65").positive(),
            Field("break", Kind::section_list, break_section(), "what a break costs, shortest first"),
            Field("after_break", Kind::duration, "least time on oxygen after the last break", R"("60 min")")
                .not_negative(),
        }};
    return section;
}

const Section& stage_section() {
    static const Section section{
        "stage",
        "A stage of prebreathe",
        {
            Field("name", Kind::text, "what happens", R"("mask")").needed(),
            Field("duration", Kind::duration, "how long", R"("60 min")").needed().positive(),
            Field("pressure", Kind::pressure, "ambient, at its end", R"("101.35 kPa")").needed().positive(),
            Field("pressure_start", Kind::pressure, "at its start, if it ramps", R"("101.35 kPa")").positive(),
            Field("oxygen", Kind::share, "share of oxygen breathed", R"("100 %")").needed().positive(),
            Field("exercise", Kind::flag, "with exercise", "true"),
        }};
    return section;
}

const Section& break_section() {
    static const Section section{
        "break",
        "What a break costs: a rule held as data, never computed",
        {
            Field("up_to", Kind::duration, "a break no longer than this", R"("10 min")").needed().positive(),
            Field("payback", Kind::number, "minutes repaid per minute of break", "2").not_negative(),
            Field("restart", Kind::flag, "start again instead", "true"),
        }};
    return section;
}

}  // namespace handrail::detail
