#include "sky/stretches.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace handrail::sky {
namespace {

struct Sample {
    double t, value;
    bool positive() const { return value > 0; }
};
using Function = std::function<double(double)>;

/// Golden-section search for the extremum in the bracket (left, middle, right), all of one sign, towards zero. Ends as
/// soon as a sample of the other sign turns up, or when the bracket is as narrow as the tolerance.
Sample towards_zero(const Function& f, Sample left, Sample middle, Sample right, double tolerance) {
    const double sign = middle.positive() ? -1.0 : 1.0;  // maximise sign * value
    constexpr double golden = 0.3819660112501051;
    while (right.t - left.t > tolerance && middle.positive() == left.positive()) {
        const bool in_right = right.t - middle.t > middle.t - left.t;
        const double t = in_right ? middle.t + golden * (right.t - middle.t) : middle.t - golden * (middle.t - left.t);
        const Sample next{t, f(t)};
        if (sign * next.value > sign * middle.value) {
            (in_right ? left : right) = middle;
            middle = next;
        } else {
            (in_right ? right : left) = next;
        }
    }
    return middle;
}

/// The change of sign between two samples, by the Illinois method (a secant that cannot stall), closed by bisection.
double root(const Function& f, Sample a, Sample b, double tolerance) {
    double weight_a = 1, weight_b = 1;
    for (int step = 0; b.t - a.t > tolerance; ++step) {
        const double va = a.value * weight_a, vb = b.value * weight_b;
        double t = a.t - va * (b.t - a.t) / (vb - va);
        // Keep half a tolerance off both ends, so that the bracket closes from both sides; every eighth step bisects.
        t = std::clamp(t, a.t + 0.5 * tolerance, b.t - 0.5 * tolerance);
        if (step % 8 == 7 || !std::isfinite(t)) t = 0.5 * (a.t + b.t);
        const Sample next{t, f(t)};
        if (next.positive() == a.positive()) {
            weight_b = weight_a == 1 ? weight_b * 0.5 : 0.5;
            a = next;
            weight_a = 1;
        } else {
            weight_a = weight_b == 1 ? weight_a * 0.5 : 0.5;
            b = next;
            weight_b = 1;
        }
    }
    return 0.5 * (a.t + b.t);
}

std::vector<Sample> samples_of(const Function& f, const Search& search) {
    // One sample beyond each end, so that an extremum in the first or last step has neighbours too.
    const int count = static_cast<int>(std::ceil((search.to_s - search.from_s) / search.step_s));
    std::vector<Sample> samples;
    for (int i = -1; i <= count + 1; ++i) {
        const double t = search.from_s + i * search.step_s;
        samples.push_back({t, f(t)});
    }
    std::vector<Sample> refined{samples.front()};
    for (std::size_t i = 1; i + 1 < samples.size(); ++i) {
        const Sample &left = samples[i - 1], &middle = samples[i], &right = samples[i + 1];
        const bool same = left.positive() == middle.positive() && middle.positive() == right.positive();
        const bool dips = middle.positive() ? middle.value <= left.value && middle.value <= right.value
                                            : middle.value >= left.value && middle.value >= right.value;
        if (same && dips) {
            const Sample extremum = towards_zero(f, left, middle, right, search.tolerance_s);
            if (extremum.positive() != middle.positive()) {
                const bool before = extremum.t < middle.t;
                if (before) refined.push_back(extremum);
                refined.push_back(middle);
                if (!before) refined.push_back(extremum);
                continue;
            }
        }
        refined.push_back(middle);
    }
    refined.push_back(samples.back());
    return refined;
}

}  // namespace

Stretches where_positive(const Function& f, const Search& search) {
    Stretches found;
    const std::vector<Sample> samples = samples_of(f, search);
    double since = samples.front().t;
    for (std::size_t i = 1; i < samples.size(); ++i) {
        const Sample &a = samples[i - 1], &b = samples[i];
        if (a.positive() == b.positive()) continue;
        const double t = root(f, a, b, search.tolerance_s);
        if (b.positive())
            since = t;
        else
            found.push_back({since, t});
    }
    if (samples.back().positive()) found.push_back({since, samples.back().t});
    return intersection(found, {{search.from_s, search.to_s}});
}

Stretches intersection(const Stretches& a, const Stretches& b) {
    Stretches both;
    for (auto p = a.begin(), q = b.begin(); p != a.end() && q != b.end();) {
        const double from = std::max(p->from_s, q->from_s), to = std::min(p->to_s, q->to_s);
        if (from < to) both.push_back({from, to});
        if (p->to_s < q->to_s)
            ++p;
        else
            ++q;
    }
    return both;
}

Stretches joined(Stretches all) {
    std::sort(all.begin(), all.end(), [](const Stretch& a, const Stretch& b) { return a.from_s < b.from_s; });
    Stretches out;
    for (const Stretch& next : all) {
        if (!out.empty() && next.from_s <= out.back().to_s)
            out.back().to_s = std::max(out.back().to_s, next.to_s);
        else
            out.push_back(next);
    }
    return out;
}

Stretches complement(const Stretches& of, double from_s, double to_s) {
    Stretches rest;
    double at = from_s;
    for (const Stretch& taken : of) {
        if (taken.from_s > at) rest.push_back({at, std::min(taken.from_s, to_s)});
        at = std::max(at, taken.to_s);
    }
    if (at < to_s) rest.push_back({at, to_s});
    return rest;
}

}  // namespace handrail::sky
