#pragma once

#include <functional>

#include "plan/search.h"

/// Two plans make a third.
namespace handrail::plan::detail {

/// What one of the two does up to a moment between two of its tasks, then what the other does from about then on, as
/// far as the tasks may be together. Of several such moments and both ways round the one whose `cost` is least, with
/// some luck, so that the same two have many children (one-point crossover: Holland 1975). `decoder` decodes it. One of
/// the two when there is no other.
Found crossed(const Problem& problem, Decoder& decoder, const Found& one, const Found& other,
              const std::function<double(const Score&)>& cost, Random& random);

}  // namespace handrail::plan::detail
