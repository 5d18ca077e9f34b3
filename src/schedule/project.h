#pragma once

#include <cstdint>
#include <limits>
#include <string>
#include <vector>

/// Resource-constrained project scheduling in its general form: activities that can be done in several ways, resources
/// that are shared while one works and stocks that are used up, least and largest gaps between activities, and
/// activities that may be left out. Time is whole periods; what a period means is the caller's affair.
namespace handrail::schedule {

using Time = int;
/// No limit. Far below the largest int, so that sums of a few times cannot overflow.
inline constexpr Time unlimited = std::numeric_limits<Time>::max() / 4;

/// One way of doing an activity.
struct Mode {
    Time duration = 0;
    std::vector<int> demand;  ///< of each shared resource, held from start to end
    std::vector<int> uses;    ///< of each stock, gone for good
};

struct Activity {
    std::string name;
    std::vector<Mode> modes;
    Time release = 0;               ///< it starts no earlier
    Time latest_start = unlimited;  ///< it starts no later
    Time deadline = unlimited;      ///< it ends no later
    bool optional = false;          ///< it may be left out
    std::int64_t value = 0;         ///< what doing it is worth; counts for optional activities only
};

enum class Since { start, finish };

/// `to` starts at least `gap` after the start or finish of `from`. A largest gap is the same thing the other way round
/// with a negative number: b at most 5 after the start of a is {b, a, -5, Since::start}. It binds only where both are
/// done.
struct Lag {
    int from = 0, to = 0;
    Time gap = 0;
    Since since = Since::finish;
};

/// How many of a group of optional activities are done: "one of A and B", "B only with A" (see `needs`).
struct Group {
    std::vector<int> members;
    int at_least = 0, at_most = 1;
};
/// `activity` is done only if `other` is.
struct Needs {
    int activity = 0, other = 0;
};

/// Activities, resources and stocks are named by their place in these lists.
struct Project {
    std::vector<Activity> activities;
    std::vector<int> capacity;  ///< of each shared resource
    std::vector<int> stock;     ///< of each stock
    std::vector<Lag> lags;
    std::vector<Group> groups;
    std::vector<Needs> needs;
};

/// What a programmer got wrong in building a project (sizes, indices, negative durations), or empty.
std::string fault(const Project& project);

struct Schedule {
    static constexpr int left_out = -1;
    std::vector<Time> start;  ///< of each activity; 0 where left out
    std::vector<int> mode;    ///< of each activity; `left_out` where it is not done
    bool done(int activity) const { return mode[activity] != left_out; }
};
/// Latest end of what is done; 0 where nothing is.
Time makespan(const Project& project, const Schedule& schedule);
/// Sum of the values of the optional activities done.
std::int64_t value(const Project& project, const Schedule& schedule);

/// Every rule the schedule breaks, a sentence each, by code that shares nothing with the search: period by period.
std::vector<std::string> broken_rules(const Project& project, const Schedule& schedule);

}  // namespace handrail::schedule
