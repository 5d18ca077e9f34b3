#include "told_day.h"

#include <algorithm>
#include <filesystem>
#include <map>
#include <stdexcept>

#include "brief/subject_charts.h"
#include "outing/outing.h"
#include "plan/planner.h"
#include "sky/windows.h"

namespace handrail::brief {
namespace {

using std::chrono::minutes;

OutingWithTexts texts_of(const std::string& name) {
    auto read = read_outing_with_texts(std::filesystem::path(HANDRAIL_SOURCE_DIR) / "demo" / name / "outing.toml");
    if (!read) throw std::runtime_error(print(read.errors().front()));
    return std::move(read).value();
}

/// Writes a journal in memory, entry by entry.
class Scribe {
public:
    Scribe(const PlannedDemo& demo, const OutingWithTexts& texts) : demo_(demo) {
        const Utc opened = demo.timeline.pet_zero - minutes(60);
        write(live::opening(texts, "demo", demo.timeline, "lead", opened));
    }

    void at(Pet t, live::Body body, live::Visibility visibility = live::Visibility::console) {
        live::Entry entry;
        entry.happened = entry.logged = to_utc(t, zero_);
        entry.pet = t;
        entry.author = "lead";
        entry.visibility = visibility;
        entry.body = std::move(body);
        write(entry);
    }
    /// Ten minutes late.
    void start() {
        zero_ = demo_.timeline.pet_zero + minutes(10);
        at(Pet{}, live::PetZero{});
    }
    std::vector<live::Recorded> entries;

private:
    void write(const live::Entry& entry) {
        entries.push_back({live::Position{entries.size() + 1}, entry, std::string(64, 'a')});
    }
    const PlannedDemo& demo_;
    Utc zero_ = demo_.timeline.pet_zero;
};

void private_matters(Scribe& scribe, Pet t) {
    scribe.at(t, live::HoldBegan{std::string(private_marker) + " hold"}, live::Visibility::medical);
    scribe.at(t + minutes(1), live::Note{std::string(private_marker) + " note"}, live::Visibility::medical);
    scribe.at(t + minutes(1), live::Decision{std::string(private_marker) + " decision"}, live::Visibility::medical);
    scribe.at(t + minutes(2), live::Resumed{}, live::Visibility::medical);
    scribe.at(t + minutes(2), live::Decision{std::string(console_marker) + " keep the order"});
}

/// Steps as the plan has them, until `until`.
void follow(Scribe& scribe, const PlannedDemo& demo, Pet until) {
    struct Event {
        Pet at;
        bool starts;
        live::Body body;
    };
    std::vector<Event> events;
    for (const Activity& activity : demo.timeline.activities) {
        if (!activity.step || until < activity.end()) continue;
        const std::string label = demo.outing.step(*activity.step).label;
        events.push_back({activity.start, true, live::StepStarted{label, {}}});
        events.push_back({activity.end(), false, live::StepFinished{label}});
    }
    // A step ends before the next one of the same moment begins.
    std::ranges::stable_sort(
        events, [](const Event& a, const Event& b) { return std::pair(a.at, a.starts) < std::pair(b.at, b.starts); });
    for (Event& event : events) scribe.at(event.at, std::move(event.body));
}

Pet end_of(const PlannedDemo& demo, ActivityKind kind) {
    for (const Activity& activity : demo.timeline.activities)
        if (activity.kind == kind) return activity.end();
    throw std::logic_error("no such activity");
}

}  // namespace

namespace {

/// The odds hang on the demo and on how the day ends, not on who asks.
std::shared_ptr<OddsOnce> odds_once(const std::string& name, int which) {
    static std::map<std::pair<std::string, int>, std::shared_ptr<OddsOnce>> all;
    std::shared_ptr<OddsOnce>& odds = all[{name, which}];
    if (!odds) odds = std::make_shared<OddsOnce>();
    return odds;
}

}  // namespace

Subject PlannedDemo::subject() const {
    Subject subject = subject_of_plan(outing, windows, timeline);
    subject.odds = odds;
    return subject;
}

const PlannedDemo& planned_demo(const std::string& name) {
    static std::map<std::string, PlannedDemo> demos;
    const auto found = demos.find(name);
    if (found != demos.end()) return found->second;
    const OutingWithTexts texts = texts_of(name);
    auto windows = sky::windows_of(texts.outing, texts.outing.pet_zero);
    if (!windows) throw std::runtime_error(print(windows.errors().front()));
    plan::Budget budget;
    budget.iterations = 300;
    const auto plan = plan::make_plan(texts.outing, windows.value(), plan::initial(texts.outing), budget);
    return demos
        .emplace(name, PlannedDemo{texts.outing, windows.value(), std::get<Timeline>(plan), odds_once(name, -1)})
        .first->second;
}

std::unique_ptr<ToldDay> told_day(const std::string& name, Ending ending) {
    const PlannedDemo& demo = planned_demo(name);
    Scribe scribe(demo, texts_of(name));
    scribe.at(Pet{} - minutes(50), live::PhaseBegan{live::Phase::suit_up});
    Utc now = demo.timeline.pet_zero - minutes(30);
    if (ending == Ending::scrubbed) {
        private_matters(scribe, Pet{} - minutes(45));
        scribe.at(Pet{} - minutes(40),
                  live::StandDown{live::StandDownKind::scrub, std::string(private_marker) + " ill"},
                  live::Visibility::medical);
    } else {
        scribe.start();
        const Pet out = end_of(demo, ActivityKind::egress);
        scribe.at(out, live::PhaseBegan{live::Phase::work});
        const Pet half = Pet{} + (demo.timeline.finish() - Pet{}) / 2;
        follow(scribe, demo, ending == Ending::home ? Pet::max() : half);
        private_matters(scribe, half);
        Pet last = half + minutes(3);
        if (ending == Ending::home) {
            last = demo.timeline.finish();
            scribe.at(last, live::PhaseBegan{live::Phase::repress});
        }
        if (ending == Ending::terminated) {
            scribe.at(last,
                      live::StandDown{live::StandDownKind::terminate, std::string(console_marker) + " suit fault"});
            last += minutes(60);
            scribe.at(last, live::PhaseBegan{live::Phase::repress});
        }
        now = to_utc(last + minutes(1), demo.timeline.pet_zero + minutes(10));
    }
    auto told = std::make_unique<ToldDay>(ToldDay{demo,
                                                  std::move(scribe.entries),
                                                  live::windows_for(demo.outing),
                                                  {},
                                                  odds_once(name, static_cast<int>(ending))});
    told->status =
        live::status_of(demo.outing, told->entries, live::fold(demo.outing, told->windows, told->entries, now));
    return told;
}

}  // namespace handrail::brief
