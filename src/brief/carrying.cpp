#include "brief/carrying.h"

#include <algorithm>

namespace handrail::brief {

Carrying::Carrying(const Outing& outing, const Timeline& timeline, const Wording& say) : outing_(outing), say_(say) {
    for (const Item& item : outing.items) {
        Place place;
        place.site = item.at.value_or(outing.station.airlock);
        if (item.in) {
            place.where = Place::Where::in_bag;
            place.bag = *item.in;
        }
        first_.push_back(place);
    }
    std::vector<const Activity*> order;
    for (const Activity& activity : timeline.activities) order.push_back(&activity);
    std::stable_sort(order.begin(), order.end(),
                     [](const Activity* a, const Activity* b) { return a->end() < b->end(); });

    std::vector<Place> now = first_;
    for (const Activity* activity : order) {
        Change change{activity->end(), activity, {}};
        if (activity->step) {
            const Step& step = outing.step(*activity->step);
            const Crew lead = timeline.lead_of(step.task).value_or(Crew::ev1);
            const std::vector<Crew> people = crew_in(step, lead);
            const WorksiteId end = !activity->path.empty() ? activity->path.back()
                                                           : step.to.value_or(step.at.value_or(outing.station.airlock));
            if (!people.empty())
                for (const ItemId item : step.takes)
                    if (now[index(item)].where != Place::Where::carried)
                        change.items.emplace_back(item, Place{Place::Where::carried, {}, {}, people.front()});
            for (const auto* list : {&step.leaves, &step.moves})
                for (const ItemId item : *list)
                    change.items.emplace_back(item, Place{Place::Where::loose, end, {}, {}});
            for (const ItemId item : step.installs)
                change.items.emplace_back(item, Place{Place::Where::installed, end, {}, {}});
        } else {
            change.items = effect(*activity);
        }
        if (change.items.empty()) continue;
        for (const auto& [item, place] : change.items) now[index(item)] = place;
        changes_.push_back(std::move(change));
    }
}

std::vector<std::pair<ItemId, Carrying::Place>> Carrying::effect(const Activity& activity) const {
    std::vector<std::pair<ItemId, Place>> out;
    const bool up = activity.kind == ActivityKind::pick_up;
    if ((!up && activity.kind != ActivityKind::put_down) || activity.lanes.empty()) return out;
    const Crew who = activity.on(Lane::ev1) ? Crew::ev1 : Crew::ev2;
    const WorksiteId site = activity.path.empty() ? outing_.station.airlock : activity.path.back();
    for (const ItemId item : activity.items)
        out.emplace_back(item,
                         up ? Place{Place::Where::carried, {}, {}, who} : Place{Place::Where::loose, site, {}, {}});
    return out;
}

std::vector<Carrying::Place> Carrying::at(Pet t) const {
    std::vector<Place> now = first_;
    for (const Change& change : changes_) {
        if (t < change.at) break;
        for (const auto& [item, place] : change.items) now[index(item)] = place;
    }
    return now;
}

std::string Carrying::hands(Crew crew, Pet t) const {
    const std::vector<Place> now = at(t);
    std::string out;
    for (std::size_t i = 0; i < now.size(); ++i) {
        if (now[i].where != Place::Where::carried || now[i].carrier != crew) continue;
        std::string inside;
        for (std::size_t j = 0; j < now.size(); ++j)
            if (now[j].where == Place::Where::in_bag && index(now[j].bag) == i)
                inside += (inside.empty() ? "" : ", ") + outing_.items[j].name;
        out += (out.empty() ? "" : ", ") + outing_.items[i].name + (inside.empty() ? "" : " (" + inside + ")");
    }
    return out.empty() ? say_("nothing") : out;
}

std::string Carrying::whereabouts(ItemId item, Pet t) const {
    const std::vector<Place> now = at(t);
    std::string out;
    // A bag within a bag within a bag: never deeper than there are items.
    for (std::size_t depth = 0; depth <= now.size(); ++depth) {
        const Place& place = now[index(item)];
        const std::string join = out.empty() ? "" : ", ";
        switch (place.where) {
            case Place::Where::carried:
                return out + join + say_("item.carried", {say_.crew(place.carrier)});
            case Place::Where::loose:
                return out + join + say_("item.at", {outing_.worksite(place.site).name});
            case Place::Where::installed:
                return out + join + say_("item.fitted", {outing_.worksite(place.site).name});
            case Place::Where::in_bag:
                out += join + say_("item.in", {outing_.item(place.bag).name});
                item = place.bag;
                break;
        }
    }
    return out;
}

std::string names_of(const Outing& outing, const std::vector<ItemId>& items) {
    std::string text;
    for (const ItemId item : items) text += (text.empty() ? "" : ", ") + outing.item(item).name;
    return text;
}

}  // namespace handrail::brief
