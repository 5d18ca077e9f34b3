#include "live/morning.h"

#include <fmt/format.h>

#include <algorithm>

namespace handrail::live {
namespace {

/// A stretch by the clock; without `to` it lasts until now.
struct Stretch {
    Utc from;
    std::optional<Utc> to;
};

Seconds length_until(const Stretch& stretch, Utc now) {
    return std::max(Seconds{0}, std::chrono::floor<Seconds>(stretch.to.value_or(now) - stretch.from));
}

/// What the entries say, before anything is worked out.
struct Said {
    std::vector<Stretch> holds;
    std::array<std::vector<Stretch>, 2> off_oxygen;
};

void end_open(std::vector<Stretch>& stretches, Utc at) {
    for (Stretch& stretch : stretches)
        if (!stretch.to) stretch.to = std::max(stretch.from, at);
}

void read(const Entry& entry, Morning& morning, Said& said) {
    if (const auto* began = std::get_if<PhaseBegan>(&entry.body)) {
        if (began->phase == Phase::suit_up) morning.suit_up = entry.happened;
        if (began->phase == Phase::prebreathe) morning.prebreathe = entry.happened;
        if (began->phase == Phase::depress) morning.depress = entry.happened;
    }
    if (const auto* expected = std::get_if<PetZeroExpected>(&entry.body)) morning.expected = expected->at;
    if (std::holds_alternative<HoldBegan>(entry.body)) said.holds.push_back({entry.happened, std::nullopt});
    if (std::holds_alternative<Resumed>(entry.body)) end_open(said.holds, entry.happened);
    if (const auto* oxygen = std::get_if<OxygenBreathed>(&entry.body)) {
        auto& off = said.off_oxygen[index(oxygen->crew)];
        end_open(off, entry.happened);
        if (!oxygen->on) off.push_back({entry.happened, std::nullopt});
    }
}

/// Stretches of both people joined: the pair goes out together, so a break of either delays both.
std::vector<Stretch> joined(std::vector<Stretch> all, Utc now) {
    std::ranges::sort(all, {}, &Stretch::from);
    std::vector<Stretch> result;
    for (const Stretch& stretch : all) {
        const Utc to = stretch.to.value_or(now);
        if (!result.empty() && stretch.from <= *result.back().to)
            result.back().to = std::max(*result.back().to, to);
        else
            result.push_back({stretch.from, to});
    }
    return result;
}

/// The course with those holds and breaks that fall inside it: one that begins after its end only delays what follows,
/// and the clock sees to that.
void run_course(const Outing& outing, Morning& morning, const Said& said, Utc start, Utc now) {
    const KiloPascal suit = outing.suit_of(Crew::ev1).pressure.value_or(KiloPascal{0});
    if (!outing.suit_of(Crew::ev1).pressure) return;
    std::vector<Stretch> off = said.off_oxygen[0];
    off.insert(off.end(), said.off_oxygen[1].begin(), said.off_oxygen[1].end());
    off = joined(std::move(off), now);
    std::vector<lifesupport::Hold> holds;
    std::vector<lifesupport::Break> breaks;
    const auto run = [&]() -> bool {
        auto course = lifesupport::run_prebreathe(*outing.prebreathe, suit, start, holds, breaks);
        if (const auto* wrong = std::get_if<lifesupport::Misplaced>(&course)) {
            morning.trouble = wrong->why;
            return false;
        }
        morning.course = std::get<lifesupport::PrebreatheCourse>(std::move(course));
        return true;
    };
    if (!run()) return;
    // In time order, because each one moves the end of the course.
    std::vector<std::pair<Utc, int>> events;  // index into holds (>= 0) or into off (< 0)
    for (std::size_t i = 0; i < said.holds.size(); ++i) events.emplace_back(said.holds[i].from, static_cast<int>(i));
    for (std::size_t i = 0; i < off.size(); ++i) events.emplace_back(off[i].from, -1 - static_cast<int>(i));
    std::ranges::sort(events);
    for (const auto& [at, which] : events) {
        if (at < start || at >= morning.course->depress) continue;
        const Stretch& stretch =
            which >= 0 ? said.holds[static_cast<std::size_t>(which)] : off[static_cast<std::size_t>(-1 - which)];
        const Seconds length = length_until(stretch, now);
        if (length <= Seconds{0}) continue;
        if (which >= 0)
            holds.push_back({length, at});
        else
            breaks.push_back({length, at});
        const auto before = morning.course;
        if (!run()) {
            if (which >= 0)
                holds.pop_back();
            else
                breaks.pop_back();
            morning.course = before;
        }
    }
    for (const lifesupport::StageRow& row : morning.course->rows)
        if (row.kind == lifesupport::StageKind::payback || row.kind == lifesupport::StageKind::after_break)
            morning.payback += row.duration;
}

Seconds depress_length(const lifesupport::PrebreatheCourse& course) {
    return std::max(Seconds{0}, std::chrono::floor<Seconds>(course.end - course.depress));
}

std::string minutes(Seconds d) { return print_duration(std::chrono::round<std::chrono::minutes>(d)); }

std::string cause_of(const Morning& morning, const Said& said, Utc planned_start, Utc start, Utc now) {
    struct Share {
        Seconds cost{};
        std::string words;
    };
    std::vector<Share> shares;
    const Seconds late = std::chrono::floor<Seconds>(start - planned_start);
    shares.push_back(
        {late, fmt::format("prebreathe {} {} late", morning.prebreathe ? "began" : "begins", minutes(late))});
    Seconds held{0};
    for (const Stretch& hold : said.holds)
        if (hold.from >= start) held += length_until(hold, now);
    shares.push_back({held, fmt::format("hold of {}", minutes(held))});
    Seconds broken{morning.payback};
    for (const lifesupport::StageRow& row : morning.course->rows)
        if (row.kind == lifesupport::StageKind::off_oxygen) broken += row.duration;
    shares.push_back({broken, fmt::format("a break in prebreathe and its payback: {}", minutes(broken))});
    const auto worst = std::ranges::max_element(shares, {}, &Share::cost);
    return worst->cost >= Seconds{30} ? worst->words : "";
}

}  // namespace

Morning morning_of(const Outing& outing, std::span<const Recorded> entries, std::span<const std::size_t> order,
                   Utc planned_pet_zero, Utc now) {
    Morning morning;
    Said said;
    Utc until = now;
    for (const std::size_t i : order) {
        const Entry& entry = entries[i].entry;
        if (std::holds_alternative<PetZero>(entry.body)) until = std::min(until, entry.happened);
    }
    for (const std::size_t i : order)
        if (entries[i].entry.happened <= until) read(entries[i].entry, morning, said);
    if (!outing.prebreathe || (!morning.suit_up && !morning.prebreathe && !morning.depress)) return morning;

    const Utc planned_start = morning.expected.value_or(planned_pet_zero) - lifesupport::length(*outing.prebreathe);
    Utc start = planned_start;
    if (morning.prebreathe)
        start = *morning.prebreathe;
    else if (!morning.depress)
        start = std::max(start, Utc{std::chrono::ceil<Seconds>(until)});
    run_course(outing, morning, said, start, until);
    if (!morning.course) return morning;
    morning.earliest = morning.course->end;
    if (morning.depress) {
        morning.earliest = *morning.depress + depress_length(*morning.course);
        morning.early_depress =
            std::max(Seconds{0}, std::chrono::floor<Seconds>(morning.course->depress - *morning.depress));
    }
    morning.cause = cause_of(morning, said, planned_start, start, until);
    return morning;
}

std::vector<MorningStep> morning_steps(const Outing& outing, const Morning& morning, Utc planned_pet_zero,
                                       Utc pet_zero) {
    std::vector<MorningStep> steps;
    steps.push_back({"suit-up", std::nullopt, morning.suit_up, morning.suit_up.has_value()});
    if (outing.prebreathe) {
        const Seconds whole = lifesupport::length(*outing.prebreathe);
        MorningStep breathe{"prebreathe", planned_pet_zero - whole, morning.prebreathe, morning.prebreathe.has_value()};
        MorningStep depress{"depress", std::nullopt, morning.depress, morning.depress.has_value()};
        if (morning.course) {
            if (!breathe.begins) breathe.begins = morning.course->start;
            if (!depress.begins) depress.begins = morning.course->depress;
            depress.planned = planned_pet_zero - depress_length(*morning.course);
        }
        steps.push_back(std::move(breathe));
        steps.push_back(std::move(depress));
    }
    steps.push_back({"PET zero", planned_pet_zero, pet_zero, false});
    return steps;
}

}  // namespace handrail::live
