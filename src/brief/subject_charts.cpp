#include "brief/subject_charts.h"

#include <algorithm>
#include <iterator>

#include "brief/risk_chart.h"
#include "brief/sky_chart.h"
#include "brief/suits_chart.h"
#include "live/risk_now.h"
#include "live/suit_loads.h"
#include "sky/survey.h"
#include "timeline/loads.h"

namespace handrail::brief {
namespace {

SuitCurve planned_curve(const Subject& s, Crew crew) {
    const Timeline& plan = s.first_plan ? *s.first_plan : s.timeline;
    return {lifesupport::forecast(s.outing.suit_of(crew), loads_of(s.outing, s.windows, plan, crew).loads), {}, {}};
}

SuitCurve curve_of_day(const Subject& s, Crew crew) {
    const live::Day& day = s.status->day;
    SuitCurve curve = planned_curve(s, crew);
    std::vector<live::AsRun> all = day.as_run;
    std::ranges::copy(s.status->forecast.ahead, std::back_inserter(all));
    const Pet end = std::max(s.status->forecast.finish, day.pet_now());
    const lifesupport::Estimate& judged = day.estimate[index(crew)];
    curve.now = lifesupport::forecast(s.outing.suit_of(crew), live::suit_loads(s.outing, day.windows, all, crew, end),
                                      judged.state);
    std::vector<const live::Reading*> own;
    for (const live::Reading& reading : day.readings)
        if (reading.crew == crew) own.push_back(&reading);
    for (const lifesupport::JudgedValue& value : judged.values)
        if (value.reading < own.size() && may_read(live::Reader::console, own[value.reading]->visibility))
            curve.readings.push_back(value);
    return curve;
}

}  // namespace

const std::optional<risk::Odds>& OddsOnce::of(const Subject& subject) {
    std::call_once(once_, [&] {
        risk::Options options;
        // Enough for odds to the nearest percent: a standard error of 0.35 points or less.
        options.runs = 20'000;
        if (subject.status == nullptr) {
            odds_ = risk::odds_of(subject.outing, subject.windows, subject.timeline, options);
        } else {
            options.sure_home = true;
            odds_ = live::simulate_now(subject.outing, subject.status->day, subject.status->forecast, options);
        }
    });
    return odds_;
}

PagesOrNot sky_pages(const Subject& s, const ChartOrigin& origin) {
    const Utc pet_zero = s.timeline.pet_zero;
    const Pet end = std::max(pet(s.outing.rules.limit), s.timeline.finish());
    std::optional<sky::Survey> survey;
    if (s.outing.orbit) {
        auto made = sky::survey(s.outing, pet_zero, Seconds{0}, std::chrono::ceil<Seconds>(end - Pet{}));
        if (!made) return NotMade{print(made.errors().front())};
        survey = std::move(made).value();
    }
    return sky_chart({s.outing, pet_zero, Pet{}, end, survey, s.windows}, origin);
}

PagesOrNot suits_pages(const Subject& s, const ChartOrigin& origin, Units units) {
    std::array<SuitCurve, 2> curves;
    const bool begun = s.status != nullptr && s.status->day.pet_running;
    for (const Crew crew : both_crew) curves[index(crew)] = begun ? curve_of_day(s, crew) : planned_curve(s, crew);
    std::vector<Canvas> pages;
    pages.push_back(suits_chart(s.outing, s.windows, s.timeline, curves, origin, units));
    return pages;
}

PagesOrNot risk_pages(const Subject& s, const ChartOrigin& origin) {
    const auto once = s.odds ? s.odds : std::make_shared<OddsOnce>();
    const std::optional<risk::Odds>& odds = once->of(s);
    if (!odds) return NotMade{origin.say("odds.over"), true};
    return risk_chart(s.outing, *odds, origin);
}

}  // namespace handrail::brief
