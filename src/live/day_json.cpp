#include "live/json_parts.h"
#include "live/status.h"

namespace handrail::live {

using detail::OrderedJson;
using detail::pet_s;
using detail::rounded;

std::string to_json(const Outing& outing, const Day& day) {
    // Sorted keys, so that the text depends on the day alone.
    nlohmann::json json;
    json["position"] = number(day.position);
    json["now"] = print_utc(day.now);
    json["pet_zero"] = print_utc(day.pet_zero);
    json["pet_running"] = day.pet_running;
    json["phase"] = word(day.phase);
    json["plan_position"] = number(day.plan_position);
    json["plan"] = day.plan ? handrail::to_json(outing, *day.plan) : "";
    json["arm"] = {{"available", day.situation.arm_available},
                   {"at", index(day.situation.arm_at)},
                   {"free", since_zero(day.situation.arm_free_at).count()}};
    json["crew"] = nlohmann::json::array();
    for (const Crew c : both_crew) {
        const plan::CrewSituation& crew = day.situation.crew[index(c)];
        nlohmann::json used = nlohmann::json::array();
        for (const double amount : crew.used) used.push_back(amount);
        json["crew"].push_back({{"outside", day.outside[index(c)]},
                                {"inside_again", crew.inside_again},
                                {"able", crew.able},
                                {"free_s", since_zero(crew.free_at).count()},
                                {"at", outing.worksite(day.at[index(c)]).id},
                                {"anchor", outing.worksite(day.anchor[index(c)]).id},
                                {"at_when_free", outing.worksite(crew.at).id},
                                {"anchor_when_free", outing.worksite(crew.anchor).id},
                                {"checked_s", since_zero(crew.checked_at).count()},
                                {"heavy_s", crew.heavy.count()},
                                {"heavy_until_s", since_zero(crew.heavy_until).count()},
                                {"used", std::move(used)}});
    }
    json["items"] = nlohmann::json::array();
    for (std::size_t i = 0; i < day.items.size(); ++i)
        json["items"].push_back({words(outing, day.items[i]), words(outing, day.situation.items[i])});
    json["steps"] = nlohmann::json::array();
    for (const Step& step : outing.steps) {
        const std::size_t s = index(step.id);
        const auto& why = day.skipped_because[s];
        json["steps"].push_back(
            {detail::step_word(day.situation.steps[s]), since_zero(day.situation.step_start[s]).count(),
             since_zero(day.situation.step_end[s]).count(), day.delay[s].count(), why ? why->text : ""});
    }
    json["tasks"] = nlohmann::json::array();
    for (std::size_t t = 0; t < outing.tasks.size(); ++t) {
        const auto& lead = day.situation.lead[t];
        const auto& why = day.dropped_because[t];
        json["tasks"].push_back(
            {lead ? word(*lead) : "", static_cast<bool>(day.situation.dropped[t]), why ? why->text : ""});
    }
    json["as_run"] = nlohmann::json::array();
    for (const AsRun& run : day.as_run) json["as_run"].push_back(nlohmann::json(detail::activity_json(outing, run)));
    json["holds"] = nlohmann::json::array();
    for (const Hold& hold : day.holds)
        json["holds"].push_back({number(hold.position), since_zero(hold.from).count(),
                                 hold.to ? since_zero(*hold.to).count() : -1, word(hold.visibility), hold.reason});
    if (day.stand_down)
        json["stand_down"] = {word(day.stand_down->kind), since_zero(day.stand_down->at).count(),
                              day.stand_down->reason};
    json["closed"] = nlohmann::json::array();
    for (const Closure& one : day.closed)
        json["closed"].push_back({outing.worksite(one.site).id, since_zero(one.from).count(),
                                  one.to ? since_zero(*one.to).count() : -1, one.reason});
    json["lost_conditions"] = nlohmann::json::array();
    for (const ConditionLoss& one : day.lost_conditions)
        json["lost_conditions"].push_back(
            {one.condition, since_zero(one.from).count(), one.to ? since_zero(*one.to).count() : -1, one.reason});
    json["stands_in"] = nlohmann::json::array();
    for (const ItemId item : day.stands_in) json["stands_in"].push_back(index(item));
    json["stays_inside"] = {day.stays_inside[0], day.stays_inside[1]};
    json["morning"] = {{"earliest", day.morning.earliest ? print_utc(*day.morning.earliest) : ""},
                       {"payback_s", day.morning.payback.count()},
                       {"cause", day.morning.cause}};
    json["readings"] = nlohmann::json::array();
    for (const Reading& reading : day.readings)
        json["readings"].push_back({word(reading.crew), detail::consumable_key(reading.consumable),
                                    since_zero(reading.at).count(), reading.left});
    json["unapplied"] = nlohmann::json::array();
    for (const Unapplied& one : day.unapplied) json["unapplied"].push_back({number(one.position), one.why});
    return json.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

}  // namespace handrail::live
