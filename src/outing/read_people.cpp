#include <fmt/format.h>

#include "outing/draft.h"

/// Suit types, the two crew members and the items they handle.
namespace handrail::detail {
namespace {

void read_person(const Fields& from, Draft& draft, CrewMember& person) {
    from.take("name", person.name);
    from.take("metabolic_factor", person.metabolic_factor);
    from.take("experience_factor", person.experience_factor);
    from.take("speed", person.speed);
    from.take("carry", person.carry);
    from.take("work_limit", person.work_limit);
    from.take("heavy_total", person.heavy_total);
    from.take("about", person.about);
    if (const auto suit = draft.reference<SuitTypeId>(from, "suit", draft.suits)) person.suit = *suit;
}

void read_suit(const Fields& from, Draft& draft) {
    SuitType suit;
    from.take("id", suit.id);
    draft.suits.add(suit.id, from.place_of("id"), from, "id");
    suit.name = suit.id;
    from.take("name", suit.name);
    from.take("kind", suit.kind);
    from.take("pressure", suit.pressure);
    from.take("oxygen", suit.oxygen);
    from.take("leak", suit.leak);
    from.take("co2_capacity", suit.co2_capacity);
    from.take("feedwater", suit.feedwater);
    from.take("battery", suit.battery);
    from.take("electrical_load", suit.electrical_load);
    from.take("breathing_gas", suit.breathing_gas);
    from.take("gas_per_100_watts", suit.ventilation_per_watt_100);
    double quotient = suit.respiratory_quotient.value();
    from.take("respiratory_quotient", quotient);
    // Fat alone burns at 0.70, carbohydrate alone at 1.00; hard work can go somewhat over (Weir, J. Physiol. 109,
    // 1949).
    if (quotient < 0.65 || quotient > 1.3)
        from.wrong("respiratory_quotient", "a number from 0.65 to 1.3", fmt::format("{}", quotient),
                   "mixed food is 0.85");
    else
        suit.respiratory_quotient = Fraction{quotient};
    from.take("feedwater_temperature", suit.feedwater_temperature);
    if (suit.feedwater_temperature.value() < 0 || suit.feedwater_temperature.value() > 100)
        from.wrong("feedwater_temperature", "a temperature from 0 to 100 °C",
                   fmt::format("{} °C", suit.feedwater_temperature.value()), "correct it");
    from.take("heat_leak_sunlit", suit.heat_leak_sunlit);
    from.take("heat_leak_dark", suit.heat_leak_dark);
    from.take("secondary_oxygen", suit.secondary_oxygen);
    from.take("reserve", suit.reserve);
    from.take("reserve_rate", suit.reserve_rate);
    const bool needs_rate = suit.reserve > Seconds{0} && !from.has("reserve_rate");
    if (needs_rate)
        from.wrong("reserve_rate", "the metabolic rate at which the reserve is counted", "nothing",
                   "add reserve_rate = \"205 W\"");
    if (suit.breathing_gas && !from.has("gas_per_100_watts"))
        from.wrong("gas_per_100_watts", "how much gas work uses", "nothing", "add gas_per_100_watts = \"8 L/min\"");
    draft.outing.suits.push_back(std::move(suit));
}

}  // namespace

void read_suits(const Fields& file, Draft& draft) {
    for (const Fields& one : file.each("suit")) read_suit(one, draft);
}

void read_crew(const Fields& file, Draft& draft) {
    if (const auto crew = file.one("crew")) {
        for (const Crew who : both_crew) {
            const auto person = crew->one(word(who));
            if (person) read_person(*person, draft, draft.outing.crew[index(who)]);
        }
        const std::array<CrewMember, 2>& both = draft.outing.crew;
        if (!both[0].name.empty() && both[0].name == both[1].name)
            crew->wrong("EV2", "another name than EV1's", shown_text(both[1].name), "rename one of the two");
    }
    if (const auto inside = file.one("inside")) inside->take("iv", draft.outing.iv_name);
}

void read_items(const Fields& file, Draft& draft) {
    const std::vector<Fields> all = file.each("item");
    for (const Fields& from : all) {
        Item item;
        from.take("id", item.id);
        draft.items.add(item.id, from.place_of("id"), from, "id");
        item.name = item.id;
        from.take("name", item.name);
        from.take("size", item.size);
        from.take("holds", item.holds);
        from.take("returns", item.returns);
        from.take("two_people", item.two_people);
        item.at = draft.reference<WorksiteId>(from, "at", draft.worksites);
        if (from.has("at") && from.has("in")) from.wrong("in", "one place: at or in", "both", "keep one of the two");
        if (!from.has("at") && !from.has("in"))
            from.wrong("at", "where it starts", "nothing", "add at = a worksite, or in = a bag");
        draft.outing.items.push_back(std::move(item));
    }
    // Bags may be written after what is in them.
    for (std::size_t i = 0; i < all.size(); ++i)
        if (!all[i].has("at")) draft.outing.items[i].in = draft.reference<ItemId>(all[i], "in", draft.items);
}

void check_items(const Fields& file, const Draft& draft) {
    const std::vector<Item>& items = draft.outing.items;
    std::vector<int> filled(items.size(), 0);
    const Node* list = file.find("item");
    const auto wrong = [&](std::size_t i, std::string_view key, std::string expected, std::string found,
                           std::string remedy) {
        const Node& node = std::get<List>(list->value)[i];
        const Node* value = find(std::get<Table>(node.value), key);
        file.context().errors.add(value ? value->place : node.place,
                                  fmt::format("item {}, {}", shown_text(items[i].name), key), std::move(expected),
                                  std::move(found), std::move(remedy));
    };
    for (std::size_t i = 0; i < items.size(); ++i) {
        if (!items[i].in) continue;
        const std::size_t bag = index(*items[i].in);
        if (items[bag].holds == 0) {
            wrong(i, "in", "a bag: an item with holds", shown_text(items[bag].id),
                  "give that item holds = 6, or name another");
            continue;
        }
        if (items[i].holds > 0) {
            wrong(i, "in", "a bag that lies at a worksite", "a bag in a bag", "put it at a worksite");
            continue;
        }
        filled[bag] += size_units(items[i].size);
    }
    for (std::size_t bag = 0; bag < items.size(); ++bag)
        if (items[bag].holds > 0 && filled[bag] > items[bag].holds)
            wrong(bag, "holds", fmt::format("room for what starts in it: {} size units", filled[bag]),
                  fmt::format("{}", items[bag].holds),
                  "make it larger, or move items out (small 1, medium 2, large 4)");
    for (std::size_t i = 0; i < items.size(); ++i)
        if (items[i].holds > 0 && items[i].size == SizeClass::oversize)
            wrong(i, "size", "small, medium or large for a bag", "\"oversize\"", "nobody can carry an oversize bag");
}

}  // namespace handrail::detail
