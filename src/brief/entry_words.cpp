#include "brief/entry_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "brief/said.h"

namespace handrail::brief {
namespace {

enum class Tell : std::uint8_t { all, without_reasons };

/// One entry put into words; reasons, and names that the outing does not have, are left out for those who may not read
/// what somebody typed.
class Words {
public:
    Words(const Outing& outing, const Wording& say, Tell tell) : outing_(outing), say_(say), tell_(tell) {}

    std::string operator()(const live::OutingOpened& b) const { return say_("record.outing_opened", {b.outing}); }
    std::string operator()(const live::PetZero&) const { return say_("record.pet_zero"); }
    std::string operator()(const live::PhaseBegan& b) const {
        return say_("record.phase." + std::string(live::word(b.phase)));
    }
    std::string operator()(const live::StepStarted& b) const {
        return b.crew ? say_("record.started_by", {say_.crew(*b.crew), step(b.step)})
                      : say_("record.started", {step(b.step)});
    }
    std::string operator()(const live::StepFinished& b) const { return say_("record.finished", {step(b.step)}); }
    std::string operator()(const live::StepSkipped& b) const {
        return because(say_("record.skipped", {step(b.step)}), b.reason);
    }
    std::string operator()(const live::StepUndone& b) const { return say_("record.undone", {step(b.step)}); }
    std::string operator()(const live::StepDelayed& b) const {
        const auto known = live::find_step(outing_, b.step);
        const std::string label = known ? outing_.step(*known).label : unknown(b.step, "record.some_step");
        return because(
            say_(b.by >= Seconds{0} ? "record.longer" : "record.less", {label, print_duration(std::chrono::abs(b.by))}),
            b.reason);
    }
    std::string operator()(const live::HoldBegan& b) const { return because(say_("record.hold"), b.reason); }
    std::string operator()(const live::Resumed&) const { return say_("record.resumed"); }
    std::string operator()(const live::ItemPlaced& b) const {
        using Where = live::ItemPlaced::Where;
        switch (b.where) {
            case Where::loose:
                return say_("record.item_at", {item(b.item), site(b.place)});
            case Where::in_bag:
                return say_("record.item_in", {item(b.item), item(b.place)});
            case Where::carried:
                return say_("record.item_carried", {item(b.item), carrier(b.place)});
            case Where::installed:
                return say_("record.item_installed", {item(b.item), site(b.place)});
            case Where::lost:
                return say_("record.item_lost", {item(b.item)});
        }
        return {};
    }
    std::string operator()(const live::CrewPlaced& b) const {
        return b.anchor ? say_("record.crew_anchored", {say_.crew(b.crew), site(b.worksite), site(*b.anchor)})
                        : say_("record.crew_at", {say_.crew(b.crew), site(b.worksite)});
    }
    std::string operator()(const live::GlovesChecked& b) const { return say_("record.gloves", {say_.crew(b.crew)}); }
    std::string operator()(const live::SuitReading& b) const {
        return say_("record.reading", {say_.crew(b.crew), say_.consumable(b.consumable),
                                       say_.number(fmt::format("{}", static_cast<double>(b.left_thousandths) / 1000.0)),
                                       std::string(unit(b.consumable))});
    }
    std::string operator()(const live::Note& b) const { return typed(b.text); }
    std::string operator()(const live::Decision& b) const { return say_("record.decided", {typed(b.text)}); }
    std::string operator()(const live::PlanAdopted& b) const {
        return tell_ == Tell::all ? say_("record.adopted", {b.title}) : say_("record.adopted_neutral");
    }
    std::string operator()(const live::TaskDropped& b) const {
        const auto task = live::find_task(outing_, b.task);
        return because(say_("record.dropped", {task ? outing_.task(*task).name : unknown(b.task, "record.some_task")}),
                       b.reason);
    }
    // Not even whom it concerns, for those who may not know why.
    std::string operator()(const live::CrewAble& b) const {
        if (tell_ != Tell::all) return say_("record.restricted");
        return because(say_(b.able ? "record.able" : "record.unable", {say_.crew(b.crew)}), b.reason);
    }
    std::string operator()(const live::ArmAvailable& b) const {
        return because(say_(b.available ? "record.arm_back" : "record.arm_lost"), b.reason);
    }
    std::string operator()(const live::StandDown& b) const {
        return because(say_("stand_down." + std::string(live::word(b.kind))), b.reason);
    }
    std::string operator()(const live::Closed& b) const {
        const std::string text = typed(b.text);
        return text.empty() ? say_("record.closed") : say_("record.closed_with", {text});
    }
    std::string operator()(const live::Struck&) const { return say_("record.struck"); }
    std::string operator()(const live::ConditionChanged& b) const {
        const std::string what = tell_ == Tell::all ? say_.condition(b.condition) : say_("record.some_condition");
        return because(b.holds   ? say_("record.condition_back", {what})
                       : b.until ? say_("record.condition_gone_until", {what, print_utc(*b.until)})
                                 : say_("record.condition_gone", {what}),
                       b.reason);
    }
    std::string operator()(const live::WorksiteClosed& b) const {
        const std::string where = site(b.worksite);
        return because(!b.closed ? say_("record.site_open", {where})
                       : b.until ? say_("record.site_closed_until", {where, print_utc(*b.until)})
                                 : say_("record.site_closed", {where}),
                       b.reason);
    }
    std::string operator()(const live::ItemReplaced& b) const {
        return say_("record.replaced", {item(b.by), item(b.item)});
    }
    std::string operator()(const live::PetZeroExpected& b) const {
        return because(say_("record.pet_zero_expected", {print_utc(b.at)}), b.reason);
    }
    std::string operator()(const live::OxygenBreathed& b) const {
        if (tell_ != Tell::all) return say_("record.prebreathe_changed");
        return because(say_(b.on ? "record.oxygen_on" : "record.oxygen_off", {say_.crew(b.crew)}), b.reason);
    }
    std::string operator()(const live::CrewInside& b) const {
        return tell_ == Tell::all ? say_("record.inside", {say_.crew(b.crew)}) : say_("record.restricted");
    }

private:
    std::string typed(const std::string& text) const { return tell_ == Tell::all ? text : ""; }
    std::string unknown(const std::string& name, std::string_view neutral) const {
        return tell_ == Tell::all ? name : say_(neutral);
    }
    std::string step(const std::string& label) const {
        const auto known = live::find_step(outing_, label);
        return known ? outing_.step(*known).label + ", " + outing_.step(*known).name
                     : unknown(label, "record.some_step");
    }
    std::string site(const std::string& id) const {
        const auto known = live::find_worksite(outing_, id);
        return known ? outing_.worksite(*known).name : unknown(id, "record.some_site");
    }
    std::string item(const std::string& id) const {
        const auto known = live::find_item(outing_, id);
        return known ? outing_.item(*known).name : unknown(id, "record.some_item");
    }
    std::string carrier(const std::string& who) const {
        return who == word(Crew::ev1) || who == word(Crew::ev2) ? who : unknown(who, "record.somebody");
    }
    std::string because(std::string what, const std::string& reason) const {
        return tell_ == Tell::all && !reason.empty() ? say_("record.because", {what, reason}) : what;
    }

    const Outing& outing_;
    const Wording& say_;
    Tell tell_;
};

}  // namespace

std::string entry_words(const Outing& outing, const live::Entry& entry, const Wording& say) {
    return std::visit(Words(outing, say, Tell::all), entry.body);
}

std::string line_words(const Outing& outing, const live::RecordLine& line, std::span<const live::Recorded> entries,
                       const Wording& say) {
    const auto recorded = std::ranges::find(entries, line.position, &live::Recorded::position);
    // What somebody typed stands as they typed it; a step is named as on every other document.
    const bool about_a_step = line.kind.starts_with("step_");
    const auto named = [&](std::string words) { return about_a_step ? with_codes(outing, std::move(words)) : words; };
    if (say.language() == Language::english || recorded == entries.end()) return named(line.words);
    // A neutral line stands for a private entry: it has no author.
    const bool neutral = line.neutral && line.words == *line.neutral && line.author.empty();
    return named(std::visit(Words(outing, say, neutral ? Tell::without_reasons : Tell::all), recorded->entry.body));
}

}  // namespace handrail::brief
