#include "sky/windows.h"

#include <algorithm>
#include <cmath>

namespace handrail::sky {
namespace {

Pet pet_at(double seconds) { return Pet{Milliseconds{std::llround(seconds * 1000.0)}}; }

/// Appends a window unless it is shorter than half a millisecond.
void append(std::vector<Window>& windows, const Stretch& s, const std::string& note = {}) {
    if (pet_at(s.from_s) < pet_at(s.to_s)) windows.emplace_back(pet_at(s.from_s), pet_at(s.to_s), note);
}

std::vector<Window> windows_from(const Stretches& stretches) {
    std::vector<Window> windows;
    for (const Stretch& s : stretches) append(windows, s);
    return windows;
}

/// "Relay East, then Northfield": every link of a stretch of coverage, in the order in which they come into view.
std::string links_through(const std::vector<Link>& links, const Stretch& covered) {
    std::vector<std::pair<double, const Link*>> order;
    for (const Link& link : links)
        for (const Stretch& s : link.in_view)
            if (s.from_s < covered.to_s && covered.from_s < s.to_s) order.emplace_back(s.from_s, &link);
    std::stable_sort(order.begin(), order.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    std::string note;
    for (const auto& [from_s, link] : order) note += (note.empty() ? "" : ", then ") + link->name;
    return note;
}

}  // namespace

WindowTable file_windows(const Outing& outing, Utc pet_zero) {
    const Milliseconds slip = pet_zero - outing.pet_zero;
    if (slip == Milliseconds{0}) return outing.windows;
    WindowTable moved;
    for (const auto& [key, list] : outing.windows.all()) {
        std::vector<Window> windows;
        for (const Window& w : list) windows.emplace_back(w.from() - slip, w.to() - slip, w.note());
        moved.set(key.first, key.second, std::move(windows));
    }
    return moved;
}

void add_computed(WindowTable& table, const Outing& outing, const Survey& survey) {
    const auto set = [&](const char* condition, const std::string& worksite, std::vector<Window> windows) {
        if (!outing.windows.knows(condition)) table.set(condition, worksite, std::move(windows));
    };
    set("daylight", "", windows_from(survey.shadow.sun));
    set("penumbra", "", windows_from(survey.shadow.penumbra));
    set("umbra", "", windows_from(survey.shadow.umbra));
    set("dark", "", windows_from(complement(survey.shadow.sun, survey.from_s, survey.to_s)));
    set("lit", "", windows_from(survey.shadow.sun));
    set("shadowed", "", {});
    set("glare", "", {});
    for (std::size_t w = 0; w < survey.worksites.size(); ++w) {
        std::vector<Window> lit, shadowed, glare;
        for (const WorksiteStretch& s : survey.worksites[w]) {
            switch (s.look.surface) {
                case WorksiteLook::Surface::lit:
                    append(lit, s.when);
                    break;
                case WorksiteLook::Surface::faces_away:
                    append(shadowed, s.when, "faces away from the sun");
                    break;
                case WorksiteLook::Surface::shadowed:
                    append(shadowed, s.when, "by " + outing.station.solids[s.look.solid].name);
                    break;
            }
            if (s.look.glare) append(glare, s.when);
        }
        const std::string& id = outing.station.worksites[w].id;
        set("lit", id, std::move(lit));
        set("shadowed", id, std::move(shadowed));
        set("glare", id, std::move(glare));
    }
    if (survey.links.empty()) return;
    std::vector<Window> coverage;
    for (const Stretch& s : survey.covered) append(coverage, s, links_through(survey.links, s));
    set("coverage", "", std::move(coverage));
}

Result<WindowTable> windows_of(const Outing& outing, Utc pet_zero) {
    WindowTable table = file_windows(outing, pet_zero);
    if (!outing.orbit) return table;
    const Result<Survey> computed = survey(outing, pet_zero, -span_before, span_after);
    if (!computed) return computed.errors();
    add_computed(table, outing, computed.value());
    return table;
}

}  // namespace handrail::sky
