#pragma once

#include <cstdint>
#include <deque>
#include <optional>
#include <string>

#include "live/options.h"
#include "plan/planner.h"
#include "serve/backend.h"

namespace handrail::cli {

/// What the lead tries out on the timeline: the rest of the day with one edit after the other in it, each judged by
/// the checker. Nothing here touches the journal; a draft can be adopted like any other option while nobody has
/// written since. Remembers the last few hundred. Not safe from several threads at once.
class Drafts {
public:
    /// {"seen": position, "on": draft it goes on from (left out: the forecast), "edit": as in edit/edit_json.h}.
    /// `known`: the forecast of this very position if somebody has worked it out in the last seconds, else null; nobody
    /// who drags a step waits for it then.
    serve::Reply make(const Outing& outing, const live::Day& day, const live::Forecast* known,
                      const std::string& request);
    /// The draft that calls itself `id`, if it was made from this very day.
    const live::Option* find(const std::string& id, live::Position position) const;

private:
    struct Draft {
        std::uint64_t number = 0;
        live::Position position{};
        live::Option option;
        plan::Wishes wishes;
    };
    const Draft* on(std::uint64_t number, live::Position position) const;

    std::deque<Draft> drafts_;
    std::uint64_t last_number_ = 0;
    /// The forecast the drafts go on from; worked out once while nobody writes.
    std::optional<live::Forecast> carried_on_;
    live::Position carried_on_at_{};
    Pet carried_on_from_{};
};

}  // namespace handrail::cli
