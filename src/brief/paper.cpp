#include "brief/paper.h"

#include <fmt/format.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <functional>
#include <numeric>
#include <sstream>
#include <thread>

#include "brief/message_files.h"

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

/// The interpreter that the weasyprint on the PATH runs with, as its first line says: with arguments, if it has any.
/// Empty without WeasyPrint.
std::vector<std::string> interpreter() {
    const char* path = std::getenv("PATH");  // NOLINT(concurrency-mt-unsafe): nothing here writes the environment
    std::istringstream folders(path != nullptr ? path : "/usr/bin:/bin");
    for (std::string folder; std::getline(folders, folder, ':');) {
        const std::string file = (folder.empty() ? "." : folder) + "/weasyprint";
        if (access(file.c_str(), X_OK) != 0) continue;
        std::string first;
        std::getline(std::ifstream(file) >> std::ws, first);
        std::vector<std::string> words;
        if (first.starts_with("#!")) {
            std::istringstream in(first.substr(2));
            for (std::string word; in >> word;) words.push_back(word);
        }
        return words.empty() ? std::vector<std::string>{"/usr/bin/python3"} : words;
    }
    return {};
}

/// One process of paper.py with the pages it is to lay out.
class Layout {
public:
    void add(std::size_t page) { pages_.push_back(page); }

    /// Begins; what goes wrong is kept for `finish`.
    void start(std::span<const Page> all, const std::vector<std::string>& python) {
        std::string input;
        for (const std::size_t page : pages_)
            input += fmt::format("{} {}\n{}", all[page].identifier, all[page].html.size(), all[page].html);
        if (in_.descriptor() < 0 || out_.descriptor() < 0 || said_.descriptor() < 0 || !in_.write(input)) {
            trouble_ = fmt::format("no memory for laying out a page: {}.", std::strerror(errno));
            return;
        }
        std::vector<std::string> words = python;
        words.insert(words.end(), {"-c", std::string(paper_program())});
        std::vector<char*> arguments;
        for (std::string& word : words) arguments.push_back(word.data());
        arguments.push_back(nullptr);
        // The fonts it embeds carry the time otherwise (reproducible-builds.org, SOURCE_DATE_EPOCH).
        std::string epoch = "SOURCE_DATE_EPOCH=0";
        std::vector<char*> environment{epoch.data()};
        for (char** entry = environ; *entry != nullptr; ++entry)
            if (std::strncmp(*entry, "SOURCE_DATE_EPOCH=", 18) != 0) environment.push_back(*entry);
        environment.push_back(nullptr);

        posix_spawn_file_actions_t actions;
        posix_spawn_file_actions_init(&actions);
        posix_spawn_file_actions_adddup2(&actions, in_.descriptor(), STDIN_FILENO);
        posix_spawn_file_actions_adddup2(&actions, out_.descriptor(), STDOUT_FILENO);
        posix_spawn_file_actions_adddup2(&actions, said_.descriptor(), STDERR_FILENO);
        const int error = posix_spawnp(&child_, arguments[0], &actions, nullptr, arguments.data(), environment.data());
        posix_spawn_file_actions_destroy(&actions);
        if (error == 0) return;
        child_ = 0;
        trouble_ = fmt::format("WeasyPrint could not be started: {}.", std::strerror(error));
    }

    /// Waits for its end and puts every answer in its place.
    void finish(std::vector<PaperOrNot>& papers) {
        while (child_ > 0 && waitpid(child_, nullptr, 0) < 0 && errno == EINTR) {
        }
        const std::string answers = child_ > 0 ? out_.read() : "";
        std::size_t at = 0;
        for (const std::size_t page : pages_) {
            const std::size_t space = answers.find(' ', at), line = answers.find('\n', at);
            std::size_t size = 0;
            if (space != std::string::npos && line != std::string::npos && space < line)
                std::from_chars(answers.data() + space + 1, answers.data() + line, size);
            if (size == 0 || answers.size() - (line + 1) < size) {
                papers[page] = NoPaper{trouble_.empty() ? ended(said_.read()) : trouble_};
                at = answers.size();
                continue;
            }
            std::string answer = answers.substr(line + 1, size);
            if (answers.compare(at, space - at, "pdf") == 0)
                papers[page] = std::move(answer);
            else
                papers[page] = NoPaper{ended(std::move(answer))};
            at = line + 1 + size;
        }
    }

private:
    static std::string ended(std::string said) {
        while (!said.empty() && said.back() == '\n') said.pop_back();
        said = said.substr(said.rfind('\n') == std::string::npos ? 0 : said.rfind('\n') + 1);
        return fmt::format("WeasyPrint ended without a PDF ({}); the document can be had as HTML instead.",
                           said.empty() ? "it said nothing" : said);
    }

    const MemoryFile in_{"pages"}, out_{"papers"}, said_{"said"};
    std::vector<std::size_t> pages_;
    pid_t child_ = 0;
    std::string trouble_;
};

}  // namespace

std::vector<PaperOrNot> pdfs_of_html(std::span<const Page> pages) {
    std::vector<PaperOrNot> papers(pages.size());
    if (pages.empty()) return papers;
    const std::vector<std::string> python = interpreter();
    if (python.empty()) {
        std::ranges::fill(
            papers, PaperOrNot{NoPaper{"a PDF of this document needs WeasyPrint, which is not installed; install the "
                                       "Debian package weasyprint, or take the document as HTML and print that."}});
        return papers;
    }
    std::vector<std::size_t> order(pages.size());
    std::iota(order.begin(), order.end(), 0);
    // The longest first, each to whoever has least to do.
    std::ranges::stable_sort(order, std::greater{}, [&](std::size_t page) { return pages[page].html.size(); });
    const std::size_t cores = std::max(1u, std::thread::hardware_concurrency());
    std::vector<Layout> layouts(std::min(pages.size(), cores));
    std::vector<std::size_t> load(layouts.size(), 0);
    for (const std::size_t page : order) {
        const std::size_t least = static_cast<std::size_t>(std::ranges::min_element(load) - load.begin());
        load[least] += pages[page].html.size();
        layouts[least].add(page);
    }
    for (Layout& layout : layouts) layout.start(pages, python);
    for (Layout& layout : layouts) layout.finish(papers);
    return papers;
}

}  // namespace handrail::brief
