#include "cli/terminal.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <sstream>

#include "cli/commands.h"
#include "outing/outing.h"
#include "units/parse.h"

namespace handrail::cli {

void fail(const std::vector<InputError>& errors) {
    for (const InputError& error : errors) fmt::print(stderr, "{}\n", print(error));
    if (errors.size() > 1) fmt::print(stderr, "{} errors; nothing was written.\n", errors.size());
    throw Exit{2};
}

void fail(const std::string& what) {
    fmt::print(stderr, "{}\n", what);
    throw Exit{2};
}

Outing outing_or_fail(const std::filesystem::path& file) {
    Result<Outing> outing = read_outing(file);
    if (!outing) fail(outing.errors());
    return std::move(outing).value();
}

std::string text_or_fail(const std::filesystem::path& file) {
    constexpr std::uintmax_t largest = 64u << 20;
    std::error_code error;
    if (std::filesystem::is_directory(file, error))
        fail(fmt::format("{}: this is a folder; name a file.", file.string()));
    const auto size = std::filesystem::file_size(file, error);
    if (error) fail(fmt::format("{}: cannot be read ({}); check the name.", file.string(), error.message()));
    if (size > largest) fail(fmt::format("{}: larger than 64 MiB; this is not a file for Handrail.", file.string()));
    std::ifstream in(file, std::ios::binary);
    std::ostringstream content;
    content << in.rdbuf();
    if (!in) fail(fmt::format("{}: cannot be read; check its permissions.", file.string()));
    return content.str();
}

void write_or_fail(const std::filesystem::path& file, const std::string& content) {
    if (file == "-") {
        std::fwrite(content.data(), 1, content.size(), stdout);
        return;
    }
    const std::string temporary = file.string() + ".part";
    const int handle = ::open(temporary.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    if (handle < 0) fail(fmt::format("{}: cannot be written ({}).", file.string(), std::strerror(errno)));
    std::size_t written = 0;
    while (written < content.size()) {
        const ssize_t n = ::write(handle, content.data() + written, content.size() - written);
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0) break;
        written += static_cast<std::size_t>(n);
    }
    const bool whole = written == content.size() && ::fsync(handle) == 0;
    const int reason = errno;
    ::close(handle);
    if (!whole || ::rename(temporary.c_str(), file.c_str()) != 0) {
        const int why = whole ? errno : reason;
        ::unlink(temporary.c_str());
        fail(fmt::format("{}: cannot be written ({}); nothing was changed.", file.string(), std::strerror(why)));
    }
}

Utc instant_or_fail(const std::string& text, Utc pet_zero, const std::string& option) {
    const auto utc = parse_utc(text);
    if (const Utc* instant = std::get_if<Utc>(&utc)) return *instant;
    if (text.starts_with('+') || text.starts_with('-')) {
        const auto shift = parse_duration(std::string_view(text).substr(1));
        if (const Seconds* seconds = std::get_if<Seconds>(&shift))
            return text.front() == '+' ? pet_zero + *seconds : pet_zero - *seconds;
    }
    const auto clock = parse_pet(text);
    if (const Pet* at = std::get_if<Pet>(&clock)) return to_utc(*at, pet_zero);
    fail(fmt::format(
        "{}expected a UTC instant such as \"2031-04-05T08:30:00Z\", a PET such as \"00:30\" or a shift such "
        "as \"+30 min\", found \"{}\".",
        option.empty() ? "" : option + ": ", text));
}

}  // namespace handrail::cli
