#include <algorithm>
#include <cctype>
#include <variant>

#include "brief/codes.h"
#include "brief/registry.h"
#include "live/corrections.h"

namespace handrail::brief {
namespace {

using live::Recorded;

/// As printed: upper case, one dash in the middle, look-alikes read as what they can only have been.
std::string as_printed(std::string_view typed) {
    std::string code;
    for (const char c : typed) {
        if (std::isalnum(static_cast<unsigned char>(c)) == 0) continue;
        const char upper = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
        // The code has 8 and 9 but neither I, O, 0 nor 1.
        code += upper == 'I' || upper == '1' ? 'L' : upper == 'O' || upper == '0' ? 'Q' : upper;
    }
    return code.size() == 8 ? code.substr(0, 4) + "-" + code.substr(4) : code;
}

/// The plan an entry puts in force, if it does.
const std::string* plan_in(const live::Entry& entry) {
    if (const auto* opened = std::get_if<live::OutingOpened>(&entry.body)) return &opened->timeline;
    if (const auto* adopted = std::get_if<live::PlanAdopted>(&entry.body)) return &adopted->timeline;
    return nullptr;
}

std::string id_of(const Outing& outing, const std::string& timeline_json) {
    auto timeline = read_timeline(outing, timeline_json, "journal");
    return timeline ? plan_id(outing, timeline.value()) : "";
}

}  // namespace

Verified verify(std::string_view typed, const Outing& outing, std::span<const Recorded> entries) {
    const std::string code = as_printed(typed);
    Verified result;
    result.newest = entries.empty() ? 0 : live::number(entries.back().position);
    const live::Standing standing = live::standing(entries);
    std::vector<std::string> ids(entries.size());  // of plans that entries put in force
    for (std::size_t i = 0; i < entries.size(); ++i)
        if (const std::string* plan = plan_in(entries[i].entry)) ids[i] = id_of(outing, *plan);
    for (std::size_t i = 0; i < ids.size(); ++i)
        if (!ids[i].empty() && standing.in_force[i]) result.plan = ids[i];

    // A document knows the entries up to its position; an adoption among them may have been taken back since, so every
    // plan known by then is tried.
    std::vector<std::string> known;
    for (std::size_t i = 0; i < entries.size() && result.made_plan.empty(); ++i) {
        if (!ids[i].empty() && std::ranges::find(known, ids[i]) == known.end()) known.push_back(ids[i]);
        for (const std::string& plan : known) {
            if (document_code(plan, live::number(entries[i].position)) == code) {
                result.made_plan = plan;
                result.made_at = live::number(entries[i].position);
            } else if (document_code(plan, {}) == code) {
                result.made_plan = plan;
            }
        }
    }
    if (result.made_plan.empty()) return result;
    using Verdict = Verified::Verdict;
    result.verdict = result.made_plan != result.plan                      ? Verdict::superseded
                     : result.made_at && *result.made_at != result.newest ? Verdict::same_plan
                                                                          : Verdict::current;
    return result;
}

std::string verdict_words(const Verified& v, const Wording& say) {
    const std::string newest = std::to_string(v.newest);
    switch (v.verdict) {
        case Verified::Verdict::current:
            return v.made_at ? say("verify.current", {newest, v.plan}) : say("verify.current_plan", {v.plan, newest});
        case Verified::Verdict::same_plan:
            if (v.newest - v.made_at.value_or(0) == 1)
                return say("verify.same_plan_one", {std::to_string(*v.made_at), v.plan, newest});
            return say("verify.same_plan", {std::to_string(v.made_at.value_or(0)), v.plan,
                                            std::to_string(v.newest - v.made_at.value_or(0)), newest});
        case Verified::Verdict::superseded:
            return say("verify.superseded",
                       {v.made_plan, v.made_at ? say("verify.at", {std::to_string(*v.made_at)}) : say("verify.before"),
                        v.plan, newest});
        case Verified::Verdict::unknown:
            return say("verify.unknown");
    }
    return {};
}

}  // namespace handrail::brief
