#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "outing/input_error.h"

/// Who may see and write what. A role comes from a token; on a loopback server without tokens everyone is the lead.
namespace handrail::serve {

/// lead writes; console reads everything but private; medical reads private too; public gets only its own feed.
enum class Role : std::uint8_t { lead, console, medical, public_view };
inline constexpr std::array all_roles{Role::lead, Role::console, Role::medical, Role::public_view};
/// "lead", "console", "medical", "public": the words of the token file.
std::string_view word(Role role);

/// SHA-256 of a secret. Secrets themselves are not kept in memory.
using Digest = std::array<unsigned char, 32>;
Digest digest_of(std::string_view secret);
/// 256 random bits from the system's generator, in hex.
std::string random_secret();

/// The tokens of a server. A look-up compares digests, so its time says nothing about how near a guess was.
class Tokens {
public:
    /// Lines of "role token"; empty lines and lines that start with # are left out. Every error of the file at once:
    /// unknown role, token shorter than 24 characters or with other than printable ASCII, a token given twice, no
    /// token for the lead.
    static Result<Tokens> read(const std::string& text, const std::string& file);
    std::optional<Role> role_of(std::string_view token) const;

private:
    struct Known {
        Digest digest;
        Role role;
    };
    std::vector<Known> known_;
};

}  // namespace handrail::serve
