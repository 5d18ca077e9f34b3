#include "serve/roles.h"

#include <fmt/format.h>
#include <openssl/crypto.h>
#include <openssl/rand.h>
#include <openssl/sha.h>

#include <algorithm>
#include <stdexcept>

namespace handrail::serve {
namespace {

// 24 characters of a random base64 text are 144 bits: beyond guessing at any rate the server answers (common practice).
constexpr std::size_t shortest_token = 24;

std::vector<std::string_view> words_of(std::string_view line) {
    std::vector<std::string_view> words;
    std::size_t at = 0;
    while (at < line.size()) {
        const std::size_t from = line.find_first_not_of(" \t\r", at);
        if (from == std::string_view::npos) break;
        const std::size_t to = std::min(line.find_first_of(" \t\r", from), line.size());
        words.push_back(line.substr(from, to - from));
        at = to;
    }
    return words;
}

std::optional<Role> role_named(std::string_view name) {
    for (const Role role : all_roles)
        if (word(role) == name) return role;
    return std::nullopt;
}

bool printable(std::string_view token) {
    return std::ranges::all_of(token, [](char c) { return c > ' ' && c <= '~'; });
}

}  // namespace

std::string_view word(Role role) {
    switch (role) {
        case Role::lead:
            return "lead";
        case Role::console:
            return "console";
        case Role::medical:
            return "medical";
        case Role::public_view:
            return "public";
    }
    return "";
}

Digest digest_of(std::string_view secret) {
    Digest digest{};
    SHA256(reinterpret_cast<const unsigned char*>(secret.data()), secret.size(), digest.data());
    return digest;
}

std::string random_secret() {
    std::array<unsigned char, 32> bytes{};
    if (RAND_bytes(bytes.data(), static_cast<int>(bytes.size())) != 1)
        throw std::runtime_error("the system's random generator gave nothing");
    std::string hex;
    for (const unsigned char byte : bytes) hex += fmt::format("{:02x}", byte);
    return hex;
}

Result<Tokens> Tokens::read(const std::string& text, const std::string& file) {
    Tokens tokens;
    std::vector<InputError> errors;
    int line_number = 0;
    std::size_t at = 0;
    const auto wrong = [&](std::string field, std::string expected, std::string found, std::string remedy) {
        errors.push_back(InputError{file, std::move(field), line_number, 1, std::move(expected), std::move(found),
                                    std::move(remedy)});
    };
    while (at < text.size()) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        const std::string_view line = std::string_view(text).substr(at, end - at);
        at = end + 1;
        ++line_number;
        const std::vector<std::string_view> words = words_of(line);
        if (words.empty() || words.front().starts_with('#')) continue;
        const std::optional<Role> role = role_named(words.front());
        // A token is never repeated in a message: messages end up in logs.
        if (words.size() != 2) {
            wrong("token", "a role and a token", fmt::format("{} words", words.size()),
                  "write one line such as \"console\" followed by its token");
        } else if (!role) {
            wrong("role", "lead, console, medical or public", fmt::format("\"{}\"", words.front()),
                  "name one of these");
        } else if (words[1].size() < shortest_token || !printable(words[1])) {
            wrong("token", fmt::format("at least {} printable ASCII characters", shortest_token),
                  fmt::format("{} characters", words[1].size()), "make one with \"openssl rand -base64 33\"");
        } else if (tokens.role_of(words[1])) {
            wrong("token", "a token of its own for each line", "one that stands further up too", "make a new one");
        } else {
            tokens.known_.push_back(Known{digest_of(words[1]), *role});
        }
    }
    if (errors.empty() && std::ranges::none_of(tokens.known_, [](const Known& k) { return k.role == Role::lead; })) {
        line_number = 0;
        wrong("tokens", "at least one token for the lead", "none", "add a line \"lead\" followed by a token");
    }
    if (!errors.empty()) return errors;
    return tokens;
}

std::optional<Role> Tokens::role_of(std::string_view token) const {
    const Digest digest = digest_of(token);
    std::optional<Role> role;
    for (const Known& known : known_)
        if (CRYPTO_memcmp(known.digest.data(), digest.data(), digest.size()) == 0) role = known.role;
    return role;
}

}  // namespace handrail::serve
