// No number of a document is its own: every time, amount and length of time in it is one of the plan's, the record's,
// the windows' or the forecast's. Each test also shows that a number which is not would be found.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <regex>

#include "brief/amounts.h"
#include "brief/axis.h"
#include "brief/day_words.h"
#include "brief/facts.h"
#include "brief/odds_words.h"
#include "brief/registry.h"
#include "brief/subject_charts.h"
#include "lifesupport/forecast.h"
#include "reading.h"
#include "timeline/loads.h"
#include "told_day.h"

namespace handrail::brief {
namespace {

/// Every moment a document may name, as PET and as UTC to the minute and to the second, every share and every amount.
class Known {
public:
    explicit Known(const Subject& subject) : zero_(subject.timeline.pet_zero) {
        const Outing& outing = subject.outing;
        of(subject.timeline);
        if (subject.first_plan) of(*subject.first_plan);
        for (const auto& [key, windows] : subject.windows.all())
            for (const Window& window : windows) {
                add(window.from());
                add(window.to());
            }
        const Facts known = facts(outing, subject.timeline);
        for (const Pet t : {Pet{}, known.limit, known.margin_from}) add(t);
        if (outing.rules.egress_by) add(*outing.rules.egress_by);
        for (const Task& task : outing.tasks)
            for (const auto& by : {task.starts_by, task.ends_by})
                if (by) add(*by);
        if (const std::optional<risk::Odds>& odds = subject.odds->of(subject)) {
            for (const Pet t : {odds->p10.at, odds->p50.at, odds->p90.at}) add(t);
            for (const double share : {odds->required.value, odds->home.value, odds->confidence})
                shares_.insert(print_share(share));
            for (const risk::TaskOdds& task : odds->tasks) shares_.insert(print_share(task.done.value));
            for (const risk::Driver& driver : told_drivers(*odds)) shares_.insert(print_share(driver.share));
            for (const risk::Gate& gate : odds->gates) {
                add(gate.start_home_by);
                add(gate.planned);
                if (gate.begin_until) add(*gate.begin_until);
            }
        }
        for (const Crew crew : both_crew) {
            suit(lifesupport::forecast(outing.suit_of(crew),
                                       loads_of(outing, subject.windows, subject.timeline, crew).loads));
            if (subject.first_plan)
                suit(lifesupport::forecast(outing.suit_of(crew),
                                           loads_of(outing, subject.windows, *subject.first_plan, crew).loads));
        }
        if (subject.status == nullptr) return;
        of(*subject.status);
        for (const Finding& finding : findings_ahead(outing, *subject.status)) {
            found(finding.what);
            add(finding.at);
        }
    }

    void add(Pet t) {
        all_.insert(print_pet(t));
        all_.insert(clock_utc(t, zero_));
        exact_.insert(print_pet_seconds(t));
        exact_.insert(print_utc(std::chrono::floor<Seconds>(to_utc(t, zero_))));
        exact_.insert(print_utc(to_utc(t, zero_)));
    }
    /// Those of `times` that are not among them.
    std::vector<std::string> strangers(const std::string& text) const {
        std::vector<std::string> out;
        for (const std::string& time : times_in(text))
            if (!all_.contains(time)) out.push_back(time);
        for (const std::string& instant : instants_in(text))
            if (!exact_.contains(instant)) out.push_back(instant);
        for (const std::string& share : shares_in(text))
            if (!shares_.contains(share)) out.push_back(share);
        for (const std::string& amount : amounts_in(text))
            if (!amounts_.contains(amount)) out.push_back(amount);
        return out;
    }

private:
    /// What is recorded has its own UTC; its PET counts from PET zero as it is now known.
    void at(Utc t) { add(to_pet(t, zero_)); }
    void of(const Timeline& timeline) {
        for (const Activity& activity : timeline.activities) {
            add(activity.start);
            add(activity.end());
        }
        // The planned PET zero of a day that began late.
        at(timeline.pet_zero);
    }
    void amount(lifesupport::Consumable c, double value) {
        amounts_.insert(print_amount(c, value, Wording{}, Units::metric));
    }
    void suit(const lifesupport::Forecast& forecast) {
        for (std::size_t i = 0; i < lifesupport::consumable_count; ++i) {
            amount(static_cast<lifesupport::Consumable>(i), forecast.at_return().left[i]);
            amount(static_cast<lifesupport::Consumable>(i), forecast.reserve[i]);
            before_[i].push_back(forecast.at_return().left[i]);
            shares_.insert(print_share(forecast.chance_reserve_touched(static_cast<lifesupport::Consumable>(i))));
        }
    }
    /// The checker's sentences have numbers of their own, which its tests look at.
    void found(const std::string& what) {
        all_.merge(times_in(what));
        exact_.merge(instants_in(what));
        amounts_.merge(amounts_in(what));
    }
    void of(const live::Status& status) {
        for (const live::PersonStatus& person : status.people)
            for (const live::ConsumableStatus& one : person.suit.consumables) {
                for (const double value : {one.left, one.left_at_return, one.reserve}) amount(one.consumable, value);
                for (const double value : before_[static_cast<std::size_t>(one.consumable)])
                    amount(one.consumable, std::abs(one.left - value));
            }
        const live::Day& day = status.day;
        at(day.now);
        at(day.now - std::chrono::hours{1});
        at(day.planned_pet_zero);
        for (const live::RecordLine& line : status.record) at(line.happened);
        for (const live::Hold& hold : day.holds) add(hold.from);
        if (day.stand_down) at(to_utc(day.stand_down->at, day.pet_zero));
        for (const auto& t : {status.terminate_by, status.abort_by, status.light.next, status.coverage.next})
            if (t) add(*t);
        add(status.forecast.finish);
        add(status.planned_finish);
        for (const live::AsRun& run : day.as_run) {
            add(run.activity.start);
            add(run.activity.end());
        }
        for (const live::AsRun& run : status.forecast.ahead) {
            add(run.activity.start);
            add(run.activity.end());
        }
        for (const live::TaskStatus& task : status.tasks)
            if (task.forecast_end) add(*task.forecast_end);
    }

    Utc zero_;
    std::set<std::string> all_, exact_, shares_{"5 %"}, amounts_;
    std::array<std::vector<double>, lifesupport::consumable_count> before_;
};

/// Calls `look` with the text of every document that is text, but for the sky and the axes of charts.
template <class Look>
void every_text(const Subject& subject, const Look& look) {
    for (const DocumentKind& kind : document_kinds()) {
        if ((kind.needs_day && subject.status == nullptr) || kind.id == "sky" || kind.id == "suits" ||
            kind.id == "risk" || kind.id == "timeline")
            continue;
        for (const Format format : kind.formats) {
            if (format == Format::pdf || format == Format::png) continue;
            for (const Reader reader : {Reader::ev1, Reader::ev2, Reader::iv}) {
                if (kind.id != "cue-sheet" && reader != Reader::ev1) continue;
                Options options;
                options.format = format;
                options.reader = reader;
                const MadeOrNot made = make_document(kind.id, subject, options);
                ASSERT_TRUE(std::holds_alternative<Document>(made)) << kind.id << std::get<NotMade>(made).why;
                for (const std::string& file : std::get<Document>(made).files)
                    look(std::string(kind.id) + "." + std::string(extension(format)),
                         format == Format::html || format == Format::svg ? without_tags(file)
                         : format == Format::json                        ? strings_of_json(file)
                         : format == Format::icalendar                   ? unfolded(file)
                                                                         : file);
            }
        }
    }
}

class Numbers : public testing::TestWithParam<const char*> {
protected:
    static void expect_known_times(const Subject& subject) {
        const Known known(subject);
        std::size_t seen = 0;
        every_text(subject, [&](const std::string& name, const std::string& text) {
            seen += times_in(text).size();
            EXPECT_THAT(known.strangers(text), testing::IsEmpty()) << name;
        });
        EXPECT_GT(seen, 50u);
    }
};
INSTANTIATE_TEST_SUITE_P(Outings, Numbers, testing::Values("larkspur", "pool"));

TEST_P(Numbers, EveryTimeInADocumentOfAPlanIsThePlans) { expect_known_times(planned_demo(GetParam()).subject()); }

TEST_P(Numbers, EveryTimeInADocumentOfADayIsTheRecordsOrTheForecasts) {
    for (const Ending ending : {Ending::at_work, Ending::home, Ending::terminated, Ending::scrubbed})
        expect_known_times(told_day(GetParam(), ending)->subject());
}

TEST_P(Numbers, ATimeThatIsNoPartOfThePlanIsFound) {
    const Subject subject = planned_demo(GetParam()).subject();
    // The documents of a plan that ends a minute later, held against this one.
    Subject later = subject;
    for (Activity& activity : later.timeline.activities) activity.start += std::chrono::seconds{83};
    const Known known(subject);
    std::size_t found = 0;
    every_text(later, [&](const std::string&, const std::string& text) { found += known.strangers(text).size(); });
    EXPECT_GT(found, 20u);
    EXPECT_THAT(times_in("from -00:45 to 03:28:10, 2031-04-05T08:30:00Z; ratio 1:2"),
                testing::ElementsAre("-00:45", "03:28", "08:30"));
}

TEST_P(Numbers, EveryAmountOnTheFlightDirectorsPageIsTheForecasts) {
    const PlannedDemo& demo = planned_demo(GetParam());
    std::set<std::string> known;
    for (const Crew crew : both_crew) {
        const lifesupport::Forecast forecast = lifesupport::forecast(
            demo.outing.suit_of(crew), loads_of(demo.outing, demo.windows, demo.timeline, crew).loads);
        for (std::size_t i = 0; i < lifesupport::consumable_count; ++i) {
            const auto c = static_cast<lifesupport::Consumable>(i);
            known.insert(print_amount(c, forecast.at_return().left[i], Wording{}, Units::metric));
            known.insert(print_amount(c, forecast.reserve[i], Wording{}, Units::metric));
        }
    }
    Options options;
    options.format = Format::text;
    const MadeOrNot made = make_document("director", demo.subject(), options);
    const std::set<std::string> amounts = amounts_in(std::get<Document>(made).files[0]);
    EXPECT_TRUE(std::ranges::includes(known, amounts)) << testing::PrintToString(amounts);
    EXPECT_EQ(amounts.empty(), std::string(GetParam()) == "pool");
    EXPECT_THAT(amounts_in("0.34 kg and 221 Wh, 3 kgf"), testing::ElementsAre("0.34 kg", "221 Wh"));
}

TEST_P(Numbers, HowLongEveryCueLastsIsHowLongThePlanHasIt) {
    const PlannedDemo& demo = planned_demo(GetParam());
    Options options;
    options.format = Format::markdown;
    const MadeOrNot made = make_document("cue-sheet", demo.subject(), options);
    const std::string page = std::get<Document>(made).files[0];
    static const std::regex cue(R"(\*\*(-?\d\d:\d\d)\*\* to (-?\d\d:\d\d) \(([^;]*); (\d\d:\d\d) UTC\))");
    std::multiset<std::string> shown, planned;
    for (std::sregex_iterator it(page.begin(), page.end(), cue), end; it != end; ++it)
        shown.insert((*it)[1].str() + " " + (*it)[2].str() + " " + (*it)[3].str() + " " + (*it)[4].str());
    for (const Activity& a : demo.timeline.activities)
        planned.insert(print_pet(a.start) + " " + print_pet(a.end()) + " " + print_duration(a.duration) + " " +
                       clock_utc(a.start, demo.timeline.pet_zero));
    EXPECT_EQ(shown, planned);
}

}  // namespace
}  // namespace handrail::brief
