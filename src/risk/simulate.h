#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <vector>

#include "risk/replay.h"

/// Many runs of one order of work, each leaving out what its gates and its clock tell it to.
namespace handrail::risk::detail {

/// The plan and every plan that follows from it when something is left out, compiled when first needed. Any thread may
/// ask; the same answer whoever asks first.
class Programs {
public:
    Programs(const Ground& ground, Sequence sequence);
    const Program& whole() const { return *whole_; }
    const Program& at(const Kept& kept);
    /// What follows from `program` when that task keeps so many of its steps at most.
    const Program& without(const Program& program, int task, int keep);
    std::size_t size() const;

private:
    const Ground& ground_;
    Sequence sequence_;
    mutable std::mutex mutex_;
    std::vector<std::unique_ptr<Problem>> spare_;  ///< for compile(), as many as ever compiled at once
    std::map<Kept, std::unique_ptr<Program>> programs_;
    const Program* whole_ = nullptr;
};

/// How each run ended, by run.
struct Runs {
    std::vector<float> finish;
    std::vector<float> value;  ///< of wanted and get-ahead tasks done
    std::vector<std::array<float, 2>> suit_left;
    std::vector<std::uint8_t> required;  ///< all required tasks done
    std::vector<std::uint8_t> reserve_kept;
    std::vector<std::uint64_t> done;  ///< by task: in how many runs
};

struct Batch {
    std::uint32_t runs = 100'000;
    std::uint64_t seed = 1;
    int threads = 0;  ///< 0: one a core
    std::uint32_t first_run = 0;
};

/// The same runs whatever the number of threads.
Runs simulate(const Ground& ground, Programs& programs, const Factors& factors, const Policy& policy,
              const Batch& batch, From from = {}, const Kept& begun = {});

}  // namespace handrail::risk::detail
