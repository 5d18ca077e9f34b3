#include "cli/html_to_pdf.h"

#include <fmt/format.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <vector>

#include "cli/terminal.h"

namespace handrail::cli {
namespace {

/// A folder of our own that goes away with its content.
class ScratchFolder {
public:
    ScratchFolder() {
        std::string name = (std::filesystem::temp_directory_path() / "handrail-XXXXXX").string();
        if (mkdtemp(name.data()) == nullptr)
            fail(fmt::format("no folder could be made in {}: {}.", std::filesystem::temp_directory_path().string(),
                             std::strerror(errno)));
        path_ = name;
    }
    ScratchFolder(const ScratchFolder&) = delete;
    ScratchFolder& operator=(const ScratchFolder&) = delete;
    ~ScratchFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    std::filesystem::path file(const char* name) const { return path_ / name; }

private:
    std::filesystem::path path_;
};

}  // namespace

std::string pdf_or_fail(const std::string& html, const std::string& identifier) {
    const ScratchFolder folder;
    const std::string page = folder.file("page.html").string(), out = folder.file("page.pdf").string();
    write_or_fail(page, html);
    std::string program = "weasyprint", quiet = "--quiet", option = "--pdf-identifier", id = identifier, in = page,
                target = out;
    std::array<char*, 7> arguments{program.data(), quiet.data(),  option.data(), id.data(),
                                   in.data(),      target.data(), nullptr};
    // The fonts it embeds carry the time otherwise (reproducible-builds.org, SOURCE_DATE_EPOCH).
    std::string epoch = "SOURCE_DATE_EPOCH=0";
    std::vector<char*> environment{epoch.data()};
    for (char** entry = environ; *entry != nullptr; ++entry)
        if (std::strncmp(*entry, "SOURCE_DATE_EPOCH=", 18) != 0) environment.push_back(*entry);
    environment.push_back(nullptr);

    pid_t child = 0;
    const int error = posix_spawnp(&child, program.c_str(), nullptr, nullptr, arguments.data(), environment.data());
    if (error == ENOENT)
        fail(
            "a PDF of this document needs WeasyPrint, which is not installed; install the Debian package weasyprint, "
            "or write .html and print that.");
    if (error != 0) fail(fmt::format("WeasyPrint could not be started: {}.", std::strerror(error)));
    int status = 0;
    while (waitpid(child, &status, 0) < 0 && errno == EINTR) {
    }
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0)
        fail(
            "WeasyPrint ended without a PDF; what it said stands above. The document can be written as .html instead.");
    return text_or_fail(out);
}

}  // namespace handrail::cli
