#include <gtest/gtest.h>

#include <cstdint>

#include "outing/import_tasks.h"
#include "support/small_outing.h"

/// Whatever a slip of the keyboard or a torn file makes of an outing: an outing or errors, never a crash.
namespace handrail {
namespace {

/// SplitMix64 (Steele, Lea, Flood 2014): the same slips on every machine.
class Slips {
public:
    explicit Slips(std::uint64_t seed) : state_(seed) {}
    std::size_t below(std::size_t n) {
        state_ += 0x9E3779B97F4A7C15U;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
        return static_cast<std::size_t>((z ^ (z >> 31U)) % n);
    }
    std::string of(std::string text) {
        constexpr std::string_view pieces[] = {"\"",
                                               "[",
                                               "]",
                                               "{",
                                               "}",
                                               "=",
                                               "\n",
                                               "-1",
                                               "1e999",
                                               "'''",
                                               "\\u0000",
                                               ".",
                                               "0 min",
                                               "[[task]]\n",
                                               "[[task.step]]\n",
                                               "after = [\"fit.1\"]\n",
                                               "\xFF",
                                               "tip"};
        for (std::size_t i = 1 + below(3); i > 0; --i) {
            const std::size_t at = below(text.size());
            const std::size_t length = std::min(text.size() - at, 1 + below(40));
            switch (below(4)) {
                case 0:
                    text.erase(at, length);
                    break;
                case 1:
                    text.insert(at, pieces[below(std::size(pieces))]);
                    break;
                case 2:
                    text.insert(at, text.substr(below(text.size()), length));
                    break;
                case 3:
                    text[at] = static_cast<char>(below(8) == 0 ? below(256) : 32 + below(95));
                    break;
            }
            if (text.empty()) text = "x";
        }
        return text;
    }

private:
    std::uint64_t state_;
};

TEST(Mutation, ATornOutingFileIsAnOutingOrErrors) {
    Slips slips(20310405);
    const std::string whole = test::SmallOuting{}.text();
    std::size_t read = 0;
    for (int i = 0; i < 4000; ++i) {
        const Result<Outing> outing = read_outing_text(slips.of(whole), "torn.toml", ".");
        if (outing.ok()) {
            ++read;
            EXPECT_FALSE(outing.value().steps.empty());
        } else {
            EXPECT_FALSE(outing.errors().empty());
        }
    }
    EXPECT_GT(read, 40U) << "some slips change only a word";
    EXPECT_LT(read, 3000U);
}

TEST(Mutation, ATornTaskTableIsTasksOrErrors) {
    Slips slips(7);
    const std::string whole =
        "task,step,duration,low,high,who,value,opens\nlamp,Open,6 min,5 min,9 min,lead|helper,3,yes\n,Close,\"4 "
        "min\",,,,,\n";
    std::size_t read = 0;
    for (int i = 0; i < 4000; ++i) {
        const Result<std::string> tasks = import_tasks(slips.of(whole), "torn.csv");
        if (tasks.ok())
            ++read;
        else
            EXPECT_FALSE(tasks.errors().empty());
    }
    EXPECT_GT(read, 100U);
    EXPECT_LT(read, 3500U);
}

}  // namespace
}  // namespace handrail
