#pragma once

#include <string>
#include <vector>

#include "outing/model.h"
#include "timeline/timeline.h"

/// What a closed outing says about the next one's times.
namespace handrail::risk {

enum class RunIn : std::uint8_t { flight, pool };

struct Learned {
    Risk risk;  ///< what was known before, with what was seen added
    /// One class of times, before and after.
    struct Row {
        std::string what;  ///< "tools", "translation", ...
        Scatter before, after;
        int seen = 0;
        double seen_median = 1;  ///< of actual over planned, the day and the people taken out
    };
    std::vector<Row> rows;  ///< those with something seen
    struct Person {
        std::string name;
        KnownPerson before, after;
    };
    std::vector<Person> people;
    double day = 1;       ///< this outing's own factor, as estimated
    int not_counted = 0;  ///< as-run activities that say nothing: no planned time, or no time at all
};

/// Takes the as-run activities of `as_run` as observations. Times go by the logarithm of actual over planned (planned:
/// likely times the slowest participant's experience factor; translations: routes and speed). First the outing's day
/// and its people are estimated from all of them together, beside how far off each class of times may be (a Kalman
/// update); what is left when day and people are taken out then updates each class's normal distribution of that
/// logarithm with its conjugate normal-inverse-gamma prior, whose strength is Scatter::weight observations. Times from
/// a pool are first multiplied by Risk::pool_to_flight.
Learned learn(const Outing& outing, const Timeline& as_run, RunIn where, const std::string& source);

/// The same as a file to include in the next outing: the [risk] tables that were learned, each with its sources.
std::string library_toml(const Learned& learned);
/// Before and after, for people.
std::string print_learned(const Learned& learned);

/// A class of times with mean log median, known as well as `weight` observations, after these logarithms were seen.
Scatter updated(const Scatter& prior, const std::vector<double>& logarithms, const std::string& source);

}  // namespace handrail::risk
