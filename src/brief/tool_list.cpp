#include "brief/tool_list.h"

#include <algorithm>
#include <optional>

#include "brief/carrying.h"
#include "brief/codes.h"
#include "brief/day_words.h"

namespace handrail::brief {
namespace {

/// Writes the list with the plan's item movements at hand.
class Writer {
public:
    Writer(const Outing& outing, const Timeline& timeline, const Wording& say)
        : outing_(outing), timeline_(timeline), say_(say), carrying_(outing, timeline, say), used_(used()) {}

    std::vector<Section> sections() const { return {bags(), items(), ways(), inventory(), rest()}; }

private:
    static constexpr Pet before_anything{std::chrono::hours{-1000}};

    /// Moved by the plan, needed by one of its steps, or in a bag that is moved.
    std::vector<bool> used() const {
        std::vector<bool> out(outing_.items.size(), false);
        for (const Carrying::Change& change : carrying_.changes())
            for (const auto& [item, place] : change.items) out[index(item)] = true;
        for (const Activity& activity : timeline_.activities)
            if (activity.step)
                for (const ItemId item : outing_.step(*activity.step).needs) out[index(item)] = true;
        for (std::size_t pass = 0; pass < out.size(); ++pass)  // bags within bags
            for (std::size_t i = 0; i < out.size(); ++i)
                if (outing_.items[i].in && out[index(*outing_.items[i].in)]) out[i] = true;
        return out;
    }

    std::vector<ItemId> every() const {
        std::vector<ItemId> out;
        for (std::size_t i = 0; i < outing_.items.size(); ++i) out.push_back(ItemId{static_cast<std::uint32_t>(i)});
        return out;
    }

    std::string activity_name(const Activity& activity) const {
        if (!activity.step) return say_.title(outing_, activity);
        return step_code(outing_, *activity.step) + " " + outing_.step(*activity.step).name;
    }

    std::string inside(ItemId bag) const {
        std::string out;
        for (const Item& item : outing_.items)
            if (item.in == bag) out += (out.empty() ? "" : ", ") + item.name;
        return out.empty() ? say_("nothing") : out;
    }

    int units_in(ItemId bag) const {
        int units = 0;
        for (const Item& item : outing_.items)
            if (item.in == bag) units += size_units(item.size);
        return units;
    }

    /// The first time something happens to it: "EV1, pick up Tool bag 1, PET 00:15".
    std::string first_moved(ItemId item) const {
        for (const Carrying::Change& change : carrying_.changes())
            for (const auto& [moved, place] : change.items)
                if (moved == item)
                    return say_("tools.moved", {say_.lanes(*change.activity), print_pet(change.activity->start),
                                                activity_name(*change.activity)});
        const std::optional<ItemId>& bag = outing_.item(item).in;
        return bag ? say_("tools.moved_in", {outing_.item(*bag).name}) : say_("tools.stays");
    }

    Section bags() const {
        Section s{say_("tools.bags"), {}, {}};
        Grid grid{say_("tools.units_note"),
                  {{say_("tools.packed"), Kind::box},
                   {say_("tools.bag")},
                   {say_("tools.holds")},
                   {say_("tools.at_first")},
                   {say_("tools.units"), Kind::number},
                   {say_("tools.first_moved")}},
                  {}};
        for (const ItemId id : every())
            if (outing_.item(id).holds > 0 && used_[index(id)])
                grid.rows.push_back(
                    {"", outing_.item(id).name, inside(id), carrying_.whereabouts(id, before_anything),
                     say_("tools.of", {std::to_string(units_in(id)), std::to_string(outing_.item(id).holds)}),
                     first_moved(id)});
        if (grid.rows.empty())
            s.sentences.push_back({say_("tools.no_bag")});
        else
            s.grids.push_back(std::move(grid));
        return s;
    }

    Section items() const {
        Section s{say_("tools.items"), {}, {}};
        Grid grid{"",
                  {{say_("tools.there"), Kind::box},
                   {say_("tools.item")},
                   {say_("tools.size")},
                   {say_("tools.at_first")},
                   {say_("tools.first_moved")},
                   {say_("tools.must_return")}},
                  {}};
        for (const ItemId id : every()) {
            const Item& item = outing_.item(id);
            if (item.holds > 0 || !used_[index(id)]) continue;
            grid.rows.push_back({"", item.name, say_.size(item.size), carrying_.whereabouts(id, before_anything),
                                 first_moved(id), say_(item.returns ? "yes" : "no")});
        }
        if (!grid.rows.empty()) s.grids.push_back(std::move(grid));
        return s;
    }

    Section ways() const {
        Section s{say_("tools.ways"), {}, {}};
        Grid grid{
            say_("tools.ways_note"), {{"PET"}, {say_("tools.activity")}, {say_("who")}, {say_("tools.then")}}, {}};
        for (const Carrying::Change& change : carrying_.changes()) {
            std::string then;
            for (const auto& [item, place] : change.items)
                then +=
                    (then.empty() ? "" : "; ") + outing_.item(item).name + " " + carrying_.whereabouts(item, change.at);
            grid.rows.push_back(
                {print_pet(change.at), activity_name(*change.activity), say_.lanes(*change.activity), then});
        }
        if (grid.rows.empty())
            s.sentences.push_back({say_("tools.nothing_moved")});
        else
            s.grids.push_back(std::move(grid));
        return s;
    }

    /// Back inside: carried by one of the two, in a bag that is, or at the airlock.
    bool back(ItemId id) const {
        const std::vector<Carrying::Place> end = carrying_.at(Pet::max());
        for (std::size_t depth = 0; depth <= end.size(); ++depth) {
            const Carrying::Place& place = end[index(id)];
            switch (place.where) {
                case Carrying::Place::Where::carried:
                    return true;
                case Carrying::Place::Where::in_bag:
                    id = place.bag;
                    break;
                case Carrying::Place::Where::loose:
                case Carrying::Place::Where::installed:
                    return place.site == outing_.station.airlock;
            }
        }
        return false;
    }

    Section inventory() const {
        Section s{say_("tools.inventory"), {}, {}};
        Grid back_in{say_("tools.inventory_note"),
                     {{say_("tools.seen"), Kind::box},
                      {say_("tools.item")},
                      {say_("tools.planned_then")},
                      {say_("tools.found"), Kind::blank}},
                     {}};
        Grid stays{say_("tools.stays_note"), {{say_("tools.item")}, {say_("where")}}, {}};
        for (const ItemId id : every()) {
            const Item& item = outing_.item(id);
            const std::string where = carrying_.whereabouts(id, Pet::max());
            if (item.returns && used_[index(id)]) {
                back_in.rows.push_back({"", item.name, where, ""});
                if (!back(id)) s.sentences.push_back({say_("tools.not_back", {item.name, where}), Weight::finding});
            } else if (used_[index(id)] && !back(id)) {
                stays.rows.push_back({item.name, where});
            }
        }
        if (!back_in.rows.empty()) s.grids.push_back(std::move(back_in));
        if (!stays.rows.empty()) s.grids.push_back(std::move(stays));
        return s;
    }

    Section rest() const {
        std::string names;
        for (const ItemId id : every())
            if (!used_[index(id)]) names += (names.empty() ? "" : ", ") + outing_.item(id).name;
        if (names.empty()) return {};
        return {say_("tools.unused"), {{names + "."}}, {}};
    }

    const Outing& outing_;
    const Timeline& timeline_;
    const Wording say_;
    Carrying carrying_;
    std::vector<bool> used_;
};

/// Items that the record has elsewhere than the first plan would by now.
Section differences(const Outing& outing, const live::Day& day, const Wording& say) {
    const Carrying planned(outing, *day.first_plan, say);
    const Pet now = day.pet_now();
    Section s{say("tools.day"), {}, {}};
    Grid grid{say("tools.day_note", {print_pet(now)}),
              {{say("tools.item")}, {say("tools.recorded")}, {say("tools.planned")}},
              {}};
    for (std::size_t i = 0; i < outing.items.size(); ++i) {
        const auto item = static_cast<ItemId>(i);
        if (day.items[i].where == plan::ItemPlace::Where::lost)
            s.sentences.push_back({say("tools.lost", {outing.items[i].name}), Weight::finding});
        const std::string is = item_place(outing, day.items, item, say), was = planned.whereabouts(item, now);
        if (is != was) grid.rows.push_back({outing.items[i].name, is, was});
    }
    if (grid.rows.empty())
        s.sentences.push_back({say("tools.day_none", {print_pet(now)})});
    else
        s.grids.push_back(std::move(grid));
    return s;
}

}  // namespace

Grid tool_table(const Outing& outing, const Timeline& timeline, const Wording& say) {
    const Carrying carrying(outing, timeline, say);
    Grid grid{"",
              {{say("tools.item")},
               {say("tools.size")},
               {say("tools.bag")},
               {say("tools.at_first")},
               {say("tools.at_end")},
               {say("tools.must_return")}},
              {}};
    for (std::size_t i = 0; i < outing.items.size(); ++i) {
        const Item& item = outing.items[i];
        const auto id = static_cast<ItemId>(i);
        grid.rows.push_back({item.name, say.size(item.size), item.in ? outing.item(*item.in).name : "",
                             carrying.whereabouts(id, Pet::min()), carrying.whereabouts(id, Pet::max()),
                             say(item.returns ? "yes" : "no")});
    }
    return grid;
}

std::vector<Section> tool_list(const Outing& outing, const Timeline& timeline, const Wording& say,
                               const live::Day* day) {
    if (day != nullptr && scrubbed(*day)) return {{say("tools.day"), {{say("close.items_untouched")}}, {}}};
    std::vector<Section> sections = Writer(outing, timeline, say).sections();
    if (day != nullptr && day->first_plan) sections.insert(sections.begin(), differences(outing, *day, say));
    std::erase_if(sections, [](const Section& s) { return s.sentences.empty() && s.grids.empty(); });
    return sections;
}

}  // namespace handrail::brief
