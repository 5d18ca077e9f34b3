#include <fmt/format.h>

#include <algorithm>

#include "check/rules.h"

/// Where every item is at every moment, who carries how much, and whether what must come back is back.
namespace handrail::checking {
namespace {

struct ItemState {
    enum class Where : std::uint8_t { loose, installed, in_bag, in_hand, lost } where = Where::loose;
    WorksiteId site{};  ///< loose, installed
    ItemId bag{};       ///< in_bag
    Crew carrier{};     ///< in_hand
};
using Where = ItemState::Where;

/// How an activity uses an item; all but `need` move it, so that only one activity at a time may do that.
enum class Use : std::uint8_t { pick_up, put_down, take, leave, install, move, stow, hand_over, need };

struct Handling {
    Use use{};
    ItemId item{};
};

std::string_view verb(Use use) {
    switch (use) {
        case Use::pick_up:
            return "picks up";
        case Use::put_down:
            return "puts down";
        case Use::take:
            return "takes";
        case Use::leave:
            return "leaves";
        case Use::install:
            return "installs";
        case Use::move:
            return "moves";
        case Use::stow:
            return "stows";
        case Use::hand_over:
            return "hands over";
        case Use::need:
            return "needs";
    }
    return {};
}

/// What the rule asks of the item, to end "..., but it must be".
std::string_view demand(Use use) {
    switch (use) {
        case Use::pick_up:
            return "loose there, or in a bag that is loose there or that they carry";
        case Use::put_down:
            return "carried by them";
        case Use::take:
            return "loose or installed there, or in a bag loose there";
        case Use::leave:
        case Use::hand_over:
            return "carried by someone in the step";
        case Use::stow:
        case Use::install:
        case Use::need:
        case Use::move:
            return "there, or carried by someone in the step";
    }
    return {};
}

std::vector<Handling> handlings_of(const Outing& outing, const Activity& activity) {
    std::vector<Handling> all;
    const auto add = [&](Use use, const std::vector<ItemId>& items) {
        for (const ItemId item : items) all.push_back({use, item});
    };
    if (activity.kind == ActivityKind::pick_up) add(Use::pick_up, activity.items);
    if (activity.kind == ActivityKind::put_down) add(Use::put_down, activity.items);
    if (activity.kind != ActivityKind::step) return all;
    const Step& step = outing.step(*activity.step);
    // The order in which the effects take place at the end of the step.
    add(Use::need, step.needs);
    add(Use::take, step.takes);
    add(Use::leave, step.leaves);
    add(Use::install, step.installs);
    add(Use::move, step.moves);
    add(Use::hand_over, step.hands_over);
    if (step.into) add(Use::need, {*step.into});
    add(Use::stow, step.stows);
    return all;
}

/// The items through the outing. Activities that end at a moment act before those that start at it.
class ItemRun {
public:
    ItemRun(Replay& replay, Report& report)
        : replay_(replay),
          report_(report),
          items_(replay.outing.items.size()),
          touched_(items_.size()),
          handler_(items_.size(), nullptr) {
        for (std::size_t i = 0; i < items_.size(); ++i) {
            const Item& item = replay.outing.items[i];
            if (item.in)
                items_[i] = {Where::in_bag, {}, *item.in, {}};
            else
                items_[i] = {Where::loose, item.at.value_or(replay.outing.station.airlock), {}, {}};
        }
    }

    void run();

private:
    struct Doing {
        const Activity* activity = nullptr;
        std::vector<Handling> handlings;
        std::vector<Crew> crew;
        std::optional<WorksiteId> site, end_site;
        std::vector<bool> wrong;        ///< by handling: already said
        std::array<Stage*, 2> stage{};  ///< by Crew, for those on its lanes
    };
    struct Event {
        Pet at{};
        int phase = 0;  ///< 0 ends, 1 starts, 2 ends of what lasts no time
        std::size_t doing = 0;
    };

    std::vector<Doing> doings();
    static std::vector<Event> events(const std::vector<Doing>& doings);

    void start(Doing& doing);
    void look_again(Doing& doing);
    void finish(Doing& doing);
    void initial_bags();
    void take_facts();
    void returns();
    bool waits_for_its_step(ItemId item) const;

    std::size_t outermost(ItemId item) const;
    std::optional<Crew> carrier(ItemId item) const;
    bool carried_by(ItemId item, const std::vector<Crew>& crew) const;
    bool holds(const Doing& doing, const Handling& handling) const;
    void apply(const Doing& doing, const Handling& handling);
    int units_in_hand(Crew c) const;
    void check_bag(const Doing& doing);
    void check_two_people(const Doing& doing);
    SizeClass load(Crew c) const;
    std::string whereabouts(ItemId item) const;
    void say_misplaced(Doing& doing, std::size_t handling, Pet t);

    Replay& replay_;
    Report& report_;
    std::vector<ItemState> items_;
    std::vector<bool> touched_;             ///< by item: something moved it
    std::vector<const Activity*> handler_;  ///< by item: the running activity that moves it
};

std::vector<ItemRun::Doing> ItemRun::doings() {
    std::vector<Doing> all;
    all.reserve(replay_.activities.size());
    std::array<std::size_t, 2> next{};
    for (const Activity* activity : replay_.activities) {
        Doing doing{.activity = activity,
                    .handlings = handlings_of(replay_.outing, *activity),
                    .crew = replay_.crew_of(*activity),
                    .site = {},
                    .end_site = {},
                    .wrong = {}};
        // Both go by start, so a crew member's stages come in the order of the activities.
        for (const Crew c : both_crew)
            if (activity->on(lane_of(c))) doing.stage[index(c)] = &replay_.of(c)[next[index(c)]++];
        if (doing.handlings.empty() && doing.crew.empty()) continue;
        doing.site = replay_.happens_at(*activity);
        doing.end_site = replay_.ends_at(*activity);
        doing.wrong.resize(doing.handlings.size());
        all.push_back(std::move(doing));
    }
    return all;
}

std::vector<ItemRun::Event> ItemRun::events(const std::vector<Doing>& doings) {
    std::vector<Event> all;
    for (std::size_t i = 0; i < doings.size(); ++i) {
        const Activity& activity = *doings[i].activity;
        all.push_back({activity.start, 1, i});
        all.push_back({activity.end(), activity.duration > Seconds{0} ? 0 : 2, i});
    }
    std::ranges::stable_sort(all, {}, [](const Event& e) { return std::pair(e.at, e.phase); });
    return all;
}

void ItemRun::run() {
    initial_bags();
    std::vector<Doing> all = doings();
    const std::vector<Event> order = events(all);
    bool facts_to_come = !replay_.options.items.empty();
    for (std::size_t i = 0; i < order.size();) {
        // What begins or ends at that moment is to come.
        if (facts_to_come && order[i].at >= replay_.options.items_at) {
            take_facts();
            facts_to_come = false;
        }
        std::size_t same = i;
        while (same < order.size() && order[same].at == order[i].at && order[same].phase == order[i].phase) ++same;
        // What ends together is looked at before any of it takes effect.
        if (order[i].phase != 1)
            for (std::size_t k = i; k < same; ++k) look_again(all[order[k].doing]);
        for (; i < same; ++i) {
            Doing& doing = all[order[i].doing];
            order[i].phase == 1 ? start(doing) : finish(doing);
        }
    }
    if (facts_to_come) take_facts();
    returns();
}

void ItemRun::take_facts() {
    for (const ItemFact& fact : replay_.options.items) {
        constexpr std::array where{Where::loose, Where::in_bag, Where::in_hand, Where::installed, Where::lost};
        items_[index(fact.item)] = {where[static_cast<std::size_t>(fact.where)], fact.site, fact.bag, fact.carrier};
    }
}

void ItemRun::start(Doing& doing) {
    const Activity& activity = *doing.activity;
    for (const Crew c : both_crew)
        if (Stage* stage = doing.stage[index(c)]) stage->load_before = load(c);
    check_two_people(doing);
    for (std::size_t i = 0; i < doing.handlings.size(); ++i) {
        const Handling& handling = doing.handlings[i];
        if (!holds(doing, handling)) say_misplaced(doing, i, activity.start);
        if (handling.use == Use::need) continue;
        const Activity*& handler = handler_[index(handling.item)];
        if (handler && handler != &activity && !doing.wrong[i]) {
            doing.wrong[i] = true;
            report_.add(
                "item", activity.lanes, activity.start, {},
                fmt::format("{} {} {} while {} still handles it: let one wait for the other.", replay_.named(activity),
                            verb(handling.use), replay_.outing.item(handling.item).name, replay_.named(*handler)));
        }
        handler = &activity;
    }
}

/// What an activity uses must still be there when it ends.
void ItemRun::look_again(Doing& doing) {
    for (std::size_t i = 0; i < doing.handlings.size(); ++i)
        if (!doing.wrong[i] && !holds(doing, doing.handlings[i])) say_misplaced(doing, i, doing.activity->end());
}

void ItemRun::finish(Doing& doing) {
    const Activity& activity = *doing.activity;
    std::array<int, 2> units_before{units_in_hand(Crew::ev1), units_in_hand(Crew::ev2)};
    for (std::size_t i = 0; i < doing.handlings.size(); ++i) {
        const Handling& handling = doing.handlings[i];
        // What somebody does not have they cannot put down; all else is taken as meant, so as to be said only once.
        const bool empty_handed = handling.use == Use::put_down || handling.use == Use::leave;
        if (!(doing.wrong[i] && empty_handed)) apply(doing, handling);
        if (handler_[index(handling.item)] == &activity) handler_[index(handling.item)] = nullptr;
    }
    check_bag(doing);
    for (const Crew c : both_crew) {
        if (Stage* stage = doing.stage[index(c)]) stage->load_after = load(c);
        const int units = units_in_hand(c), most = replay_.outing.person(c).carry;
        if (units <= most || units <= units_before[index(c)]) continue;
        report_.add("capacity", {lane_of(c)}, activity.end(), {static_cast<double>(units - most), "units"},
                    fmt::format("after {} {} has {} size units in hand and can carry {}: put something down first.",
                                replay_.named(activity), name(c), units, most));
    }
}

void ItemRun::initial_bags() {
    const std::vector<Item>& items = replay_.outing.items;
    std::vector<int> units(items.size(), 0);
    for (const Item& item : items)
        if (item.in) units[index(*item.in)] += size_units(item.size);
    for (std::size_t i = 0; i < items.size(); ++i)
        if (units[i] > items[i].holds)
            report_.add("capacity", {}, pet(Seconds{0}), {static_cast<double>(units[i] - items[i].holds), "units"},
                        fmt::format("{} starts with {} size units in it and holds {}: pack less into it.",
                                    items[i].name, units[i], items[i].holds));
}

void ItemRun::returns() {
    const Outing& outing = replay_.outing;
    for (std::size_t i = 0; i < items_.size(); ++i) {
        const auto item = static_cast<ItemId>(i);
        const bool lost = std::ranges::find(replay_.options.lost, item) != replay_.options.lost.end();
        if (!outing.items[i].returns || lost || carrier(item) || waits_for_its_step(item)) continue;
        if (items_[outermost(item)].site == outing.station.airlock) continue;
        report_.add("returns", {}, replay_.timeline.finish(), {},
                    fmt::format("{} must come back inside and is {} at the end: bring it to {}.", outing.items[i].name,
                                whereabouts(item), replay_.site_name(outing.station.airlock)));
    }
}

/// An old part is built in until the step that takes it out: left out, there is nothing to bring back.
bool ItemRun::waits_for_its_step(ItemId item) const {
    const std::optional<WorksiteId> place = replay_.outing.item(item).at;
    const ItemState& state = items_[index(item)];
    if (touched_[index(item)] || !place || state.where != Where::loose || state.site != *place) return false;
    return std::ranges::any_of(replay_.outing.steps, [&](const Step& step) {
        const auto has = [&](const std::vector<ItemId>& items) {
            return std::ranges::find(items, item) != items.end();
        };
        return step.at == place && (has(step.takes) || has(step.moves) || has(step.stows));
    });
}

/// The bag around the bag around the item; the item itself when it is in none.
std::size_t ItemRun::outermost(ItemId item) const {
    std::size_t i = index(item);
    for (std::size_t depth = 0; depth < items_.size() && items_[i].where == Where::in_bag; ++depth)
        i = index(items_[i].bag);
    return i;
}

std::optional<Crew> ItemRun::carrier(ItemId item) const {
    const ItemState& outer = items_[outermost(item)];
    return outer.where == Where::in_hand ? std::optional(outer.carrier) : std::nullopt;
}

bool ItemRun::carried_by(ItemId item, const std::vector<Crew>& crew) const {
    const std::optional<Crew> who = carrier(item);
    return who && std::ranges::find(crew, *who) != crew.end();
}

bool ItemRun::holds(const Doing& doing, const Handling& handling) const {
    const ItemState& item = items_[index(handling.item)];
    const ItemState& outer = items_[outermost(handling.item)];
    const bool loose_here = outer.where == Where::loose && doing.site == outer.site;  // by itself or in a bag
    const bool installed_here = item.where == Where::installed && doing.site == item.site;
    const bool carried = carried_by(handling.item, doing.crew);
    switch (handling.use) {
        case Use::pick_up:
            return loose_here || (carried && item.where == Where::in_bag);
        case Use::put_down:
        case Use::leave:
        case Use::hand_over:
            return carried;
        case Use::stow:
            return loose_here || installed_here || carried;
        case Use::take:
            return (loose_here || installed_here) && !doing.crew.empty();
        case Use::install:
        case Use::move:
        case Use::need:
            return loose_here || installed_here || carried;
    }
    return false;
}

void ItemRun::apply(const Doing& doing, const Handling& handling) {
    ItemState& item = items_[index(handling.item)];
    if (item.where == Where::lost) return;  // only the record can say that it was found
    if (handling.use != Use::need) touched_[index(handling.item)] = true;
    const auto put = [&](Where where, std::optional<WorksiteId> site) {
        if (site) item = {where, *site, {}, {}};
    };
    switch (handling.use) {
        case Use::need:
            break;
        case Use::pick_up:
        case Use::take:
            if (!doing.crew.empty()) item = {Where::in_hand, {}, {}, doing.crew.front()};
            break;
        case Use::put_down:
            put(Where::loose, doing.site);
            break;
        case Use::leave:
        case Use::move:
            put(Where::loose, doing.end_site);
            break;
        case Use::install:
            put(Where::installed, doing.end_site);
            break;
        case Use::stow:
            item = {Where::in_bag, {}, replay_.outing.step(*doing.activity->step).into.value(), {}};
            break;
        case Use::hand_over:
            if (const std::optional<Crew> from = carrier(handling.item))
                item = {Where::in_hand, {}, {}, partner(*from)};
            break;
    }
}

/// What was stowed must have found room.
void ItemRun::check_bag(const Doing& doing) {
    const Activity& activity = *doing.activity;
    if (!activity.step || !replay_.outing.step(*activity.step).into) return;
    const ItemId bag = *replay_.outing.step(*activity.step).into;
    int units = 0;
    for (std::size_t i = 0; i < items_.size(); ++i)
        if (items_[i].where == Where::in_bag && items_[i].bag == bag) units += size_units(replay_.outing.items[i].size);
    const int most = replay_.outing.item(bag).holds;
    if (units > most)
        report_.add("capacity", activity.lanes, activity.end(), {static_cast<double>(units - most), "units"},
                    fmt::format("after {} {} has {} size units in it and holds {}: stow less into it.",
                                replay_.named(activity), replay_.outing.item(bag).name, units, most));
}

/// What is too large for one is handled by both or not at all.
void ItemRun::check_two_people(const Doing& doing) {
    if (doing.crew.size() >= 2) return;
    for (const Handling& handling : doing.handlings)
        if (handling.use != Use::need && replay_.outing.item(handling.item).two_people)
            report_.add(
                "item", doing.activity->lanes, doing.activity->start, {},
                fmt::format("{} {} {}, which is too large for one: both must do it.", replay_.named(*doing.activity),
                            verb(handling.use), replay_.outing.item(handling.item).name));
}

int ItemRun::units_in_hand(Crew c) const {
    int units = 0;
    for (std::size_t i = 0; i < items_.size(); ++i)
        if (items_[i].where == Where::in_hand && items_[i].carrier == c)
            units += size_units(replay_.outing.items[i].size);
    return units;
}

SizeClass ItemRun::load(Crew c) const {
    SizeClass largest = SizeClass::small;
    for (std::size_t i = 0; i < items_.size(); ++i)
        if (items_[i].where == Where::in_hand && items_[i].carrier == c)
            largest = std::max(largest, replay_.outing.items[i].size);
    return largest;
}

std::string ItemRun::whereabouts(ItemId item) const {
    const ItemState& state = items_[index(item)];
    const Outing& outing = replay_.outing;
    switch (state.where) {
        case Where::loose:
            return "loose at " + replay_.site_name(state.site);
        case Where::installed:
            return "installed at " + replay_.site_name(state.site);
        case Where::in_hand:
            return "in the hands of " + name(state.carrier);
        case Where::lost:
            return "lost";
        case Where::in_bag:
            break;
    }
    const std::size_t outer = outermost(item);
    return fmt::format("in {}, {}", outing.item(state.bag).name,
                       items_[outer].where == Where::in_hand ? "carried by " + name(items_[outer].carrier)
                                                             : whereabouts(static_cast<ItemId>(outer)));
}

void ItemRun::say_misplaced(Doing& doing, std::size_t handling, Pet t) {
    doing.wrong[handling] = true;
    if (doing.activity->as_run && !replay_.options.items.empty()) return;
    const auto [use, item] = doing.handlings[handling];
    const Activity& activity = *doing.activity;
    report_.add("item", activity.lanes, t, {},
                fmt::format("{}{} {} {}, which is {}; it must be {}.", replay_.named(activity),
                            doing.site ? " at " + replay_.site_name(*doing.site) : "", verb(use),
                            replay_.outing.item(item).name, whereabouts(item), demand(use)),
                activity.step ? source_of(replay_.outing.step(*activity.step).place) : "");
}

}  // namespace

void check_items(Replay& replay, Report& report) { ItemRun(replay, report).run(); }

}  // namespace handrail::checking
