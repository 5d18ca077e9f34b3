#include "store/chain_check.h"

#include <fmt/format.h>

#include <algorithm>

namespace handrail::store {

std::optional<Hash> hash_of(std::string_view bytes) {
    Hash hash;
    if (bytes.size() != hash.size()) return std::nullopt;
    std::copy(bytes.begin(), bytes.end(), hash.begin());
    return hash;
}

ChainCheck::ChainCheck(std::string shown, Position after, std::string_view hash_before)
    : shown_(std::move(shown)),
      after_(live::number(after)),
      expected_(after_ + 1),
      hash_(after_ == 0 ? chain_start() : hash_of(hash_before)) {}

std::optional<Tampered> ChainCheck::start_wrong() const {
    if (hash_) return std::nullopt;
    return tampered(after_, "is missing, or has no hash");
}

std::optional<ChainCheck::Wrong> ChainCheck::take(std::int64_t position, std::string_view hash,
                                                  std::string_view content) {
    if (static_cast<std::uint64_t>(position) != expected_) return tampered(expected_, "is missing");
    hash_ = chain_next(*hash_, content);
    if (hash_of(hash) != hash_) return tampered(expected_, "does not fit its hash");
    auto entry = live::read_entry(content);
    if (const auto* wrong = std::get_if<std::string>(&entry))
        return StoreError{fmt::format("{}: entry {} cannot be read: {}; a newer Handrail may have written it.", shown_,
                                      expected_, *wrong)};
    entries_.push_back({Position{expected_}, std::get<live::Entry>(std::move(entry)), print(*hash_)});
    ++expected_;
    return std::nullopt;
}

std::variant<std::vector<live::Recorded>, Tampered, StoreError> ChainCheck::finish(const Head& head) {
    const std::uint64_t last = live::number(head.position);
    if (expected_ - 1 < last) return tampered(expected_, "is missing");
    if (expected_ - 1 > last || (last > after_ && *hash_ != head.hash))
        return tampered(expected_ - 1, "is not the last one that was written");
    return std::move(entries_);
}

Tampered ChainCheck::tampered(std::uint64_t at, std::string_view what) const {
    return {Position{at}, fmt::format("{}: entry {} {}; the journal was changed after it was written. Entries before "
                                      "it are as they were.",
                                      shown_, at, what)};
}

}  // namespace handrail::store
