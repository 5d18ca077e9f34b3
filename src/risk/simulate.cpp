#include "risk/simulate.h"

#include <algorithm>
#include <atomic>
#include <cassert>
#include <numeric>
#include <thread>
#include <tuple>

namespace handrail::risk::detail {

Programs::Programs(const Ground& ground, Sequence sequence) : ground_(ground), sequence_(std::move(sequence)) {
    whole_ = &at(Kept(ground.problem->tasks.size(), all_steps));
}

const Program& Programs::at(const Kept& kept) {
    std::unique_ptr<Problem> less;
    {
        const std::lock_guard lock(mutex_);
        const auto found = programs_.find(kept);
        if (found != programs_.end()) return *found->second;
        if (!spare_.empty()) {
            less = std::move(spare_.back());
            spare_.pop_back();
        }
    }
    if (!less) less = std::make_unique<Problem>(*ground_.problem);
    // Compiled outside the lock: two threads may do the same work once, and keep one of the equal results.
    auto program = std::make_unique<Program>(compile(ground_, sequence_, kept, *less));
    program->whole_finish = whole_ ? whole_->planned_finish : program->planned_finish;
    const std::lock_guard lock(mutex_);
    spare_.push_back(std::move(less));
    return *programs_.try_emplace(kept, std::move(program)).first->second;
}

const Program& Programs::without(const Program& program, int task, int keep) {
    Kept kept = program.kept;
    auto& keeps = kept[static_cast<std::size_t>(task)];
    // Each step on this way leaves out at least one more step, so it ends.
    assert(keep < keeps);
    keeps = std::min(keeps, static_cast<std::uint8_t>(keep));
    return at(kept);
}

std::size_t Programs::size() const {
    const std::lock_guard lock(mutex_);
    return programs_.size();
}

namespace {

/// Work is cut into blocks whose size does not depend on the number of threads.
std::uint32_t block_for(std::uint32_t runs) { return std::clamp(runs / 8, 256u, 16'384u); }

/// Runs on their way: those that have left out the same and go on from the same place.
struct Group {
    std::vector<std::uint32_t> runs;
    std::vector<float> saved;
};
/// What they go on with, from which decision on, of which program they come from. Only the results matter, not this
/// order.
using Place = std::tuple<const Program*, int, const Program*>;

/// Runs first … last of one block, wave after wave: those that leave something out join the runs that left out the
/// same, until every run has come home.
void run_block(Replayer& replayer, Programs& programs, const Policy& policy, const Batch& batch, From from,
               const Kept& begun, std::uint32_t first, std::uint32_t last, Runs& result,
               std::vector<std::uint64_t>& done) {
    std::map<Place, Group> waiting;
    Group all;
    all.runs.resize(last - first);
    std::iota(all.runs.begin(), all.runs.end(), batch.first_run + first);
    waiting.emplace(Place{begun.empty() ? &programs.whole() : &programs.at(begun), -1, nullptr}, std::move(all));
    Ended ended;
    const auto amount = [](const auto& entry) {
        const Kept& kept = std::get<0>(entry.first)->kept;
        return std::accumulate(kept.begin(), kept.end(), 0);
    };
    while (!waiting.empty()) {
        // Those that have left out least come first, so that a plan is visited once for all who get there.
        const auto next = std::max_element(waiting.begin(), waiting.end(),
                                           [&](const auto& a, const auto& b) { return amount(a) < amount(b); });
        const auto [going_on, decision, before] = next->first;
        const Group group = std::move(next->second);
        waiting.erase(next);
        const Program& program = *going_on;
        Resume resume;
        if (before) {
            const Decision& from_there = before->decisions[static_cast<std::size_t>(decision)];
            if (same_until(*before, program, from_there.node)) resume = {&from_there, group.saved};
        }
        ended.clear();
        replayer.run(programs, program, policy, group.runs, from, resume, ended);
        for (const Outcome& outcome : ended.outcomes) {
            const std::size_t at = outcome.run - batch.first_run;
            const Program& last_one = *outcome.program;
            result.finish[at] = outcome.finish;
            result.value[at] = last_one.value[outcome.row];
            result.required[at] = last_one.required[outcome.row];
            result.suit_left[at] = outcome.suit_left;
            result.reserve_kept[at] = outcome.reserve_kept ? 1 : 0;
            const std::vector<std::uint8_t>& reached = last_one.done[outcome.row];
            for (std::size_t t = 0; t < done.size(); ++t) done[t] += reached[t] ? 1 : 0;
        }
        for (const Diverted& d : ended.diverted) {
            const Program& fewer = programs.without(*d.program, d.task, d.keep);
            Group& to = waiting[{&fewer, d.decision, d.decision < 0 ? nullptr : d.program}];
            to.runs.push_back(d.run);
            if (d.decision < 0) continue;
            const auto at = ended.saved.begin() + static_cast<std::ptrdiff_t>(d.saved);
            to.saved.insert(to.saved.end(), at,
                            at + static_cast<std::ptrdiff_t>(
                                     saved_size(d.program->decisions[static_cast<std::size_t>(d.decision)])));
        }
    }
}

}  // namespace

Runs simulate(const Ground& ground, Programs& programs, const Factors& factors, const Policy& policy,
              const Batch& batch, From from, const Kept& begun) {
    Runs result;
    result.finish.resize(batch.runs);
    result.value.resize(batch.runs);
    result.suit_left.resize(batch.runs);
    result.required.resize(batch.runs);
    result.reserve_kept.resize(batch.runs);
    result.done.assign(ground.problem->tasks.size(), 0);
    const std::uint32_t block_size = block_for(batch.runs);
    const std::uint32_t blocks = (batch.runs + block_size - 1) / block_size;
    const int wished = batch.threads > 0 ? batch.threads : static_cast<int>(std::thread::hardware_concurrency());
    const int threads = std::clamp(wished, 1, static_cast<int>(std::max(1u, blocks)));
    std::atomic<std::uint32_t> next{0};
    std::mutex adding;
    const auto work = [&] {
        Replayer replayer(ground, factors, batch.seed);
        std::vector<std::uint64_t> done(result.done.size(), 0);
        for (std::uint32_t b = next++; b < blocks; b = next++)
            run_block(replayer, programs, policy, batch, from, begun, b * block_size,
                      std::min(batch.runs, (b + 1) * block_size), result, done);
        const std::lock_guard lock(adding);  // whole numbers: the order of adding does not matter
        for (std::size_t t = 0; t < done.size(); ++t) result.done[t] += done[t];
    };
    {
        std::vector<std::jthread> workers;
        for (int i = 1; i < threads; ++i) workers.emplace_back(work);
        work();
    }
    return result;
}

}  // namespace handrail::risk::detail
