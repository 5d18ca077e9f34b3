#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <string_view>

/// Each entry's hash covers its bytes and the hash before it, so an entry cannot be changed, removed or moved without
/// changing every hash after it.
namespace handrail::store {

using Hash = std::array<unsigned char, 32>;  ///< SHA-256 (FIPS 180-4)

/// The hash before the first entry: SHA-256 of the ASCII text "handrail-journal 1".
Hash chain_start();
/// SHA-256 over the 32 bytes of `before` followed by the bytes of `content`.
Hash chain_next(const Hash& before, std::string_view content);
/// Lower-case hex.
std::string print(const Hash& hash);

}  // namespace handrail::store
