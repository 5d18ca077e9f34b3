#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "brief/public_words.h"
#include "live/status.h"

/// What everyone may know of the day while it goes on: the only document the public page is made from.
///
/// The feed is not the lead's document with parts left out. It is built from nothing, out of types that can only hold
/// what is meant for everyone: words are PublicWords, and the rest are times, places and states. There is no field for
/// a margin, a suit, a reason, a forecast, a role or an entry of the record that was not released.
namespace handrail::serve {

/// A line of the record that the lead released, or the fact that work stopped or went on.
class ReleasedLine {
public:
    /// Nothing for a line that is not for everyone. A stop is told whatever it was for, and in words of this program's
    /// own, unless its own words were released: so the ways in which work can stop cannot be told apart.
    static std::optional<ReleasedLine> of(const live::RecordLine& line);
    Utc at() const { return at_; }
    Pet pet() const { return pet_; }
    const brief::PublicWords& words() const { return words_; }

private:
    ReleasedLine(Utc at, Pet pet, brief::PublicWords words) : at_(at), pet_(pet), words_(std::move(words)) {}
    Utc at_;
    Pet pet_;
    brief::PublicWords words_;
};

struct PublicFeed {
    /// What somebody does or will do next.
    struct Doing {
        brief::PublicWords title, words;
        std::optional<WorksiteId> place;
        std::vector<WorksiteId> way;  ///< where it leads along; empty while they stay in one place
        Pet since{};                  ///< begun at; 0 for what comes next
        Seconds length{};             ///< how long the way takes; 0 without one
    };
    struct Person {
        Crew id{};
        brief::PublicWords name, about;
        bool outside = false;
        WorksiteId at{}, anchor{};
        std::optional<Doing> now, next;
    };
    enum class Progress : std::uint8_t { to_come, under_way, partly, done, not_today };
    struct Job {
        brief::PublicWords name, why;
        Progress progress = Progress::to_come;
    };
    struct Light {
        bool known = false, sunlit = false;
        std::optional<Pet> until;
    };

    brief::PublicWords outing, note, about;
    Utc now;
    Utc pet_zero;
    bool begun = false;  ///< PET is running
    live::Phase phase{};
    std::optional<Pet> on_hold_since;
    /// The day ends otherwise than planned. An orderly and a hasty way in are not told apart.
    enum class Ending : std::uint8_t { as_planned, called_off, coming_in };
    Ending ending = Ending::as_planned;
    std::array<Person, 2> crew;
    std::optional<WorksiteId> arm_at;
    Light light;
    std::vector<Job> jobs;  ///< those spoken of in public
    std::vector<ReleasedLine> lines;
};

PublicFeed public_feed(const Outing& outing, const live::Status& status);
/// PublicFeed of docs/openapi.json: "handrail-public", version 1. `outing` is for the station's picture, whose words
/// are public fields too; `windows` for the light on it.
std::string public_json(const PublicFeed& feed, const Outing& outing, const WindowTable& windows);

}  // namespace handrail::serve
