#include "lifesupport/prebreathe.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace handrail::lifesupport {
namespace {

/// Less than this share of oxygen is not prebreathing: a purge of 2 min leaves 20 % nitrogen (Fifteen-minute
/// extravehicular prebreathe protocol, NTRS 20140000417, abstract), and the exploration protocol breathes 85 %.
constexpr double least_oxygen = 0.80;

bool on_oxygen(Fraction oxygen) { return oxygen.value() >= least_oxygen; }

/// Duration as a double in minutes, for the equations.
double minutes(Seconds time) { return static_cast<double>(time.count()) / 60.0; }

KiloPascal pressure_at(const StageRow& row, Seconds into) {
    if (row.duration <= Seconds{0}) return row.pressure_end;
    const double share = static_cast<double>(into.count()) / static_cast<double>(row.duration.count());
    return row.pressure_start + (row.pressure_end - row.pressure_start) * share;
}

std::vector<StageRow> planned_rows(const Prebreathe& protocol, KiloPascal suit_pressure) {
    std::vector<StageRow> rows;
    for (const PrebreatheStage& stage : protocol.stages) {
        StageRow row;
        row.kind = StageKind::planned;
        row.stage = rows.size();
        row.name = stage.name;
        row.duration = stage.duration;
        row.pressure_start = stage.pressure_start.value_or(stage.pressure);
        row.pressure_end = stage.pressure;
        row.oxygen = stage.oxygen;
        row.exercise = stage.exercise;
        rows.push_back(row);
    }
    // 2 %: suit and crewlock pressures are stated to about that in protocols.
    if (!rows.empty() && rows.back().pressure_end <= suit_pressure * 1.02 &&
        rows.back().pressure_start > rows.back().pressure_end)
        rows.back().kind = StageKind::depress;
    return rows;
}

/// The rows as they are being rearranged, with their clock.
class Course {
public:
    Course(const Prebreathe& protocol, KiloPascal suit_pressure, Utc start)
        : protocol_(protocol), suit_pressure_(suit_pressure), rows_(planned_rows(protocol, suit_pressure)) {
        for (StageRow& row : rows_) {
            row.start = start;
            start = row.end();
        }
    }

    Utc end() const { return rows_.back().end(); }
    std::vector<StageRow>& rows() { return rows_; }

    std::optional<std::size_t> row_at(Utc at) const {
        for (std::size_t i = 0; i < rows_.size(); ++i)
            if (rows_[i].start <= at && at < rows_[i].end()) return i;
        return std::nullopt;
    }

    /// Where something to be done before the depress goes: before its first row, even if a hold cuts it in two.
    std::size_t before_depress() const {
        std::size_t first = rows_.size();
        if (rows_.empty() || rows_.back().kind != StageKind::depress) return first;
        while (first > 0 && rows_[first - 1].stage == rows_.back().stage &&
               (rows_[first - 1].kind == StageKind::depress || rows_[first - 1].kind == StageKind::hold))
            --first;
        while (rows_[first].kind == StageKind::hold) ++first;  // held before the ramp began
        return first;
    }

    /// Splits the row at `at`; the index of its second half (or of the row itself when it starts there).
    std::size_t split(Utc at) {
        const std::size_t i = *row_at(at);
        if (rows_[i].start == at) return i;
        const Seconds first = std::chrono::duration_cast<Seconds>(at - rows_[i].start);
        StageRow second = rows_[i];
        const KiloPascal between = pressure_at(rows_[i], first);
        rows_[i].pressure_end = between;
        rows_[i].duration = first;
        second.pressure_start = between;
        second.start = at;
        second.duration -= first;
        rows_.insert(rows_.begin() + static_cast<std::ptrdiff_t>(i) + 1, second);
        return i + 1;
    }

    /// A row at constant pressure before row `i`, at the pressure reached there; everything after it comes later.
    StageRow& insert(std::size_t i, StageKind kind, std::string name, Seconds duration, Fraction oxygen) {
        StageRow row;
        row.kind = kind;
        row.stage = rows_[i > 0 ? i - 1 : 0].stage;
        row.name = std::move(name);
        row.start = i > 0 ? rows_[i - 1].end() : rows_[i].start;
        row.duration = duration;
        row.pressure_start = row.pressure_end = i < rows_.size() ? rows_[i].pressure_start : rows_[i - 1].pressure_end;
        row.oxygen = oxygen;
        for (std::size_t later = i; later < rows_.size(); ++later) rows_[later].start += duration;
        return *rows_.insert(rows_.begin() + static_cast<std::ptrdiff_t>(i), row);
    }

    /// The rows from `i` on give way to the whole protocol, begun where row `i - 1` ends.
    void start_again(std::size_t i) {
        Utc clock = rows_[i - 1].end();
        rows_.resize(i);
        for (StageRow row : planned_rows(protocol_, suit_pressure_)) {
            row.name += " (again)";
            row.start = clock;
            clock = row.end();
            rows_.push_back(row);
        }
    }

    /// Just after the stage that row `i` is a part of, holds and breaks in it included.
    std::size_t after_stage(std::size_t i) const {
        const std::size_t stage = rows_[i].stage;
        while (i < rows_.size() && rows_[i].stage == stage) ++i;
        return i;
    }

    void fill_tissue() {
        KiloPascal tissue = saturated(protocol_);
        for (StageRow& row : rows_) {
            const double nitrogen = 1 - row.oxygen.value();
            tissue = tissue_after(tissue, row.pressure_start * nitrogen, row.pressure_end * nitrogen, row.duration,
                                  protocol_.half_time);
            row.tissue_end = tissue;
            row.r_end = tissue / suit_pressure_;
        }
    }
    KiloPascal tissue_before(std::size_t i) const { return i == 0 ? saturated(protocol_) : rows_[i - 1].tissue_end; }

private:
    const Prebreathe& protocol_;
    KiloPascal suit_pressure_;
    std::vector<StageRow> rows_;
};

struct Event {
    Utc at;
    std::size_t which;
    std::variant<Hold, Break> what;
};

std::optional<Misplaced> place(Course& course, const Hold& hold, const Event& event) {
    const auto row = course.row_at(event.at);
    if (!row)
        return Misplaced{event.which,
                         fmt::format("At {} no prebreathe is going on: it runs from {} to {}.", print_utc(event.at),
                                     print_utc(course.rows().front().start), print_utc(course.end()))};
    const Fraction gas = course.rows()[*row].oxygen;
    const std::string name = course.rows()[*row].name;
    const std::size_t stage = course.rows()[*row].stage;
    StageRow& held =
        course.insert(course.split(event.at), StageKind::hold, fmt::format("hold in \"{}\"", name), hold.length, gas);
    held.stage = stage;
    return std::nullopt;
}

std::optional<Misplaced> place(Course& course, const Break& broken, const Event& event, const Prebreathe& protocol,
                               std::vector<BreakCost>& costs) {
    const auto row = course.row_at(event.at);
    if (!row)
        return Misplaced{event.which,
                         fmt::format("At {} no prebreathe is going on: it runs from {} to {}.", print_utc(event.at),
                                     print_utc(course.rows().front().start), print_utc(course.end()))};
    if (course.rows()[*row].kind == StageKind::off_oxygen)
        return Misplaced{event.which, fmt::format("At {} there is a break already; give one break that covers both.",
                                                  print_utc(event.at))};
    if (course.rows()[*row].stage + 1 == protocol.stages.size() && course.rows().back().kind == StageKind::depress)
        return Misplaced{
            event.which,
            fmt::format("At {} the depress is under way: a break there means going back to cabin pressure. "
                        "Give it as a break just before {}, when the depress begins.",
                        print_utc(event.at), print_utc(course.rows()[course.before_depress()].start))};
    BreakCost cost{broken, on_oxygen(course.rows()[*row].oxygen), {}, {}};
    if (!cost.on_oxygen) {  // nothing was being washed out, so nothing is lost and the clock does not wait
        costs.push_back(cost);
        return std::nullopt;
    }
    cost.rule = payback(protocol.breaks, broken.length);
    const StageRow interrupted = course.rows()[*row];
    const std::size_t second = course.split(event.at);
    StageRow& off = course.insert(second, StageKind::off_oxygen, fmt::format("break in \"{}\"", interrupted.name),
                                  broken.length, Fraction{1 - protocol.nitrogen_in_air.value()});
    off.stage = interrupted.stage;
    course.fill_tissue();
    cost.tissue = tissue_payback(course.tissue_before(second),
                                 course.rows()[second].pressure_end * protocol.nitrogen_in_air.value(), broken.length,
                                 protocol.half_time);
    if (cost.rule.restart) {
        course.start_again(second + 1);
    } else if (cost.rule.time > Seconds{0}) {
        course.insert(course.after_stage(second + 1), StageKind::payback, "payback of the break", cost.rule.time,
                      interrupted.oxygen);
    }
    costs.push_back(cost);
    return std::nullopt;
}

/// Oxygen until the rule's least time since the last break has passed.
void wait_after_break(Course& course, const Prebreathe& protocol) {
    if (protocol.after_break <= Seconds{0}) return;
    const std::size_t depress = course.before_depress();
    Seconds breathed{0};
    bool broken = false;
    for (std::size_t i = 0; i < depress; ++i) {
        const StageRow& row = course.rows()[i];
        if (row.kind == StageKind::off_oxygen) {
            broken = true;
            breathed = Seconds{0};
        } else if (on_oxygen(row.oxygen)) {
            breathed += row.duration;
        }
    }
    if (broken && breathed < protocol.after_break)
        course.insert(depress, StageKind::after_break, "oxygen after the last break", protocol.after_break - breathed,
                      Fraction{1.0});
}

/// More oxygen at rest until R is at the limit; false when the gas breathed there never gets it down.
bool wait_for_limit(Course& course, const Prebreathe& protocol, KiloPascal suit_pressure) {
    course.fill_tissue();
    const std::size_t depress = course.before_depress();
    const KiloPascal tissue = course.tissue_before(depress);
    const KiloPascal target = suit_pressure * *protocol.limit_r;
    if (tissue <= target) return true;
    const StageRow& last = course.rows()[depress - 1];
    if (!on_oxygen(last.oxygen)) return false;
    const KiloPascal breathed = last.pressure_end * (1 - last.oxygen.value());
    const auto needed = time_to_reach(tissue, target, breathed, protocol.half_time);
    if (!needed) return false;
    course.insert(depress, StageKind::to_limit, fmt::format("oxygen until R is {:.2f}", *protocol.limit_r),
                  Seconds{static_cast<Seconds::rep>(std::ceil(needed->count() * 60))}, last.oxygen);
    return true;
}

std::string convention_of(const Prebreathe& protocol, KiloPascal suit_pressure) {
    return fmt::format(
        "R = nitrogen in one tissue of {:g} min half-time at rest, over the suit's {:.1f} kPa; air taken as {:g} % "
        "nitrogen of dry {:.2f} kPa",
        minutes(protocol.half_time), suit_pressure.value(), protocol.nitrogen_in_air.value() * 100,
        protocol.cabin.value());
}

}  // namespace

KiloPascal tissue_after(KiloPascal tissue, KiloPascal start, KiloPascal end, Seconds time, Seconds half_time) {
    if (time <= Seconds{0}) return tissue;
    const double t = minutes(time);
    const double k = std::numbers::ln2 / minutes(half_time);
    const double rate = (end - start).value() / t;
    return KiloPascal{start.value() + rate * (t - 1 / k) -
                      (start.value() - tissue.value() - rate / k) * std::exp(-k * t)};
}

std::optional<Minutes> time_to_reach(KiloPascal tissue, KiloPascal target, KiloPascal breathed, Seconds half_time) {
    if (tissue <= target) return Minutes{0};
    if (target <= breathed) return std::nullopt;
    return Minutes{minutes(half_time) * std::log2((tissue - breathed) / (target - breathed))};
}

Minutes tissue_payback(KiloPascal tissue, KiloPascal breathed, Seconds length, Seconds half_time) {
    const KiloPascal after = tissue_after(tissue, breathed, breathed, length, half_time);
    if (tissue.value() <= 0 || after <= tissue) return Minutes{0};
    return Minutes{minutes(half_time) * std::log2(after / tissue)};
}

KiloPascal saturated(const Prebreathe& protocol) { return protocol.cabin * protocol.nitrogen_in_air.value(); }

Payback payback(std::span<const BreakRule> rules, Seconds length) {
    const BreakRule* covering = nullptr;
    for (const BreakRule& rule : rules)
        if (length <= rule.up_to && (!covering || rule.up_to < covering->up_to)) covering = &rule;
    if (!covering || covering->restart) return {Seconds{0}, true};
    return {Seconds{static_cast<Seconds::rep>(std::ceil(static_cast<double>(length.count()) * covering->payback))},
            false};
}

std::string_view word(StageKind kind) {
    switch (kind) {
        case StageKind::planned:
            return "stage";
        case StageKind::hold:
            return "hold";
        case StageKind::off_oxygen:
            return "break";
        case StageKind::payback:
            return "payback";
        case StageKind::after_break:
            return "after break";
        case StageKind::to_limit:
            return "to limit";
        case StageKind::depress:
            return "depress";
    }
    return {};
}

std::variant<PrebreatheCourse, Misplaced> run_prebreathe(const Prebreathe& protocol, KiloPascal suit_pressure,
                                                         Utc start, std::span<const Hold> holds,
                                                         std::span<const Break> breaks) {
    if (protocol.stages.empty()) return Misplaced{0, "The prebreathe has no stages."};
    Course course(protocol, suit_pressure, start);
    PrebreatheCourse result;
    std::vector<Event> events;
    std::size_t which = 0;
    for (const Hold& hold : holds) {
        if (hold.at) events.push_back({*hold.at, which, hold});
        ++which;
    }
    for (const Break& broken : breaks) events.push_back({broken.at, which++, broken});
    std::stable_sort(events.begin(), events.end(), [](const Event& a, const Event& b) { return a.at < b.at; });
    for (const Event& event : events) {
        const auto misplaced = std::holds_alternative<Hold>(event.what)
                                   ? place(course, std::get<Hold>(event.what), event)
                                   : place(course, std::get<Break>(event.what), event, protocol, result.breaks);
        if (misplaced) return *misplaced;
    }
    for (const Hold& hold : holds) {
        if (hold.at) continue;
        const std::size_t depress = course.before_depress();
        if (depress == 0)
            return Misplaced{0,
                             "The prebreathe begins with its depress, so nothing can be held before it; say when with "
                             "\"at\"."};
        course.insert(depress, StageKind::hold, "hold before the depress", hold.length,
                      course.rows()[depress - 1].oxygen);
    }
    wait_after_break(course, protocol);
    // An exercise protocol is followed as validated or not: the resting tissue has nothing to say about it.
    if (!protocol.validated_exercise && protocol.limit_r) {
        result.limit_r = protocol.limit_r;
        if (course.before_depress() > 0) result.limit_out_of_reach = !wait_for_limit(course, protocol, suit_pressure);
    }
    course.fill_tissue();
    const std::size_t depress = course.before_depress();
    result.start = start;
    result.end = course.end();
    result.depress = depress < course.rows().size() ? course.rows()[depress].start : result.end;
    result.later = std::chrono::duration_cast<Seconds>(result.end - start) - length(protocol);
    result.suit_pressure = suit_pressure;
    result.tissue_at_depress = course.tissue_before(depress);
    result.r_at_depress = result.tissue_at_depress / suit_pressure;
    result.r_after_depress = course.rows().back().r_end;
    result.convention = convention_of(protocol, suit_pressure);
    result.rows = std::move(course.rows());
    return result;
}

Seconds length(const Prebreathe& protocol) {
    Seconds total{0};
    for (const PrebreatheStage& stage : protocol.stages) total += stage.duration;
    return total;
}

std::vector<TissueMoment> through_outing(const Prebreathe& protocol, const PrebreatheCourse& course, Seconds outside,
                                         Seconds repress) {
    std::vector<TissueMoment> moments;
    const KiloPascal none{0};
    const KiloPascal begin = course.rows.back().tissue_end;
    moments.push_back({"suits on battery", Seconds{0}, begin, begin / course.suit_pressure});
    const auto after = [&](Seconds time) { return tissue_after(begin, none, none, time, protocol.half_time); };
    constexpr Seconds hour{3600};
    for (Seconds time = hour; time < outside; time += hour)
        moments.push_back(
            {fmt::format("{} h outside", time / hour), time, after(time), after(time) / course.suit_pressure});
    const KiloPascal home = after(outside);
    moments.push_back({"start of repress", outside, home, home / course.suit_pressure});
    const double air = protocol.nitrogen_in_air.value();
    const KiloPascal inside =
        tissue_after(home, course.suit_pressure * air, protocol.cabin * air, repress, protocol.half_time);
    moments.push_back({"cabin pressure", outside + repress, inside, inside / protocol.cabin});
    const KiloPascal later = tissue_after(inside, protocol.cabin * air, protocol.cabin * air, hour, protocol.half_time);
    moments.push_back({"1 h of cabin air", outside + repress + hour, later, later / protocol.cabin});
    return moments;
}

}  // namespace handrail::lifesupport
