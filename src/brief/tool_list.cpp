#include "brief/tool_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "brief/carrying.h"
#include "brief/codes.h"

namespace handrail::brief {
namespace {

/// Writes the list with the plan's item movements at hand.
class Writer {
public:
    Writer(const Outing& outing, const Timeline& timeline)
        : outing_(outing), timeline_(timeline), carrying_(outing, timeline), used_(used()) {}

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
        if (!activity.step) return title(outing_, activity);
        return step_code(outing_, *activity.step) + " " + outing_.step(*activity.step).name;
    }

    std::string inside(ItemId bag) const {
        std::string out;
        for (const Item& item : outing_.items)
            if (item.in == bag) out += (out.empty() ? "" : ", ") + item.name;
        return out.empty() ? "nothing" : out;
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
                if (moved == item) {
                    std::string who;
                    for (const Lane lane : change.activity->lanes)
                        who += (who.empty() ? "" : " and ") + std::string(word(lane));
                    return fmt::format("{}, PET {}: {}", who, print_pet(change.activity->start),
                                       activity_name(*change.activity));
                }
        const std::optional<ItemId>& bag = outing_.item(item).in;
        return bag ? "in " + outing_.item(*bag).name + ", " + first_moved(*bag) : "stays where it is";
    }

    Section bags() const {
        Section s{"Bags", {}, {}};
        Grid grid{
            "Size units in a bag: small 1, medium 2, large 4.",
            {{"Packed", Kind::box}, {"Bag"}, {"Holds"}, {"At first"}, {"Units", Kind::number}, {"First moved by"}},
            {}};
        for (const ItemId id : every())
            if (outing_.item(id).holds > 0 && used_[index(id)])
                grid.rows.push_back({"", outing_.item(id).name, inside(id), carrying_.whereabouts(id, before_anything),
                                     fmt::format("{} of {}", units_in(id), outing_.item(id).holds), first_moved(id)});
        if (grid.rows.empty())
            s.sentences.push_back({"No bag is used in this plan."});
        else
            s.grids.push_back(std::move(grid));
        return s;
    }

    Section items() const {
        Section s{"Tools and parts", {}, {}};
        Grid grid{
            "", {{"There", Kind::box}, {"Item"}, {"Size"}, {"At first"}, {"First moved by"}, {"Must come back"}}, {}};
        for (const ItemId id : every()) {
            const Item& item = outing_.item(id);
            if (item.holds > 0 || !used_[index(id)]) continue;
            grid.rows.push_back({"", item.name, std::string(word(item.size)),
                                 carrying_.whereabouts(id, before_anything), first_moved(id),
                                 item.returns ? "yes" : "no"});
        }
        if (!grid.rows.empty()) s.grids.push_back(std::move(grid));
        return s;
    }

    Section ways() const {
        Section s{"Where everything is, in order", {}, {}};
        Grid grid{
            "Each row is the end of an activity that moves something.", {{"PET"}, {"Activity"}, {"Who"}, {"Then"}}, {}};
        for (const Carrying::Change& change : carrying_.changes()) {
            std::string then, who;
            for (const auto& [item, place] : change.items)
                then +=
                    (then.empty() ? "" : "; ") + outing_.item(item).name + " " + carrying_.whereabouts(item, change.at);
            for (const Lane lane : change.activity->lanes) who += (who.empty() ? "" : ", ") + std::string(word(lane));
            grid.rows.push_back({print_pet(change.at), activity_name(*change.activity), who, then});
        }
        if (grid.rows.empty())
            s.sentences.push_back({"Nothing is moved in this plan."});
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
        Section s{"Inventory before ingress", {}, {}};
        Grid back_in{"These must be inside when the hatch closes.",
                     {{"Seen", Kind::box}, {"Item"}, {"By this plan it is then"}, {"Where it was found", Kind::blank}},
                     {}};
        Grid stays{"These are outside at the end of the plan.", {{"Item"}, {"Where"}}, {}};
        for (const ItemId id : every()) {
            const Item& item = outing_.item(id);
            const std::string where = carrying_.whereabouts(id, Pet::max());
            if (item.returns) {
                back_in.rows.push_back({"", item.name, where, ""});
                if (!back(id))
                    s.sentences.push_back(
                        {fmt::format("{} must come back and by this plan does not: it is {}.", item.name, where),
                         Weight::finding});
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
        return {"Not used by this plan", {{names + "."}}, {}};
    }

    const Outing& outing_;
    const Timeline& timeline_;
    Carrying carrying_;
    std::vector<bool> used_;
};

}  // namespace

std::vector<Section> tool_list(const Outing& outing, const Timeline& timeline) {
    std::vector<Section> sections = Writer(outing, timeline).sections();
    std::erase_if(sections, [](const Section& s) { return s.sentences.empty() && s.grids.empty(); });
    return sections;
}

}  // namespace handrail::brief
