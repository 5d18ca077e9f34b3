#include <algorithm>

#include "brief/carrying.h"
#include "brief/codes.h"
#include "brief/facts.h"
#include "brief/storyboard.h"

namespace handrail::brief {
namespace {

/// Steps of one frame and the moment its picture shows.
struct Cut {
    std::vector<const Activity*> activities;
    Pet from{}, to{};
};

bool same_places(const Outing& outing, const Activity& a, const Activity& b) {
    if (!a.step || !b.step) return false;
    const Step &x = outing.step(*a.step), &y = outing.step(*b.step);
    return x.task == y.task && x.at == y.at && !x.to && !y.to && a.lanes == b.lanes;
}

std::vector<Cut> cuts_of(const Outing& outing, const Timeline& timeline, Frames frames) {
    std::vector<Cut> cuts;
    for (const Activity& activity : timeline.activities) {
        const bool common = activity.kind == ActivityKind::egress || activity.kind == ActivityKind::clean_up ||
                            activity.kind == ActivityKind::ingress;
        if (!activity.step && !common) continue;
        const auto joins = [&](const Cut& cut) { return same_places(outing, *cut.activities.back(), activity); };
        const auto open = std::find_if(cuts.rbegin(), cuts.rend(), joins);
        // Only the latest frame of that task takes a step in; another place in between begins a new one.
        const auto last = std::find_if(cuts.rbegin(), cuts.rend(), [&](const Cut& cut) {
            const Activity& other = *cut.activities.back();
            return other.step && activity.step && outing.step(*other.step).task == outing.step(*activity.step).task;
        });
        if (frames == Frames::groups && open != cuts.rend() && open == last) {
            open->activities.push_back(&activity);
            open->to = std::max(open->to, activity.end());
        } else {
            cuts.push_back({{&activity}, activity.start, activity.end()});
        }
    }
    return cuts;
}

/// Where both are from moment to moment, and how they came there.
class Whereabouts {
public:
    Whereabouts(const Outing& outing, const Timeline& timeline) : outing_(outing), timeline_(timeline) {
        for (const Crew crew : both_crew) lanes_[index(crew)] = on_lane(timeline, lane_of(crew));
    }

    /// `own`: the frame's activity, which is shown where it ends; all others as they are at `t`.
    MapMoment::Person person(Crew crew, Pet since, Pet t, const Activity& own) const {
        MapMoment::Person p;
        p.at = outing_.station.airlock;
        for (const Activity* activity : lanes_[index(crew)]) {
            if (t < activity->start) break;
            const Step* step = activity->step ? &outing_.step(*activity->step) : nullptr;
            std::vector<WorksiteId> way;
            if (activity->kind == ActivityKind::translate) way = activity->path;
            if (step != nullptr && step->at) p.at = *step->at;
            if (step != nullptr && step->at && step->to && *step->at != *step->to) way = {*step->at, *step->to};
            p.rides = step != nullptr && step->arm == ArmUse::ride && rider(outing_, timeline_, *activity) == crew;
            p.moving = false;
            if (way.size() < 2) continue;
            p.moving = activity != &own && activity->start <= t && t < activity->end();
            p.at = way.back();
            if (activity->end() <= since) continue;
            if (!p.way.empty() && p.way.back() == way.front()) way.erase(way.begin());
            p.way.insert(p.way.end(), way.begin(), way.end());
        }
        return p;
    }

private:
    const Outing& outing_;
    const Timeline& timeline_;
    std::array<std::vector<const Activity*>, 2> lanes_;
};

class Writer {
public:
    Writer(const Outing& outing, const WindowTable& windows, const Timeline& timeline, const Wording& say, Units units)
        : outing_(outing),
          windows_(windows),
          say_(say),
          units_(units),
          carrying_(outing, timeline, say),
          whereabouts_(outing, timeline) {}

    StoryFrame frame(const Cut& cut, int number, std::array<Pet, 2>& seen) const {
        StoryFrame f;
        f.number = number;
        f.from = cut.from;
        f.to = cut.to;
        const Activity& first = *cut.activities.front();
        // A ride or a carried load is shown where it ends.
        const Pet shown = first.start;
        head(cut, f);
        for (const Crew crew : both_crew) {
            MapMoment::Person& person = f.moment.people[index(crew)];
            person = whereabouts_.person(crew, seen[index(crew)], shown, first);
            // What was shown at its end is not told again.
            seen[index(crew)] = first.on(lane_of(crew)) && person.way.size() > 1 ? std::max(shown, first.end()) : shown;
            f.captions.push_back(person_words(crew, person, shown));
        }
        arm(first, f);
        items(cut, f);
        light(first, cut, f);
        words(cut, f);
        return f;
    }

private:
    void head(const Cut& cut, StoryFrame& f) const {
        const Activity& first = *cut.activities.front();
        if (!first.step) {
            f.heading = say_.activity(first.kind);
            return;
        }
        f.codes = step_code(outing_, *first.step);
        if (cut.activities.size() > 1) f.codes += "–" + step_code(outing_, *cut.activities.back()->step);
        f.heading = cut.activities.size() > 1 ? outing_.task(outing_.step(*first.step).task).name
                                              : outing_.step(*first.step).name;
    }

    std::string person_words(Crew crew, const MapMoment::Person& person, Pet t) const {
        const std::string site = outing_.worksite(person.at).name, hands = carrying_.hands(crew, t);
        if (person.way.size() < 2) return say_("story.at", {say_.crew(crew), site, hands});
        const std::string from = outing_.worksite(person.way.front()).name;
        if (person.moving) return say_("story.moving", {say_.crew(crew), site, from, hands});
        const std::optional<Metres> length = length_of(person.way);
        if (person.way.front() == person.at)
            return length
                       ? say_("story.back_along", {say_.crew(crew), site, print_length(*length, say_, units_), hands})
                       : say_("story.back", {say_.crew(crew), site, hands});
        return length
                   ? say_("story.came_along", {say_.crew(crew), site, from, print_length(*length, say_, units_), hands})
                   : say_("story.came", {say_.crew(crew), site, from, hands});
    }

    /// Along the handrails; nothing where the arm carried them part of the way.
    std::optional<Metres> length_of(const std::vector<WorksiteId>& way) const {
        Metres sum{0};
        for (std::size_t i = 1; i < way.size(); ++i) {
            const auto route = std::ranges::find_if(outing_.station.routes, [&](const Route& r) {
                return (r.a == way[i - 1] && r.b == way[i]) || (r.b == way[i - 1] && r.a == way[i]);
            });
            if (route == outing_.station.routes.end()) return {};
            sum += route->length;
        }
        return sum;
    }

    void arm(const Activity& first, StoryFrame& f) const {
        if (!first.step) return;
        const Step& step = outing_.step(*first.step);
        if (step.arm == ArmUse::none) return;
        f.moment.arm = step.to ? step.to : step.at;
    }

    /// What the steps use, fit, take or leave, as one list at their place.
    void items(const Cut& cut, StoryFrame& f) const {
        std::vector<ItemId> list;
        std::optional<WorksiteId> site;
        for (const Activity* activity : cut.activities) {
            if (!activity->step) continue;
            const Step& step = outing_.step(*activity->step);
            if (!site) site = step.to ? step.to : step.at;
            for (const auto* items : {&step.needs, &step.takes, &step.leaves, &step.installs, &step.moves})
                for (const ItemId item : *items)
                    if (std::ranges::find(list, item) == list.end()) list.push_back(item);
        }
        if (list.empty()) return;
        f.captions.push_back(say_("story.items", {names_of(outing_, list)}));
        const std::string more = list.size() > 1 ? " +" + std::to_string(list.size() - 1) : "";
        if (site) f.moment.items.emplace_back(*site, outing_.item(list.front()).name + more);
    }

    void light(const Activity& first, const Cut& cut, StoryFrame& f) const {
        if (!windows_.knows("daylight")) return;
        const auto holds = [&](std::string_view condition, const std::string& site) {
            return std::ranges::any_of(windows_.of(std::string(condition), site),
                                       [&](const Window& w) { return w.from() <= cut.from && cut.from < w.to(); });
        };
        f.moment.daylight = holds("daylight", "");
        std::string key = *f.moment.daylight ? "story.daylight" : "story.dark";
        if (*f.moment.daylight && first.step && outing_.step(*first.step).at) {
            const std::string site = outing_.worksite(*outing_.step(*first.step).at).id;
            if (windows_.knows("lit"))
                key = holds("glare", site) ? "story.glare" : holds("lit", site) ? "story.lit" : "story.shadow";
        }
        f.captions.push_back(say_(key));
    }

    void words(const Cut& cut, StoryFrame& f) const {
        for (const Activity* activity : cut.activities) {
            if (!activity->step) continue;
            const Step& step = outing_.step(*activity->step);
            if (cut.activities.size() > 1)
                f.captions.push_back(
                    say_("story.step", {step_code(outing_, step.id), print_pet(activity->start), step.name}));
            if (!step.picture.empty()) f.captions.push_back(step.picture);
        }
    }

    const Outing& outing_;
    const WindowTable& windows_;
    const Wording& say_;
    Units units_;
    Carrying carrying_;
    Whereabouts whereabouts_;
};

}  // namespace

std::vector<StoryFrame> story_frames(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                     Frames frames, const Wording& say, Units units) {
    const Writer writer(outing, windows, timeline, say, units);
    std::vector<StoryFrame> out;
    std::array<Pet, 2> seen{Pet{} - std::chrono::hours{1}, Pet{} - std::chrono::hours{1}};
    for (const Cut& cut : cuts_of(outing, timeline, frames))
        out.push_back(writer.frame(cut, static_cast<int>(out.size()) + 1, seen));
    return out;
}

}  // namespace handrail::brief
