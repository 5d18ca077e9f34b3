#pragma once

#include <gtest/gtest.h>
#include <stdlib.h>
#include <sys/wait.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace handrail::cli {

struct Ran {
    int code = -1;
    std::string out, error;
};

/// A folder of its own for one test, and the program run with arguments as a shell would.
class Program {
public:
    Program() {
        std::string name = (std::filesystem::temp_directory_path() / "handrail-cli-XXXXXX").string();
        if (mkdtemp(name.data()) == nullptr) std::abort();
        folder_ = name;
    }
    Program(const Program&) = delete;
    Program& operator=(const Program&) = delete;
    ~Program() {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }
    std::string path(const std::string& name) const { return (folder_ / name).string(); }
    static std::string demo(const std::string& name) {
        return std::string(HANDRAIL_SOURCE_DIR) + "/demo/" + name + "/outing.toml";
    }

    template <class... Words>
    Ran operator()(const Words&... words) const {
        std::string command = "'" HANDRAIL_PROGRAM "'";
        ((command += " " + quoted(words)), ...);
        command += " >" + quoted(path("out")) + " 2>" + quoted(path("error"));
        const int status =
            std::system(command.c_str());  // NOLINT(cert-env33-c,concurrency-mt-unsafe): that is the test
        return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, text(path("out")), text(path("error"))};
    }
    static std::string text(const std::string& file) {
        std::ostringstream content;
        content << std::ifstream(file, std::ios::binary).rdbuf();
        return content.str();
    }

private:
    static std::string quoted(const std::string& word) {
        std::string text = "'";
        for (const char c : word) text += c == '\'' ? std::string("'\\''") : std::string(1, c);
        return text + "'";
    }
    std::filesystem::path folder_;
};

}  // namespace handrail::cli
