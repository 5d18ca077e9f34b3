#include "schedule/psplib.h"

#include <fmt/format.h>

#include <algorithm>

#include "schedule/psplib_lines.h"

namespace handrail::schedule {
namespace {

using detail::Lines;

// The largest published instances have 302 jobs; the limit keeps a nonsense file from filling the memory.
constexpr int most_activities = 10'000;
constexpr int most_resources = 64;

struct Counts {
    int jobs = 0, shared = 0, stocks = 0;
};

Counts read_counts(Lines& lines) {
    Counts counts;
    counts.jobs = lines.labelled("jobs");
    counts.shared = lines.labelled("- renewable");
    counts.stocks = lines.labelled("- nonrenewable");
    const int both = lines.labelled("- doubly constrained");
    if (lines.failed()) return counts;
    if (counts.jobs < 1 || counts.jobs > most_activities)
        lines.fail(fmt::format("1 to {} jobs", most_activities), fmt::to_string(counts.jobs));
    if (counts.shared > most_resources || counts.stocks > most_resources)
        lines.fail(fmt::format("at most {} resources of a kind", most_resources),
                   fmt::to_string(std::max(counts.shared, counts.stocks)));
    if (both != 0)
        lines.fail("no doubly constrained resource", fmt::to_string(both),
                   "write each as a renewable and a nonrenewable one");
    return counts;
}

void read_precedence(Lines& lines, Project& project) {
    const int count = static_cast<int>(project.activities.size());
    if (!lines.skip_past("PRECEDENCE RELATIONS:") || !lines.skip_past("jobnr.")) return;
    for (int i = 0; i < count && !lines.failed(); ++i) {
        const std::vector<int> row = lines.next_numbers(3, "job, number of modes, number of successors, successors");
        if (lines.failed()) return;
        if (row[0] != i + 1) return lines.fail(fmt::format("job {}", i + 1), fmt::to_string(row[0]));
        if (row[1] < 1 || row[1] > 100) return lines.fail("1 to 100 modes", fmt::to_string(row[1]));
        if (row[2] < 0 || row.size() != 3 + static_cast<std::size_t>(row[2]))
            return lines.fail(fmt::format("{} successors", row[2]), fmt::to_string(row.size() - 3));
        project.activities[i].modes.resize(row[1]);
        for (std::size_t k = 3; k < row.size(); ++k) {
            if (row[k] < 1 || row[k] > count)
                return lines.fail(fmt::format("a job from 1 to {}", count), fmt::to_string(row[k]));
            project.lags.push_back({i, row[k] - 1, 0, Since::finish});
        }
    }
}

/// One row: the job's number (first mode only), mode, duration, demands.
void read_mode(Lines& lines, const Counts& counts, int job, int number, Mode& mode) {
    const std::size_t width = 2 + static_cast<std::size_t>(counts.shared + counts.stocks);
    std::vector<int> row = lines.next_numbers(width, "mode, duration and a demand for each resource");
    if (lines.failed()) return;
    if (number == 1) {
        if (row.size() != width + 1 || row[0] != job)
            return lines.fail(fmt::format("job {}, mode 1, duration, {} demands", job, counts.shared + counts.stocks),
                              fmt::format("{} numbers, the first {}", row.size(), row[0]));
        row.erase(row.begin());
    }
    if (row.size() != width || row[0] != number)
        return lines.fail(fmt::format("mode {} of job {}", number, job), fmt::format("{}", row[0]));
    if (std::ranges::any_of(row, [](int amount) { return amount < 0; }))
        return lines.fail("no negative duration or demand", "one");
    mode.duration = row[1];
    mode.demand.assign(row.begin() + 2, row.begin() + 2 + counts.shared);
    mode.uses.assign(row.begin() + 2 + counts.shared, row.end());
}

void read_modes(Lines& lines, const Counts& counts, Project& project) {
    if (!lines.skip_past("REQUESTS/DURATIONS:") || !lines.skip_past("---")) return;
    for (std::size_t i = 0; i < project.activities.size(); ++i) {
        project.activities[i].name = fmt::format("{}", i + 1);
        std::vector<Mode>& modes = project.activities[i].modes;
        for (std::size_t m = 0; m < modes.size() && !lines.failed(); ++m)
            read_mode(lines, counts, static_cast<int>(i + 1), static_cast<int>(m + 1), modes[m]);
    }
}

void read_capacities(Lines& lines, const Counts& counts, Project& project) {
    if (!lines.skip_past("RESOURCEAVAILABILITIES:") || !lines.next()) return;
    const std::size_t width = static_cast<std::size_t>(counts.shared + counts.stocks);
    if (width == 0) return;
    const std::vector<int> row = lines.next_numbers(width, fmt::format("{} capacities", width));
    if (lines.failed()) return;
    if (row.size() != width || std::ranges::any_of(row, [](int amount) { return amount < 0; }))
        return lines.fail(fmt::format("{} capacities, none negative", width), fmt::format("{} numbers", row.size()));
    project.capacity.assign(row.begin(), row.begin() + counts.shared);
    project.stock.assign(row.begin() + counts.shared, row.end());
}

void read_gaps(Lines& lines, int resources, int count, Project& project) {
    for (int i = 0; i < count && !lines.failed(); ++i) {
        const std::vector<int> row = lines.next_numbers(3, "number, modes, number of successors, successors, lags");
        if (lines.failed()) return;
        if (row[0] != i || row[1] != 1)
            return lines.fail(fmt::format("activity {} with one mode", i), fmt::format("{} with {}", row[0], row[1]));
        if (row[2] < 0 || row.size() != 3 + 2 * static_cast<std::size_t>(row[2]))
            return lines.fail(fmt::format("{} successors and as many lags", row[2]),
                              fmt::format("{} numbers", row.size() - 3));
        for (int k = 0; k < row[2]; ++k) {
            const int to = row[3 + k];
            if (to < 0 || to >= count)
                return lines.fail(fmt::format("an activity from 0 to {}", count - 1), fmt::to_string(to));
            project.lags.push_back({i, to, row[3 + row[2] + k], Since::start});
        }
    }
    const std::size_t width = 3 + static_cast<std::size_t>(resources);
    for (int i = 0; i < count && !lines.failed(); ++i) {
        const std::vector<int> row = lines.next_numbers(width, "number, mode, duration, demands");
        if (lines.failed()) return;
        if (row[0] != i || row.size() != width || std::ranges::any_of(row, [](int amount) { return amount < 0; }))
            return lines.fail(fmt::format("activity {}, mode, duration and {} demands, none negative", i, resources),
                              fmt::format("{} numbers, the first {}", row.size(), row[0]));
        project.activities[i].name = fmt::to_string(i);
        project.activities[i].modes = {{row[2], {row.begin() + 3, row.end()}, {}}};
    }
}

}  // namespace

Reading read_psplib(std::string_view text) {
    Lines lines(text);
    Project project;
    const Counts counts = read_counts(lines);
    if (!lines.failed()) project.activities.resize(counts.jobs);
    read_precedence(lines, project);
    read_modes(lines, counts, project);
    read_capacities(lines, counts, project);
    if (lines.failed()) return lines.error();
    return project;
}

Reading read_progen_max(std::string_view text) {
    Lines lines(text);
    Project project;
    const std::vector<int> head = lines.next_numbers(2, "number of activities, number of resources");
    if (!lines.failed() && (head[0] < 1 || head[0] > most_activities || head[1] < 0 || head[1] > most_resources))
        lines.fail(fmt::format("1 to {} activities and at most {} resources", most_activities, most_resources),
                   fmt::format("{} and {}", head[0], head[1]));
    if (lines.failed()) return lines.error();
    const int count = head[0] + 2;  // the source and the sink are not counted
    project.activities.resize(count);
    read_gaps(lines, head[1], count, project);
    if (head[1] > 0) {
        const std::vector<int> row = lines.next_numbers(head[1], "a capacity for each resource");
        if (!lines.failed() && (row.size() != static_cast<std::size_t>(head[1]) ||
                                std::ranges::any_of(row, [](int amount) { return amount < 0; })))
            lines.fail(fmt::format("{} capacities, none negative", head[1]), fmt::format("{} numbers", row.size()));
        project.capacity = row;
    }
    if (lines.failed()) return lines.error();
    project.activities.front().latest_start = 0;
    return project;
}

}  // namespace handrail::schedule
