#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "brief/amounts.h"
#include "brief/sections.h"
#include "brief/wording.h"
#include "check/check.h"
#include "live/status.h"

/// What the hand-over sheet and the close-out report say alike about a day, as the console may read it.
namespace handrail::brief {

std::string phase_name(live::Phase phase, const Wording& say);
std::string progress_name(live::TaskProgress progress, const Wording& say);
/// "at Radiator root", "carried by EV1", "in Camera bag, carried by EV1", "lost".
std::string item_place(const Outing& outing, const std::vector<plan::ItemPlace>& items, ItemId item,
                       const Wording& say);
/// Worksites whose opening step is done and whose close-up is not.
std::vector<WorksiteId> open_worksites(const Outing& outing, const live::Day& day);
/// The reason, if there is one and the console may read it.
std::string reason_of(const std::optional<live::Reason>& reason);
/// Why a task is left out, as far as the console may know: typed by somebody, or by Handrail, then in this language.
std::string why_left_out(const live::Status& status, TaskId task, const Wording& say);
/// "Scrubbed at 07:52 UTC, before anybody went out." REQUIRES a stand-down.
std::string stand_down_words(const live::Status& status, const Wording& say);
/// Why a task that is not done, or only in part, is so: left out, or what stopped it by the record. Empty while it may
/// still be done.
std::string why_not_done(const Outing& outing, const live::Status& status, TaskId task, const Wording& say);
/// Called off before anybody went out: PET zero never came, and nothing counts from it.
bool scrubbed(const live::Day& day);
/// Where PET counts from in the day's documents; after a scrub the planned moment.
Utc shown_zero(const live::Day& day);
/// When an entry happened, as PET (empty after a scrub) and as UTC to the minute.
struct Happened {
    std::string pet, utc;
};
Happened happened(const live::RecordLine& line, const live::Day& day);
/// "EV1: battery is below its reserve at return ...": suits that by what was done and read do not last, where no
/// finding says so already.
std::vector<std::string> short_of_reserve(const live::Status& status, const std::vector<Finding>& findings,
                                          const Wording& say, Units units);
/// Entries that only the medical reader sees.
std::size_t private_entries(const live::Status& status);
/// Rules the forecast breaks from now on, the day's restrictions counted in; none once the day has been called off.
std::vector<Finding> findings_ahead(const Outing& outing, const live::Status& status);
/// Decisions of the whole day, those taken back left out.
Section decisions(const Outing& outing, const live::Status& status, std::span<const live::Recorded> entries,
                  const std::string& heading, const Wording& say);
/// "3 entries stand in the medical record ..."
Section private_section(const live::Status& status, const Wording& say);

}  // namespace handrail::brief
