#pragma once

#include <string>
#include <string_view>

#include "outing/model.h"
#include "timeline/timeline.h"

/// The plan played on the map: what a walk-through is made from, and the one file that is handed out.
namespace handrail::brief {

/// Whose words the captions are. The public's are built from PublicWords alone; the crew's have step names, words for
/// the crew, hazards and what is in whose hands. Neither reads anything but the outing file and the plan.
enum class CaptionWords : std::uint8_t { everyone, crew };

/// {"format": "handrail-walk-through", "version": 1, "words": "public" or "crew", "outing", "note", "about", "plan",
/// "pet_zero", "finish_s", "crew": [{"id", "name", "about"}], "activities": [{"kind", "lanes", "start_s", "duration_s",
/// "path", "title", "words"}], "station", "light" (brief/scene.h), "caution"}. In the crew's words activities also have
/// "hazards": [{"what", "control"}] and "hands": {"EV1": "..."}, as they are when the activity begins; worksites go by
/// their ids there and by numbers in the public's.
std::string walk_through_json(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                              CaptionWords words);

/// One HTML page that needs nothing else: no network, no server, no other file; its policy forbids it to ask. `walk` is
/// what walk_through_json() returned, `script` and `style` are the built player. The same input gives the same bytes.
std::string walk_through_page(const Outing& outing, std::string_view walk, std::string_view script,
                              std::string_view style);

}  // namespace handrail::brief
