#include "live/suit_curves.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <vector>

#include "lifesupport/estimator.h"
#include "live/json_parts.h"
#include "live/suit_loads.h"

namespace handrail::live {
namespace {

using Json = nlohmann::ordered_json;
using namespace detail;
using lifesupport::Margin;

std::vector<lifesupport::Reading> readings_of(const Day& day, Crew crew) {
    std::vector<lifesupport::Reading> list;
    for (const Reading& reading : day.readings) {
        if (reading.crew != crew) continue;
        lifesupport::Reading one;
        one.at = reading.at;
        one.left[index(reading.consumable)] = reading.left;
        list.push_back(one);
    }
    return list;
}

std::vector<lifesupport::Load> until(std::vector<lifesupport::Load> loads, Pet end) {
    std::erase_if(loads, [end](const lifesupport::Load& load) { return load.start >= end; });
    if (!loads.empty() && loads.back().end() > end)
        loads.back().duration = std::chrono::floor<Seconds>(end - loads.back().start);
    return loads;
}

/// What was believed from each reading until the next, and from the last one on to the return.
std::vector<Margin> course(const SuitType& suit, const std::vector<lifesupport::Load>& loads,
                           const std::vector<lifesupport::Reading>& readings, const lifesupport::Estimate& judged) {
    std::vector<Pet> steps;
    for (const lifesupport::JudgedValue& value : judged.values)
        if (value.used() && value.at > Pet{}) steps.push_back(value.at);
    std::ranges::sort(steps);
    const auto twice = std::ranges::unique(steps);
    steps.erase(twice.begin(), twice.end());
    std::vector<Margin> out;
    lifesupport::SuitState state = lifesupport::unread(suit, Pet{});
    for (std::size_t i = 0; i <= steps.size(); ++i) {
        const bool last = i == steps.size();
        const lifesupport::Forecast ahead = lifesupport::forecast(suit, last ? loads : until(loads, steps[i]), state);
        out.insert(out.end(), ahead.margins.begin(), ahead.margins.end());
        if (last) break;
        std::vector<lifesupport::Reading> known;
        std::ranges::copy_if(readings, std::back_inserter(known),
                             [&](const lifesupport::Reading& r) { return r.at <= steps[i]; });
        state = lifesupport::estimate(suit, loads, known).state;
    }
    return out;
}

Json columns(const std::vector<Margin>& margins, std::size_t i, double capacity) {
    Json pet = Json::array(), left = Json::array(), low = Json::array(), high = Json::array();
    for (const Margin& margin : margins) {
        const double half = lifesupport::band_90 * margin.sd[i];
        pet.push_back(pet_s(margin.at));
        left.push_back(rounded(margin.left[i]));
        low.push_back(rounded(std::clamp(margin.left[i] - half, 0.0, capacity)));
        high.push_back(rounded(std::clamp(margin.left[i] + half, 0.0, capacity)));
    }
    return {{"pet_s", std::move(pet)}, {"left", std::move(left)}, {"low", std::move(low)}, {"high", std::move(high)}};
}

std::vector<Margin> planned_course(const Outing& outing, const Day& day, Crew crew) {
    if (!day.first_plan) return {};
    std::vector<AsRun> planned;
    for (const Activity& activity : day.first_plan->activities) {
        AsRun run;
        run.activity = activity;
        planned.push_back(std::move(run));
    }
    const auto loads = suit_loads(outing, day.windows, planned, crew, day.first_plan->finish());
    return lifesupport::forecast(outing.suit_of(crew), loads).margins;
}

Json planned_columns(const std::vector<Margin>& margins, std::size_t i) {
    Json pet = Json::array(), left = Json::array();
    for (const Margin& margin : margins) {
        pet.push_back(pet_s(margin.at));
        left.push_back(rounded(margin.left[i]));
    }
    return {{"pet_s", std::move(pet)}, {"left", std::move(left)}};
}

/// The estimator judges values of all visibilities; each reader sees those they may.
Json readings_json(const Day& day, Crew crew, lifesupport::Consumable consumable, Reader reader) {
    std::vector<const Reading*> own;
    for (const Reading& reading : day.readings)
        if (reading.crew == crew) own.push_back(&reading);
    Json list = Json::array();
    for (const lifesupport::JudgedValue& value : day.estimate[index(crew)].values) {
        if (value.consumable != consumable || value.reading >= own.size()) continue;
        if (!may_read(reader, own[value.reading]->visibility)) continue;
        list.push_back({{"position", number(own[value.reading]->position)},
                        {"pet_s", pet_s(value.at)},
                        {"left", rounded(value.found)},
                        {"used", value.used()},
                        {"words", lifesupport::sentence(value)}});
    }
    return list;
}

Json suit_json(const Outing& outing, const Status& status, Crew crew, Reader reader) {
    const Day& day = status.day;
    const SuitType& suit = outing.suit_of(crew);
    std::vector<AsRun> all = day.as_run;
    all.insert(all.end(), status.forecast.ahead.begin(), status.forecast.ahead.end());
    const Pet end = std::max(status.forecast.finish, day.pet_running ? day.pet_now() : Pet{});
    const auto loads = suit_loads(outing, day.windows, all, crew, end);
    const auto margins = course(suit, loads, readings_of(day, crew), day.estimate[index(crew)]);
    const auto planned = planned_course(outing, day, crew);
    const lifesupport::Forecast limits = lifesupport::forecast(suit, loads);
    Json consumables = Json::array();
    for (const lifesupport::Consumable one : lifesupport::all_consumables) {
        if (!limits.carries(one)) continue;
        const std::size_t i = index(one);
        consumables.push_back({{"id", consumable_key(one)},
                               {"unit", unit(one)},
                               {"capacity", rounded(limits.capacity[i])},
                               {"reserve", rounded(limits.reserve[i])},
                               {"course", columns(margins, i, limits.capacity[i])},
                               {"planned", planned_columns(planned, i)},
                               {"readings", readings_json(day, crew, one, reader)}});
    }
    return {{"id", word(crew)}, {"consumables", std::move(consumables)}};
}

}  // namespace

std::string suit_curves_json(const Outing& outing, const Status& status, Reader reader) {
    Json crew = Json::array();
    for (const Crew one : both_crew) crew.push_back(suit_json(outing, status, one, reader));
    return dumped({{"position", number(status.day.position)},
                   {"pet_s", pet_s(status.day.pet_now())},
                   {"crew", std::move(crew)},
                   {"caution", caution}});
}

}  // namespace handrail::live
