#pragma once

#include <filesystem>
#include <stdexcept>
#include <string>
#include <string_view>

#include "outing/outing.h"

/// A small valid outing as text, with pieces to replace (invented, all of it):
///     SmallOuting small;
///     small.with("duration = \"10 min\"", "duration = \"25\"").add("[rules]\nlimit = \"2 h\"\n");
///     const Result<Outing> outing = small.read();
/// Three worksites in a row (airlock - bay 12 m - tip 10 m), two crew, a bag with a tool, a part, two tasks of two
/// steps.
namespace handrail::test {

class SmallOuting {
public:
    static constexpr std::string_view whole = R"(handrail = 1

[outing]
name = "Small outing"
pet_zero = "2031-04-05T08:30:00Z"

[station]
name = "Test stand"
airlock = "airlock"

[[station.worksite]]
id = "airlock"
position = ["0 m", "0 m", "0 m"]

[[station.worksite]]
id = "bay"
name = "Equipment bay"
position = ["10 m", "0 m", "0 m"]
anchor = true

[[station.worksite]]
id = "tip"
position = ["20 m", "0 m", "0 m"]
normal = [1, 0, 0]

[[station.route]]
between = ["airlock", "bay"]
length = "12 m"

[[station.route]]
between = ["bay", "tip"]
length = "10 m"

[[suit]]
id = "suit"
kind = "umbilical"

[crew.EV1]
name = "Ada Testa"
suit = "suit"

[crew.EV2]
name = "Ben Probe"
suit = "suit"

[[item]]
id = "bag"
size = "medium"
at = "airlock"
holds = 4

[[item]]
id = "driver"
in = "bag"

[[item]]
id = "part"
at = "airlock"

[[task]]
id = "fit"
name = "Fit the part"
class = "required"
value = 10

[[task.step]]
name = "Open the cover"
at = "bay"
duration = "10 min"
needs = ["driver"]

[[task.step]]
id = "fix"
name = "Fix the part"
who = ["lead", "helper"]
at = "bay"
duration = { low = "8 min", likely = "12 min", high = "20 min" }
installs = ["part"]

[[task]]
id = "look"
name = "Look at the tip"
value = 3

[[task.step]]
name = "Look from the left"
at = "tip"
duration = "6 min"
effort = "light"

[[task.step]]
name = "Look from the right"
at = "tip"
duration = "7 min"
effort = "light"
)";

    /// Replaces the first place where `old_piece` stands. Throws when it stands nowhere: a test that edits nothing
    /// would test nothing.
    SmallOuting& with(std::string_view old_piece, std::string_view new_piece) {
        const std::size_t at = text_.find(old_piece);
        if (at == std::string::npos) throw std::logic_error("not in the small outing: " + std::string(old_piece));
        text_.replace(at, old_piece.size(), new_piece);
        return *this;
    }
    SmallOuting& add(std::string_view sections) {
        text_ += "\n";
        text_ += sections;
        return *this;
    }
    std::string text() const { return text_; }
    Result<Outing> read(const std::filesystem::path& folder = ".") const {
        return read_outing_text(text_, "small.toml", folder);
    }
    /// The outing itself. Throws what is wrong with the file.
    Outing outing() const {
        Result<Outing> result = read();
        if (!result) throw std::logic_error(print(result.errors().front()));
        return std::move(result).value();
    }

private:
    std::string text_{whole};
};

}  // namespace handrail::test
