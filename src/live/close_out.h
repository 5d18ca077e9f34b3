#pragma once

#include <string>

#include "live/status.h"

/// The day as it went: what was done, what is left and why, where everything is, how long it took against the plan.
/// Also for an outing that was scrubbed, terminated or aborted.
namespace handrail::live {

struct CloseOutStep {
    StepId step{};
    std::string who;  ///< lanes in words
    std::optional<Pet> planned_start;
    std::optional<Seconds> planned_duration;
    Pet start{};
    Seconds duration{};
    bool assumed = false;  ///< start or end was not logged
};
struct CloseOut {
    std::string ended;                 ///< "came in as planned", "terminate", "scrub", "still outside", ...
    std::optional<Pet> out, in;        ///< both outside; hatch closed
    std::vector<CloseOutStep> steps;   ///< as run, by start
    std::vector<ItemId> left_outside;  ///< items that should be inside and are not
    std::vector<ItemId> lost;
    std::vector<WorksiteId> left_open;  ///< worksites whose close-up was not done
    Seconds held{};                     ///< in all
    std::size_t private_entries = 0;    ///< how many entries only the medical reader sees
    std::string chain;                  ///< hash of the last entry
};

/// True when the day can be closed: everyone inside again, or called off before egress.
bool can_close(const Day& day);
CloseOut close_out_of(const Outing& outing, std::span<const Recorded> entries, const Status& status);

std::string print(const Outing& outing, const Status& status, const CloseOut& close_out, Reader reader);
std::string close_out_json(const Outing& outing, const Status& status, const CloseOut& close_out, Reader reader);

/// The record for this reader: one JSON object a line, or comma-separated values (RFC 4180). The medical reader's lines
/// carry the whole entries and the hash chain; nobody else's carry hashes, from which a short private text could be
/// guessed.
std::string export_json_lines(std::span<const Recorded> entries, const Status& status, Reader reader);
std::string export_csv(const Status& status, Reader reader);

}  // namespace handrail::live
