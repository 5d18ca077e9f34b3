#include "brief/finding_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "brief/codes.h"
#include "brief/said.h"

namespace handrail::brief {
namespace {

/// "16 min", "5 m", "2 Schritte": the checker's measure in this language; empty without one.
std::string amount_words(const Finding& finding, const Wording& say) {
    if (finding.unit.empty() || finding.amount == 0) return {};
    if (finding.unit == "s" && finding.amount >= 60)
        return print_duration(Seconds{static_cast<Seconds::rep>(std::llround(finding.amount))});
    const std::string unit = finding.unit == "units"   ? say("unit.units")
                             : finding.unit == "steps" ? say("unit.steps")
                                                       : finding.unit;
    return say.number(finding.amount >= 1000 ? fmt::format("{:.0f}", finding.amount)
                                             : fmt::format("{:.3g}", finding.amount)) +
           " " + unit;
}

/// What its lanes do at that moment: "B3 Free the bolt". Empty where they do nothing, or nobody is to blame.
std::string doing(const Outing& outing, const Timeline& timeline, const Finding& finding, const Wording& say) {
    const Activity* found = nullptr;
    for (const Activity& activity : timeline.activities) {
        const bool there = std::ranges::any_of(finding.lanes, [&](Lane lane) { return activity.on(lane); });
        if (!there || finding.at < activity.start || activity.end() < finding.at) continue;
        // Where one ends and another begins, the one that begins.
        if (found == nullptr || activity.start == finding.at) found = &activity;
    }
    if (found == nullptr) return {};
    const std::string title = say.title(outing, *found);
    return found->step ? step_code(outing, *found->step) + " " + title : title;
}

}  // namespace

std::string words_of_fields(const Outing& outing, const Timeline& timeline, const Finding& finding,
                            const Wording& say) {
    const bool noted = finding.severity == Severity::note && (finding.rule == "limit" || finding.rule == "preference");
    // Turning back too late breaks the reserve of a suit or, measured in time, the hard end.
    const bool late_home = finding.rule == "turn-back" && finding.unit == "s";
    std::string words = late_home ? say("broken.turn-back-limit") : say((noted ? "noted." : "broken.") + finding.rule);
    // A wish is worth an amount; every other rule is broken by one.
    if (const std::string amount = amount_words(finding, say); !amount.empty() && finding.rule != "preference")
        words = say("broken.by", {words, amount});
    const std::string whose = doing(outing, timeline, finding, say);
    return whose.empty() ? words : say("broken.whose", {whose, words});
}

std::string finding_words(const Outing& outing, const Timeline& timeline, const Finding& finding, const Wording& say) {
    return say.language() == Language::english ? with_codes(outing, finding.what)
                                               : words_of_fields(outing, timeline, finding, say);
}

}  // namespace handrail::brief
