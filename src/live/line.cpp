#include "live/line.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "live/line_names.h"
#include "outing/nearest.h"
#include "units/parse.h"

namespace handrail::live {
namespace {

using namespace detail;

/// A word as it is matched, and as it was typed.
struct Word {
    std::string text, typed;
};

std::vector<Word> words_of(std::string_view line) {
    std::vector<Word> words;
    std::string typed;
    const auto end_word = [&] {
        std::string text = typed;
        while (!text.empty() && (text.back() == ',' || text.back() == ';')) text.pop_back();
        if (!text.empty())
            words.push_back({std::move(text), std::move(typed)});
        else if (!words.empty() && !typed.empty())
            words.back().typed += " " + typed;
        typed.clear();
    };
    for (const char c : line) {
        if (c == ' ' || c == '\t')
            end_word();
        else
            typed += c;
    }
    end_word();
    return words;
}

class LineReader {
public:
    LineReader(const Outing& outing, std::span<const Recorded> entries, const Day& day, std::string_view line)
        : outing_(outing), names_(outing), entries_(entries), day_(day), words_(words_of(line)) {}

    Understood read() {
        while (!words_.empty() && words_.back().text.size() > 1 && words_.back().text.ends_with('.'))
            words_.back().text.pop_back();
        if (words_.empty()) trouble("Write what happened, such as \"EV2 started valve.2\" or \"done\".");
        if (is(0, {"note", "decision", "decided", "public"})) return free_text();
        if (is(0, {"fix", "correct"})) return fix();
        take_time();
        if (words_.empty()) trouble("Write what happened before its time.");
        Understood result = read_body();
        result.happened = happened_;
        return result;
    }

private:
    using Spellings = std::initializer_list<std::string_view>;

    bool is(std::size_t at, Spellings names) const {
        return at < words_.size() && std::ranges::find(names, lower(words_[at].text)) != names.end();
    }
    std::string rest(std::size_t from) const {
        std::string text;
        for (std::size_t i = from; i < words_.size(); ++i) text += (text.empty() ? "" : " ") + words_[i].text;
        return text;
    }
    /// The same as typed, for people's own words.
    std::string said(std::size_t from) const {
        std::string text;
        for (std::size_t i = from; i < words_.size(); ++i) text += (text.empty() ? "" : " ") + words_[i].typed;
        return text;
    }
    std::optional<std::size_t> find(Spellings names) const {
        for (std::size_t i = 0; i < words_.size(); ++i)
            if (is(i, names)) return i;
        return std::nullopt;
    }
    void erase(std::size_t at) { words_.erase(words_.begin() + static_cast<std::ptrdiff_t>(at)); }

    std::optional<Utc> time_from(const std::string& text) const {
        const auto utc = parse_utc(text);
        if (const Utc* instant = std::get_if<Utc>(&utc)) return *instant;
        const auto clock = parse_pet(text);
        if (const Pet* at = std::get_if<Pet>(&clock)) return to_utc(*at, day_.pet_zero);
        return std::nullopt;
    }

    /// Takes "at 01:10", "at 01:10 PET" or "@01:10" out of the line.
    void take_time() {
        for (std::size_t i = 0; i < words_.size(); ++i) {
            std::size_t length = 0;
            std::optional<Utc> time;
            if (words_[i].text.size() > 1 && words_[i].text.front() == '@') {
                time = time_from(words_[i].text.substr(1));
                length = 1;
            } else if (is(i, {"at", "@"}) && i + 1 < words_.size()) {
                time = time_from(words_[i + 1].text);
                length = 2;
            }
            if (!time) continue;
            if (i + length < words_.size() && is(i + length, {"pet"})) ++length;
            // Only at the end: "hold until coverage at 01:10 returns" tells of another time.
            if (i + length != words_.size()) continue;
            if (*time > day_.now)
                trouble(fmt::format("{} lies ahead; a line tells what has happened.", words_.back().text));
            happened_ = time;
            for (; length > 0; --length) erase(i);
            return;
        }
    }

    Understood free_text() {
        const std::string text = said(1);
        if (text.empty())
            trouble(fmt::format("Write the {} after the word.", is(0, {"note"})     ? "note"
                                                                : is(0, {"public"}) ? "line for everyone"
                                                                                    : "decision"));
        if (is(0, {"note"})) return {Note{text}, {}, {}, {}};
        if (is(0, {"public"})) return {Note{text}, {}, {}, Visibility::everyone};
        return {Decision{text}, {}, {}, {}};
    }

    Understood fix() {
        std::uint64_t at = 0;
        const bool numbered =
            words_.size() > 1 &&
            std::from_chars(words_[1].text.data(), words_[1].text.data() + words_[1].text.size(), at).ptr ==
                words_[1].text.data() + words_[1].text.size();
        if (!numbered || at < 1 || at > entries_.size())
            trouble(fmt::format("Name the entry to fix by its position, 1 to {}, such as \"fix {} undo\".",
                                entries_.size(), entries_.size()));
        const Recorded& fixed = entries_[at - 1];
        if (std::holds_alternative<OutingOpened>(fixed.entry.body))
            trouble("The first entry opens the outing and cannot be fixed; make a new journal instead.");
        if (words_.size() == 3 && is(2, {"undo", "strike", "wrong", "no", "remove"}))
            return {Struck{}, fixed.position, fixed.entry.happened, fixed.entry.visibility};
        words_.erase(words_.begin(), words_.begin() + 2);
        const bool text = is(0, {"note", "decision", "decided", "public"});
        if (!text) take_time();
        if (words_.empty() && happened_) return {fixed.entry.body, fixed.position, happened_, fixed.entry.visibility};
        if (words_.empty()) trouble("Say what to change: \"undo\", \"at 01:10\", or the line as it should have been.");
        Understood result = text ? free_text() : read_body();
        result.corrects = fixed.position;
        result.happened = happened_ ? *happened_ : fixed.entry.happened;
        result.visibility = std::max(result.visibility.value_or(fixed.entry.visibility), fixed.entry.visibility);
        return result;
    }

    std::optional<Crew> crew_at(std::size_t at) const {
        if (is(at, {"ev1"})) return Crew::ev1;
        if (is(at, {"ev2"})) return Crew::ev2;
        return std::nullopt;
    }

    Understood read_body() {
        if (auto day = day_business()) return *day;
        if (auto hold = hold_business()) return *hold;
        if (auto reading = suit_reading()) return *reading;
        if (auto step = step_business()) return *step;
        if (auto person = crew_business()) return *person;
        if (auto item = item_business()) return *item;
        static constexpr std::string_view starts[] = {
            "started", "finished",  "done",  "skip",  "undo",   "hold",    "resume", "note",     "decision",
            "drop",    "terminate", "abort", "scrub", "egress", "ingress", "fix",    "pet zero", "reading"};
        trouble(fmt::format(
            "\"{}\" is not understood; {}.", rest(0),
            handrail::detail::did_you_mean(lower(words_[0].text), starts,
                                           "write it like \"EV2 started valve.2\", or put note before it")));
    }

    /// PET zero, phases, coming in, what is no longer to be had.
    std::optional<Understood> day_business() {
        const std::string all = lower(rest(0));
        const auto any = [&](Spellings names) { return std::ranges::find(names, all) != names.end(); };
        const auto phase = [](Phase p) { return Understood{PhaseBegan{p}, {}, {}, {}}; };
        if (any({"pet zero", "pet 0", "zero", "pet"})) return Understood{PetZero{}, {}, {}, {}};
        if (any({"suit-up", "suit up", "suit_up"})) return phase(Phase::suit_up);
        if (any({"prebreathe"})) return phase(Phase::prebreathe);
        if (any({"depress"})) return phase(Phase::depress);
        if (any({"egress", "hatch open", "hatch opened"})) return phase(Phase::egress);
        if (any({"egress done", "egress finished", "both outside", "outside"})) return phase(Phase::work);
        if (any({"clean-up", "clean up", "clean_up"})) return phase(Phase::clean_up);
        if (any({"ingress"})) return phase(Phase::ingress);
        if (any({"ingress done", "ingress finished", "hatch closed", "both inside", "repress"}))
            return phase(Phase::repress);
        if (any({"repress done", "repress finished", "post"})) return phase(Phase::post);
        if (is(0, {"scrub"})) return Understood{StandDown{StandDownKind::scrub, said(1)}, {}, {}, {}};
        if (is(0, {"terminate"})) return Understood{StandDown{StandDownKind::terminate, said(1)}, {}, {}, {}};
        if (is(0, {"abort"})) return Understood{StandDown{StandDownKind::abort, said(1)}, {}, {}, {}};
        if (is(0, {"arm"}) && is(1, {"lost", "failed", "gone", "unavailable"}))
            return Understood{ArmAvailable{false, said(2)}, {}, {}, {}};
        if (is(0, {"arm"}) && is(1, {"back", "available", "works"}))
            return Understood{ArmAvailable{true, said(2)}, {}, {}, {}};
        if (auto conditions = world_business()) return conditions;
        const bool leave_out = is(0, {"leave"}) && is(1, {"out"});
        if (leave_out || is(0, {"drop"})) {
            const std::size_t name = leave_out ? 2 : 1;
            if (name >= words_.size()) trouble("Name the task to leave out.");
            return Understood{
                TaskDropped{outing_.task(names_.task(words_[name].text)).key, said(name + 1)}, {}, {}, {}};
        }
        return std::nullopt;
    }

    /// Takes "until 03:10" out of the words from `from` on; the rest is the reason.
    std::optional<Utc> take_until(std::size_t from) {
        for (std::size_t i = from; i + 1 < words_.size(); ++i) {
            if (!is(i, {"until", "till"})) continue;
            const auto time = time_from(words_[i + 1].text);
            if (!time) continue;
            words_.erase(words_.begin() + static_cast<std::ptrdiff_t>(i),
                         words_.begin() + static_cast<std::ptrdiff_t>(i) + 2);
            if (is(i, {"pet"})) erase(i);
            return time;
        }
        return std::nullopt;
    }

    /// How many words from `at` on spell a condition the windows know; the longest.
    std::size_t condition_at(std::size_t at, std::string& name) const {
        std::size_t length = 0;
        for (const auto& [key, windows] : day_.windows.all()) {
            const std::size_t n = static_cast<std::size_t>(std::ranges::count(key.first, ' ')) + 1;
            std::string typed;
            for (std::size_t i = at; i < at + n && i < words_.size(); ++i)
                typed += (typed.empty() ? "" : " ") + words_[i].text;
            if (n > length && lower(typed) == lower(key.first)) {
                length = n;
                name = key.first;
            }
        }
        return length;
    }

    /// Conditions, closed worksites, what stands in for what, a later PET zero.
    std::optional<Understood> world_business() {
        std::string condition;
        if (is(0, {"no"}) && condition_at(1, condition) > 0) {
            const auto until = take_until(1);
            const std::size_t words = condition_at(1, condition);
            return Understood{ConditionChanged{condition, false, until, said(1 + words)}, {}, {}, {}};
        }
        if (const std::size_t n = condition_at(0, condition); n > 0) {
            if (is(n, {"lost", "gone", "down", "out"})) {
                const auto until = take_until(n);
                return Understood{ConditionChanged{condition, false, until, said(n + 1)}, {}, {}, {}};
            }
            if (is(n, {"back", "again", "restored"}))
                return Understood{ConditionChanged{condition, true, {}, said(n + 1)}, {}, {}, {}};
        }
        if (is(0, {"hazard"}) && is(1, {"at"}) && words_.size() > 2) {
            const auto until = take_until(2);
            return Understood{WorksiteClosed{site_id(words_[2].text), true, until, said(3)}, {}, {}, {}};
        }
        if (const auto verb = find({"closed", "shut", "open", "opened"}); verb && *verb > 0) {
            std::string name;
            for (std::size_t i = 0; i < *verb; ++i)
                if (!is(i, {"is"})) name += (name.empty() ? "" : " ") + words_[i].text;
            if (const auto site = names_.site_if_any(name)) {
                const bool closed = is(*verb, {"closed", "shut"});
                const auto until = closed ? take_until(*verb) : std::nullopt;
                std::size_t reason = *verb + 1;
                if (is(reason, {"again"})) ++reason;
                return Understood{WorksiteClosed{outing_.worksite(*site).id, closed, until, said(reason)}, {}, {}, {}};
            }
        }
        if (is(0, {"use"})) return substitute();
        if (is(0, {"slip"}) || (is(0, {"pet"}) && is(1, {"zero", "0"}) && is(2, {"expected", "slips", "slipped"})))
            return later_start();
        return std::nullopt;
    }

    /// "use driver-2 for driver-1", "use driver 2 instead of driver 1"
    Understood substitute() const {
        const auto split = find({"for", "instead", "in"});
        if (!split || *split < 2) trouble("Write it like \"use driver-2 for driver-1\".");
        std::string by;
        for (std::size_t i = 1; i < *split; ++i) by += (by.empty() ? "" : " ") + words_[i].text;
        std::size_t name = *split + 1;
        while (is(name, {"of", "place"})) ++name;
        if (name >= words_.size()) trouble("Name what it is used for, like \"use driver-2 for driver-1\".");
        return {ItemReplaced{outing_.item(names_.item(rest(name))).id, outing_.item(names_.item(by)).id}, {}, {}, {}};
    }

    /// "slip 30 min", "PET zero expected 2031-04-05T09:10:00Z"
    Understood later_start() const {
        if (day_.pet_running) trouble("PET zero has been logged; fix that entry if its time was another.");
        if (!is(0, {"slip"})) {
            const auto at = words_.size() > 3 ? time_from(words_[3].text) : std::nullopt;
            if (!at) trouble("Write when it is expected, like \"pet zero expected 2031-04-05T09:10:00Z\".");
            return {PetZeroExpected{*at, said(4)}, {}, {}, {}};
        }
        std::size_t used = 1;
        std::string amount;
        while (used < words_.size() && (is(used, {"min", "h", "s", "minutes", "minute", "hour", "hours"}) ||
                                        words_[used].text.find_first_of("0123456789") != std::string::npos))
            amount += (amount.empty() ? "" : " ") + words_[used++].text;
        const auto by = parse_duration(amount);
        const Seconds* seconds = std::get_if<Seconds>(&by);
        if (seconds == nullptr) trouble("Write by how much, like \"slip 30 min\".");
        return {PetZeroExpected{day_.pet_zero + *seconds, said(used)}, {}, {}, {}};
    }

    std::optional<Understood> hold_business() {
        if (is(0, {"resume", "resumed", "go-on", "continue"}) && words_.size() == 1)
            return Understood{Resumed{}, {}, {}, {}};
        const bool bare_private = is(0, {"private"});
        if (!bare_private && !is(0, {"hold", "holding"})) return std::nullopt;
        const bool is_private = bare_private || is(1, {"private", "medical"});
        const std::size_t reason = !bare_private && is_private ? 2 : 1;
        return Understood{
            HoldBegan{said(reason)}, {}, {}, is_private ? std::optional(Visibility::medical) : std::nullopt};
    }

    std::vector<StepId> running(std::optional<Crew> who) const {
        std::vector<StepId> steps;
        for (const AsRun& run : day_.as_run)
            if (run.running && run.activity.step && (!who || run.activity.on(lane_of(*who))))
                steps.push_back(*run.activity.step);
        return steps;
    }

    std::optional<StepId> next_planned(Crew who) const {
        if (!day_.plan) return std::nullopt;
        for (const Activity& activity : day_.plan->activities) {
            if (!activity.step || !activity.on(lane_of(who))) continue;
            if (day_.situation.steps[index(*activity.step)] != plan::StepStatus::to_do) continue;
            if (day_.situation.dropped[index(outing_.step(*activity.step).task)]) continue;
            return activity.step;
        }
        return std::nullopt;
    }

    std::string labels(const std::vector<StepId>& steps) const {
        std::string text;
        for (const StepId step : steps) text += (text.empty() ? "" : " or ") + outing_.step(step).label;
        return text;
    }

    /// The one step that can be meant when none is named.
    StepId the_running(std::optional<Crew> who, std::string_view verb) const {
        const std::vector<StepId> steps = running(who);
        if (steps.size() == 1) return steps.front();
        if (steps.empty())
            trouble(fmt::format("No step is running{}; name it, such as \"{} {}\".",
                                who ? fmt::format(" for {}", word(*who)) : "", verb,
                                outing_.steps.empty() ? "valve.1" : outing_.steps.front().label));
        trouble(fmt::format("Which one: {}? Name the step or the crew member.", labels(steps)));
    }

    std::optional<Understood> step_business() {
        const auto start = find({"started", "start", "starts", "begins", "began"});
        const auto end = find({"finished", "finish", "finishes", "done", "completed"});
        if (start || end) {
            const std::size_t verb = start ? *start : *end;
            std::optional<Crew> who;
            std::vector<std::string> others;
            for (std::size_t i = 0; i < words_.size(); ++i) {
                if (i == verb || is(i, {"by", "with", "step", "is", "and", "has"})) continue;
                if (const auto crew = crew_at(i))
                    who = who && *who != *crew ? std::nullopt : crew;
                else
                    others.push_back(words_[i].text);
            }
            std::string name;
            for (const std::string& other : others) name += (name.empty() ? "" : " ") + other;
            if (start) return started(who, name);
            const StepId step =
                name.empty() ? the_running(who, "finished") : names_.step(name, day_, plan::StepStatus::running);
            return Understood{StepFinished{outing_.step(step).label}, {}, {}, {}};
        }
        if (is(0, {"skip", "skipped"})) {
            if (words_.size() < 2) trouble("Name the step to skip.");
            const StepId step = names_.step(words_[1].text, day_, plan::StepStatus::to_do);
            return Understood{StepSkipped{outing_.step(step).label, said(2)}, {}, {}, {}};
        }
        if (is(0, {"undo", "undone"})) {
            if (words_.size() != 2) trouble("Name the step that is not done after all, such as \"undo valve.2\".");
            const StepId step = names_.step(words_[1].text, day_, plan::StepStatus::done);
            return Understood{StepUndone{outing_.step(step).label}, {}, {}, {}};
        }
        return delay();
    }

    Understood started(std::optional<Crew> who, const std::string& name) const {
        if (!name.empty())
            return {StepStarted{outing_.step(names_.step(name, day_, plan::StepStatus::to_do)).label, who}, {}, {}, {}};
        if (who) {
            const auto next = next_planned(*who);
            if (!next) trouble(fmt::format("The plan has no further step for {}; name one.", word(*who)));
            return {StepStarted{outing_.step(*next).label, who}, {}, {}, {}};
        }
        const auto first = next_planned(Crew::ev1);
        const auto second = next_planned(Crew::ev2);
        if (first && (!second || first == second)) return {StepStarted{outing_.step(*first).label, {}}, {}, {}, {}};
        if (second && !first) return {StepStarted{outing_.step(*second).label, {}}, {}, {}, {}};
        trouble("Who, or which step? Write it like \"EV2 started\" or \"started valve.2\".");
    }

    /// "valve.3 stuck, EV1, +10 min"
    std::optional<Understood> delay() {
        for (std::size_t i = 0; i < words_.size(); ++i) {
            if (words_[i].text.size() < 2 || words_[i].text.front() != '+') continue;
            std::string amount = words_[i].text.substr(1);
            std::size_t length = 1;
            if (i + 1 < words_.size() &&
                is(i + 1, {"min", "h", "s", "minutes", "minute", "hour", "hours", "seconds", "sec"})) {
                amount += " " + words_[i + 1].text;
                length = 2;
            }
            const auto by = parse_duration(amount);
            const Seconds* seconds = std::get_if<Seconds>(&by);
            if (seconds == nullptr)
                trouble(fmt::format("\"{}\" is not a time; write it like \"+10 min\".", words_[i].text));
            for (; length > 0; --length) erase(i);
            std::optional<StepId> step;
            std::optional<Crew> who;
            std::string reason;
            for (std::size_t k = 0; k < words_.size(); ++k) {
                const auto named = names_.step_exactly(words_[k].text);
                if (named && !step) {
                    step = named;
                    continue;
                }
                if (const auto crew = crew_at(k)) who = crew;
                reason += (reason.empty() ? "" : " ") + words_[k].typed;
            }
            while (reason.ends_with(',')) reason.pop_back();
            if (!step) step = the_running(who, "finished");
            return Understood{StepDelayed{outing_.step(*step).label, *seconds, reason}, {}, {}, {}};
        }
        return std::nullopt;
    }

    std::string site_id(const std::string& text) const { return outing_.worksite(names_.site(text)).id; }

    std::optional<Understood> crew_business() {
        const auto who = crew_at(0);
        if (!who) return std::nullopt;
        if (is(1, {"gloves", "glove"})) return Understood{GlovesChecked{*who}, {}, {}, {}};
        if (is(1, {"unable", "cannot", "incapacitated", "ill", "hurt"}))
            return Understood{CrewAble{*who, false, said(2)}, {}, {}, Visibility::medical};
        if (is(1, {"able", "well"})) return Understood{CrewAble{*who, true, said(2)}, {}, {}, Visibility::medical};
        if (is(1, {"inside"}) || rest(1) == "in the airlock" || rest(1) == "in airlock")
            return Understood{CrewInside{*who}, {}, {}, {}};
        if (is(1, {"off", "on"}) && is(2, {"oxygen", "o2"}))
            return Understood{OxygenBreathed{*who, is(1, {"on"}), said(3)}, {}, {}, {}};
        if (is(1, {"at"}) && words_.size() > 2) {
            const auto anchor = find({"anchor", "anchored", "tether"});
            CrewPlaced placed{*who, {}, {}};
            std::string site;
            for (std::size_t i = 2; i < anchor.value_or(words_.size()); ++i)
                site += (site.empty() ? "" : " ") + words_[i].text;
            placed.worksite = site_id(site);
            if (anchor) {
                const std::size_t name = is(*anchor + 1, {"at", "anchored"}) ? *anchor + 2 : *anchor + 1;
                placed.anchor = site_id(rest(name));
            }
            return Understood{placed, {}, {}, {}};
        }
        return std::nullopt;
    }

    std::optional<Understood> item_business() {
        if (is(0, {"lost"}) && words_.size() > 1)
            return Understood{
                ItemPlaced{ItemPlaced::Where::lost, outing_.item(names_.item(rest(1))).id, {}}, {}, {}, {}};
        const auto verb = find({"left", "at", "lost", "in", "with", "carried", "installed", "moved"});
        if (!verb || *verb == 0) return std::nullopt;
        std::string name;
        for (std::size_t i = 0; i < *verb; ++i)
            if (!is(i, {"is"})) name += (name.empty() ? "" : " ") + words_[i].text;
        const std::string item = outing_.item(names_.item(name)).id;
        std::size_t place = *verb + 1;
        while (is(place, {"at", "to", "by", "with"})) ++place;
        const std::string where = rest(place);
        if (is(*verb, {"lost"})) return Understood{ItemPlaced{ItemPlaced::Where::lost, item, {}}, {}, {}, {}};
        if (is(*verb, {"with", "carried"})) {
            const auto who = crew_at(place);
            if (!who) trouble("Say who carries it: EV1 or EV2.");
            return Understood{ItemPlaced{ItemPlaced::Where::carried, item, std::string(word(*who))}, {}, {}, {}};
        }
        if (is(*verb, {"in"})) {
            const ItemId bag = names_.item(where);
            if (outing_.item(bag).holds <= 0) trouble(fmt::format("{} is not a bag.", outing_.item(bag).id));
            return Understood{ItemPlaced{ItemPlaced::Where::in_bag, item, outing_.item(bag).id}, {}, {}, {}};
        }
        const auto kind = is(*verb, {"installed"}) ? ItemPlaced::Where::installed : ItemPlaced::Where::loose;
        return Understood{ItemPlaced{kind, item, site_id(where)}, {}, {}, {}};
    }

    /// "reading EV1 oxygen 0.31 kg", "EV1 co2 42 %", "EV1 battery 120 Wh used"
    std::optional<Understood> suit_reading() {
        std::size_t at = is(0, {"reading"}) ? 1 : 0;
        const auto who = crew_at(at);
        std::optional<lifesupport::Consumable> consumable;
        if (is(at + 1, {"oxygen", "o2"})) consumable = lifesupport::Consumable::oxygen;
        if (is(at + 1, {"co2"})) consumable = lifesupport::Consumable::co2;
        if (is(at + 1, {"water", "feedwater"})) consumable = lifesupport::Consumable::water;
        if (is(at + 1, {"battery", "power"})) consumable = lifesupport::Consumable::battery;
        if (is(at + 1, {"gas"})) consumable = lifesupport::Consumable::gas;
        if (!who || !consumable) {
            if (at == 1) trouble("Write a reading like \"reading EV1 oxygen 0.31 kg\".");
            return std::nullopt;
        }
        std::size_t last = words_.size();
        bool used = false;
        if (is(last - 1, {"left", "used"})) {
            used = is(last - 1, {"used"});
            --last;
        }
        std::string amount;
        for (std::size_t i = at + 2; i < last; ++i) amount += (amount.empty() ? "" : " ") + words_[i].text;
        const double full = lifesupport::capacity(outing_.suit_of(*who))[index(*consumable)];
        if (!std::isfinite(full)) trouble(fmt::format("{}'s suit carries no {}.", word(*who), word(*consumable)));
        double value = amount_of(*consumable, amount, full);
        if (used) value = full - value;
        const double thousandths = std::round(value * 1000);
        // A little above full is a gauge's slack, much above is a slip.
        if (thousandths < 0 || thousandths > 1000 * full * 1.05)
            trouble(fmt::format("{} {} cannot be left in a suit.", amount, word(*consumable)));
        return Understood{SuitReading{*who, *consumable, static_cast<std::int64_t>(thousandths)}, {}, {}, {}};
    }

    double amount_of(lifesupport::Consumable consumable, const std::string& text, double full) const {
        if (text.ends_with('%')) {
            const auto share = parse_fraction(text);
            if (const auto* f = std::get_if<Fraction>(&share)) return f->value() * full;
        }
        const auto value_of = [&](const auto& parsed) -> double {
            if (const auto* error = std::get_if<ParseError>(&parsed))
                trouble(fmt::format("Expected {}, found \"{}\"; {}.", error->expected, text, error->remedy));
            return std::get<0>(parsed).value();
        };
        switch (consumable) {
            case lifesupport::Consumable::oxygen:
            case lifesupport::Consumable::co2:
            case lifesupport::Consumable::water:
                return value_of(parse_mass(text));
            case lifesupport::Consumable::battery:
                return value_of(parse_energy(text));
            case lifesupport::Consumable::gas:
                return value_of(parse_volume(text));
        }
        return 0;
    }

    const Outing& outing_;
    Names names_;
    std::span<const Recorded> entries_;
    const Day& day_;
    std::vector<Word> words_;
    std::optional<Utc> happened_;
};

bool printable(std::string_view line) {
    return std::ranges::none_of(line, [](char c) { return (c >= 0 && c < 0x20 && c != '\t') || c == 0x7f; });
}

}  // namespace

std::variant<Understood, NotUnderstood> read_line(const Outing& outing, std::span<const Recorded> entries,
                                                  const Day& day, std::string_view line) {
    // Long enough for any remark; a whole file pasted by mistake is not one.
    constexpr std::size_t longest = 2000;
    if (line.size() > longest)
        return NotUnderstood{fmt::format("A line holds at most {} characters; shorten it.", longest)};
    if (!printable(line)) return NotUnderstood{"A line cannot hold control characters; write it in one line of text."};
    try {
        return LineReader(outing, entries, day, line).read();
    } catch (const Trouble& found) {
        return NotUnderstood{found.sentence};
    }
}

Entry entry_of(const Understood& understood, const Day& day, const std::string& author, Utc now,
               std::optional<Utc> happened) {
    Entry entry;
    entry.logged = now;
    entry.happened = happened ? *happened : understood.happened.value_or(now);
    entry.pet = std::holds_alternative<PetZero>(understood.body) ? Pet{} : to_pet(entry.happened, day.pet_zero);
    entry.author = author;
    entry.visibility = understood.visibility.value_or(Visibility::console);
    entry.corrects = understood.corrects;
    entry.body = understood.body;
    return entry;
}

}  // namespace handrail::live
