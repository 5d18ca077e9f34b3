#include "plan/population.h"

#include <algorithm>

#include "plan/chain.h"

namespace handrail::plan::detail {
namespace {

// Measured on random outings of 24 to 300 tasks; see docs/performance.md.

/// A founder is worth one cooling of its chain, the first two; a child half a cooling: it ends while it is still warm.
constexpr std::uint64_t founder_length = cooling_length, child_length = cooling_length / 2;
constexpr std::size_t founders = 4;
/// One member more when so many births for each have been in vain.
constexpr std::size_t patience = 12;
/// What a birth counts for of the one after it.
constexpr double memory = 0.95;
/// Other choices are futile when so many times the iterations of the last gain, and so many more, have passed; then one
/// birth of so many tries them all the same, and one begins at the beginning.
constexpr std::uint64_t futile_after = 4, least_futile = 2 * cooling_length, futile_tries = 4;
/// The founder that only walks: it may end where the others do not come.
constexpr std::uint64_t walking_founder = founders - 1;

bool twins(const Found& a, const Found& b) {
    return a.score.finish == b.score.finish && a.sequence.in == b.sequence.in;
}
bool by_score(const Found& a, const Found& b) { return better(a.score, b.score); }

}  // namespace

Population::Population(std::uint64_t seed) : wanted_(founders), random_(seed), seed_(seed) {}

void Population::Success::count(bool better) {
    won = memory * won + (better ? 1 : 0);
    tried = memory * tried + 1;
}

int Population::best_member() const {
    return static_cast<int>(std::min_element(members_.begin(), members_.end(), by_score) - members_.begin());
}

/// By what each has brought of late; a child takes half as long as growing.
bool Population::child_next() {
    if (members_.size() < 2) return false;
    const double child = 2 * child_.share();
    return random_.unit() * (child + grown_.share()) < child;
}

int Population::last_member() const {
    return static_cast<int>(std::max_element(members_.begin(), members_.end(), by_score) - members_.begin());
}

Population::Birth Population::some_birth(bool founder) {
    const int parents = static_cast<int>(members_.size());
    Birth birth;
    birth.seed = seed_ * 1000003u + births_;
    birth.length = births_ == 0 ? 2 * founder_length : founder_length;
    const std::uint64_t turn = births_ % futile_tries;
    birth.walks = futile() ? turn != 0 : births_ == walking_founder;
    if (futile() && turn == futile_tries - 1) founder = true;
    if (!founder && child_next()) {
        birth.kind = Birth::Kind::child;
        birth.length = child_length;
        birth.mother = random_.below(parents);
        birth.father = random_.below(parents - 1);
        if (birth.father >= birth.mother) ++birth.father;
    } else if (!founder) {
        birth.kind = Birth::Kind::grown;
        birth.mother = random_.below(2) ? best_member() : random_.below(parents);
    }
    ++births_;
    return birth;
}

void Population::note_gain(const Birth& birth, const Found& found) {
    const double loss = found.score.violation > 0 ? std::numeric_limits<double>::infinity() : found.score.loss();
    if (loss < least_loss_ - 1e-9) {
        least_loss_ = loss;
        gained_at_ = spent_;
    }
    spent_ += birth.length;
}

bool Population::futile() const { return spent_ > futile_after * gained_at_ + least_futile; }

std::vector<Population::Birth> Population::next(std::size_t count, std::uint64_t iterations) {
    std::vector<Birth> births;
    while (births.size() < count && iterations > 0) {
        Birth birth = some_birth(members_.size() + births.size() < wanted_);
        birth.length = std::min(birth.length, iterations);
        iterations -= birth.length;
        births.push_back(birth);
    }
    return births;
}

void Population::take(const std::vector<Birth>& births, std::vector<Found> found) {
    for (std::size_t i = 0; i < births.size(); ++i) {
        const Birth& birth = births[i];
        note_gain(birth, found[i]);
        const bool founder = birth.kind == Birth::Kind::founder;
        const bool child = birth.kind == Birth::Kind::child;
        if (founder && members_.size() < wanted_) {
            members_.push_back(std::move(found[i]));
            continue;
        }
        Found* worse = &members_[static_cast<std::size_t>(founder ? last_member() : birth.mother)];
        if (!founder) {
            Found* finer = &members_[static_cast<std::size_t>(child ? birth.father : birth.mother)];
            if (by_score(*worse, *finer)) std::swap(worse, finer);
            (child ? child_ : grown_).count(by_score(found[i], *finer));
        }
        const bool known = std::any_of(members_.begin(), members_.end(),
                                       [&](const Found& other) { return &other != worse && twins(other, found[i]); });
        ++in_vain_;
        if (known || !by_score(found[i], *worse)) continue;
        *worse = std::move(found[i]);
        in_vain_ = 0;
    }
    if (members_.size() < wanted_ || in_vain_ < patience * members_.size()) return;
    ++wanted_;
    in_vain_ = 0;
}

}  // namespace handrail::plan::detail
