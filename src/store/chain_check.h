#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "store/hash_chain.h"
#include "store/journal.h"

/// Reading a journal's rows while checking them against the hash chain: the same whichever database they come from.
namespace handrail::store {

std::optional<Hash> hash_of(std::string_view bytes);

/// What the journal says its end is.
struct Head {
    Position position{};
    Hash hash{};
};

class ChainCheck {
public:
    using Wrong = std::variant<Tampered, StoreError>;

    /// `shown`: how messages name the journal. `hash_before`: stored hash of the entry at `after`, empty when there is
    /// no such entry.
    ChainCheck(std::string shown, Position after, std::string_view hash_before);

    /// Set when the entry at `after` itself does not hold.
    std::optional<Tampered> start_wrong() const;
    /// The next row, in order of position; says what is wrong with it.
    std::optional<Wrong> take(std::int64_t position, std::string_view hash, std::string_view content);
    /// After the last row.
    std::variant<std::vector<live::Recorded>, Tampered, StoreError> finish(const Head& head);

private:
    Tampered tampered(std::uint64_t at, std::string_view what) const;

    std::string shown_;
    std::uint64_t after_, expected_;
    std::optional<Hash> hash_;
    std::vector<live::Recorded> entries_;
};

}  // namespace handrail::store
