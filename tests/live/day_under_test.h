#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "live/line.h"
#include "live/options.h"
#include "live/session.h"
#include "live/status.h"
#include "outing/outing.h"
#include "plan/planner.h"
#include "units/parse.h"

namespace handrail::live {

/// A workshop with a shed, a bench and a mast: all invented, just enough for two people to do something in.
inline constexpr const char* small_outing = R"toml(
handrail = 1
[outing]
name = "Yard outing"
about = "Two people mend a lamp."
note = "invented"
pet_zero = "2031-06-01T10:00:00Z"
doffing = ["Gloves off", "Suit off"]

[crew.EV1]
name = "Ada Brandt"
suit = "suit"
[crew.EV2]
name = "Ben Corvo"
suit = "suit"
[inside]
iv = "Cleo Dahl"

[rules]
limit = "3 h"
margin = "10 min"
egress = "10 min"
ingress = "10 min"
clean_up = "5 min"
tether = "30 m"
glove_check_every = "60 min"

[[suit]]
id = "suit"
name = "Yard suit"
kind = "closed loop"
pressure = "30 kPa"
oxygen = "0.55 kg"
leak = "0.005 kg/h"
co2_capacity = "0.67 kg"
feedwater = "3.6 kg"
battery = "430 Wh"
electrical_load = "55 W"
secondary_oxygen = "30 min"
reserve = "30 min"
reserve_rate = "300 W"

[station]
name = "Yard"
airlock = "shed"
[[station.worksite]]
id = "shed"
name = "Shed"
position = ["0 m", "0 m", "0 m"]
[[station.worksite]]
id = "bench"
name = "Bench"
position = ["6 m", "0 m", "0 m"]
[[station.worksite]]
id = "mast"
name = "Mast"
position = ["6 m", "8 m", "0 m"]
[[station.route]]
between = ["shed", "bench"]
length = "6 m"
[[station.route]]
between = ["bench", "mast"]
length = "8 m"

[[item]]
id = "lamp"
name = "New lamp"
size = "medium"
at = "shed"
[[item]]
id = "bag-2"
name = "Tool bag"
size = "small"
at = "shed"
holds = 2
returns = true
[[item]]
id = "wrench"
name = "Wrench"
size = "small"
in = "bag-2"
returns = true

[[window]]
condition = "coverage"
from = "00:00"
to = "01:00"
[[window]]
condition = "daylight"
from = "00:20"
to = "02:00"

[[task]]
id = "lamp"
name = "Mend the lamp"
class = "required"
lead = "EV1"
why = "So that the yard is lit."
[[task.step]]
name = "open the housing"
who = ["lead"]
at = "mast"
duration = { low = "8 min", likely = "10 min", high = "20 min" }
effort = "tools"
needs = ["wrench"]
opens = true
say = "Three screws."
public = "Opening the lamp."
[[task.step]]
name = "fit the lamp"
who = ["lead", "helper"]
at = "mast"
duration = { low = "10 min", likely = "15 min", high = "30 min" }
effort = "tools"
installs = ["lamp"]
[[task.step]]
name = "close the housing"
who = ["lead"]
at = "mast"
duration = { low = "4 min", likely = "5 min", high = "10 min" }
effort = "light"
close_up = true

[[task]]
id = "paint"
name = "Paint the bench"
class = "wanted"
value = 3
why = "It looks better."
[[task.step]]
name = "first coat"
who = ["lead"]
at = "bench"
duration = { low = "8 min", likely = "10 min", high = "20 min" }
effort = "light"
[[task.step]]
name = "second coat"
who = ["lead"]
at = "bench"
duration = { low = "8 min", likely = "10 min", high = "20 min" }
effort = "light"
)toml";

/// A day that is written line by line; times are PET.
class DayUnderTest {
public:
    DayUnderTest(OutingWithTexts source, Timeline plan) : source_(std::move(source)), plan_(std::move(plan)) {
        windows_ = windows_for(outing());
        add(opening(source_, "outing.toml", plan_, "lead", outing().pet_zero - Seconds{3600}));
    }
    DayUnderTest(const DayUnderTest&) = delete;
    DayUnderTest& operator=(const DayUnderTest&) = delete;

    const Outing& outing() const { return source_.outing; }
    const Timeline& planned() const { return plan_; }
    const std::vector<Recorded>& entries() const { return entries_; }
    const WindowSource& windows() const { return windows_; }

    Utc utc(const std::string& pet) const {
        const auto at = parse_pet(pet);
        if (!std::holds_alternative<Pet>(at)) throw std::runtime_error("not a PET: " + pet);
        return to_utc(std::get<Pet>(at), pet_zero_);
    }
    void add(Entry entry) {
        if (std::holds_alternative<PetZero>(entry.body)) pet_zero_ = entry.happened;
        if (entries_.empty()) pet_zero_ = outing().pet_zero;
        entries_.push_back({Position{entries_.size() + 1}, std::move(entry), {}});
    }
    /// The line as typed at this PET; a line that is not understood fails the test.
    DayUnderTest& say(const std::string& pet, const std::string& line, std::optional<Visibility> visibility = {}) {
        const Utc at = utc(pet);
        auto read = read_line(outing(), entries_, fold(outing(), windows_, entries_, at), line);
        if (const auto* no = std::get_if<NotUnderstood>(&read)) {
            ADD_FAILURE() << line << ": " << no->sentence;
            return *this;
        }
        Understood understood = std::get<Understood>(read);
        if (visibility) understood.visibility = visibility;
        add(entry_of(understood, day(pet), "lead", at));
        return *this;
    }
    /// Logs PET zero, egress and every step that the plan starts or ends up to this PET, each at its planned time.
    DayUnderTest& follow_plan_until(const std::string& pet) {
        struct Event {
            Pet at;
            int order;  ///< ends before starts
            std::string line;
        };
        std::vector<Event> events{{Pet{}, 0, "pet zero"}};
        for (const Activity& activity : plan_.activities) {
            const std::string label = activity.step ? outing().step(*activity.step).label : "";
            switch (activity.kind) {
                case ActivityKind::egress:
                    events.push_back({activity.end(), 0, "egress done"});
                    break;
                case ActivityKind::step:
                    events.push_back({activity.start, 1,
                                      std::string(activity.on(Lane::ev1) != activity.on(Lane::ev2)
                                                      ? activity.on(Lane::ev1) ? "EV1 " : "EV2 "
                                                      : "") +
                                          "started " + label});
                    events.push_back({activity.end(), 0, "finished " + label});
                    break;
                case ActivityKind::clean_up:
                    events.push_back({activity.start, 1, "clean-up"});
                    break;
                case ActivityKind::ingress:
                    events.push_back({activity.start, 1, "ingress"});
                    events.push_back({activity.end(), 0, "hatch closed"});
                    break;
                default:
                    break;
            }
        }
        std::ranges::stable_sort(events, {}, [](const Event& e) { return std::pair(e.at, e.order); });
        for (const Event& event : events)
            if (to_utc(event.at, pet_zero_) <= utc(pet)) say(print_pet_seconds(event.at), event.line);
        return *this;
    }
    Day day(const std::string& pet) const { return fold(outing(), windows_, entries_, utc(pet)); }
    Day day_at(Utc at) const { return fold(outing(), windows_, entries_, at); }
    Status status(const std::string& pet) const { return status_of(outing(), entries_, day(pet)); }

    StepId step(const std::string& label) const { return find_step(outing(), label).value(); }
    ItemId item(const std::string& id) const { return find_item(outing(), id).value(); }
    WorksiteId site(const std::string& id) const { return find_worksite(outing(), id).value(); }

private:
    OutingWithTexts source_;
    WindowSource windows_;
    Timeline plan_;
    std::vector<Recorded> entries_;
    Utc pet_zero_{};
};

inline OutingWithTexts outing_text(const std::string& text) {
    auto outing = read_outing_from({{"outing.toml", text}});
    if (!outing) {
        std::string all;
        for (const InputError& error : outing.errors()) all += print(error) + "\n";
        throw std::runtime_error(all);
    }
    return {std::move(outing).value(), {{"outing.toml", text}}};
}

/// Planned with so many iterations, on one thread: the same plan everywhere.
inline Timeline plan_of(const Outing& outing, std::uint64_t iterations) {
    plan::Budget budget;
    budget.iterations = iterations;
    budget.threads = 1;
    auto planned = plan::make_plan(outing, windows_for(outing)(outing.pet_zero), plan::initial(outing), budget);
    if (!std::holds_alternative<Timeline>(planned)) throw std::runtime_error("no plan");
    return std::get<Timeline>(std::move(planned));
}

inline std::unique_ptr<DayUnderTest> yard() {
    OutingWithTexts outing = outing_text(small_outing);
    Timeline plan = plan_of(outing.outing, 300);
    return std::make_unique<DayUnderTest>(std::move(outing), std::move(plan));
}

/// One of the demonstration outings with its plan.
inline std::unique_ptr<DayUnderTest> demo(const std::string& name) {
    auto outing = read_outing_with_texts(std::string(HANDRAIL_SOURCE_DIR) + "/demo/" + name + "/outing.toml");
    if (!outing) throw std::runtime_error(print(outing.errors().front()));
    Timeline plan = plan_of(outing.value().outing, 2000);
    return std::make_unique<DayUnderTest>(std::move(outing).value(), std::move(plan));
}

}  // namespace handrail::live
