#include "support/random_outing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

namespace handrail::test {
namespace {

/// SplitMix64 (Steele, Lea and Flood, OOPSLA 2014): small, and the same everywhere.
class Dice {
public:
    explicit Dice(std::uint64_t seed) : state_(seed) {}
    std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9E3779B97F4A7C15u);
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
        return z ^ (z >> 31);
    }
    /// From `low` to `high`, both included.
    int between(int low, int high) {
        return low + static_cast<int>(next() % static_cast<std::uint64_t>(high - low + 1));
    }
    bool percent(int chance) { return between(1, 100) <= chance; }
    template <class T>
    const T& one_of(const std::vector<T>& choices) {
        return choices[static_cast<std::size_t>(between(0, static_cast<int>(choices.size()) - 1))];
    }

private:
    std::uint64_t state_;
};

struct Site {
    std::string id;
    double x_m = 0, y_m = 0, z_m = 0;
    bool anchor = false;
    double from_anchor_m = 0;  ///< along the way it was built, from the last anchor on it
};

double distance_m(const Site& a, const Site& b) { return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m, a.z_m - b.z_m); }

std::string pet_text(int minutes) { return fmt::format("{:02}:{:02}", minutes / 60, minutes % 60); }

class Writer {
public:
    Writer(std::uint64_t seed, const RandomSize& size) : dice_(seed), size_(size) {}

    std::string write() {
        build_station();
        build_things();
        const int tasks = dice_.between(size_.fewest_tasks, size_.most_tasks);
        for (int i = 0; i < tasks; ++i) build_task(i, tasks);
        return head() + station_ + items_ + windows() + tasks_;
    }

private:
    // ---- the station

    void build_station() {
        sites_.push_back({"airlock", 0, 0, 0, true, 0});
        const int count = dice_.between(size_.fewest_worksites, size_.most_worksites);
        std::string routes;
        for (int i = 1; i < count; ++i) {
            const auto parent = static_cast<std::size_t>(dice_.between(std::max(0, i - 4), i - 1));
            const int length_m = dice_.between(3, 12);
            // The tether reaches 26 m: where it would end, the way on starts at an anchor.
            if (sites_[parent].from_anchor_m + length_m > 22) anchor(parent);
            Site site{fmt::format("site-{}", i),
                      sites_[parent].x_m,
                      sites_[parent].y_m,
                      sites_[parent].z_m,
                      false,
                      sites_[parent].from_anchor_m + length_m};
            const double straight_m = 0.8 * length_m;
            const int axis = dice_.between(0, 2);
            (axis == 0 ? site.x_m : axis == 1 ? site.y_m : site.z_m) += dice_.percent(50) ? straight_m : -straight_m;
            sites_.push_back(site);
            if (dice_.percent(30)) anchor(sites_.size() - 1);
            routes += route(parent, sites_.size() - 1, length_m);
        }
        for (int extra = dice_.between(0, count / 3); extra > 0; --extra) {
            const auto a = static_cast<std::size_t>(dice_.between(0, count - 1));
            const auto b = static_cast<std::size_t>(dice_.between(0, count - 1));
            if (a != b) routes += route(a, b, dice_.between(6, 20));
        }
        station_ = "[station]\nname = \"Scaffold\"\nairlock = \"airlock\"\n\n";
        if (dice_.percent(60)) station_ += arm();
        for (const Site& site : sites_)
            station_ += fmt::format(
                "[[station.worksite]]\nid = \"{}\"\nposition = [\"{} m\", \"{} m\", \"{} m\"]\n"
                "anchor = {}\n\n",
                site.id, site.x_m, site.y_m, site.z_m, site.anchor);
        station_ += routes;
    }
    void anchor(std::size_t site) {
        sites_[site].anchor = true;
        sites_[site].from_anchor_m = 0;
    }
    std::string route(std::size_t a, std::size_t b, int length_m) {
        const char* largest = dice_.percent(70) ? "large" : dice_.percent(70) ? "medium" : "oversize";
        return fmt::format(
            "[[station.route]]\nbetween = [\"{}\", \"{}\"]\nlength = \"{} m\"\npace = \"{}\"\n"
            "largest = \"{}\"\n\n",
            sites_[a].id, sites_[b].id, length_m, dice_.one_of<std::string>({"easy", "normal", "normal", "careful"}),
            largest);
    }
    std::string arm() {
        const Site& parked = dice_.one_of(sites_);
        const Site base{"", parked.x_m, parked.y_m, parked.z_m - 2, false, 0};
        const int reach_m = dice_.between(8, 20);
        for (const Site& site : sites_)
            if (distance_m(site, base) < reach_m - 0.01) in_reach_.push_back(site.id);
        return fmt::format(
            "[station.arm]\nname = \"Crane\"\nbase = [\"{} m\", \"{} m\", \"{} m\"]\nreach = \"{} m\"\n"
            "speed = \"0.1{} m/s\"\nsetup = \"{} min\"\nparked = \"{}\"\n\n",
            base.x_m, base.y_m, base.z_m, reach_m, dice_.between(0, 9), dice_.between(0, 3), parked.id);
    }

    // ---- people, rules, windows

    std::string head() {
        std::string text =
            "handrail = 1\n\n[outing]\nname = \"Random outing\"\nnote = \"invented\"\n"
            "pet_zero = \"2031-04-05T08:30:00Z\"\n\n[inside]\niv = \"Ines\"\n\n";
        for (const char* who : {"EV1", "EV2"})
            text += fmt::format(
                "[crew.{0}]\nname = \"Person {0}\"\nsuit = \"suit-{1}\"\nspeed = \"0.{2} m/s\"\n"
                "metabolic_factor = {3}\nexperience_factor = {4}\ncarry = {5}\n\n",
                who, dice_.between(1, 2), dice_.between(15, 30), 0.01 * dice_.between(80, 120),
                0.01 * dice_.between(90, 125), dice_.between(4, 7));
        const int plenty_percent = dice_.between(90, 160);
        text += fmt::format(
            "[[suit]]\nid = \"suit-1\"\noxygen = \"{} kg\"\nleak = \"5 g/h\"\nco2_capacity = \"{} kg\"\n"
            "feedwater = \"{} kg\"\nbattery = \"{} Wh\"\nelectrical_load = \"60 W\"\nheat_leak_sunlit = \"60 W\"\n"
            "heat_leak_dark = \"-20 W\"\nreserve = \"30 min\"\nreserve_rate = \"205 W\"\n\n",
            0.00552 * plenty_percent, 0.00671 * plenty_percent, 0.0454 * plenty_percent, 4.26 * plenty_percent);
        text += dice_.percent(50) ? fmt::format(
                                        "[[suit]]\nid = \"suit-2\"\nkind = \"open loop\"\nbreathing_gas = \"{} L\"\n"
                                        "gas_per_100_watts = \"8 L/min\"\n\n",
                                        dice_.between(6000, 12000))
                                  : std::string("[[suit]]\nid = \"suit-2\"\nkind = \"umbilical\"\n\n");
        limit_min_ = dice_.between(200, 420);
        text += fmt::format("[rules]\nlimit = \"{} min\"\nmargin = \"{} min\"\nvoice_loops = {}\n", limit_min_,
                            dice_.between(0, 25), dice_.between(1, 3));
        text += fmt::format("glove_check_every = \"{} min\"\nheavy_limit = \"{} min\"\nrest = \"{} min\"\n",
                            dice_.between(25, 60), dice_.between(20, 60), dice_.between(2, 6));
        text += fmt::format("pick_up = \"{} s\"\ntether_swap = \"{} s\"\npartner_within = \"{} min\"\n",
                            dice_.between(20, 90), dice_.between(30, 90), dice_.between(6, 15));
        text += fmt::format("egress = \"{} min\"\ningress = \"{} min\"\nclean_up = \"{} min\"\n", dice_.between(8, 20),
                            dice_.between(8, 20), dice_.between(3, 12));
        text += fmt::format("large_item_pace = \"{} %\"\n\n", dice_.between(30, 80));
        return text;
    }
    std::string window(const char* condition, int from_min, int to_min, const std::string& site = {}) {
        return fmt::format("[[window]]\ncondition = \"{}\"\n{}from = \"{}\"\nto = \"{}\"\n\n", condition,
                           site.empty() ? "" : fmt::format("worksite = \"{}\"\n", site), pet_text(from_min),
                           pet_text(to_min));
    }
    std::string windows() {
        std::string text;
        for (int from = dice_.between(0, 40); from < 440; from += 92) text += window("daylight", from, from + 55);
        for (int from = dice_.between(0, 10); from < 440; from += dice_.between(30, 60))
            text += window("coverage", from, from + dice_.between(15, 29));
        text += window("heater off", dice_.between(10, 60), dice_.between(120, 400));
        for (int from = dice_.between(20, 60); from < 440; from += 92) text += window("glare", from, from + 6);
        const Site& own = dice_.one_of(sites_);
        text += window("glare", dice_.between(30, 100), dice_.between(101, 130), own.id);
        return text;
    }

    // ---- things

    std::string add_item(const std::string& id, const char* size, const std::string& where, bool returns,
                         int holds = 0) {
        items_ += fmt::format("[[item]]\nid = \"{}\"\nsize = \"{}\"\n{}\nreturns = {}\n{}\n", id, size, where, returns,
                              holds > 0 ? fmt::format("holds = {}\n", holds) : "");
        return id;
    }
    std::string at(const std::string& site) { return fmt::format("at = \"{}\"", site); }
    const std::string& some_site() { return dice_.one_of(sites_).id; }
    const std::string& work_site() {
        return sites_[static_cast<std::size_t>(dice_.between(1, static_cast<int>(sites_.size()) - 1))].id;
    }
    void build_things() {
        const int bags = dice_.between(1, 3);
        for (int b = 0; b < bags; ++b) {
            const std::string bag = add_item(fmt::format("bag-{}", b), "medium",
                                             at(dice_.percent(70) ? "airlock" : some_site()), dice_.percent(80), 6);
            for (int t = dice_.between(1, 4); t > 0; --t)
                tools_.push_back(add_item(fmt::format("tool-{}", tools_.size()), "small",
                                          fmt::format("in = \"{}\"", bag), dice_.percent(80)));
        }
        for (int t = dice_.between(1, 3); t > 0; --t)
            tools_.push_back(add_item(fmt::format("tool-{}", tools_.size()), dice_.percent(80) ? "small" : "medium",
                                      at(dice_.percent(50) ? "airlock" : some_site()), dice_.percent(60)));
    }
    /// A part that one task alone uses.
    std::string part(const std::string& site, bool returns, bool may_be_large = true) {
        const int kind = dice_.between(1, 100);
        const char* size = kind <= 50 ? "small" : kind <= 88 || !may_be_large ? "medium" : "large";
        return add_item(fmt::format("part-{}", parts_++), size, at(site), returns);
    }

    // ---- tasks

    struct StepText {
        std::string who = "\"lead\"", fields;
        int low_min = 2, high_min = 18;
    };

    void add(const StepText& step) {
        const int likely = dice_.between(step.low_min, step.high_min);
        tasks_ += fmt::format("[[task.step]]\nname = \"step {}\"\nwho = [{}]\nduration = \"{} min\"\n{}\n", ++steps_,
                              step.who, likely, step.fields);
    }
    std::string list(const char* key, const std::string& item) { return fmt::format("{} = [\"{}\"]\n", key, item); }
    std::string effort() {
        return fmt::format("effort = \"{}\"\n",
                           dice_.one_of<std::string>({"tools", "tools", "tools", "light", "light", "forced"}));
    }
    std::string some_needs() {
        if (dice_.percent(30)) return {};
        const std::string& first = dice_.one_of(tools_);
        const std::string& second = dice_.one_of(tools_);
        if (first == second || dice_.percent(70)) return list("needs", first);
        return fmt::format("needs = [\"{}\", \"{}\"]\n", first, second);
    }
    std::string some_window() {
        if (dice_.percent(75)) return {};
        if (dice_.percent(40)) return list("during", "daylight");
        if (dice_.percent(40)) return list("not_during", "glare");
        return list("during", dice_.percent(80) ? "coverage" : "heater off");
    }
    /// Windows are shorter than the longest steps, and what is tied to one must fit into it.
    StepText windowed(StepText step) {
        const std::string condition = some_window();
        step.fields += condition;
        if (!condition.empty()) step.high_min = std::min(step.high_min, 11);
        return step;
    }

    void build_task(int number, int count) {
        const bool required = required_ < 3 && dice_.percent(count <= 4 ? 40 : 20);
        required_ += required ? 1 : 0;
        const std::string task_class = required ? "required" : dice_.percent(70) ? "wanted" : "get-ahead";
        tasks_ += fmt::format("[[task]]\nid = \"task-{0}\"\nname = \"Task {0}\"\nclass = \"{1}\"\nvalue = {2}\n",
                              number, task_class, dice_.between(1, 40));
        if (dice_.percent(25)) tasks_ += fmt::format("lead = \"EV{}\"\n", dice_.between(1, 2));
        if (number > 0) relate(dice_.between(0, number - 1), required);
        if (dice_.percent(6)) tasks_ += fmt::format("starts_by = \"{}\"\n", pet_text(dice_.between(60, 300)));
        if (dice_.percent(6)) tasks_ += fmt::format("ends_by = \"{}\"\n", pet_text(dice_.between(301, 400)));
        tasks_ += "\n";
        steps_ = 0;
        const int kind = dice_.between(1, 100);
        const std::string site = work_site();
        if (kind <= 20)
            plain(site);
        else if (kind <= 38)
            swap(site);
        else if (kind <= 56)
            panel(site);
        else if (kind <= 68)
            pair(site);
        else if (kind <= 80)
            ride(site);
        else if (kind <= 88)
            lift(site);
        else if (kind <= 94)
            delivery(site);
        else
            anywhere();
    }
    void relate(int other, bool required) {
        if (dice_.percent(10)) tasks_ += list("after", fmt::format("task-{}", other));
        if (!required && dice_.percent(8))
            tasks_ += list("needs", fmt::format("task-{}", other));
        else if (!required && dice_.percent(8))
            tasks_ += list("not_with", fmt::format("task-{}", other));
    }
    std::string here(const std::string& site) { return fmt::format("at = \"{}\"\n", site); }

    void plain(const std::string& site) {
        for (int n = dice_.between(1, 4); n > 0; --n)
            add(windowed({.who = dice_.percent(15) ? "\"lead\", \"IV\"" : "\"lead\"",
                          .fields = here(site) + effort() + some_needs()}));
    }
    /// The old part comes out, perhaps to go home; the new one goes in.
    void swap(const std::string& site) {
        const std::string old_part = part(site, dice_.percent(50), false), new_part = part(some_site(), false);
        add({.fields = here(site) + effort() + some_needs() + list("takes", old_part)});
        if (dice_.percent(40)) add({.fields = here(site) + effort()});
        add(windowed({.fields = here(site) + effort() + list("installs", new_part)}));
        if (dice_.percent(40)) add({.fields = here(site) + "effort = \"light\"\n" + list("leaves", old_part)});
    }
    void panel(const std::string& site) {
        add({.fields = here(site) + effort() + some_needs() + "opens = true\n"});
        if (dice_.percent(40))
            add({.who = "\"ground\"",
                 .fields = dice_.percent(60) ? list("during", "coverage") : "",
                 .low_min = 2,
                 .high_min = 8});
        if (dice_.percent(60))
            add({.who = dice_.percent(40) ? "\"lead\", \"helper\"" : "\"lead\"",
                 .fields = here(site) + effort() + some_needs(),
                 .high_min = 12});
        add({.fields = here(site) + effort() + "close_up = true\n" +
                       (dice_.percent(30) ? "within = \"45 min of 1\"\n" : "")});
    }
    /// Both crew: side by side, or each at their own place at the same moment.
    void pair(const std::string& site) {
        add(windowed({.who = "\"lead\", \"helper\"", .fields = here(site) + effort() + some_needs()}));
        if (dice_.percent(60)) {
            add({.fields = here(site) + effort()});
            add({.who = "\"helper\"",
                 .fields = here(dice_.percent(50) ? site : work_site()) + effort() +
                           fmt::format("together = \"{}\"\n", steps_)});
        }
        if (dice_.percent(50))
            add({.fields = here(site) + effort() + (dice_.percent(50) ? "within = \"40 min of 1\"\n" : "") +
                           fmt::format("after = [\"{}\"]\ngap = \"{} min\"\n", steps_, dice_.between(0, 5))});
    }
    void ride(const std::string& site) {
        if (in_reach_.size() < 2) return plain(site);
        const std::string& from = dice_.one_of(in_reach_);
        const std::string& to = dice_.one_of(in_reach_);
        if (from == to) return plain(from);
        add({.fields = fmt::format("at = \"{}\"\nto = \"{}\"\narm = \"ride\"\neffort = \"ride\"\n", from, to),
             .low_min = 3,
             .high_min = 6});
        for (int n = dice_.between(1, 2); n > 0; --n)
            add(windowed({.fields = here(to) + "arm = \"ride\"\n" + effort() + some_needs()}));
        add({.fields = fmt::format("at = \"{}\"\nto = \"{}\"\narm = \"ride\"\neffort = \"ride\"\n", to, from),
             .low_min = 3,
             .high_min = 6});
    }
    void lift(const std::string& site) {
        const std::string from = work_site();
        if (from == site) return plain(site);
        const std::string load = add_item(fmt::format("part-{}", parts_++), "oversize", at(from), false);
        add({.who = "\"lead\", \"helper\"", .fields = here(from) + effort() + some_needs()});
        add({.who = "\"lead\", \"helper\"",
             .fields =
                 fmt::format("at = \"{}\"\nto = \"{}\"\n", from, site) + "effort = \"forced\"\n" + list("moves", load),
             .low_min = 5,
             .high_min = 10});
        add({.fields = here(site) + effort() + list("installs", load)});
    }
    void delivery(const std::string& site) {
        const std::string parcel = part(some_site(), false, false);
        add({.fields = here(site) + "effort = \"light\"\n" + list("leaves", parcel), .low_min = 1, .high_min = 3});
        add(windowed({.fields = here(site) + effort() + list("needs", parcel)}));
    }
    void anywhere() {
        add({.fields = "effort = \"light\"\n" + (dice_.percent(50) ? list("during", "daylight") : std::string{}),
             .low_min = 1,
             .high_min = 8});
    }

    Dice dice_;
    RandomSize size_;
    std::vector<Site> sites_;
    std::vector<std::string> in_reach_, tools_;
    std::string station_, items_, tasks_;
    int parts_ = 0, required_ = 0, steps_ = 0, limit_min_ = 0;
};

}  // namespace

std::string random_outing_text(std::uint64_t seed, const RandomSize& size) { return Writer(seed, size).write(); }

Outing random_outing(std::uint64_t seed, const RandomSize& size) {
    Result<Outing> outing = read_outing_text(random_outing_text(seed, size), fmt::format("random-{}.toml", seed), ".");
    if (outing) return std::move(outing).value();
    std::string text;
    for (const InputError& error : outing.errors()) text += print(error) + "\n";
    throw std::runtime_error(text);
}

}  // namespace handrail::test
