#include "golden.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <iterator>

namespace handrail::brief {

void expect_golden(const std::string& name, const std::string& content) {
    const std::filesystem::path root = HANDRAIL_SOURCE_DIR;
    std::ifstream in(root / "tests/data/golden" / name, std::ios::binary);
    const std::string approved{std::istreambuf_iterator<char>(in), {}};
    if (approved == content) return;
    const std::filesystem::path made = root / "build/golden" / name;
    std::filesystem::create_directories(made.parent_path());
    std::ofstream(made, std::ios::binary) << content;
    ADD_FAILURE() << name << " differs from the approved document. Look at\n  diff tests/data/golden/" << name
                  << " build/golden/" << name << "\nand run scripts/accept-golden if the new one is right.";
}

}  // namespace handrail::brief
