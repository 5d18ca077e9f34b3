// Laws that hold for any journal, however odd: it folds, it folds to the same bytes, nobody is in two places, the
// forecast begins now.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "day_under_test.h"
#include "live/close_out.h"

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
    for (const Reader reader : {Reader::everyone, Reader::console, Reader::medical})
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
            ASSERT_TRUE(option.forecast.timeline.has_value()) << "seed " << seed;
            ASSERT_FALSE(option.forecast.ahead.empty()) << option.id << ", seed " << seed;
            EXPECT_EQ(option.forecast.ahead.back().activity.kind, ActivityKind::ingress)
                << option.id << ", seed " << seed;
        }
    }
}

}  // namespace
}  // namespace handrail::live
