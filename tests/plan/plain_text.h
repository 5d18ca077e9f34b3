#pragma once

#include <fmt/format.h>

#include <string>
#include <string_view>

/// Pieces of the plain outing files that exact answers are compared on (invented).
namespace handrail::plan {

inline constexpr std::string_view two_people = R"([[suit]]
id = "suit"
kind = "umbilical"
[crew.EV1]
name = "One"
suit = "suit"
[crew.EV2]
name = "Two"
suit = "suit"
)";

/// Two people, and three worksites in a row: a (the airlock), b and c, 6 m and 12 m apart.
inline std::string row_of_three() {
    return R"(handrail = 1
[outing]
name = "Row"
pet_zero = "2031-04-05T08:30:00Z"
[station]
name = "Row"
airlock = "a"
[[station.worksite]]
id = "a"
position = ["0 m", "0 m", "0 m"]
[[station.worksite]]
id = "b"
position = ["6 m", "0 m", "0 m"]
[[station.worksite]]
id = "c"
position = ["16 m", "0 m", "0 m"]
[[station.route]]
between = ["a", "b"]
length = "6 m"
[[station.route]]
between = ["b", "c"]
length = "12 m"
)" + std::string(two_people);
}

/// Times in whole minutes, as PET seconds.
inline std::string sunny_window(int from_s, int to_s) {
    return fmt::format("[[window]]\ncondition = \"sunny\"\nfrom = \"{:02}:{:02}\"\nto = \"{:02}:{:02}\"\n",
                       from_s / 3600, from_s / 60 % 60, to_s / 3600, to_s / 60 % 60);
}

}  // namespace handrail::plan
