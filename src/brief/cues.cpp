#include "brief/cues.h"

#include <algorithm>
#include <array>
#include <cctype>

#include "brief/carrying.h"
#include "brief/codes.h"
#include "brief/facts.h"

namespace handrail::brief {
namespace {

std::optional<Lane> lane_of(Reader reader) {
    switch (reader) {
        case Reader::ev1:
            return Lane::ev1;
        case Reader::ev2:
            return Lane::ev2;
        case Reader::arm:
            return Lane::arm;
        case Reader::iv:
            return {};
    }
    return {};
}

/// The lane of a crew member; lane_of() above is a reader's.
Lane crew_lane(Crew crew) { return crew == Crew::ev1 ? Lane::ev1 : Lane::ev2; }

std::string person_of(const Outing& outing, Reader reader) {
    switch (reader) {
        case Reader::ev1:
            return outing.person(Crew::ev1).name;
        case Reader::ev2:
            return outing.person(Crew::ev2).name;
        case Reader::arm:
            return outing.station.arm ? outing.station.arm->operator_name : "";
        case Reader::iv:
            return outing.iv_name;
    }
    return {};
}

std::string capital(std::string text) {
    if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
    return text;
}

/// Writes one cue after the other, with the whole plan at hand.
class Writer {
public:
    Writer(const Outing& outing, const WindowTable& windows, const Timeline& timeline, const Wording& say)
        : outing_(outing),
          windows_(windows),
          timeline_(timeline),
          say_(say),
          carrying_(outing, timeline, say),
          crew_lanes_{on_lane(timeline, Lane::ev1), on_lane(timeline, Lane::ev2)} {}

    Cue cue(const Activity& activity, Reader reader) const {
        Cue c;
        c.activity = &activity;
        c.name = activity.step ? outing_.step(*activity.step).name : capital(say_.title(outing_, activity));
        c.place = place(activity);
        if (activity.step) step(outing_.step(*activity.step), activity, reader, c);
        way(activity, c);
        if (reader == Reader::ev1 || reader == Reader::ev2) {
            const Crew crew = reader == Reader::ev1 ? Crew::ev1 : Crew::ev2;
            c.hands_before = carrying_.hands(crew, activity.start);
            c.hands_after = carrying_.hands(crew, activity.end());
        } else {
            hands_of_both(activity, c);
        }
        if (reader == Reader::iv && activity.on(Lane::iv) && activity.step) c.notes.push_back(say_("cue.you_too"));
        beside(activity, reader, c);
        inside(activity, reader, c);
        return c;
    }

private:
    std::string site(WorksiteId id) const { return outing_.worksite(id).name; }

    std::string place(const Activity& activity) const {
        if (activity.path.size() > 1)
            return say_("place.from_to", {site(activity.path.front()), site(activity.path.back())});
        if (activity.step) {
            const Step& step = outing_.step(*activity.step);
            if (step.at && step.to && *step.at != *step.to)
                return say_("place.from_to", {site(*step.at), site(*step.to)});
            if (step.at) return say_("place.at", {site(*step.at)});
        }
        return activity.path.empty() ? "" : say_("place.at", {site(activity.path.back())});
    }

    void way(const Activity& activity, Cue& c) const {
        if (activity.kind != ActivityKind::translate || activity.path.size() < 3) return;
        std::string via;
        for (std::size_t i = 1; i + 1 < activity.path.size(); ++i) via += (i == 1 ? "" : ", ") + site(activity.path[i]);
        c.notes.push_back(say_("cue.via", {via}));
    }

    void step(const Step& step, const Activity& activity, Reader reader, Cue& c) const {
        c.task = step.task;
        c.code = step_code(outing_, step.id);
        c.words = step.crew_words;
        for (const Hazard& hazard : step.hazards) c.cautions.push_back({capital(hazard.what), capital(hazard.control)});
        const auto items = [&](std::string_view key, const std::vector<ItemId>& list) {
            if (!list.empty()) c.notes.push_back(say_(key, {names_of(outing_, list)}));
        };
        items("cue.use", step.needs);
        items("cue.take", step.takes);
        items("cue.leave", step.leaves);
        items("cue.fit", step.installs);
        items("cue.move", step.moves);
        if (const auto who = rider(outing_, timeline_, activity)) {
            const bool ride = step.arm == ArmUse::ride, own = lane_of(reader) == crew_lane(*who);
            c.notes.push_back(own ? say_(ride ? "cue.ride" : "cue.hold")
                                  : say_(ride ? "cue.ride_of" : "cue.hold_of", {say_.crew(*who)}));
        }
        for (const std::string& condition : step.during) needs(condition, step, activity, c);
        for (const std::string& condition : step.not_during) avoids(condition, step, activity, c);
        orders(step, c);
        if (step.opens) open(step, c);
        if (step.close_up) c.notes.push_back(say_("cue.close_up"));
        const Task& task = outing_.task(step.task);
        if (step.id == task.steps.front() && task.starts_by)
            c.notes.push_back(say_("cue.starts_by", {print_pet(*task.starts_by)}));
        if (step.id == task.steps.back() && task.ends_by)
            c.notes.push_back(say_("cue.ends_by", {print_pet(*task.ends_by)}));
    }

    std::string site_id(const Step& step) const { return step.at ? outing_.worksite(*step.at).id : ""; }

    void needs(const std::string& condition, const Step& step, const Activity& activity, Cue& c) const {
        for (const Window& window : windows_.of(condition, site_id(step)))
            if (window.holds(activity.start, activity.duration)) {
                c.notes.push_back(say_("cue.needs", {say_.condition(condition), print_pet(window.from()),
                                                     print_pet(window.to()), print_left(window.to(), activity.end())}));
                return;
            }
        c.notes.push_back(say_("cue.needs_not_given", {say_.condition(condition)}));
    }

    void avoids(const std::string& condition, const Step& step, const Activity& activity, Cue& c) const {
        for (const Window& window : windows_.of(condition, site_id(step)))
            if (activity.end() <= window.from()) {
                c.notes.push_back(say_("cue.avoids_next", {say_.condition(condition), print_pet(window.from())}));
                return;
            }
        c.notes.push_back(say_("cue.avoids", {say_.condition(condition)}));
    }

    void orders(const Step& step, Cue& c) const {
        for (const Order& order : outing_.orders) {
            if (order.starts_together && (order.before == step.id || order.after == step.id)) {
                const StepId other = order.before == step.id ? order.after : order.before;
                if (started(other)) c.notes.push_back(say_("cue.together", {step_code(outing_, other)}));
            } else if (order.after == step.id && order.within && started(order.before)) {
                c.notes.push_back(
                    say_("cue.within", {print_duration(*order.within), step_code(outing_, order.before)}));
            }
        }
    }

    bool started(StepId step) const {
        return std::ranges::any_of(timeline_.activities, [&](const Activity& a) { return a.step == step; });
    }

    void open(const Step& step, Cue& c) const {
        std::string until;
        for (const StepId id : outing_.task(step.task).steps) {
            const Step& other = outing_.step(id);
            if (other.close_up && other.at == step.at) until = step_code(outing_, id);
        }
        c.notes.push_back(until.empty() ? say_("cue.opens") : say_("cue.opens_until", {until}));
    }

    /// What the others do meanwhile: the partner for the crew, the crew for the arm, both for IV.
    void beside(const Activity& activity, Reader reader, Cue& c) const {
        for (const Lane lane : {Lane::ev1, Lane::ev2}) {
            if (activity.on(lane)) {
                if (lane_of(reader) != lane && reader != Reader::iv)
                    c.beside.push_back({lane, activity.start, together(activity, lane, reader)});
                continue;
            }
            for (const Activity* other : crew_lanes_[lane == Lane::ev1 ? 0 : 1]) {
                if (other->end() <= activity.start || activity.end() <= other->start) continue;
                const std::string code = other->step ? step_code(outing_, *other->step) + " " : "";
                const std::string name =
                    other->step ? outing_.step(*other->step).name : capital(say_.title(outing_, *other));
                c.beside.push_back({lane, other->start, code + name});
            }
        }
    }

    /// For those inside: what whoever does it holds at a step, and wherever that changes.
    void hands_of_both(const Activity& activity, Cue& c) const {
        for (const Crew crew : both_crew) {
            if (!activity.on(crew_lane(crew))) continue;
            const std::string before = carrying_.hands(crew, activity.start),
                              after = carrying_.hands(crew, activity.end());
            if (before != after)
                c.notes.push_back(say_("cue.hands_change_of", {say_.crew(crew), before, after}));
            else if (activity.step)
                c.notes.push_back(say_("cue.hands_of", {say_.crew(crew), after}));
        }
    }

    /// Who inside works with the crew in the same step.
    void inside(const Activity& activity, Reader reader, Cue& c) const {
        if (!activity.on(Lane::ev1) && !activity.on(Lane::ev2)) return;
        for (const Lane lane : {Lane::arm, Lane::iv, Lane::ground})
            if (activity.on(lane) && lane_of(reader) != lane && (lane != Lane::iv || reader != Reader::iv))
                c.beside.push_back(
                    {lane, activity.start, reader == Reader::iv ? say_("cue.in_step") : say_("cue.with_you")});
    }

    std::string together(const Activity& activity, Lane lane, Reader reader) const {
        if (reader != Reader::arm || !activity.step) return say_("cue.with_you");
        const auto who = rider(outing_, timeline_, activity);
        if (!who || crew_lane(*who) != lane) return say_("cue.in_step");
        return outing_.step(*activity.step).arm == ArmUse::ride ? say_("cue.rides") : say_("cue.held");
    }

    const Outing& outing_;
    const WindowTable& windows_;
    const Timeline& timeline_;
    const Wording say_;
    Carrying carrying_;
    std::array<std::vector<const Activity*>, 2> crew_lanes_;
};

}  // namespace

std::string word(Reader reader, const Wording& say) {
    switch (reader) {
        case Reader::ev1:
            return "EV1";
        case Reader::ev2:
            return "EV2";
        case Reader::iv:
            return "IV";
        case Reader::arm:
            return say("reader.arm");
    }
    return {};
}

CueSheet cue_sheet(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Reader reader,
                   const Wording& say) {
    const Writer writer(outing, windows, timeline, say);
    CueSheet sheet{reader, person_of(outing, reader), {}};
    const std::optional<Lane> lane = lane_of(reader);
    std::vector<const Activity*> shown;
    for (const Activity& activity : timeline.activities)
        if (!lane || activity.on(*lane)) shown.push_back(&activity);
    std::stable_sort(shown.begin(), shown.end(),
                     [](const Activity* a, const Activity* b) { return a->start < b->start; });
    for (const Activity* activity : shown) sheet.cues.push_back(writer.cue(*activity, reader));
    return sheet;
}

}  // namespace handrail::brief
