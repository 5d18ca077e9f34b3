#include "brief/odds_words.h"

#include <algorithm>
#include <functional>

#include "brief/codes.h"

namespace handrail::brief {

std::string driver_name(const Outing& outing, const risk::Driver& driver, const Wording& say) {
    using What = risk::Driver::What;
    const std::string who = say.crew(driver.person.value_or(Crew::ev1));
    const std::string step = driver.step ? step_code(outing, *driver.step) + " " + outing.step(*driver.step).name : "";
    switch (driver.what) {
        case What::day:
            return say("driver.day");
        case What::person:
            return say("driver.person", {who});
        case What::step:
            return driver.step ? say("driver.step", {step}) : say("driver.other");
        case What::way:
            return driver.step ? say("driver.way", {step}) : say("driver.way_home", {who});
        case What::trouble:
            if (!driver.trouble || *driver.trouble >= outing.risk.troubles.size()) return say("driver.other");
            return driver.step ? say("driver.trouble_at", {outing.risk.troubles[*driver.trouble].name, step})
                               : say("driver.trouble", {outing.risk.troubles[*driver.trouble].name});
        case What::airlock:
            return say("driver.airlock");
    }
    return say("driver.other");
}

std::vector<risk::Driver> told_drivers(const risk::Odds& odds) {
    std::vector<risk::Driver> out;
    risk::Driver* airlock = nullptr;
    out.reserve(odds.drivers.size());
    for (const risk::Driver& driver : odds.drivers) {
        const bool at_airlock = driver.what == risk::Driver::What::airlock;
        if (at_airlock && airlock != nullptr) {
            airlock->share += driver.share;
            continue;
        }
        out.push_back(driver);
        if (at_airlock) airlock = &out.back();
    }
    std::ranges::stable_sort(out, std::ranges::greater{}, &risk::Driver::share);
    return out;
}

}  // namespace handrail::brief
