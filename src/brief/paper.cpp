#include "brief/paper.h"

#include <fmt/format.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <vector>

namespace handrail::brief {
namespace {

/// A file in memory that goes away by itself.
class MemoryFile {
public:
    explicit MemoryFile(const char* name) : descriptor_(memfd_create(name, MFD_CLOEXEC)) {}
    MemoryFile(const MemoryFile&) = delete;
    MemoryFile& operator=(const MemoryFile&) = delete;
    ~MemoryFile() {
        if (descriptor_ >= 0) close(descriptor_);
    }
    int descriptor() const { return descriptor_; }

    bool write(const std::string& bytes) const {
        for (std::size_t at = 0; at < bytes.size();) {
            const ssize_t done = ::write(descriptor_, bytes.data() + at, bytes.size() - at);
            if (done < 0 && errno == EINTR) continue;
            if (done <= 0) return false;
            at += static_cast<std::size_t>(done);
        }
        return lseek(descriptor_, 0, SEEK_SET) == 0;
    }
    std::string read() const {
        std::string bytes;
        lseek(descriptor_, 0, SEEK_SET);
        std::array<char, 65536> buffer{};
        for (;;) {
            const ssize_t got = ::read(descriptor_, buffer.data(), buffer.size());
            if (got < 0 && errno == EINTR) continue;
            if (got <= 0) return bytes;
            bytes.append(buffer.data(), static_cast<std::size_t>(got));
        }
    }

private:
    int descriptor_;
};

}  // namespace

std::variant<std::string, NoPaper> pdf_of_html(const std::string& html, const std::string& identifier) {
    const MemoryFile page("page.html"), paper("page.pdf"), said("said");
    if (page.descriptor() < 0 || paper.descriptor() < 0 || said.descriptor() < 0 || !page.write(html))
        return NoPaper{fmt::format("no memory for laying out a page: {}.", std::strerror(errno))};
    std::string program = "weasyprint", quiet = "--quiet", option = "--pdf-identifier", id = identifier, in = "-",
                target = "-";
    std::array<char*, 7> arguments{program.data(), quiet.data(),  option.data(), id.data(),
                                   in.data(),      target.data(), nullptr};
    // The fonts it embeds carry the time otherwise (reproducible-builds.org, SOURCE_DATE_EPOCH).
    std::string epoch = "SOURCE_DATE_EPOCH=0";
    std::vector<char*> environment{epoch.data()};
    for (char** entry = environ; *entry != nullptr; ++entry)
        if (std::strncmp(*entry, "SOURCE_DATE_EPOCH=", 18) != 0) environment.push_back(*entry);
    environment.push_back(nullptr);

    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, page.descriptor(), STDIN_FILENO);
    posix_spawn_file_actions_adddup2(&actions, paper.descriptor(), STDOUT_FILENO);
    posix_spawn_file_actions_adddup2(&actions, said.descriptor(), STDERR_FILENO);
    pid_t child = 0;
    const int error = posix_spawnp(&child, program.c_str(), &actions, nullptr, arguments.data(), environment.data());
    posix_spawn_file_actions_destroy(&actions);
    if (error == ENOENT)
        return NoPaper{
            "a PDF of this document needs WeasyPrint, which is not installed; install the Debian package weasyprint, "
            "or take the document as HTML and print that."};
    if (error != 0) return NoPaper{fmt::format("WeasyPrint could not be started: {}.", std::strerror(error))};
    int status = 0;
    while (waitpid(child, &status, 0) < 0 && errno == EINTR) {
    }
    std::string bytes = paper.read();
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0 || !bytes.starts_with("%PDF")) {
        std::string last = said.read();
        while (!last.empty() && last.back() == '\n') last.pop_back();
        last = last.substr(last.rfind('\n') == std::string::npos ? 0 : last.rfind('\n') + 1);
        return NoPaper{fmt::format("WeasyPrint ended without a PDF ({}); the document can be had as HTML instead.",
                                   last.empty() ? "it said nothing" : last)};
    }
    return bytes;
}

}  // namespace handrail::brief
