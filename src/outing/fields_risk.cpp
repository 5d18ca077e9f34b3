#include "outing/fields.h"
#include "outing/words.h"

/// The fields of [risk]: how times scatter and what may go wrong.
namespace handrail::detail {

const Section& risk_section() {
    static const Section section{
        "risk",
        "How times scatter and what may go wrong; each has a default that names its source "
        "(src/outing/risk_defaults.h)",
        {
            Field("day", Kind::share, "coefficient of variation of a factor on everybody's work", R"("10 %")")
                .not_negative(),
            Field("person", Kind::share, "of a factor of each person's own", R"("5 %")").not_negative(),
            Field("metabolic", Kind::share, "of a factor on each person's metabolic rate", R"("10 %")").not_negative(),
            Field("confidence", Kind::share, "of coming home in time with the reserves, at a decision gate",
                  R"("95 %")")
                .positive(),
            Field("translation", Kind::section, scatter_section(), "translations and tether swaps"),
            Field("handling", Kind::section, scatter_section(), "picking up and putting down"),
            Field("airlock", Kind::section, scatter_section(), "egress, clean-up and ingress"),
            Field("work", Kind::section, work_section(), "steps, by their effort"),
            Field("known_person", Kind::section_list, known_person_section(), "what was learned about a person"),
            Field("trouble", Kind::section_list, trouble_section(), "something that goes wrong now and then"),
            Field("pool_to_flight", Kind::section, pool_section(),
                  "what a time from a pool run is multiplied by before it is learned from"),
        }};
    return section;
}

const Section& scatter_section() {
    static const Section section{
        "scatter",
        "A log-normal share of the planned time",
        {
            Field("median", Kind::number, "of the share", "1.15").positive(),
            Field("sigma", Kind::number, "standard deviation of its logarithm", "0.30").not_negative(),
            Field("weight", Kind::number, "how many observations it stands for", "20").positive(),
            Field("sources", Kind::text_list, "where it comes from", R"(["Outing 3"])"),
        }};
    return section;
}

const Section& work_class_section() {
    static const Section section{
        "work class",
        "How long steps of one effort take: from each step's own low, likely and high, or a share of likely",
        {
            Field("spread", Kind::choice, "what a step's low and high mean", R"("log-normal")").of(words_of<Spread>()),
            Field("median", Kind::number, "with sigma: steps take likely times this share", "1.10").positive(),
            Field("sigma", Kind::number, "standard deviation of the share's logarithm", "0.25").not_negative(),
            Field("weight", Kind::number, "how many observations the share stands for", "20").positive(),
            Field("sources", Kind::text_list, "where the share comes from", R"(["Outing 3"])"),
        }};
    return section;
}

const Section& work_section() {
    static const Section section{
        "work",
        "Steps, by their effort",
        {
            Field("rest", Kind::section, work_class_section(), "resting, holding, waiting"),
            Field("ride", Kind::section, work_class_section(), "riding the arm"),
            Field("light", Kind::section, work_class_section(), "inspection, camera, one hand"),
            Field("tools", Kind::section, work_class_section(), "tools and connectors in a restraint"),
            Field("translate", Kind::section, work_class_section(), "hand over hand"),
            Field("heavy", Kind::section, work_class_section(), "with a large item; into or out of a restraint"),
            Field("airlock", Kind::section, work_class_section(), "at the airlock"),
            Field("forced", Kind::section, work_class_section(), "stuck bolt, forced connector, large mass by hand"),
        }};
    return section;
}

const Section& known_person_section() {
    static const Section section{
        "known person",
        "What was learned about a person's pace, beside their experience factor",
        {
            Field("name", Kind::text, "as in [crew]", R"("Mira Tolvanen")").needed(),
            Field("factor", Kind::number, "on the time of their work", "1.05").needed().positive(),
            Field("sigma", Kind::number, "standard deviation of its logarithm", "0.03").needed().not_negative(),
            Field("sources", Kind::text_list, "where it comes from", R"(["Outing 3"])"),
        }};
    return section;
}

const Section& trouble_section() {
    static const Section section{
        "trouble",
        "Something that goes wrong now and then",
        {
            Field("name", Kind::text, "what it is called", R"("stuck bolt")").needed(),
            Field("kind", Kind::choice,
                  "what it does: delay a step, lose something and with it the rest of the task, "
                  "start late, or hold everybody for a while",
                  R"("delay")")
                .of(words_of<Trouble::Kind>()),
            Field("probability", Kind::share, "of each step named; late start and hold: of the outing", R"("4 %")")
                .needed()
                .positive(),
            Field("extra", Kind::duration3, "the time it costs",
                  R"({ low = "10 min", likely = "15 min", high = "40 min" })")
                .needed()
                .positive(),
            Field("effort", Kind::choice, "what the extra time is worked at", R"("forced")").of(words_of<Effort>()),
            Field("steps", Kind::text_list, "which steps it can strike", R"(["valve.3"])"),
        }};
    return section;
}

const Section& pool_section() {
    static const Section section{
        "pool_to_flight",
        "Factors from times in a pool to times in flight, by effort",
        {
            Field("rest", Kind::number, "resting, holding, waiting", "1.0").positive(),
            Field("ride", Kind::number, "riding the arm", "1.0").positive(),
            Field("light", Kind::number, "inspection, camera, one hand", "1.0").positive(),
            Field("tools", Kind::number, "tools and connectors in a restraint", "1.0").positive(),
            Field("translate", Kind::number, "hand over hand", "1.0").positive(),
            Field("heavy", Kind::number, "with a large item; into or out of a restraint", "1.0").positive(),
            Field("airlock", Kind::number, "at the airlock", "1.0").positive(),
            Field("forced", Kind::number, "stuck bolt, forced connector, large mass by hand", "1.0").positive(),
        }};
    return section;
}

}  // namespace handrail::detail
