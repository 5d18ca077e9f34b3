#include <fmt/format.h>
#include <openssl/evp.h>

#include <algorithm>
#include <array>
#include <cstring>
#include <fstream>
#include <memory>
#include <sstream>

#include "outing/document.h"

namespace handrail::detail {
namespace {

constexpr std::uintmax_t largest_file = 16U << 20;

/// Length of the UTF-8 sequence at `at`, or 0 when it is not one (RFC 3629: no overlong forms, no surrogates).
std::size_t utf8_length(std::string_view text, std::size_t at) {
    const auto byte = [&](std::size_t i) -> unsigned {
        return at + i < text.size() ? static_cast<unsigned char>(text[at + i]) : 0U;
    };
    const auto follows = [&](std::size_t i) { return (byte(i) & 0xC0U) == 0x80U; };
    const unsigned first = byte(0);
    if (first < 0x80) return 1;
    if (first >= 0xC2 && first <= 0xDF) return follows(1) ? 2 : 0;
    if (first >= 0xE0 && first <= 0xEF) {
        if (!follows(1) || !follows(2)) return 0;
        if (first == 0xE0 && byte(1) < 0xA0) return 0;
        if (first == 0xED && byte(1) > 0x9F) return 0;
        return 3;
    }
    if (first >= 0xF0 && first <= 0xF4) {
        if (!follows(1) || !follows(2) || !follows(3)) return 0;
        if (first == 0xF0 && byte(1) < 0x90) return 0;
        if (first == 0xF4 && byte(1) > 0x8F) return 0;
        return 4;
    }
    return 0;
}

InputError whole_file(const std::string& name, std::string expected, std::string found, std::string remedy) {
    return {name, {}, 0, 0, std::move(expected), std::move(found), std::move(remedy)};
}

/// What makes this text unreadable, if anything does.
std::optional<InputError> fault_of(std::string_view text, const std::string& name) {
    if (text.size() > largest_file)
        return whole_file(name, "a text file of at most 16 MiB", fmt::format("{} MiB", text.size() >> 20U),
                          "check that this is the right file");
    const bool blank =
        std::ranges::all_of(text, [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; });
    if (blank) return whole_file(name, "a text file", "an empty one", "check that this is the right file");
    int line = 1;
    int column = 1;
    for (std::size_t at = 0; at < text.size();) {
        if (text[at] == '\0')
            return InputError{name,
                              {},
                              line,
                              column,
                              "a text file",
                              "a binary one (a zero byte)",
                              "check that this is the right file"};
        const std::size_t length = utf8_length(text, at);
        if (length == 0)
            return InputError{name,
                              {},
                              line,
                              column,
                              "UTF-8 text",
                              fmt::format("the byte 0x{:02X}", static_cast<unsigned char>(text[at])),
                              "save the file as UTF-8"};
        const bool new_line = text[at] == '\n';
        line += new_line ? 1 : 0;
        column = new_line ? 1 : column + 1;
        at += length;
    }
    return std::nullopt;
}

}  // namespace

void Errors::add(Place place, std::string field, std::string expected, std::string found, std::string remedy) {
    add(InputError{place.file ? *place.file : std::string{}, std::move(field), place.line, place.column,
                   std::move(expected), std::move(found), std::move(remedy)});
}

void Errors::add(InputError error) {
    ++count_;
    if (!full()) kept_.push_back(std::move(error));
}

std::vector<InputError> Errors::sorted(const std::vector<std::string>& file_order) const {
    std::vector<InputError> errors = kept_;
    const auto rank = [&](const InputError& e) {
        return std::tuple{std::ranges::find(file_order, e.file) - file_order.begin(), e.line, e.column};
    };
    std::ranges::stable_sort(errors, {}, rank);
    if (count_ > errors.size()) {
        InputError more;
        more.file = errors.front().file;
        more.remedy = fmt::format("{} more errors are not shown", count_ - errors.size());
        errors.push_back(std::move(more));
    }
    return errors;
}

const Source* Sources::read(const std::filesystem::path& file, Errors& errors) {
    const std::string name = file.string();
    std::error_code error;
    const auto refuse = [&](std::string found, std::string remedy) {
        errors.add(whole_file(name, "a readable text file", std::move(found), std::move(remedy)));
        return nullptr;
    };
    if (kept_) {
        const auto kept = std::ranges::find(*kept_, name, &OutingText::name);
        if (kept != kept_->end()) return take(kept->text, name, errors);
        if (others_ == Others::none) return refuse("a file that was not kept", "read the outing file again");
    }
    const std::filesystem::file_status status = std::filesystem::status(file, error);
    if (status.type() == std::filesystem::file_type::not_found)
        return refuse("no such file", "check the name and the folder");
    if (status.type() == std::filesystem::file_type::directory) return refuse("a folder", "name a file in it");
    if (status.type() != std::filesystem::file_type::regular)
        return refuse("something that is not a file", "name a file");
    const std::uintmax_t size = std::filesystem::file_size(file, error);
    if (!error && size > largest_file) {
        errors.add(whole_file(name, "a text file of at most 16 MiB", fmt::format("{} MiB", size >> 20U),
                              "check that this is the right file"));
        return nullptr;
    }
    std::ifstream in(file, std::ios::binary);
    if (!in) return refuse("a file that may not be read", "check its permissions");
    std::ostringstream content;
    if (size > 0) content << in.rdbuf();
    if (in.bad()) return refuse("a file that cannot be read", "check the disk");
    return take(std::move(content).str(), name, errors);
}

const Source* Sources::take(std::string text, const std::string& name, Errors& errors) {
    constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
    if (text.starts_with(byte_order_mark)) text.erase(0, byte_order_mark.size());
    if (std::optional<InputError> fault = fault_of(text, name)) {
        errors.add(std::move(*fault));
        return nullptr;
    }
    return &all_.emplace_back(Source{name, std::move(text)});
}

std::vector<std::string> Sources::names() const {
    std::vector<std::string> names;
    for (const Source& source : all_) names.push_back(source.name);
    return names;
}

std::string Sources::fingerprint() const {
    const std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context(EVP_MD_CTX_new(), EVP_MD_CTX_free);
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned length = 0;
    bool fine = context && EVP_DigestInit_ex(context.get(), EVP_sha256(), nullptr) == 1;
    for (const Source& source : all_) {
        const std::string head = fmt::format("{}\n", source.text.size());
        fine = fine && EVP_DigestUpdate(context.get(), head.data(), head.size()) == 1 &&
               EVP_DigestUpdate(context.get(), source.text.data(), source.text.size()) == 1;
    }
    fine = fine && EVP_DigestFinal_ex(context.get(), digest.data(), &length) == 1;
    assert(fine && "SHA-256 is part of every OpenSSL");
    std::string hex;
    for (unsigned i = 0; i < length; ++i) hex += fmt::format("{:02x}", digest[i]);
    return hex;
}

}  // namespace handrail::detail
