#include "brief/codes.h"

#include <fmt/format.h>
#include <openssl/evp.h>

#include <algorithm>
#include <array>
#include <stdexcept>
#include <string_view>

namespace handrail::brief {
namespace {

std::array<unsigned char, EVP_MAX_MD_SIZE> sha256(const std::string& content) {
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned int length = 0;
    if (EVP_Digest(content.data(), content.size(), digest.data(), &length, EVP_sha256(), nullptr) != 1)
        throw std::runtime_error("SHA-256 is not available");
    return digest;
}

}  // namespace

std::string task_code(TaskId task) {
    constexpr std::string_view letters = "ABCDEFGHJKLMNPQRSTUVWXYZ";
    std::string code;
    for (std::size_t n = index(task) + 1; n > 0; n = (n - 1) / letters.size())
        code.insert(code.begin(), letters[(n - 1) % letters.size()]);
    return code;
}

std::string step_code(const Outing& outing, StepId step) {
    const TaskId task = outing.step(step).task;
    const std::vector<StepId>& steps = outing.task(task).steps;
    const auto at = std::find(steps.begin(), steps.end(), step);
    return fmt::format("{}{}", task_code(task), at - steps.begin() + 1);
}

std::string plan_id(const Outing& outing, const Timeline& timeline) {
    const auto digest = sha256(outing.fingerprint + "\n" + to_json(outing, timeline));
    return fmt::format("{:02x}{:02x}-{:02x}{:02x}", digest[0], digest[1], digest[2], digest[3]);
}

std::string document_code(const std::string& plan, std::optional<std::uint64_t> position) {
    constexpr std::string_view letters = "ABCDEFGH8JKLMN9PQRSTUVWXYZ234567";
    const auto digest =
        sha256("handrail-document 1\n" + plan + "\n" + (position ? std::to_string(*position) : std::string("-")));
    std::uint64_t bits = 0;
    for (int i = 0; i < 5; ++i) bits = bits << 8 | digest[static_cast<std::size_t>(i)];
    std::string code;
    for (int i = 0; i < 8; ++i) {
        if (i == 4) code += '-';
        code += letters[bits >> (35 - 5 * i) & 31];
    }
    return code;
}

}  // namespace handrail::brief
