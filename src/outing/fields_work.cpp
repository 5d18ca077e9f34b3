#include "outing/fields.h"
#include "outing/words.h"

/// The fields of people, suits, items, tasks and steps.
namespace handrail::detail {

const Section& person_section() {
    static const Section section{
        "crew member",
        "A suited crew member",
        {
            Field("name", Kind::text, "their name", R"("Mira Tolvanen")").needed(),
            Field("suit", Kind::text, "id of their suit type", R"("closed-loop")").needed(),
            Field("metabolic_factor", Kind::number, "multiplies the metabolic rate of every effort", "1.0").positive(),
            Field("experience_factor", Kind::number, "multiplies the duration of every step", "1.0").positive(),
            Field("speed", Kind::speed, "hand over hand on a normal route", R"("0.2 m/s")").positive(),
            Field("carry", Kind::whole, "size units in hand: small 1, medium 2, large 4", "4").not_negative(),
            Field("work_limit", Kind::duration, "most that all their steps may take together", R"("5 h")").positive(),
            Field("heavy_total", Kind::duration, "most that their hand-heavy steps may take together", R"("3 h")")
                .positive(),
            Field("about", Kind::text, "words for the public", R"("On her second outing")"),
        }};
    return section;
}

const Section& suit_section() {
    static const Section section{
        "suit",
        "A suit type; a quantity left out does not limit it",
        {
            Field("id", Kind::text, "short name used by the crew", R"("closed-loop")").needed(),
            Field("name", Kind::text, "name for people", R"("Closed-loop suit")"),
            Field("kind", Kind::choice, "how it breathes", R"("closed loop")").of(words_of<SuitType::Kind>()),
            Field("pressure", Kind::pressure, "inside", R"("29.6 kPa")").positive(),
            Field("oxygen", Kind::mass, "primary supply", R"("0.552 kg")").positive(),
            Field("leak", Kind::mass_flow, "oxygen lost to leaks", R"("5 g/h")").not_negative(),
            Field("co2_capacity", Kind::mass, "CO2 that can be taken up", R"("0.671 kg")").positive(),
            Field("feedwater", Kind::mass, "water for cooling", R"("4.54 kg")").positive(),
            Field("battery", Kind::energy, "usable", R"("426 Wh")").positive(),
            Field("electrical_load", Kind::power, "mean", R"("61 W")").not_negative(),
            Field("breathing_gas", Kind::volume, "open loop: free gas at 1 atm", R"("2400 L")").positive(),
            Field("gas_per_100_watts", Kind::volume_flow, "open loop: gas used per 100 W of metabolic rate",
                  R"("8 L/min")")
                .positive(),
            Field("respiratory_quotient", Kind::number, "CO2 given off per O2 taken up, by volume", "0.85").positive(),
            Field("feedwater_temperature", Kind::temperature, "of the stored water", R"("20 °C")"),
            Field("heat_leak_sunlit", Kind::power, "into the suit in the sun; negative: out of it", R"("60 W")"),
            Field("heat_leak_dark", Kind::power, "into the suit in the dark; negative: out of it", R"("-40 W")"),
            Field("secondary_oxygen", Kind::duration, "how long the emergency supply lasts", R"("30 min")")
                .not_negative(),
            Field("reserve", Kind::duration, "time kept in hand at return", R"("30 min")").not_negative(),
            Field("reserve_rate", Kind::power, "metabolic rate at which the reserve is counted", R"("205 W")")
                .positive(),
        }};
    return section;
}

const Section& item_section() {
    static const Section section{
        "item",
        "A tool, bag or part",
        {
            Field("id", Kind::text, "short name used by steps", R"("new-valve")").needed(),
            Field("name", Kind::text, "name for people", R"("New valve")"),
            Field("size", Kind::choice,
                  "small and medium are carried freely, large slows its carrier, oversize is moved by a step only",
                  R"("small")")
                .of(words_of<SizeClass>()),
            Field("at", Kind::text, "id of the worksite where it starts", R"("airlock")"),
            Field("in", Kind::text, "id of the bag in which it starts", R"("tool-bag")"),
            Field("holds", Kind::whole, "bags: size units they hold; small 1, medium 2, large 4", "6").not_negative(),
            Field("returns", Kind::flag, "must be back inside at the end", "true"),
            Field("two_people", Kind::flag, "too large for one: handled only in steps of both", "true"),
        }};
    return section;
}

const Section& task_section() {
    static const Section section{
        "task",
        "A job made of steps",
        {
            Field("id", Kind::text, "short name used in orders", R"("valve")").needed(),
            Field("name", Kind::text, "name for people", R"("Swap the coolant valve")").needed(),
            Field("class", Kind::choice, "how much it is needed", R"("wanted")").of(words_of<TaskClass>()),
            Field("value", Kind::number, "what doing it is worth, against the other tasks", "10").not_negative(),
            Field("lead", Kind::choice, "who leads it; left out: the planner decides", R"("EV1")").of(words_of<Crew>()),
            Field("after", Kind::text_list, "tasks that end before this one starts, if both are done", R"(["camera"])"),
            Field("needs", Kind::text_list, "tasks without which this one is not done", R"(["camera"])"),
            Field("not_with", Kind::text_list, "tasks never done in the same outing", R"(["valve-repair"])"),
            Field("with", Kind::text_list, "tasks that share the outing with it or are left out with it",
                  R"(["camera"])"),
            Field("instead_of", Kind::text_list,
                  "tasks that need not be done when this one is, and the other way round", R"(["valve-repair"])"),
            Field("starts_by", Kind::moment, "latest start", R"("02:00")"),
            Field("ends_by", Kind::moment, "latest end", R"("04:30")"),
            Field("why", Kind::text, "words for the public", R"("The old valve has started to stick.")"),
            Field("step", Kind::section_list, step_section(), "its steps, in order").needed(),
        }};
    return section;
}

const Section& step_section() {
    static const Section section{
        "step",
        "The smallest thing placed on the timeline",
        {
            Field("id", Kind::text, "its own name within the task; left out: its number", R"("open")"),
            Field("name", Kind::text, "what is done", R"("Open the valve panel")").needed(),
            Field("who", Kind::choice_list, "roles; left out: the lead", R"(["lead", "helper"])").of(words_of<Role>()),
            Field("at", Kind::text, "id of the worksite where it starts; left out: wherever they are",
                  R"("valve-panel")"),
            Field("to", Kind::text, "id of the worksite where it ends, if elsewhere", R"("airlock")"),
            Field("duration", Kind::duration3, "how long it takes", R"("12 min")").needed(),
            Field("effort", Kind::choice, "how hard it works its person", R"("tools")").of(words_of<Effort>()),
            Field("arm", Kind::choice, "ride or hold takes the arm", R"("ride")").of(words_of<ArmUse>()),
            Field("by_hand", Kind::duration,
                  "with arm = \"ride\": how long it takes hand over hand; then the planner chooses", R"("18 min")")
                .positive(),
            Field("needs", Kind::text_list, "items at hand", R"(["driver"])"),
            Field("takes", Kind::text_list, "items at the worksite, carried afterwards", R"(["old-valve"])"),
            Field("leaves", Kind::text_list, "items carried, loose at the worksite afterwards", R"(["tool-bag"])"),
            Field("installs", Kind::text_list, "items at hand, fixed at the worksite afterwards", R"(["new-valve"])"),
            Field("moves", Kind::text_list, "items brought from `at` to `to` whatever their size",
                  R"(["radiator-panel"])"),
            Field("stows", Kind::text_list, "items at hand, in the bag `into` afterwards", R"(["old-valve"])"),
            Field("into", Kind::text, "the bag they are stowed in", R"("tool-bag")"),
            Field("hands_over", Kind::text_list, "items that one of the two carries and the other carries afterwards",
                  R"(["new-valve"])"),
            Field("uses", Kind::section_list, use_section(), "resources it takes all through it"),
            Field("inhibits", Kind::text_list, "inhibits in place and confirmed all through it", R"(["heater-bus"])"),
            Field("watched_from", Kind::text, "id of the worksite from which the other one watches all of it",
                  R"("truss-mid")"),
            Field("interrupt", Kind::section, interrupt_section(), "it may be interrupted: in what parts, by what"),
            Field("during", Kind::text_list, "conditions that hold all through it", R"(["daylight"])"),
            Field("not_during", Kind::text_list, "conditions that hold at no moment of it", R"(["glare"])"),
            Field("opens", Kind::flag, "leaves the worksite unsafe until a close-up step of this task", "true"),
            Field("close_up", Kind::flag, "makes the worksite safe again", "true"),
            Field("hazards", Kind::section_list, hazard_section(), "what can hurt, and what keeps it from doing so"),
            Field("say", Kind::text, "words for the crew", R"("Open the panel, four latches, lid to the right.")"),
            Field("public", Kind::text, "words for the public", R"("She opens the cover of the valve.")"),
            Field("picture", Kind::text, "what a picture of it should show", R"("panel with four latches")"),
            Field("after", Kind::text_list, "steps that end before it starts; left out: the one before it",
                  R"(["valve.open"])"),
            Field("gap", Kind::duration, "least time after those", R"("5 min")").not_negative(),
            Field("within", Kind::within, "latest start after the end of a step", R"("10 min of valve.open")"),
            Field("together", Kind::text, "the step that starts at the same moment", R"("camera.3")"),
        }};
    return section;
}

const Section& hazard_section() {
    static const Section section{
        "hazard",
        "What can hurt, and what keeps it from doing so",
        {
            Field("what", Kind::text, "the hazard", R"("sharp edge at the hinge")").needed(),
            Field("control", Kind::text, "its control", R"("keep hands on the left side")").needed(),
        }};
    return section;
}

const Section& duration_section() {
    static const Section section{
        "duration",
        "A duration with its spread",
        {
            Field("low", Kind::duration, "rarely shorter", R"("20 min")").needed().positive(),
            Field("likely", Kind::duration, "what is planned", R"("25 min")").needed().positive(),
            Field("high", Kind::duration, "rarely longer", R"("45 min")").needed().positive(),
        }};
    return section;
}

const Section& within_section() {
    static const Section section{
        "within",
        "A latest start after another step",
        {
            Field("time", Kind::duration, "how long after its end", R"("10 min")").needed().not_negative(),
            Field("of", Kind::text, "the step", R"("valve.open")"),
        }};
    return section;
}

}  // namespace handrail::detail
