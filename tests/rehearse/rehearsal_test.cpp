#include "rehearse/rehearsal.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>

#include "live/line.h"
#include "rehearsal_under_test.h"
#include "support/random_outing.h"

/// Whole rehearsals, led by nobody.
namespace handrail::rehearse {
namespace {

std::string transcript(const Rehearsal& rehearsal) {
    std::string text;
    for (const Call& call : rehearsal.calls())
        text += print_pet_seconds(call.at) + " " + call.who + ": " + call.words + " [" + call.line + "]\n";
    return text;
}

TEST(Rehearsal, WithoutTroubleThePlanComesTrueAndBreaksNoRule) {
    for (const char* name : {"pool", "larkspur"}) {
        const Planned p = demo(name);
        const auto rehearsal = led(p, Level::none, 1);
        const Debrief d = debriefed(*rehearsal);
        EXPECT_TRUE(d.inside);
        EXPECT_TRUE(d.intact());
        EXPECT_EQ(d.reached.required, d.required_in_all);
        EXPECT_GE(d.reached.value, p.plan.note.value);
        EXPECT_LE(d.in_at, p.plan.finish() + Seconds{20 * 60});
        EXPECT_TRUE(d.struck.empty());
        EXPECT_TRUE(d.late.empty());
        EXPECT_TRUE(d.findings.empty()) << name << ": " << d.findings.front().what;
    }
}

TEST(Rehearsal, TheSameSeedIsTheSameDayToTheLastWord) {
    const Planned p = demo("pool");
    const auto one = led(p, Level::severe, 11);
    const auto two = led(p, Level::severe, 11);
    EXPECT_EQ(transcript(*one), transcript(*two));
    EXPECT_EQ(to_json(one->outing(), debriefed(*one)), to_json(two->outing(), debriefed(*two)));
    EXPECT_NE(transcript(*one), transcript(*led(p, Level::severe, 12)));
}

TEST(Rehearsal, EveryCallThatAsksForAnEntryIsUnderstoodAsTyped) {
    const Planned p = demo("pool");
    rehearse::Setup setup;
    setup.level = Level::severe;
    for (std::uint64_t seed : {3, 5, 8}) {
        setup.seed = seed;
        Rehearsal rehearsal(p.source, p.plan, setup);
        std::uint64_t position = 0;
        const auto hear = [&](live::Entry entry) {
            rehearsal.hear({live::Position{++position}, std::move(entry), {}});
        };
        hear(rehearsal.opening());
        while (!rehearsal.over()) {
            const auto next = rehearsal.next();
            ASSERT_TRUE(next) << "nobody waits for a lead who records everything";
            for (const Call& call : rehearsal.advance(*next)) {
                if (call.line.empty()) continue;
                const live::Day day = rehearsal.day(call.at);
                const auto read = live::read_line(rehearsal.outing(), rehearsal.entries(), day, call.line);
                const auto* understood = std::get_if<live::Understood>(&read);
                ASSERT_TRUE(understood) << call.line << ": " << std::get<live::NotUnderstood>(read).sentence;
                hear(live::entry_of(*understood, day, "lead", rehearsal.utc(call.at)));
            }
        }
        EXPECT_TRUE(rehearsal.day(rehearsal.world().now()).unapplied.empty());
    }
}

TEST(Rehearsal, TheCrewGoesOnWithoutALeadAndComesIn) {
    const Planned p = demo("pool");
    rehearse::Setup setup;
    setup.level = Level::mild;
    Rehearsal rehearsal(p.source, p.plan, setup);
    rehearsal.advance(Pet{} + std::chrono::hours{12});
    EXPECT_TRUE(rehearsal.over());
    const Debrief d = debriefed(rehearsal);
    EXPECT_TRUE(d.inside);
    EXPECT_GT(d.recording.never, 10) << "nobody wrote anything down";
    EXPECT_EQ(d.recording.recorded, 0);
}

TEST(Rehearsal, TerminateStopsTheWorkAndBringsEverybodyHome) {
    const Planned p = demo("pool");
    rehearse::Setup setup;
    setup.level = Level::none;
    Rehearsal rehearsal(p.source, p.plan, setup);
    const auto at = [&](Pet pet, live::Body body) {
        live::Entry entry;
        entry.logged = entry.happened = rehearsal.utc(pet);
        entry.pet = pet;
        entry.body = std::move(body);
        return rehearsal.hear({live::Position{rehearsal.entries().size() + 1}, entry, {}});
    };
    rehearsal.hear({live::Position{1}, rehearsal.opening(), {}});
    rehearsal.advance(Pet{});
    at(Pet{}, live::PetZero{});
    const Pet now = Pet{Seconds{15 * 60}};
    rehearsal.advance(now);
    at(Pet{Seconds{600}}, live::PhaseBegan{live::Phase::work});
    at(now, live::StepStarted{"pump.bring", std::nullopt});
    const auto answers = at(now, live::StandDown{live::StandDownKind::terminate, ""});
    ASSERT_EQ(answers.size(), 1U);
    EXPECT_EQ(answers.front().line, "undo pump.bring");
    rehearsal.advance(Pet{} + std::chrono::hours{2});
    EXPECT_TRUE(rehearsal.over());
    EXPECT_LT(debriefed(rehearsal).in_at, Pet{} + std::chrono::hours{1});
}

TEST(Rehearsal, NobodyBeginsAnythingDuringAHold) {
    const Planned p = demo("pool");
    rehearse::Setup setup;
    setup.level = Level::none;
    Rehearsal rehearsal(p.source, p.plan, setup);
    rehearsal.hear({live::Position{1}, rehearsal.opening(), {}});
    rehearsal.advance(Pet{Seconds{15 * 60}});
    live::Entry hold;
    hold.logged = hold.happened = rehearsal.utc(Pet{Seconds{15 * 60}});
    hold.body = live::HoldBegan{};
    rehearsal.hear({live::Position{2}, hold, {}});
    const auto before = rehearsal.calls().size();
    rehearsal.advance(Pet{Seconds{60 * 60}});
    for (std::size_t i = before; i < rehearsal.calls().size(); ++i)
        EXPECT_NE(rehearsal.calls()[i].what, Call::What::began) << rehearsal.calls()[i].words;
    live::Entry resume = hold;
    resume.happened = resume.logged = rehearsal.utc(Pet{Seconds{60 * 60}});
    resume.body = live::Resumed{};
    rehearsal.hear({live::Position{3}, resume, {}});
    rehearsal.advance(Pet{} + std::chrono::hours{12});
    EXPECT_TRUE(rehearsal.over());
}

/// The law of the automatic lead: everybody comes in, in time and with the reserves, unless what was drawn on the way
/// home made it impossible; then the debrief says so. HANDRAIL_REHEARSALS sets how many.
TEST(Rehearsal, EverybodyComesInWithTheReservesUnlessTheDrawnTroubleMadeItImpossible) {
    const char* wanted = std::getenv("HANDRAIL_REHEARSALS");
    const std::uint64_t count = wanted ? std::strtoull(wanted, nullptr, 10) : 100;
    const Planned pool = demo("pool");
    const Planned larkspur = demo("larkspur");
    constexpr std::array levels{Level::mild, Level::medium, Level::severe};
    std::uint64_t impossible = 0;
    for (std::uint64_t seed = 1; seed <= count; ++seed) {
        const Planned& day = seed % 50 == 0 ? larkspur : pool;
        const auto rehearsal = led(day, levels[seed % levels.size()], seed);
        const Debrief d = debriefed(*rehearsal, 1);
        ASSERT_TRUE(d.inside) << "seed " << seed;
        EXPECT_TRUE(d.intact() || d.impossible) << "seed " << seed << "\n" << print(rehearsal->outing(), d);
        impossible += d.intact() ? 0 : 1;
        EXPECT_GE(std::pair(d.best.required, d.best.value), std::pair(d.reached.required, d.reached.value));
    }
    // Home is started early enough for 95 of 100; more than that would be a fault of the lead.
    EXPECT_LE(impossible, count / 20);
    RecordProperty("impossible", static_cast<int>(impossible));
}

}  // namespace
}  // namespace handrail::rehearse
