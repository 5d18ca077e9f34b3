#include <fmt/format.h>

#include "outing/draft.h"
#include "outing/rules_defaults.h"

namespace handrail::detail {

void read_rules(const Fields& file, Draft& draft) {
    Rules& rules = draft.outing.rules;
    rules = default_rules();
    const std::optional<Fields> from = file.one("rules");
    if (!from) return;
    from->take("limit", rules.limit);
    from->take("margin", rules.margin);
    from->take("egress", rules.egress);
    from->take("ingress", rules.ingress);
    from->take("clean_up", rules.clean_up);
    from->take("tether", rules.tether);
    from->take("tether_swap", rules.tether_swap);
    from->take("pick_up", rules.pick_up);
    from->take("glove_check_every", rules.glove_check_every);
    from->take("glove_check", rules.glove_check);
    from->take("heavy_limit", rules.heavy_limit);
    from->take("rest", rules.rest);
    from->take("partner_within", rules.partner_within);
    from->take("egress_by", rules.egress_by);
    from->take("large_item_pace", rules.large_item_pace);
    from->take("voice_loops", rules.voice_loops);
    for (const Fields& one : from->each("quiet")) {
        Rules::Quiet quiet{{}, {Lane::ev1, Lane::ev2}};
        for (Fields::Placed& text : one.texts("condition")) {
            draft.conditions.push_back({text.text, one.path_of("condition"), text.place});
            quiet.condition = std::move(text.text);
        }
        one.take("lanes", quiet.lanes);
        rules.quiet.push_back(std::move(quiet));
    }
    if (const auto pace = from->one("pace"))
        for (std::size_t i = 0; i < rules.pace_factor.size(); ++i)
            pace->take(word(static_cast<Pace>(i)), rules.pace_factor[i]);
    if (const auto effort = from->one("effort"))
        for (std::size_t i = 0; i < effort_count; ++i)
            effort->take(word(static_cast<Effort>(i)), rules.effort_watts[i]);

    const Seconds overhead = rules.egress + rules.clean_up + rules.ingress;
    if (rules.limit <= overhead)
        from->wrong("limit",
                    fmt::format("more than egress, clean-up and ingress together ({})", print_duration(overhead)),
                    print_duration(rules.limit), "make it longer");
    if (rules.egress_by && since_zero(*rules.egress_by) < rules.egress)
        from->wrong("egress_by", fmt::format("a PET no sooner than egress takes ({})", print_duration(rules.egress)),
                    print_pet(*rules.egress_by), "make it later");
}

void read_prebreathe(const Fields& file, Draft& draft) {
    const std::optional<Fields> from = file.one("prebreathe");
    if (!from) return;
    Prebreathe& protocol = draft.outing.prebreathe.emplace();
    from->take("protocol", protocol.protocol);
    from->take("validated_exercise", protocol.validated_exercise);
    from->take("half_time", protocol.half_time);
    from->take("nitrogen_in_air", protocol.nitrogen_in_air);
    from->take("cabin", protocol.cabin);
    from->take("limit_r", protocol.limit_r);
    from->take("after_break", protocol.after_break);
    for (const Fields& one : from->each("stage")) {
        PrebreatheStage stage;
        one.take("name", stage.name);
        one.take("duration", stage.duration);
        one.take("pressure", stage.pressure);
        one.take("pressure_start", stage.pressure_start);
        one.take("oxygen", stage.oxygen);
        one.take("exercise", stage.exercise);
        protocol.stages.push_back(std::move(stage));
    }
    if (from->has("stage") && protocol.stages.empty())
        from->wrong("stage", "at least one stage", "none", "add [[prebreathe.stage]]");
    for (const Fields& one : from->each("break")) {
        BreakRule rule;
        one.take("up_to", rule.up_to);
        one.take("payback", rule.payback);
        one.take("restart", rule.restart);
        if (!protocol.breaks.empty() && rule.up_to <= protocol.breaks.back().up_to)
            one.wrong("up_to", "a longer break than the one before", print_duration(rule.up_to),
                      "put the breaks in order, shortest first");
        protocol.breaks.push_back(rule);
    }
}

}  // namespace handrail::detail
