#include "schedule/archive.h"

#include <lzma.h>

#include <array>
#include <fstream>
#include <iterator>

namespace handrail::schedule::detail {
namespace {

constexpr std::size_t most_unpacked = std::size_t{256} << 20;  // the published sets have 10 MiB at most
constexpr std::uint64_t most_memory = std::uint64_t{512} << 20;

std::optional<std::string> unpack(const std::string& packed) {
    lzma_stream stream = LZMA_STREAM_INIT;
    if (lzma_stream_decoder(&stream, most_memory, 0) != LZMA_OK) return std::nullopt;
    std::string whole;
    std::array<char, 65536> piece{};
    stream.next_in = reinterpret_cast<const std::uint8_t*>(packed.data());
    stream.avail_in = packed.size();
    lzma_ret state = LZMA_OK;
    while (state == LZMA_OK && whole.size() < most_unpacked) {
        stream.next_out = reinterpret_cast<std::uint8_t*>(piece.data());
        stream.avail_out = piece.size();
        state = lzma_code(&stream, LZMA_FINISH);
        whole.append(piece.data(), piece.size() - stream.avail_out);
    }
    lzma_end(&stream);
    if (state != LZMA_STREAM_END) return std::nullopt;
    return whole;
}

/// POSIX ustar (IEEE Std 1003.1, pax): blocks of 512 bytes; name at 0, size in octal at 124, type at 156.
std::optional<std::map<std::string, std::string>> files_of(const std::string& tar) {
    constexpr std::size_t block = 512;
    std::map<std::string, std::string> files;
    for (std::size_t at = 0; at + block <= tar.size();) {
        const std::string_view head(tar.data() + at, block);
        if (head[0] == '\0') break;
        std::size_t size = 0;
        for (const char digit : head.substr(124, 11)) {
            if (digit == ' ' || digit == '\0') continue;
            if (digit < '0' || digit > '7') return std::nullopt;
            size = size * 8 + static_cast<std::size_t>(digit - '0');
        }
        at += block;
        if (size > tar.size() - at) return std::nullopt;
        std::string_view name = head.substr(0, 100);
        name = name.substr(0, name.find('\0'));
        const char type = head[156];
        if (type == '0' || type == '\0') files[std::string(name.substr(name.rfind('/') + 1))] = tar.substr(at, size);
        at += (size + block - 1) / block * block;
    }
    return files;
}

std::string content(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

std::optional<std::map<std::string, std::string>> read_tar_xz(const std::filesystem::path& file) {
    std::error_code error;
    const auto size = std::filesystem::file_size(file, error);
    if (error || size > most_unpacked) return std::nullopt;
    const std::optional<std::string> tar = unpack(content(file));
    return tar ? files_of(*tar) : std::nullopt;
}

std::map<std::string, std::string> read_folder(const std::filesystem::path& folder) {
    std::map<std::string, std::string> files;
    std::error_code error;
    for (const auto& entry : std::filesystem::directory_iterator(folder, error))
        if (entry.is_regular_file() && entry.file_size() <= (1u << 20))
            files[entry.path().filename().string()] = content(entry.path());
    return files;
}

}  // namespace handrail::schedule::detail
