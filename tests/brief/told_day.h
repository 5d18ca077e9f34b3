#pragma once

#include <memory>
#include <string>
#include <vector>

#include "brief/registry.h"
#include "live/session.h"
#include "live/status.h"

namespace handrail::brief {

/// A demo outing, planned by the planner with few iterations.
struct PlannedDemo {
    Outing outing;
    WindowTable windows;
    Timeline timeline;
    std::shared_ptr<OddsOnce> odds;  ///< worked out once for all tests of this process
    Subject subject() const;
};
const PlannedDemo& planned_demo(const std::string& name);

/// How a told day ends.
enum class Ending { at_work, home, terminated, scrubbed };

/// A day of a demo outing that follows its plan, with a start ten minutes late, a private hold and a private note;
/// private words all hold `private_marker`, console words hold `console_marker`.
inline constexpr const char* private_marker = "PLANTED-PRIVATE-7741";
inline constexpr const char* console_marker = "PLANTED-CONSOLE-7742";
struct ToldDay {
    const PlannedDemo& demo;
    std::vector<live::Recorded> entries;
    live::WindowSource windows;
    live::Status status;
    std::shared_ptr<OddsOnce> odds;
    Subject subject() const { return subject_of(demo.outing); }
    /// The same day of an outing with other texts.
    Subject subject_of(const Outing& outing) const {
        Subject subject = subject_of_day(outing, entries, status);
        subject.odds = odds;
        return subject;
    }
};
std::unique_ptr<ToldDay> told_day(const std::string& demo, Ending ending);

}  // namespace handrail::brief
