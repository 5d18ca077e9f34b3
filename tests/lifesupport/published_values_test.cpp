// Every row of tests/data/lifesupport.csv names a computation, its inputs and the published (or independently computed)
// value. A row is added without touching this file as long as its computation is listed in `computations`.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <fstream>
#include <functional>
#include <map>
#include <sstream>

#include "lifesupport/forecast.h"
#include "lifesupport/metabolism.h"
#include "lifesupport/prebreathe.h"
#include "lifesupport/turn_back.h"
#include "lifesupport/workload.h"
#include "units/parse.h"

namespace handrail::lifesupport {
namespace {

struct Row {
    std::string id, computation, inputs, expected, unit, tolerance, source;
};

std::vector<std::string> cells(const std::string& line) {
    std::vector<std::string> out(1);
    bool quoted = false;
    for (char c : line) {
        if (c == '"') {
            quoted = !quoted;
        } else if (c == ',' && !quoted) {
            out.emplace_back();
        } else {
            out.back() += c;
        }
    }
    return out;
}

std::vector<Row> published() {
    std::ifstream file(HANDRAIL_SOURCE_DIR "/tests/data/lifesupport.csv");
    std::vector<Row> rows;
    std::string line;
    std::getline(file, line);
    while (std::getline(file, line)) {
        const auto c = cells(line);
        if (c.size() != 7) throw std::runtime_error("lifesupport.csv: a row without 7 cells: " + line);
        rows.push_back({c[0], c[1], c[2], c[3], c[4], c[5], c[6]});
    }
    return rows;
}

std::vector<std::string> split(const std::string& text, const std::string& by) {
    std::vector<std::string> parts;
    for (std::size_t from = 0;;) {
        const std::size_t to = text.find(by, from);
        parts.push_back(text.substr(from, to - from));
        if (to == std::string::npos) return parts;
        from = to + by.size();
    }
}

template <class T>
T read(const Parsed<T>& parsed) {
    if (const auto* error = std::get_if<ParseError>(&parsed))
        throw std::runtime_error("expected " + error->expected + ", found " + error->found);
    return std::get<T>(parsed);
}

class Inputs {
public:
    explicit Inputs(const std::string& text) {
        for (const std::string& pair : split(text, "; ")) {
            const auto equals = pair.find('=');
            values_[pair.substr(0, equals)] = pair.substr(equals + 1);
        }
    }
    bool has(const std::string& name) const { return values_.contains(name); }
    const std::string& text(const std::string& name) const { return values_.at(name); }
    double number(const std::string& name) const { return std::stod(text(name)); }
    Watts power(const std::string& name = "power") const { return read(parse_power(text(name))); }
    Seconds time(const std::string& name = "time") const { return read(parse_duration(text(name))); }
    Kilograms mass(const std::string& name) const { return read(parse_mass(text(name))); }
    KiloPascal pressure(const std::string& name) const { return read(parse_pressure(text(name))); }
    Fraction rq() const { return Fraction{number("rq")}; }
    LitresPerMinute flow(const std::string& name) const { return read(parse_volume_flow(text(name))); }
    Celsius feedwater() const { return read(parse_temperature(text("feedwater"))); }
    MetresPerSecond speed() const { return read(parse_speed(text("speed"))); }
    Metres length() const { return read(parse_length(text("length"))); }

private:
    std::map<std::string, std::string> values_;
};

SuitType suit_of(const Inputs& in) {
    SuitType suit;
    if (in.has("oxygen")) suit.oxygen = in.mass("oxygen");
    if (in.has("co2 capacity")) suit.co2_capacity = in.mass("co2 capacity");
    if (in.has("water")) suit.feedwater = in.mass("water");
    if (in.has("battery")) suit.battery = read(parse_energy(in.text("battery")));
    if (in.has("leak")) suit.leak = read(parse_mass_flow(in.text("leak")));
    if (in.has("electrical")) suit.electrical_load = in.power("electrical");
    if (in.has("feedwater")) suit.feedwater_temperature = in.feedwater();
    if (in.has("rq")) suit.respiratory_quotient = in.rq();
    if (in.has("reserve")) suit.reserve = in.time("reserve");
    if (in.has("reserve rate")) suit.reserve_rate = in.power("reserve rate");
    return suit;
}

/// Uptake and CO2 as given, or CO2 by the respiratory quotient.
Watts measured_rate(const Inputs& in) {
    const LitresPerMinute oxygen = in.flow("uptake");
    return metabolic_rate(oxygen, in.has("co2") ? in.flow("co2") : oxygen * in.number("rq"));
}

Watts steady_power(const Inputs& in) {
    if (in.has("power")) return in.power();
    const double hours = static_cast<double>(in.time().count()) / 3600;
    return Watts{read(parse_energy(in.text("energy"))).value() / hours};
}

/// What a forecast at one rate says was used after `time`, in the consumable's unit.
double used(const Inputs& in, Consumable c) {
    const std::vector<Load> loads{Load{Pet{}, in.time(), steady_power(in), true}};
    return forecast(suit_of(in), loads).at_return().used[index(c)];
}

double gas_of(const Inputs& in, Consumable c) {
    SuitType suit = suit_of(in);
    suit.oxygen = suit.co2_capacity = Kilograms{100};  // a person in a day needs less
    const std::vector<Load> loads{Load{Pet{}, in.time(), steady_power(in), true}};
    return forecast(suit, loads).at_return().used[index(c)];
}

double seconds_until_used_up(const Inputs& in, Consumable c) {
    const std::vector<Load> loads{Load{Pet{}, Seconds{24 * 3600}, in.power(), true}};
    const auto at = forecast(suit_of(in), loads).used_up_at[index(c)];
    return std::chrono::duration<double>(at.value() - Pet{}).count();
}

double last_start_home(const Inputs& in) {
    const SuitType suit = suit_of(in);
    TurnBackQuestion question;
    question.draw = draw_per_second(suit, in.power(), true);
    return std::chrono::duration<double>(*turn_back(suit, TurnBackKind::terminate, question).at - Pet{}).count();
}

Prebreathe protocol_of(const Inputs& in) {
    Prebreathe protocol;
    protocol.cabin = in.pressure("cabin");
    if (in.has("nitrogen")) protocol.nitrogen_in_air = read(parse_fraction(in.text("nitrogen")));
    if (in.has("half time")) protocol.half_time = in.time("half time");
    if (in.has("limit")) protocol.limit_r = in.number("limit");
    for (const std::string& text : split(in.text("stages"), ", ")) {
        const auto word = split(text, " ");  // 60 min 14.7 psi 100 %
        PrebreatheStage stage;
        stage.name = text;
        stage.duration = read(parse_duration(word.at(0) + " " + word.at(1)));
        stage.pressure = read(parse_pressure(word.at(2) + " " + word.at(3)));
        stage.oxygen = read(parse_fraction(word.at(4) + " " + word.at(5)));
        protocol.stages.push_back(stage);
    }
    if (in.has("rule")) {
        const auto rule = split(in.text("rule"), " times ");
        protocol.breaks.push_back({read(parse_duration(rule.at(0))), std::stod(rule.at(1)), false});
    }
    return protocol;
}

PrebreatheCourse course_of(const Inputs& in) {
    std::vector<Break> breaks;
    if (in.has("break")) {
        const auto parts = split(in.text("break"), " after ");
        breaks.push_back({read(parse_duration(parts.at(0))), Utc{} + read(parse_duration(parts.at(1)))});
    }
    const auto course = run_prebreathe(protocol_of(in), in.pressure("suit"), Utc{}, {}, breaks);
    return std::get<PrebreatheCourse>(course);
}

/// Tasks of equal mean whose spread an open-loop suit's gas shows: it uses `mean` litres in a task of one minute.
double spread_of_sum(const Inputs& in) {
    SuitType suit;
    suit.breathing_gas = Litres{1e6};
    suit.ventilation_per_watt_100 = LitresPerMinute{in.number("mean")};
    Noise noise;
    noise.drift_per_root_hour = 0;
    noise.outing_mean = in.number("day cv");
    const double own = in.number("step cv");
    noise.step = std::sqrt((1 + own * own) * (1 + noise.outing_mean * noise.outing_mean) - 1);
    std::vector<Load> loads;
    for (int i = 0; i < static_cast<int>(in.number("tasks")); ++i)
        loads.push_back(Load{pet(Seconds{60 * i}), Seconds{60}, Watts{100}, true});
    return forecast(suit, loads, noise).at_return().sd[index(Consumable::gas)];
}

Watts mean_of(const Inputs& in) {
    std::vector<Load> loads;
    Pet at{};
    for (const std::string& text : split(in.text("loads"), ", ")) {
        const auto parts = split(text, " for ");
        loads.push_back(Load{at, read(parse_duration(parts.at(1))), read(parse_power(parts.at(0))), true});
        at = loads.back().end();
    }
    return *mean_rate(loads);
}

Watts design_rate_for(Seconds length) {
    for (const DesignRate& design : design_rates)
        if (design.length == length) return design.rate;
    throw std::runtime_error("no design rate for this length");
}

double arm_ride_seconds(const Inputs& in) {
    Station station;
    station.worksites.resize(2);
    station.worksites[1].position_station_m.x = in.length().value();
    station.arm = Arm{"arm", {}, Metres{50}, in.speed(), Seconds{0}, WorksiteId{0}, "IV"};
    return static_cast<double>(arm_move_time(station, WorksiteId{0}, WorksiteId{1}).count());
}

double minutes(Milliseconds time) { return std::chrono::duration<double, std::ratio<60>>(time).count(); }

/// Each in the unit in its name.
const std::map<std::string, std::function<double(const Inputs&)>>& computations() {
    static const std::map<std::string, std::function<double(const Inputs&)>> all{
        {"power W", [](const Inputs& in) { return in.power().value(); }},
        {"pressure kPa", [](const Inputs& in) { return in.pressure("pressure").value(); }},
        {"mass kg", [](const Inputs& in) { return in.mass("mass").value(); }},
        {"length m", [](const Inputs& in) { return in.length().value(); }},
        {"mean rate kcal/h", [](const Inputs& in) { return kilocalories_per_hour(mean_of(in)); }},
        {"design rate Btu/h", [](const Inputs& in) { return btu_per_hour(design_rate_for(in.time())); }},
        {"metabolic rate kcal/min", [](const Inputs& in) { return kilocalories_per_hour(measured_rate(in)) / 60; }},
        {"metabolic rate kcal/h", [](const Inputs& in) { return kilocalories_per_hour(measured_rate(in)); }},
        {"metabolic rate kcal/day", [](const Inputs& in) { return kilocalories_per_hour(measured_rate(in)) * 24; }},
        {"caloric equivalent kcal/L O2", [](const Inputs& in) { return kilocalories_per_litre_oxygen(in.rq()); }},
        {"caloric equivalent W h/L O2",
         [](const Inputs& in) {
             return read(parse_energy(fmt::format("{} kcal", kilocalories_per_litre_oxygen(in.rq())))).value();
         }},
        {"oxygen uptake L/min", [](const Inputs& in) { return oxygen_uptake(in.power(), in.rq()).value(); }},
        {"oxygen flow g/h", [](const Inputs& in) { return oxygen_flow(in.power(), in.rq()).value() * 1000; }},
        {"co2 flow g/h", [](const Inputs& in) { return co2_flow(in.power(), in.rq()).value() * 1000; }},
        {"oxygen kg", [](const Inputs& in) { return gas_of(in, Consumable::oxygen); }},
        {"oxygen kg/day", [](const Inputs& in) { return gas_of(in, Consumable::oxygen); }},
        {"oxygen g", [](const Inputs& in) { return gas_of(in, Consumable::oxygen) * 1000; }},
        {"oxygen g/MJ", [](const Inputs& in) { return gas_of(in, Consumable::oxygen) * 1000; }},
        {"co2 kg", [](const Inputs& in) { return gas_of(in, Consumable::co2); }},
        {"co2 kg/day", [](const Inputs& in) { return gas_of(in, Consumable::co2); }},
        {"water flow kg/h", [](const Inputs& in) { return water_flow(in.power(), in.feedwater()).value(); }},
        {"lasts: oxygen h", [](const Inputs& in) { return seconds_until_used_up(in, Consumable::oxygen) / 3600; }},
        {"lasts: CO2 removal h", [](const Inputs& in) { return seconds_until_used_up(in, Consumable::co2) / 3600; }},
        {"last start home min", [](const Inputs& in) { return last_start_home(in) / 60; }},
        {"used: battery W h", [](const Inputs& in) { return used(in, Consumable::battery); }},
        {"used: feedwater kg", [](const Inputs& in) { return used(in, Consumable::water); }},
        {"sublimation kJ/kg", [](const Inputs& in) { return sublimation_kj_per_kg(in.feedwater()); }},
        {"inspired co2 mmHg", [](const Inputs& in) { return inspired_co2(in.power()).mmhg; }},
        {"R at depress -", [](const Inputs& in) { return course_of(in).r_at_depress; }},
        {"tissue at depress psia",
         [](const Inputs& in) { return course_of(in).tissue_at_depress / read(parse_pressure("1 psi")); }},
        {"time to limit min", [](const Inputs& in) { return minutes(course_of(in).depress - Utc{}); }},
        {"tissue payback min", [](const Inputs& in) { return course_of(in).breaks.at(0).tissue.count(); }},
        {"rule payback min", [](const Inputs& in) { return minutes(course_of(in).breaks.at(0).rule.time); }},
        {"arm ride s", [](const Inputs& in) { return arm_ride_seconds(in); }},
        {"reach m",
         [](const Inputs& in) { return reach_within(in.speed(), in.time("supply"), in.time("busy")).value(); }},
        {"spread of a sum min", [](const Inputs& in) { return spread_of_sum(in); }},
    };
    return all;
}

class PublishedValue : public testing::TestWithParam<Row> {};

TEST_P(PublishedValue, IsWhatHandrailComputes) {
    const Row& row = GetParam();
    const auto computation = computations().find(row.computation + " " + row.unit);
    ASSERT_NE(computation, computations().end()) << "no computation \"" << row.computation << " " << row.unit << "\"";
    EXPECT_FALSE(row.source.empty());
    // A tolerance of 0 means exact up to the last digits of a conversion.
    const double tolerance = std::max(std::stod(row.tolerance), 1e-3);
    EXPECT_NEAR(computation->second(Inputs(row.inputs)), std::stod(row.expected), tolerance)
        << row.id << ", source: " << row.source;
}

INSTANTIATE_TEST_SUITE_P(Lifesupport, PublishedValue, testing::ValuesIn(published()), [](const auto& each) {
    std::string name = each.param.id;
    for (char& c : name)
        if (!std::isalnum(static_cast<unsigned char>(c))) c = '_';
    return name;
});

TEST(PublishedValues, AreAtLeastEighty) { EXPECT_GE(published().size(), 80u); }

}  // namespace
}  // namespace handrail::lifesupport
