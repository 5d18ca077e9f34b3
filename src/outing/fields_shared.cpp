#include "outing/fields.h"
#include "outing/words.h"

/// Fields of what steps share or wish for: resources, inhibits, quiet periods, preferences.
namespace handrail::detail {

const Section& resource_section() {
    static const Section section{
        "resource",
        "Something of which only so much can be had at once",
        {
            Field("id", Kind::text, "short name used by steps", R"("power-bus")").needed(),
            Field("name", Kind::text, "name for people", R"("Truss power bus")"),
            Field("capacity", Kind::number, "how much can be had at once", "600").needed().positive(),
            Field("unit", Kind::text, "what it is counted in", R"("W")"),
        }};
    return section;
}

const Section& use_section() {
    static const Section section{
        "use",
        "How much of a resource a step takes",
        {
            Field("resource", Kind::text, "id of the resource", R"("power-bus")").needed(),
            Field("amount", Kind::number, "from its start to its end", "250").needed().positive(),
        }};
    return section;
}

const Section& inhibit_section() {
    static const Section section{
        "inhibit",
        "Something that the ground switches off for some steps",
        {
            Field("id", Kind::text, "short name used by steps", R"("heater-bus")").needed(),
            Field("name", Kind::text, "name for people", R"("Heater bus 2")"),
            Field("command", Kind::duration, "the ground's command; left out: 3 min", R"("3 min")").positive(),
            Field("confirm", Kind::duration, "IV's confirmation; left out: 1 min", R"("1 min")").positive(),
            Field("release", Kind::duration, "the ground's release; left out: 2 min", R"("2 min")").positive(),
            Field("during", Kind::text_list, "conditions for command and release", R"(["coverage"])"),
        }};
    return section;
}

const Section& interrupt_section() {
    static const Section section{
        "interrupt",
        "A step that may be interrupted",
        {
            Field("every", Kind::duration, "longest part; each part is a step of its own", R"("15 min")")
                .needed()
                .positive(),
            Field("by", Kind::text_list,
                  "tasks whose steps may come between the parts; left out: only glove checks and rests",
                  R"(["camera"])"),
        }};
    return section;
}

const Section& quiet_section() {
    static const Section section{
        "quiet",
        "When no step may run on some lanes",
        {
            Field("condition", Kind::text, "the condition, for the whole station", R"("docking")").needed(),
            Field("lanes", Kind::choice_list, "which lanes; left out: EV1 and EV2", R"(["EV1", "EV2"])")
                .of(words_of<Lane>()),
        }};
    return section;
}

const Section& preference_section() {
    static const Section section{
        "prefer",
        "What is wished and not required: one of lead, during, ends_by, starts_after",
        {
            Field("task", Kind::text, "id of the task", R"("camera")").needed(),
            Field("lead", Kind::choice, "who leads it", R"("EV1")").of(words_of<Crew>()),
            Field("during", Kind::text, "the condition all its crew steps are in", R"("daylight")"),
            Field("ends_by", Kind::moment, "when it has ended", R"("03:00")"),
            Field("starts_after", Kind::moment, "when it starts at the earliest", R"("01:00")"),
            Field("worth", Kind::duration, "how much later the crew may be home for it", R"("10 min")")
                .needed()
                .positive(),
        }};
    return section;
}

}  // namespace handrail::detail
