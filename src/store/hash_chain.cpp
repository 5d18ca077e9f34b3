#include "store/hash_chain.h"

#include <openssl/evp.h>

#include <memory>
#include <stdexcept>

namespace handrail::store {
namespace {

Hash sha256(std::string_view first, std::string_view second) {
    const std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context(EVP_MD_CTX_new(), EVP_MD_CTX_free);
    Hash hash{};
    unsigned length = 0;
    const bool done = context && EVP_DigestInit_ex(context.get(), EVP_sha256(), nullptr) == 1 &&
                      EVP_DigestUpdate(context.get(), first.data(), first.size()) == 1 &&
                      EVP_DigestUpdate(context.get(), second.data(), second.size()) == 1 &&
                      EVP_DigestFinal_ex(context.get(), hash.data(), &length) == 1 && length == hash.size();
    if (!done) throw std::runtime_error("SHA-256 is not to be had from libcrypto");
    return hash;
}

}  // namespace

Hash chain_start() { return sha256("handrail-journal 1", {}); }

Hash chain_next(const Hash& before, std::string_view content) {
    return sha256({reinterpret_cast<const char*>(before.data()), before.size()}, content);
}

std::string print(const Hash& hash) {
    constexpr std::string_view digits = "0123456789abcdef";
    std::string text;
    text.reserve(2 * hash.size());
    for (const unsigned char byte : hash) {
        text += digits[byte >> 4];
        text += digits[byte & 15];
    }
    return text;
}

}  // namespace handrail::store
