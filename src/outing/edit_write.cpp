#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <optional>
#include <sstream>

#include "outing/edit_text.h"

namespace handrail {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

InputError not_written(const fs::path& file, std::string found) {
    return {file.string(),
            {},
            0,
            0,
            "a file that can be replaced",
            std::move(found),
            "check the folder's permissions and the space on its disk"};
}

bool write_all(int handle, std::string_view content) {
    while (!content.empty()) {
        const ssize_t written = ::write(handle, content.data(), content.size());
        if (written < 0 && errno == EINTR) continue;
        if (written <= 0) return false;
        content.remove_prefix(static_cast<std::size_t>(written));
    }
    return true;
}

/// A file's next content, on disk beside it and not yet in its place.
class Replacement {
public:
    explicit Replacement(const fs::path& file) {
        std::error_code none;
        const fs::path real = fs::canonical(file, none);
        file_ = none ? file : real;
        temporary_ = file_.string() + ".XXXXXX";
    }
    Replacement(const Replacement&) = delete;
    Replacement& operator=(const Replacement&) = delete;
    Replacement(Replacement&& other) noexcept
        : file_(std::move(other.file_)),
          temporary_(std::move(other.temporary_)),
          made_(std::exchange(other.made_, false)) {}
    Replacement& operator=(Replacement&&) = delete;
    ~Replacement() {
        if (made_) ::unlink(temporary_.c_str());
    }

    std::optional<InputError> prepare(std::string_view content) {
        const int handle = ::mkostemp(temporary_.data(), O_CLOEXEC);
        if (handle < 0) return failed();
        made_ = true;
        struct stat old {};
        // A new file gets what the user's mask leaves of rw-rw-rw-; mkostemp gives only its owner anything.
        const mode_t mask = ::umask(0);
        ::umask(mask);
        const mode_t mode = ::stat(file_.c_str(), &old) == 0 ? old.st_mode & 07777U : 0666U & ~mask;
        const bool whole = ::fchmod(handle, mode) == 0 && write_all(handle, content) && ::fsync(handle) == 0;
        std::optional<InputError> wrong;
        if (!whole) wrong = failed();
        ::close(handle);
        return wrong;
    }
    std::optional<InputError> put_in_place() {
        if (::rename(temporary_.c_str(), file_.c_str()) != 0) return failed();
        made_ = false;
        const fs::path folder = file_.has_parent_path() ? file_.parent_path() : fs::path(".");
        const int handle = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
        if (handle >= 0) {
            ::fsync(handle);
            ::close(handle);
        }
        return std::nullopt;
    }

private:
    InputError failed() const { return not_written(file_, std::strerror(errno)); }

    fs::path file_;
    std::string temporary_;
    bool made_ = false;
};

std::string content_of(const std::string& name) {
    std::ostringstream content;
    content << std::ifstream(name, std::ios::binary).rdbuf();
    return std::move(content).str();
}

}  // namespace

std::vector<InputError> replace_file(const fs::path& file, std::string_view content) {
    Replacement replacement(file);
    std::optional<InputError> wrong = replacement.prepare(content);
    if (!wrong) wrong = replacement.put_in_place();
    return wrong ? std::vector{std::move(*wrong)} : std::vector<InputError>{};
}

namespace detail {

std::vector<InputError> write_changed(const std::vector<OutingText>& before, const EditedOuting& after) {
    std::vector<Replacement> replacements;
    for (std::size_t i = 0; i < before.size(); ++i) {
        if (before[i].text == after.texts[i].text) continue;
        const std::string disk = content_of(before[i].name);
        const bool marked = disk.starts_with(byte_order_mark);
        const std::string_view text = std::string_view(disk).substr(marked ? byte_order_mark.size() : 0);
        if (text != before[i].text)
            return {InputError{before[i].name, {}, 0, 0, "the file as it was read", "one changed since", "edit again"}};
        std::string content = after.texts[i].text;
        if (marked) content.insert(0, byte_order_mark);
        if (auto wrong = replacements.emplace_back(before[i].name).prepare(content)) return {std::move(*wrong)};
    }
    for (Replacement& replacement : replacements)
        if (auto wrong = replacement.put_in_place()) return {std::move(*wrong)};
    return {};
}

std::vector<InputError> write_new(const std::vector<OutingText>& texts) {
    std::vector<Replacement> replacements;
    for (const OutingText& text : texts) {
        std::error_code none;
        if (fs::symlink_status(text.name, none).type() != fs::file_type::not_found)
            return {InputError{text.name, {}, 0, 0, "a name that is free", "a file", "choose another name"}};
        if (auto wrong = replacements.emplace_back(text.name).prepare(text.text)) return {std::move(*wrong)};
    }
    for (Replacement& replacement : replacements)
        if (auto wrong = replacement.put_in_place()) return {std::move(*wrong)};
    return {};
}

}  // namespace detail
}  // namespace handrail
