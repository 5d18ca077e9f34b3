#pragma once

#include "outing/model.h"

/// The rules an outing has when its file says nothing. A programme's own rules belong in the file, above all wherever
/// the source below is "from memory".
namespace handrail {

inline Rules default_rules() {
    using std::chrono::hours;
    using std::chrono::minutes;
    Rules rules;
    // Planning guideline 6 h 30 min, exceptions one by one: NASA EVA Project Office weekly report, 23 Aug 2001.
    rules.limit = hours{6} + minutes{30};
    // Common practice: a quarter of an hour before the hard end.
    rules.margin = minutes{15};
    // 15 min out, 15 min in: the split of the older handbooks, from memory; common practice says 15 to 30 min out.
    rules.egress = minutes{15};
    rules.ingress = minutes{15};
    // Common practice: clean-up and ingress together take 30 to 45 min.
    rules.clean_up = minutes{15};
    // Steel cable reel of 26 m (85 ft): Dempsey (ed.), The International Space Station: Operating an Outpost in the New
    // Frontier, 2018, p. 296.
    rules.tether = Metres{26};
    // Common practice: about a minute a swap, make before break.
    rules.tether_swap = minutes{1};
    // From memory: a minute for each item taken or left, both tethers handled; measure from as-runs.
    rules.pick_up = minutes{1};
    // "About every 30 min": Florida Today space blog, 15 Aug 2007. A minute each: common practice.
    rules.glove_check_every = minutes{30};
    rules.glove_check = minutes{1};
    // Common practice: hand-heavy work capped at 30 to 45 min, then 2 to 5 min of rest.
    rules.heavy_limit = minutes{45};
    rules.rest = minutes{5};
    // Common practice: always able to reach each other. 10 min leaves 20 of the 30 min in which a helpless partner must
    // be in the airlock (ESA training blog, 28 May 2012).
    rules.partner_within = minutes{10};
    // From memory: 0.05 to 0.1 m/s with a large item against 0.2 m/s without.
    rules.large_item_pace = Fraction{0.4};
    // From memory: 0.3 m/s unencumbered, 0.2 m/s normal, 0.15 m/s careful; as shares of the normal one.
    rules.pace_factor = {1.5, 1.0, 0.75};
    // From memory, scaled so that an ordinary outing averages the published 226 to 277 W (Shuttle and Skylab means).
    rules.effort_watts = {Watts{122}, Watts{151}, Watts{198}, Watts{221},
                          Watts{262}, Watts{314}, Watts{279}, Watts{372}};
    // Common practice: one voice inside talks both of them through.
    rules.voice_loops = 2;
    return rules;
}

/// A duration given as one time: low and high as shares of it. Common practice, anchored on tasks running 20 to 44 %
/// over plan (AIAA Space 2016, Apollo lunar surface EVA timeline execution).
inline constexpr double low_share = 0.85;
inline constexpr double high_share = 1.8;

}  // namespace handrail
