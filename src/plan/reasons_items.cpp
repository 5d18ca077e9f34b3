#include <fmt/format.h>

#include "plan/reasons.h"

namespace handrail::plan::detail {

namespace {

/// Where it lies, or the outermost bag it is in; -1: in a hand or installed.
int site_of(const Problem& problem, int item) {
    const std::vector<ItemPlace>& places = problem.situation->items;
    for (std::size_t round = 0; round <= places.size(); ++round) {
        const ItemPlace& place = places[static_cast<std::size_t>(item)];
        if (place.where == ItemPlace::Where::loose) return static_cast<int>(index(place.site));
        if (place.where != ItemPlace::Where::in_bag) return -1;
        item = static_cast<int>(index(place.bag));
    }
    return -1;
}

bool no_way_for(const Problem& problem, const Decoder::MissingItem& missing) {
    const int from = site_of(problem, missing.item);
    const int to = problem.steps[static_cast<std::size_t>(missing.step)].at;
    if (problem.outing->items[static_cast<std::size_t>(missing.item)].size != SizeClass::large) return false;
    if (from < 0 || to < 0 || from == to) return false;
    const auto any_way = [&](std::size_t load) {
        const int anchors = static_cast<int>(problem.anchors.size());
        for (const auto& of_person : problem.ways)
            for (int a = 0; a < anchors; ++a)
                for (int b = 0; b < anchors; ++b)
                    if (of_person[load].time(problem.state(from, a), problem.state(to, b)) < never) return true;
        return false;
    };
    return any_way(0) && !any_way(1);
}

}  // namespace

std::optional<Decoder::MissingItem> held_up_by_size(const Problem& problem, int task) {
    for (const StepId id : problem.outing->tasks[static_cast<std::size_t>(task)].steps)
        for (const int item : problem.steps[index(id)].at_hand) {
            const Decoder::MissingItem one{static_cast<int>(index(id)), item};
            if (no_way_for(problem, one)) return one;
        }
    return std::nullopt;
}

std::string why_not_brought(const Problem& problem, const Sequence& sequence, const Decoder::MissingItem& missing) {
    const Outing& outing = *problem.outing;
    const StepData& step = problem.steps[static_cast<std::size_t>(missing.step)];
    const Item& item = outing.items[static_cast<std::size_t>(missing.item)];
    const std::string& label = outing.steps[static_cast<std::size_t>(missing.step)].label;
    const std::string site = step.at < 0 ? "there" : outing.worksite(static_cast<WorksiteId>(step.at)).name;
    if (item.two_people)
        return fmt::format(
            "\"{}\" cannot be brought to {} for {}: it takes two people, so a step of lead and helper must move it "
            "there, or it must lie there to begin with",
            item.name, site, label);
    if (item.size == SizeClass::oversize)
        return fmt::format(
            "\"{}\" cannot be brought to {} for {}: it is oversize and nobody carries it, so a step must move it "
            "there, or it must lie there to begin with",
            item.name, site, label);
    if (no_way_for(problem, missing))
        return fmt::format(
            "\"{}\" cannot be brought to {} for {}: no way there is wide enough for it, so it must lie there to begin "
            "with, or the largest that a route lets through must be more",
            item.name, site, label);
    std::array<int, 2> crew{};
    const int count = problem.crew_of(step, sequence.lead[static_cast<std::size_t>(step.task)], crew);
    std::string who;
    for (int i = 0; i < count; ++i) {
        const auto one = static_cast<Crew>(crew[static_cast<std::size_t>(i)]);
        if (outing.person(one).carry >= size_units(item.size))
            return fmt::format("\"{}\" is not at hand for {} and cannot be fetched", item.name, label);
        who += (who.empty() ? "" : " or ") + std::string(word(one));
    }
    return fmt::format(
        "\"{}\" cannot be brought for {}: it is more than {} can carry, so somebody else must bring it, or it must "
        "lie there to begin with",
        item.name, label, who);
}

}  // namespace handrail::plan::detail
