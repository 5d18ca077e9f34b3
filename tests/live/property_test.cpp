// Laws that hold for any journal, however odd: it folds, it folds to the same bytes, nobody is in two places, the
// forecast begins now.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <random>
#include <set>

#include "day_under_test.h"
#include "live/close_out.h"
#include "live/findings.h"

namespace handrail::live {
namespace {

class RandomJournal {
public:
    RandomJournal(DayUnderTest& t, std::uint32_t seed) : t_(t), random_(seed) {}

    Entry entry() {
        Entry e;
        // Mostly forwards, sometimes back-dated.
        clock_ += Seconds{below(600)};
        e.logged = to_utc(pet(clock_), t_.outing().pet_zero);
        e.happened = e.logged - Seconds{below(8) == 0 ? below(3000) : 0};
        e.pet = to_pet(e.happened, t_.outing().pet_zero);
        e.author = "random";
        e.visibility = static_cast<Visibility>(below(3));
        if (below(12) == 0)
            e.corrects = Position{static_cast<std::uint64_t>(1 + below(static_cast<int>(t_.entries().size()) + 2))};
        e.body = body();
        return e;
    }

private:
    int below(int n) { return static_cast<int>(random_() % static_cast<std::uint32_t>(n)); }
    Crew crew() { return below(2) == 0 ? Crew::ev1 : Crew::ev2; }
    std::string step() {
        if (below(30) == 0) return "nonsense.1";
        return t_.outing().steps[static_cast<std::size_t>(below(static_cast<int>(t_.outing().steps.size())))].label;
    }
    std::string task() {
        return t_.outing().tasks[static_cast<std::size_t>(below(static_cast<int>(t_.outing().tasks.size())))].key;
    }
    std::string item() {
        if (t_.outing().items.empty() || below(30) == 0) return "nonsense";
        return t_.outing().items[static_cast<std::size_t>(below(static_cast<int>(t_.outing().items.size())))].id;
    }
    std::string site() {
        const auto& sites = t_.outing().station.worksites;
        return sites[static_cast<std::size_t>(below(static_cast<int>(sites.size())))].id;
    }
    Body body() {
        switch (below(22)) {
            case 0:
                return PetZero{};
            case 1:
                return PhaseBegan{static_cast<Phase>(below(10))};
            case 2:
            case 3:
            case 4:
            case 5:
                return StepStarted{step(), below(2) == 0 ? std::optional(crew()) : std::nullopt};
            case 6:
            case 7:
            case 8:
                return StepFinished{step()};
            case 9:
                return StepSkipped{step(), ""};
            case 10:
                return StepUndone{step()};
            case 11:
                return StepDelayed{step(), Seconds{below(2000) - 500}, ""};
            case 12:
                return HoldBegan{""};
            case 13:
                return Resumed{};
            case 14: {
                const auto where = static_cast<ItemPlaced::Where>(below(5));
                const bool in_bag = where == ItemPlaced::Where::in_bag;
                const bool carried = where == ItemPlaced::Where::carried;
                return ItemPlaced{where, item(), in_bag ? item() : carried ? std::string(word(crew())) : site()};
            }
            case 15:
                return CrewPlaced{crew(), site(), below(2) == 0 ? std::optional(site()) : std::nullopt};
            case 16:
                return GlovesChecked{crew()};
            case 17:
                return SuitReading{crew(), static_cast<lifesupport::Consumable>(below(5)), below(5000)};
            case 18:
                return TaskDropped{task(), ""};
            case 19:
                return CrewAble{crew(), below(2) == 0, ""};
            case 20:
                return below(3) == 0 ? Body{StandDown{static_cast<StandDownKind>(below(3)), ""}}
                                     : Body{ArmAvailable{below(2) == 0, ""}};
            default:
                return below(2) == 0 ? Body{Struck{}} : Body{Note{"x"}};
        }
    }

    DayUnderTest& t_;
    std::mt19937 random_;
    Seconds clock_{-1800};
};

void expect_lawful(const DayUnderTest& t, Utc now, std::uint32_t seed) {
    const Day day = t.day_at(now);
    ASSERT_EQ(to_json(t.outing(), day), to_json(t.outing(), t.day_at(now))) << "seed " << seed;
    for (const Crew crew : both_crew) {
        Pet free = Pet::min();
        for (const AsRun& run : day.as_run) {
            if (!run.activity.on(lane_of(crew))) continue;
            ASSERT_GE(run.activity.duration, Seconds{0}) << "seed " << seed;
            if (run.activity.duration == Seconds{0}) continue;
            ASSERT_GE(run.activity.start, free)
                << title(t.outing(), run.activity) << " of " << word(crew) << ", seed " << seed;
            free = run.activity.end();
        }
        for (const double used : day.situation.crew[index(crew)].used)
            ASSERT_TRUE(std::isfinite(used) && used >= 0) << "seed " << seed;
    }
    const Status status = status_of(t.outing(), t.entries(), day);
    for (const AsRun& run : status.forecast.ahead)
        ASSERT_GE(run.activity.start, std::min(day.pet_now(), Pet{})) << "seed " << seed;
    for (const Reader reader : {Reader::console, Reader::medical})
        ASSERT_FALSE(status_json(t.outing(), status, reader).empty());
    ASSERT_FALSE(print(t.outing(), status, close_out_of(t.outing(), t.entries(), status), Reader::medical).empty());
    ASSERT_FALSE(export_csv(status, Reader::console).empty());
}

TEST(AnyJournal, FoldsToOneLawfulDay) {
    for (std::uint32_t seed = 1; seed <= 120; ++seed) {
        const auto t = yard();
        RandomJournal journal(*t, seed);
        // Half of them begin like a day, so that what comes later finds people at work.
        if (seed % 2 == 0) t->say("00:00", "pet zero").say("00:10", "egress done");
        Utc now{};
        for (int i = 0; i < 40; ++i) {
            t->add(journal.entry());
            now = moment(t->entries(), t->entries().back().entry.logged);
        }
        expect_lawful(*t, now, seed);
        if (HasFatalFailure()) return;
    }
}

TEST(AnyJournal, OnALargeOutingToo) {
    const auto whole = demo("larkspur");
    for (std::uint32_t seed = 1; seed <= 12; ++seed) {
        const auto t = std::make_unique<DayUnderTest>(OutingWithTexts{whole->outing(), {}}, whole->planned());
        RandomJournal journal(*t, seed);
        t->say("00:00", "pet zero").say("00:15", "egress done");
        for (int i = 0; i < 80; ++i) t->add(journal.entry());
        expect_lawful(*t, moment(t->entries(), t->entries().back().entry.logged), seed);
        if (HasFatalFailure()) return;
    }
}

TEST(AnyJournal, OffersWaysOnThatEndInside) {
    for (std::uint32_t seed = 1; seed <= 40; ++seed) {
        const auto t = yard();
        RandomJournal journal(*t, seed);
        t->say("00:00", "pet zero").say("00:10", "egress done");
        for (int i = 0; i < 15; ++i) t->add(journal.entry());
        const Day day = t->day_at(moment(t->entries(), t->utc("00:10")));
        for (const Option& option : options_of(t->outing(), day, {1, 50, std::nullopt})) {
            if (option.id == "scrub") continue;  // nobody is to go out
            ASSERT_TRUE(option.forecast.timeline.has_value()) << option.id << ", seed " << seed;
            ASSERT_FALSE(option.forecast.ahead.empty()) << option.id << ", seed " << seed;
            EXPECT_EQ(option.forecast.ahead.back().activity.kind, ActivityKind::ingress)
                << option.id << ", seed " << seed;
        }
    }
}

/// A day as it might be logged: everything it says can be true at that moment, though much of it is trouble.
class PlausibleDay {
public:
    PlausibleDay(DayUnderTest& t, std::uint32_t seed) : t_(t), random_(seed) {}

    void begin() {
        clock_ = Seconds{below(4) == 0 ? below(2400) : 0};
        say("pet zero");
        clock_ += t_.outing().rules.egress + Seconds{below(300)};
        say("egress done");
    }
    /// One more entry, some minutes later.
    void go_on() {
        clock_ += Seconds{30 + below(420)};
        const Day day = t_.day_at(now());
        const Crew crew = below(2) == 0 ? Crew::ev1 : Crew::ev2;
        const std::string who(word(crew));
        const bool running = std::ranges::any_of(
            day.as_run, [&](const AsRun& r) { return r.running && r.activity.step && r.activity.on(lane_of(crew)); });
        switch (below(24)) {
            case 0:
                return say(day.open_hold() != nullptr ? "resume" : "hold");
            case 1:
                return say(day.situation.arm_available ? "arm lost" : "arm back");
            case 2:
                if (below(3) == 0) return say(item() + " lost");
                return say(who + " gloves");
            case 3:
                if (below(3) == 0)
                    return say("no coverage until " + print_pet(pet(since_zero(day.pet_now()) + Seconds{3600})));
                return say("coverage back");
            case 4:
                if (below(2) == 0)
                    return say(site() + " closed until " + print_pet(pet(since_zero(day.pet_now()) + Seconds{1200})));
                return say(site() + " open");
            case 5:
                return say(step() + " +" + std::to_string(1 + below(15)) + " min");
            case 6:
                if (below(3) == 0) return say("drop " + task());
                if (below(2) == 0) return say(item() + " at " + site());
                return say("note x");
            case 7:
                return adopt(day);
            default:
                if (day.open_hold() != nullptr) return say("resume");
                return say(running ? who + " finished" : who + " started");
        }
    }
    Utc now() const { return to_utc(pet(clock_), t_.outing().pet_zero); }

private:
    int below(int n) { return static_cast<int>(random_() % static_cast<std::uint32_t>(n)); }
    template <class List>
    const auto& any(const List& list) {
        return list[static_cast<std::size_t>(below(static_cast<int>(list.size())))];
    }
    std::string step() { return any(t_.outing().steps).label; }
    std::string task() { return any(t_.outing().tasks).key; }
    std::string item() { return any(t_.outing().items).id; }
    std::string site() { return any(t_.outing().station.worksites).id; }

    /// As the console would: what cannot be read, or would change nothing, is not written.
    void say(const std::string& line) {
        const Day day = t_.day_at(now());
        auto read = read_line(t_.outing(), t_.entries(), day, line);
        if (!std::holds_alternative<Understood>(read)) return;
        const Entry entry = entry_of(std::get<Understood>(read), day, "lead", now());
        auto entries = t_.entries();
        entries.push_back({Position{entries.size() + 1}, entry, {}});
        if (fold(t_.outing(), t_.windows(), entries, now()).unapplied.empty()) t_.add(entry);
    }
    void adopt(const Day& day) {
        const auto options = options_of(t_.outing(), day, {random_(), 40, std::nullopt});
        if (options.empty()) return;
        const Option& option = any(options);
        if (option.stand_down) return;
        t_.add(entry_of({adoption(t_.outing(), option), {}, {}, {}}, day, "lead", now()));
    }

    DayUnderTest& t_;
    std::mt19937 random_;
    Seconds clock_{};
};

/// Rules that only a wrong forecast can break: no lateness and no trouble excuses them.
bool of_the_forecast_itself(const std::string& rule) {
    static const std::set<std::string> rules{"overlap",       "place",     "route",  "translation-time",
                                             "handling-time", "step-time", "who",    "capacity",
                                             "arm",           "egress",    "window", "item"};
    return rules.contains(rule);
}

/// A step that was logged as begun takes something into hands that are full already: it was not the forecast that began
/// it, and the finding is what the lead should hear.
bool of_a_step_begun(const Status& status, const Finding& finding) {
    if (finding.rule != "capacity") return false;
    return std::ranges::any_of(status.forecast.timeline->activities, [&](const Activity& a) {
        return a.as_run && a.step && a.end() == finding.at &&
               std::ranges::find_first_of(a.lanes, finding.lanes) != a.lanes.end();
    });
}

std::string told(const DayUnderTest& t, const Status& status) {
    std::string text;
    for (const RecordLine& line : status.record) text += print_pet_seconds(line.pet) + " " + line.words + "\n";
    for (const Activity& a : status.forecast.timeline->activities)
        text += std::string(a.as_run ? "was " : "will be ") + print_pet_seconds(a.start) + " to " +
                print_pet_seconds(a.end()) + " " + std::string(word(a.lanes.front())) + " " + title(t.outing(), a) +
                "\n";
    return text;
}

void expect_honest_forecast(const DayUnderTest& t, const Status& status, std::uint32_t seed) {
    ASSERT_TRUE(status.forecast.timeline || !status.forecast.reasons.empty()) << "seed " << seed;
    for (const Finding& finding : status.findings) {
        // What begins this very moment was logged, not forecast.
        EXPECT_FALSE(finding.at > status.day.pet_now() && of_the_forecast_itself(finding.rule) &&
                     !of_a_step_begun(status, finding))
            << "seed " << seed << " at " << print_pet_seconds(status.day.pet_now()) << ": " << finding.rule << ": "
            << finding.what << "\n"
            << told(t, status);
        EXPECT_FALSE(finding.what.empty());
    }
    // Whatever the checker says of the future is in the status.
    const Present present(t.outing(), status.day);
    if (!status.forecast.timeline) return;
    for (const Finding& finding :
         check(present.outing(), present.windows(), *status.forecast.timeline, present.facts({})))
        if (finding.severity == Severity::finding && finding.at > status.day.pet_now()) {
            EXPECT_TRUE(std::ranges::any_of(status.findings, [&](const Finding& f) { return f.what == finding.what; }))
                << "seed " << seed << ": " << finding.what;
        }
}

void live_plausible_days(const DayUnderTest& whole, std::uint32_t days, int entries) {
    for (std::uint32_t seed = 1; seed <= days; ++seed) {
        DayUnderTest t(OutingWithTexts{whole.outing(), {}}, whole.planned());
        PlausibleDay day(t, seed);
        day.begin();
        for (int i = 0; i < entries; ++i) {
            day.go_on();
            if (i % 3 == 2) expect_honest_forecast(t, status_of(t.outing(), t.entries(), t.day_at(day.now())), seed);
        }
        if (testing::Test::HasFailure()) return;
    }
}

std::uint32_t days_from_environment(std::uint32_t otherwise) {
    const char* wanted = std::getenv("HANDRAIL_PLAUSIBLE_DAYS");
    return wanted != nullptr ? static_cast<std::uint32_t>(std::strtoul(wanted, nullptr, 10)) : otherwise;
}

// Any day that can be: the forecast obeys every rule it can, and the status names those it cannot.
TEST(PlausibleDays, HaveAForecastThatPassesTheCheckerOrSaysWhatIsBroken) {
    live_plausible_days(*yard(), days_from_environment(40), 30);
}
TEST(PlausibleDays, OnTheDemoToo) { live_plausible_days(*demo("larkspur"), days_from_environment(6), 40); }

}  // namespace
}  // namespace handrail::live
