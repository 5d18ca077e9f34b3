#include "live/record.h"

#include <fmt/format.h>

namespace handrail::live {
namespace {

enum class Tell : std::uint8_t { all, without_reasons };

/// One entry put into words; `why` is dropped for those who may not read reasons.
class Words {
public:
    Words(const Outing& outing, Tell tell) : outing_(outing), tell_(tell) {}

    std::string operator()(const OutingOpened& b) const { return fmt::format("outing opened: {}", b.outing); }
    std::string operator()(const PetZero&) const { return "PET zero"; }
    std::string operator()(const PhaseBegan& b) const {
        switch (b.phase) {
            case Phase::planned:
                return "back to before the start";
            case Phase::suit_up:
                return "suit-up began";
            case Phase::prebreathe:
                return "prebreathe began";
            case Phase::depress:
                return "depress began";
            case Phase::egress:
                return "egress began";
            case Phase::work:
                return "egress done: both outside";
            case Phase::clean_up:
                return "clean-up at the airlock began";
            case Phase::ingress:
                return "ingress began";
            case Phase::repress:
                return "ingress done: both inside, hatch closed";
            case Phase::post:
                return "repress done";
            case Phase::closed:
                return "the day is closed";
        }
        return {};
    }
    std::string operator()(const StepStarted& b) const {
        return fmt::format("{}started {}", b.crew ? std::string(word(*b.crew)) + " " : "", step_words(b.step));
    }
    std::string operator()(const StepFinished& b) const { return fmt::format("finished {}", step_words(b.step)); }
    std::string operator()(const StepSkipped& b) const {
        return because(fmt::format("skipped {}", step_words(b.step)), b.reason);
    }
    std::string operator()(const StepUndone& b) const {
        return fmt::format("not done after all: {}", step_words(b.step));
    }
    std::string operator()(const StepDelayed& b) const {
        return because(fmt::format("{} takes {} {} than thought", label_words(b.step),
                                   print_duration(std::chrono::abs(b.by)), b.by >= Seconds{0} ? "longer" : "less"),
                       b.reason);
    }
    std::string operator()(const HoldBegan& b) const { return because("hold", b.reason); }
    std::string operator()(const Resumed&) const { return "resumed"; }
    std::string operator()(const ItemPlaced& b) const {
        const std::string item = item_words(b.item);
        switch (b.where) {
            case ItemPlaced::Where::loose:
                return fmt::format("{} is at {}", item, site_words(b.place));
            case ItemPlaced::Where::in_bag:
                return fmt::format("{} is in {}", item, item_words(b.place));
            case ItemPlaced::Where::carried:
                return fmt::format("{} is carried by {}", item, carrier_words(b.place));
            case ItemPlaced::Where::installed:
                return fmt::format("{} is installed at {}", item, site_words(b.place));
            case ItemPlaced::Where::lost:
                return fmt::format("{} is lost", item);
        }
        return {};
    }
    std::string operator()(const CrewPlaced& b) const {
        std::string text = fmt::format("{} is at {}", word(b.crew), site_words(b.worksite));
        if (b.anchor) text += fmt::format(", tether anchored at {}", site_words(*b.anchor));
        return text;
    }
    std::string operator()(const GlovesChecked& b) const { return fmt::format("{} checked gloves", word(b.crew)); }
    std::string operator()(const SuitReading& b) const {
        return fmt::format("{} {}: {} {} left", word(b.crew), word(b.consumable),
                           static_cast<double>(b.left_thousandths) / 1000.0, unit(b.consumable));
    }
    std::string operator()(const Note& b) const { return b.text; }
    std::string operator()(const Decision& b) const { return fmt::format("decided: {}", b.text); }
    std::string operator()(const PlanAdopted& b) const { return fmt::format("plan adopted: {}", b.title); }
    std::string operator()(const TaskDropped& b) const {
        return because(fmt::format("left out: {}", task_words(b.task)), b.reason);
    }
    std::string operator()(const CrewAble& b) const {
        return because(fmt::format("{} {}", word(b.crew), b.able ? "can work again" : "does no more steps"), b.reason);
    }
    std::string operator()(const ArmAvailable& b) const {
        return because(b.available ? "the arm is available again" : "the arm is lost", b.reason);
    }
    std::string operator()(const StandDown& b) const { return because(std::string(word(b.kind)), b.reason); }
    std::string operator()(const Closed& b) const { return b.text.empty() ? "closed" : "closed: " + b.text; }
    std::string operator()(const Struck&) const { return "taken back"; }
    std::string operator()(const ConditionChanged& b) const {
        const std::string what = tell_ == Tell::all ? b.condition : "a condition";
        return because(b.holds ? what + " is back" : fmt::format("no {}{}", what, until_words(b.until)), b.reason);
    }
    std::string operator()(const WorksiteClosed& b) const {
        return because(b.closed ? fmt::format("nobody works at {}{}", site_words(b.worksite), until_words(b.until))
                                : fmt::format("{} is open again", site_words(b.worksite)),
                       b.reason);
    }
    std::string operator()(const ItemReplaced& b) const {
        return fmt::format("{} is used for {}", item_words(b.by), item_words(b.item));
    }
    std::string operator()(const PetZeroExpected& b) const {
        return because(fmt::format("PET zero is expected at {}", print_utc(b.at)), b.reason);
    }
    std::string operator()(const OxygenBreathed& b) const {
        return because(fmt::format("{} {} oxygen", word(b.crew), b.on ? "on" : "off"), b.reason);
    }
    std::string operator()(const CrewInside& b) const {
        return fmt::format("{} is in the airlock and stays there", word(b.crew));
    }

private:
    static std::string until_words(const std::optional<Utc>& until) {
        return until ? " until " + print_utc(*until) : "";
    }
    // A name that the outing does not have is somebody's own words, and so is not for those who may not read them.
    std::string unknown(const std::string& name, std::string_view neutral) const {
        return tell_ == Tell::all ? name : std::string(neutral);
    }
    std::string step_words(const std::string& label) const {
        const auto step = find_step(outing_, label);
        return step ? fmt::format("{}, {}", outing_.step(*step).label, outing_.step(*step).name)
                    : unknown(label, "a step");
    }
    std::string label_words(const std::string& label) const {
        const auto step = find_step(outing_, label);
        return step ? outing_.step(*step).label : unknown(label, "a step");
    }
    std::string site_words(const std::string& id) const {
        const auto site = find_worksite(outing_, id);
        return site ? outing_.worksite(*site).name : unknown(id, "a worksite");
    }
    std::string item_words(const std::string& id) const {
        const auto item = find_item(outing_, id);
        return item ? outing_.item(*item).name : unknown(id, "an item");
    }
    std::string task_words(const std::string& key) const {
        const auto task = find_task(outing_, key);
        return task ? outing_.task(*task).name : unknown(key, "a task");
    }
    std::string carrier_words(const std::string& who) const {
        return who == word(Crew::ev1) || who == word(Crew::ev2) ? who : unknown(who, "somebody");
    }
    std::string because(std::string what, const std::string& reason) const {
        if (tell_ == Tell::all && !reason.empty()) what += ": " + reason;
        return what;
    }

    const Outing& outing_;
    Tell tell_;
};

/// What those who may not read a private entry see of it. Nothing where it does not move the timeline.
std::optional<std::string> neutral_words(const Outing& outing, const Body& body) {
    const bool moves_nothing = std::holds_alternative<Note>(body) || std::holds_alternative<Decision>(body) ||
                               std::holds_alternative<SuitReading>(body) || std::holds_alternative<Closed>(body) ||
                               std::holds_alternative<Struck>(body);
    if (moves_nothing) return std::nullopt;
    // Not even whom it concerns.
    if (std::holds_alternative<CrewAble>(body) || std::holds_alternative<CrewInside>(body))
        return "the plan is restricted";
    if (std::holds_alternative<OxygenBreathed>(body)) return "prebreathe is changed";
    if (std::holds_alternative<PlanAdopted>(body)) return "plan adopted";
    return std::visit(Words(outing, Tell::without_reasons), body);
}

}  // namespace

std::string words(const Outing& outing, const Entry& entry) { return std::visit(Words(outing, Tell::all), entry.body); }

std::vector<RecordLine> record_of(const Outing& outing, std::span<const Recorded> entries, const Day& day) {
    std::vector<RecordLine> lines;
    // Until PET zero it is the expected one, which moves; a day that never began keeps the planned one.
    const bool never_began = day.stand_down && !day.pet_running;
    for (std::size_t i = 0; i < entries.size(); ++i) {
        const Entry& entry = entries[i].entry;
        RecordLine line;
        line.position = entries[i].position;
        line.happened = entry.happened;
        line.logged = entry.logged;
        line.pet = to_pet(entry.happened, never_began ? day.planned_pet_zero : day.pet_zero);
        line.kind = kind(entry.body);
        line.words = words(outing, entry);
        line.author = entry.author;
        line.visibility = day.entry_visibility[i];
        line.corrects = entry.corrects;
        line.struck = !day.in_force[i];
        line.neutral = neutral_words(outing, entry.body);
        const bool telling = std::holds_alternative<CrewAble>(entry.body) ||
                             std::holds_alternative<CrewInside>(entry.body) ||
                             std::holds_alternative<OxygenBreathed>(entry.body);
        line.neutral_kind = telling ? "change" : line.kind;
        lines.push_back(std::move(line));
    }
    return lines;
}

std::vector<RecordLine> visible(std::span<const RecordLine> lines, Reader reader) {
    std::vector<RecordLine> seen;
    for (const RecordLine& line : lines) {
        if (may_read(reader, line.visibility)) {
            seen.push_back(line);
            continue;
        }
        // The public learns of a stop and of its end, whatever it was for; the rest of the day's business is not
        // theirs.
        const bool stop = line.kind == "hold" || line.kind == "resume";
        if (!line.neutral || (reader == Reader::everyone && !stop)) continue;
        RecordLine neutral = line;
        neutral.words = *line.neutral;
        neutral.kind = line.neutral_kind;
        neutral.author.clear();
        neutral.visibility = reader == Reader::everyone ? Visibility::everyone : Visibility::console;
        seen.push_back(std::move(neutral));
    }
    return seen;
}

}  // namespace handrail::live
