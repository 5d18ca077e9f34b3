#include "serve/public_feed.h"

#include <nlohmann/json.hpp>

#include "brief/scene.h"
#include "sky/windows.h"

namespace handrail::serve {
namespace {

using Json = nlohmann::ordered_json;
using brief::PublicFields;
using brief::PublicWords;

// The type is the allow-list: whoever wants to put other text in has to change PublicWords first.
static_assert(!std::is_constructible_v<PublicWords, std::string>);
static_assert(!std::is_constructible_v<PublicWords, const std::string&>);
static_assert(!std::is_constructible_v<PublicWords, std::string_view>);
static_assert(!std::is_assignable_v<PublicWords&, std::string>);
static_assert(!std::is_constructible_v<ReleasedLine, Utc, Pet, PublicWords>);

PublicFeed::Doing doing(const Outing& outing, const Activity& activity) {
    PublicFeed::Doing doing{
        brief::public_title(outing, activity), brief::public_words(outing, activity), {}, {}, {}, {}};
    if (!activity.path.empty()) doing.place = activity.path.back();
    return doing;
}

PublicFeed::Doing doing_now(const Outing& outing, const Activity& activity) {
    PublicFeed::Doing now = doing(outing, activity);
    now.since = activity.start;
    if (activity.path.size() > 1) {
        now.way = activity.path;
        now.length = activity.duration;
    }
    return now;
}

/// The next job, not the next reach for a tool. On the way in early only the going in: whether tools are gathered first
/// tells how hasty it is.
std::optional<PublicFeed::Doing> doing_next(const Outing& outing, const live::Status& status, Crew crew) {
    for (const live::AsRun& run : status.forecast.ahead) {
        const Activity& activity = run.activity;
        const bool telling = activity.kind == ActivityKind::ingress ||
                             (!status.day.stand_down && (activity.step || activity.kind == ActivityKind::clean_up));
        if (telling && activity.on(lane_of(crew))) return doing(outing, activity);
    }
    return std::nullopt;
}

PublicFeed::Person person(const Outing& outing, const live::Status& status, Crew crew) {
    const live::PersonStatus& known = status.people[index(crew)];
    PublicFeed::Person person;
    person.id = crew;
    person.name = PublicFields::name(outing.person(crew));
    person.about = PublicFields::about(outing.person(crew));
    person.outside = status.day.outside[index(crew)];
    person.at = status.day.at[index(crew)];
    person.anchor = status.day.anchor[index(crew)];
    if (known.now) person.now = doing_now(outing, known.now->run.activity);
    person.next = doing_next(outing, status, crew);
    return person;
}

PublicFeed::Progress progress(live::TaskProgress progress) {
    switch (progress) {
        case live::TaskProgress::to_do:
            return PublicFeed::Progress::to_come;
        case live::TaskProgress::running:
            return PublicFeed::Progress::under_way;
        case live::TaskProgress::partly:
            return PublicFeed::Progress::partly;
        case live::TaskProgress::done:
            return PublicFeed::Progress::done;
        case live::TaskProgress::left_out:
            return PublicFeed::Progress::not_today;
    }
    return {};
}

std::string_view word_of(PublicFeed::Progress progress) {
    switch (progress) {
        case PublicFeed::Progress::to_come:
            return "to_come";
        case PublicFeed::Progress::under_way:
            return "under_way";
        case PublicFeed::Progress::partly:
            return "partly";
        case PublicFeed::Progress::done:
            return "done";
        case PublicFeed::Progress::not_today:
            return "not_today";
    }
    return {};
}

PublicFeed::Ending ending(const live::Day& day) {
    if (!day.stand_down) return PublicFeed::Ending::as_planned;
    return day.stand_down->kind == live::StandDownKind::scrub ? PublicFeed::Ending::called_off
                                                              : PublicFeed::Ending::coming_in;
}

Json ending_json(PublicFeed::Ending ending) {
    switch (ending) {
        case PublicFeed::Ending::as_planned:
            return nullptr;
        case PublicFeed::Ending::called_off:
            return "called_off";
        case PublicFeed::Ending::coming_in:
            return "coming_in";
    }
    return nullptr;
}

/// Where the arm's tip was last taken.
std::optional<WorksiteId> arm_at(const Outing& outing, const live::Day& day) {
    if (!outing.station.arm) return std::nullopt;
    WorksiteId at = outing.station.arm->parked;
    for (const live::AsRun& run : day.as_run)
        if (run.activity.on(Lane::arm) && !run.activity.path.empty())
            at = run.running ? run.activity.path.front() : run.activity.path.back();
    return at;
}

Json site_json(const Outing& outing, const std::optional<WorksiteId>& site) {
    return site ? Json(brief::site_key(outing, *site, brief::SiteKeys::numbers)) : Json();
}
Json pet_json(const std::optional<Pet>& t) { return t ? Json(since_zero(*t).count()) : Json(); }

Json doing_json(const Outing& outing, const std::optional<PublicFeed::Doing>& doing, const char* kind) {
    if (!doing) return nullptr;
    Json json{
        {"title", doing->title.text()}, {"words", doing->words.text()}, {"place", site_json(outing, doing->place)}};
    if (std::string_view(kind) == "next") return json;
    Json way = Json::array();
    for (const WorksiteId site : doing->way) way.push_back(site_json(outing, site));
    json["since_pet_s"] = pet_json(doing->since);
    json["way"] = std::move(way);
    json["way_s"] = doing->length.count();
    return json;
}

}  // namespace

std::optional<ReleasedLine> ReleasedLine::of(const live::RecordLine& line) {
    // What was taken back is gone, and so is the taking back.
    if (line.struck || line.kind == "struck") return std::nullopt;
    if (line.visibility == live::Visibility::everyone)
        return ReleasedLine(line.happened, line.pet, PublicWords(line.words));
    if (line.kind == "hold")
        return ReleasedLine(line.happened, line.pet, PublicWords::Literal("Work was put on hold."));
    if (line.kind == "resume") return ReleasedLine(line.happened, line.pet, PublicWords::Literal("Work goes on."));
    return std::nullopt;
}

PublicFeed public_feed(const Outing& outing, const live::Status& status) {
    PublicFeed feed;
    feed.outing = PublicFields::name(outing);
    feed.note = PublicFields::note(outing);
    feed.about = PublicFields::about(outing);
    feed.now = status.day.now;
    feed.pet_zero = status.day.pet_zero;
    feed.begun = status.day.pet_running;
    feed.phase = status.day.phase;
    if (const live::Hold* hold = status.day.open_hold()) feed.on_hold_since = hold->from;
    feed.ending = ending(status.day);
    for (const Crew crew : both_crew) feed.crew[index(crew)] = person(outing, status, crew);
    feed.arm_at = arm_at(outing, status.day);
    feed.light = {status.light.known, status.light.now, status.light.next};
    for (const Task& task : outing.tasks)
        if (brief::is_public(outing, task))
            feed.jobs.push_back(
                {PublicFields::name(task), PublicFields::why(task), progress(status.tasks[index(task.id)].progress)});
    for (const live::RecordLine& line : status.record)
        if (std::optional<ReleasedLine> released = ReleasedLine::of(line)) feed.lines.push_back(*std::move(released));
    return feed;
}

std::string public_json(const PublicFeed& feed, const Outing& outing, const WindowTable& windows) {
    Json crew = Json::array(), jobs = Json::array(), lines = Json::array();
    for (const PublicFeed::Person& person : feed.crew)
        crew.push_back({{"id", word(person.id)},
                        {"name", person.name.text()},
                        {"about", person.about.text()},
                        {"outside", person.outside},
                        {"at", site_json(outing, person.at)},
                        {"anchor", site_json(outing, person.anchor)},
                        {"now", doing_json(outing, person.now, "now")},
                        {"next", doing_json(outing, person.next, "next")}});
    for (const PublicFeed::Job& job : feed.jobs)
        jobs.push_back({{"name", job.name.text()}, {"why", job.why.text()}, {"progress", word_of(job.progress)}});
    for (const ReleasedLine& line : feed.lines)
        lines.push_back(
            {{"utc", print_utc(line.at())}, {"pet_s", pet_json(line.pet())}, {"words", line.words().text()}});
    return Json{{"format", "handrail-public"},
                {"version", 1},
                {"role", "public"},
                {"outing", feed.outing.text()},
                {"note", feed.note.text()},
                {"about", feed.about.text()},
                {"utc", print_utc(feed.now)},
                {"pet_zero", print_utc(feed.pet_zero)},
                {"pet_running", feed.begun},
                {"phase", live::word(feed.phase)},
                {"on_hold_since_pet_s", pet_json(feed.on_hold_since)},
                {"ending", ending_json(feed.ending)},
                {"crew", std::move(crew)},
                {"arm_at", site_json(outing, feed.arm_at)},
                {"sunlit",
                 {{"known", feed.light.known},
                  {"now", feed.light.known ? Json(feed.light.sunlit) : Json()},
                  {"until_pet_s", pet_json(feed.light.until)}}},
                {"jobs", std::move(jobs)},
                {"lines", std::move(lines)},
                {"station", Json::parse(brief::scene_json(outing, brief::SiteKeys::numbers))},
                {"light", Json::parse(brief::light_json(outing, windows, feed.pet_zero, pet(-sky::span_before),
                                                        pet(sky::span_after), brief::SiteKeys::numbers))},
                {"caution", caution}}
        .dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace handrail::serve
