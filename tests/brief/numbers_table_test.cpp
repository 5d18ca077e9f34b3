// What stands in which cell: the number of this task, this suit, this step and no other. Read from the documents' JSON
// and CSV and compared with plan, record, forecast and simulation, worked out here. Each test also compares with a
// subject that has one fault, and must see it.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <sstream>

#include "brief/amounts.h"
#include "brief/codes.h"
#include "brief/director_page.h"
#include "brief/facts.h"
#include "brief/registry.h"
#include "brief/subject_charts.h"
#include "lifesupport/forecast.h"
#include "timeline/loads.h"
#include "told_day.h"

namespace handrail::brief {
namespace {

using nlohmann::json;
using std::chrono::minutes;
using testing::IsEmpty;
using testing::Not;

std::string bytes_of(std::string_view kind, const Subject& subject, Format format) {
    Options options;
    options.format = format;
    const MadeOrNot made = make_document(kind, subject, options);
    if (const auto* none = std::get_if<NotMade>(&made)) throw std::runtime_error(none->why);
    return std::get<Document>(made).files.at(0);
}
json page_of(std::string_view kind, const Subject& subject) {
    return json::parse(bytes_of(kind, subject, Format::json));
}

/// Every sentence, one after the other.
std::string sentences_of(const json& page) {
    std::string all;
    for (const json& section : page["sections"])
        for (const json& sentence : section["sentences"]) all += sentence["text"].get<std::string>() + "\n";
    return all;
}

/// Compares cells with what they should be and collects what differs.
class Compare {
public:
    explicit Compare(const json& page) : page_(page) {}

    /// The table under this heading, from now on; `which` when there are several.
    void table(const std::string& heading, std::size_t which = 0) {
        table_ = nullptr;
        seen_ = 0;
        for (const json& section : page_["sections"])
            if (section["heading"] == heading && section["tables"].size() > which) table_ = &section["tables"][which];
        if (table_ == nullptr) faults_.push_back("no table " + heading);
    }
    /// The row whose first cells are these, and its cells by the column's title.
    void row(const std::vector<std::string>& first, const std::vector<std::pair<std::string, std::string>>& cells) {
        if (table_ == nullptr) return;
        ++seen_;
        for (const json& row : (*table_)["rows"]) {
            bool same = true;
            for (std::size_t i = 0; i < first.size(); ++i) same = same && row[i] == first[i];
            if (!same) continue;
            for (const auto& [title, wanted] : cells) {
                const auto& titles = (*table_)["columns"];
                const auto at = std::ranges::find(titles, json(title));
                const std::string found = at == titles.end()
                                              ? "no such column"
                                              : row[static_cast<std::size_t>(at - titles.begin())].get<std::string>();
                if (found != wanted) faults_.push_back(first.back() + ", " + title + ": " + found + ", not " + wanted);
            }
            return;
        }
        faults_.push_back("no row " + testing::PrintToString(first));
    }
    /// Every row of the table was asked for.
    void whole() {
        if (table_ != nullptr && (*table_)["rows"].size() != seen_)
            faults_.push_back(fmt::format("{} rows, not {}", (*table_)["rows"].size(), seen_));
    }
    void says(const std::string& words) {
        if (sentences_of(page_).find(words) == std::string::npos) faults_.push_back("not said: " + words);
    }
    std::vector<std::string> faults() const { return faults_; }

private:
    const json& page_;
    const json* table_ = nullptr;
    std::size_t seen_ = 0;
    std::vector<std::string> faults_;
};

std::string named(const Outing& outing, TaskId task) { return task_code(task) + " " + outing.task(task).name; }
std::string named(const Outing& outing, StepId step) { return step_code(outing, step) + " " + outing.step(step).name; }
std::string value_of(double value) { return fmt::format("{:.4g}", value); }
std::string span_words(const Span& span) { return print_pet(span.from) + "–" + print_pet(span.to); }

/// In whole minutes, towards less.
std::string in_hand(std::optional<Seconds> time) {
    if (!time) return "–";
    const auto whole = std::chrono::floor<minutes>(*time);
    return (whole.count() < 0 ? "-" : "") + print_duration(std::chrono::abs(whole));
}
/// From the clocks as they are printed, "hh:mm", as a reader subtracts them.
std::string between_clocks(Pet from, Pet to) {
    const auto minute = [](const std::string& clock) {
        return minutes{60 * std::stoi(clock.substr(0, 2)) + std::stoi(clock.substr(3, 2))};
    };
    return print_duration(minute(print_pet(to)) - minute(print_pet(from)));
}
std::string share(double value) {
    return value > 0.99 ? "> 99 %" : value < 0.01 ? "< 1 %" : fmt::format("{:.0f} %", 100 * value);
}

lifesupport::Forecast forecast_of(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                  Crew crew) {
    return lifesupport::forecast(outing.suit_of(crew), loads_of(outing, windows, timeline, crew).loads);
}

/// "battery 17 %": of what a suit carries, what most likely touches its reserve when the plan is followed to its end.
std::string likeliest_touched(const lifesupport::Forecast& suit) {
    std::pair<double, std::string> most{-1, ""};
    for (const lifesupport::Consumable c : lifesupport::all_consumables)
        if (suit.carries(c)) most = std::max(most, {suit.chance_reserve_touched(c), Wording{}.consumable(c)});
    return most.second + " " + share(most.first);
}

std::vector<std::string> director_faults(const json& page, const Subject& s, const risk::Odds& odds) {
    Compare compare(page);
    compare.table("Tasks");
    int required = 0, required_done = 0;
    double value = 0, all = 0;
    for (const Task& task : s.outing.tasks) {
        const auto span = span_of(s.outing, s.timeline, task.id);
        if (task.task_class == TaskClass::required) {
            ++required;
            required_done += span.has_value();
        } else {
            all += task.value;
            value += span ? task.value : 0;
        }
        if (!span) continue;
        const auto of = std::ranges::find(odds.tasks, task.id, &risk::TaskOdds::task);
        const auto gate = std::ranges::find(odds.gates, task.id, &risk::Gate::task);
        compare.row({named(s.outing, task.id)}, {{"Class", Wording{}.task_class(task.task_class)},
                                                 {"Value", value_of(task.value)},
                                                 {"Lead", std::string(word(*s.timeline.lead_of(task.id)))},
                                                 {"PET", span_words(*span)},
                                                 {"Begin by", gate == odds.gates.end() ? "–"
                                                              : gate->begin_until      ? print_pet(*gate->begin_until)
                                                                                       : "leave out"},
                                                 {"Odds", share(of->done.value)}});
    }
    compare.whole();
    const Pet finish = s.timeline.finish(), limit = pet(s.outing.rules.limit);
    compare.says(fmt::format("Finish PET {}, {} before the hard end at PET {}", print_pet(finish),
                             between_clocks(finish, limit), print_pet(limit)));
    compare.says(fmt::format("{} of {} required tasks; value {} of {} ", required_done, required, value_of(value),
                             value_of(all)));
    compare.says(
        fmt::format("All required tasks done {}; home in time with both reserves {}. Hatch closed at PET {} (P10), "
                    "{} (P50), {} (P90); {} runs.",
                    share(odds.required.value), share(odds.home.value), print_pet(odds.p10.at), print_pet(odds.p50.at),
                    print_pet(odds.p90.at), odds.runs));
    const std::array suits{forecast_of(s.outing, s.windows, s.timeline, Crew::ev1),
                           forecast_of(s.outing, s.windows, s.timeline, Crew::ev2)};
    if (suits[0].carries(lifesupport::Consumable::oxygen)) {
        compare.table("Consumables at the end of ingress");
        for (std::size_t i = 0; i < lifesupport::consumable_count; ++i) {
            const auto c = static_cast<lifesupport::Consumable>(i);
            if (!suits[0].carries(c)) continue;
            std::vector<std::pair<std::string, std::string>> cells;
            for (const Crew crew : both_crew) {
                const lifesupport::Forecast& suit = suits[index(crew)];
                const std::string who(word(crew));
                cells.emplace_back(who + " left", print_amount(c, suit.at_return().left[i], Wording{}, Units::metric));
                cells.emplace_back(who + " reserve", print_amount(c, suit.reserve[i], Wording{}, Units::metric));
                cells.emplace_back(who + " in hand", in_hand(suit.in_hand(c)));
            }
            compare.row({Wording{}.consumable(c)}, cells);
        }
        compare.whole();
        compare.says("EV1 " + likeliest_touched(suits[0]) + " and EV2 " + likeliest_touched(suits[1]) + ".");
    }
    std::vector<std::string> seldom;
    for (const risk::TaskOdds& task : odds.tasks)
        if (s.outing.task(task.task).task_class != TaskClass::required && span_of(s.outing, s.timeline, task.task) &&
            task.done.value < 0.1)  // docs/risk.md: less than one run in ten
            seldom.push_back(named(s.outing, task.task) + " (" + share(task.done.value) + ")");
    if (!seldom.empty()) compare.says("do not count on it: " + Wording{}.list(seldom) + ".");
    return compare.faults();
}

std::vector<std::string> tools_faults(const json& page, const Outing& outing, const Timeline& timeline) {
    Compare compare(page);
    std::vector<bool> moved(outing.items.size(), false);
    for (const Activity& a : timeline.activities) {
        for (const ItemId item : a.items) moved[index(item)] = true;
        if (!a.step) continue;
        const Step& step = outing.step(*a.step);
        for (const auto* list : {&step.needs, &step.takes, &step.leaves, &step.installs, &step.moves})
            for (const ItemId item : *list) {
                moved[index(item)] = true;
            }
    }
    for (std::size_t i = 0; i < outing.items.size(); ++i) {
        const Item& bag = outing.items[i];
        if (bag.holds <= 0 || !moved[i]) continue;
        int units = 0;
        for (const Item& item : outing.items)
            if (item.in && index(*item.in) == i)
                units += item.size == SizeClass::small ? 1 : item.size == SizeClass::medium ? 2 : 4;
        compare.table("Bags");
        compare.row({"", bag.name}, {{"Units", fmt::format("{} of {}", units, bag.holds)}});
    }
    compare.table("Where everything is, in order");
    for (const Activity& a : timeline.activities)
        if (a.kind == ActivityKind::pick_up || a.kind == ActivityKind::put_down)
            for (const ItemId item : a.items) {
                const std::string title = Wording{}.title(outing, a);
                compare.row({print_pet(a.end()), title}, {{"Who", Wording{}.lanes(a)}});
                EXPECT_NE(title.find(outing.item(item).name), std::string::npos);
            }
    return compare.faults();
}

class Tables : public testing::TestWithParam<const char*> {
protected:
    static Subject shifted(Subject subject) {
        // The last step but one, so that nothing else moves with it.
        for (auto it = subject.timeline.activities.rbegin(); it != subject.timeline.activities.rend(); ++it)
            if (it->step) {
                it->start += minutes{1};
                break;
            }
        return subject;
    }
};
INSTANTIATE_TEST_SUITE_P(Outings, Tables, testing::Values("larkspur", "pool"));

TEST_P(Tables, TheFlightDirectorsPageHasEachTasksOwnNumbersAndSwappedOnesAreSeen) {
    const Subject plan = planned_demo(GetParam()).subject();
    const risk::Odds& odds = *plan.odds->of(plan);
    const json page = page_of("director", plan);
    EXPECT_THAT(director_faults(page, plan, odds), IsEmpty());

    // A task that is hardly ever done is named as one not to count on, whatever the plan's own odds are.
    risk::Odds seldom = odds;
    const auto wanted = std::ranges::find_if(seldom.tasks, [&](const risk::TaskOdds& task) {
        return plan.outing.task(task.task).task_class != TaskClass::required &&
               span_of(plan.outing, plan.timeline, task.task);
    });
    ASSERT_NE(wanted, seldom.tasks.end());
    wanted->done.value = 0.04;
    const std::string named_one = "In the plan, but do not count on it: ",
                      task_told = named(plan.outing, wanted->task) + " (4 %)";
    const auto sections = director_page(plan.outing, plan.windows, plan.timeline, {}, &seldom);
    EXPECT_TRUE(std::ranges::any_of(sections, [&](const Section& section) {
        return std::ranges::any_of(section.sentences, [&](const Sentence& sentence) {
            return sentence.weight == Weight::strong && sentence.text.find(named_one) == 0 &&
                   sentence.text.find(task_told) != std::string::npos;
        });
    })) << task_told;

    risk::Odds swapped = odds;
    const auto [least, most] =
        std::ranges::minmax_element(swapped.tasks, {}, [](const auto& t) { return t.done.value; });
    if (share(least->done.value) != share(most->done.value)) {
        std::swap(least->done, most->done);
        EXPECT_THAT(director_faults(page, plan, swapped), testing::Contains(testing::HasSubstr("Odds")));
    }
    risk::Odds later = odds;
    if (!later.gates.empty() && later.gates[0].begin_until) {
        *later.gates[0].begin_until += minutes{1};
        EXPECT_THAT(director_faults(page, plan, later), testing::Contains(testing::HasSubstr("Begin by")));
    }
    EXPECT_THAT(director_faults(page, shifted(plan), odds), testing::Contains(testing::HasSubstr("PET")));
    Outing dearer = plan.outing;
    dearer.tasks.back().value += 1;
    EXPECT_THAT(director_faults(page, {dearer, plan.windows, plan.timeline, plan.stamp, ""}, odds), Not(IsEmpty()));
    if (std::string(GetParam()) == "larkspur") {
        Outing other = plan.outing;
        std::swap(other.crew[0], other.crew[1]);
        EXPECT_THAT(director_faults(page, {other, plan.windows, plan.timeline, plan.stamp, ""}, odds),
                    testing::Contains(testing::HasSubstr("left")));
    }
}

/// The chart of the suits and the flight director's page tell one figure, and each says how the simulation's differs.
TEST_P(Tables, TheSuitsChartAndTheDirectorsPageTellOneChanceThatAReserveIsTouched) {
    const Subject plan = planned_demo(GetParam()).subject();
    const lifesupport::Forecast suit = forecast_of(plan.outing, plan.windows, plan.timeline, Crew::ev2);
    const std::string page = sentences_of(page_of("director", plan));
    if (!suit.carries(lifesupport::Consumable::battery)) {
        EXPECT_THAT(page, Not(testing::HasSubstr("touched")));
        return;
    }
    const std::string chart = bytes_of("suits", plan, Format::svg);
    double likeliest = 0;
    for (std::size_t i = 0; i < lifesupport::consumable_count; ++i)
        if (const auto c = static_cast<lifesupport::Consumable>(i); suit.carries(c))
            likeliest = std::max(likeliest, suit.chance_reserve_touched(c));
    const std::string figure = share(likeliest);
    EXPECT_THAT(page, testing::ContainsRegex("EV2 [A-Za-z0-9 ]+ " + figure));
    EXPECT_THAT(page, testing::HasSubstr("In the simulation tasks are left out, or both come home, before that."));
    const std::string escaped = figure.starts_with("<") ? "&lt;" + figure.substr(1) : figure;
    EXPECT_THAT(chart, testing::HasSubstr("odds the reserve is touched " + escaped));
    EXPECT_THAT(chart, testing::HasSubstr("if the plan is followed to its end whatever the suits read"));
}

TEST_P(Tables, TheToolListCountsWhatIsInEachBagAndWhenItMoves) {
    const Subject plan = planned_demo(GetParam()).subject();
    const json page = page_of("tools", plan);
    EXPECT_THAT(tools_faults(page, plan.outing, plan.timeline), IsEmpty());
    Outing fuller = plan.outing;
    const auto small = std::ranges::find_if(fuller.items, [](const Item& item) { return item.in.has_value(); });
    small->size = SizeClass::large;
    EXPECT_THAT(tools_faults(page, fuller, plan.timeline), testing::Contains(testing::HasSubstr("Units")));
    Timeline later = plan.timeline;
    std::ranges::find(later.activities, ActivityKind::pick_up, &Activity::kind)->start += minutes{1};
    EXPECT_THAT(tools_faults(page, plan.outing, later), Not(IsEmpty()));
}

/// Rows of a CSV file without line breaks in its cells.
std::vector<std::vector<std::string>> csv(const std::string& text) {
    std::vector<std::vector<std::string>> rows(1, {""});
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '"' && quoted && i + 1 < text.size() && text[i + 1] == '"')
            rows.back().back() += text[i++];
        else if (text[i] == '"')
            quoted = !quoted;
        else if (text[i] == ',' && !quoted)
            rows.back().emplace_back();
        else if (text[i] == '\n' && !quoted)
            rows.push_back({""});
        else if (text[i] != '\r')
            rows.back().back() += text[i];
    }
    if (rows.back().size() == 1 && rows.back()[0].empty()) rows.pop_back();
    return rows;
}

/// What each row of a table of activities should begin with.
std::vector<std::string> timing(const Activity& a, Utc zero) {
    return {print_pet_seconds(a.start), print_utc(to_utc(a.start, zero)), std::to_string(a.duration.count())};
}

TEST_P(Tables, EveryRowOfTheTimelinesAndTheCueSheetsCsvIsAnActivityOfThePlanOrTheDay) {
    const auto day = told_day(GetParam(), Ending::at_work);
    for (const Subject& subject : {planned_demo(GetParam()).subject(), day->subject()}) {
        const auto faults = [&](const Timeline& timeline) {
            std::size_t count = 0;
            const auto rows = csv(bytes_of("timeline", subject, Format::csv));
            for (std::size_t i = 0; i < timeline.activities.size(); ++i) {
                const Activity& a = timeline.activities[i];
                const auto& row = rows.at(i + 1);
                const std::vector<std::string> found{row[0], row[2], row[3]};
                count += found != timing(a, timeline.pet_zero) || row[1] != print_pet_seconds(a.end()) ||
                         row[6] != (a.step ? step_code(subject.outing, *a.step) : "");
            }
            EXPECT_EQ(rows.size(), timeline.activities.size() + 1);
            std::vector<std::vector<std::string>> wanted, cues;
            for (const Activity& a : timeline.activities) wanted.push_back(timing(a, timeline.pet_zero));
            for (const auto& row : csv(bytes_of("cue-sheet", subject, Format::csv)))
                if (row[0] != "PET") cues.push_back({row[0], row[1], row[2]});
            std::ranges::sort(wanted);
            std::ranges::sort(cues);
            return count + (wanted != cues ? 1 : 0);
        };
        EXPECT_EQ(faults(subject.timeline), 0u);
        Timeline off = subject.timeline;
        off.activities[off.activities.size() / 2].duration += Seconds{60};
        EXPECT_EQ(faults(off), 2u);
        // The timeline's JSON is the plan itself: read back, nothing differs.
        const auto back = read_timeline(subject.outing, bytes_of("timeline", subject, Format::json), "timeline.json");
        ASSERT_TRUE(back) << print(back.errors().front());
        EXPECT_EQ(to_json(subject.outing, back.value()), to_json(subject.outing, subject.timeline));
        EXPECT_EQ(back.value().activities.size(), subject.timeline.activities.size());
    }
}

std::vector<std::string> storyboard_faults(const json& page, const Subject& s) {
    std::vector<std::string> faults;
    std::size_t told = 0;
    for (const Activity& a : s.timeline.activities) {
        if (!a.step) continue;
        ++told;
        // Alone in its frame or first of a group, or told within one.
        const std::string code = step_code(s.outing, *a.step), start = print_pet(a.start);
        bool found = false;
        for (const json& section : page["sections"]) {
            const std::string heading = section["heading"], times = section["sentences"][0]["text"];
            const bool first = heading.starts_with(code + " ") || heading.starts_with(code + "–");
            if (first) found = found || times.starts_with("to " + start) || times.starts_with(start);
            for (const json& sentence : section["sentences"])
                found = found || sentence["text"].get<std::string>().starts_with(code + " at " + start + ":");
        }
        if (!found) faults.push_back(code);
    }
    if (told == 0) faults.emplace_back("no steps");
    return faults;
}

TEST_P(Tables, EveryFrameOfTheStoryboardBeginsWithItsStep) {
    const Subject plan = planned_demo(GetParam()).subject();
    const json page = page_of("storyboard", plan);
    EXPECT_THAT(storyboard_faults(page, plan), IsEmpty());
    EXPECT_THAT(storyboard_faults(page, shifted(plan)), testing::SizeIs(1));
}

std::vector<std::string> close_out_faults(const json& page, const Outing& outing, const live::Status& status) {
    Compare compare(page);
    const live::Day& day = status.day;
    compare.table("Done, partly done, left");
    for (const Task& task : outing.tasks) {
        const live::TaskProgress at = status.tasks[index(task.id)].progress;
        compare.row({named(outing, task.id)}, {{"Class", Wording{}.task_class(task.task_class)},
                                               {"Value", value_of(task.value)},
                                               {"Outcome", at == live::TaskProgress::done       ? "done"
                                                           : at == live::TaskProgress::left_out ? "left out"
                                                           : at == live::TaskProgress::to_do    ? "to do"
                                                           : at == live::TaskProgress::running  ? "running"
                                                                                                : "partly done"}});
    }
    compare.whole();
    Seconds held{0};
    for (const live::Hold& hold : day.holds) held += std::chrono::floor<Seconds>(*hold.to - hold.from);
    compare.says("Work was held for " + print_duration(held) + " in all.");
    if (day.as_run.empty()) return compare.faults();
    compare.table("As run against the plan");
    for (const live::AsRun& run : day.as_run) {
        if (!run.activity.step) continue;
        const auto planned = std::ranges::find(day.first_plan->activities, run.activity.step, &Activity::step);
        const Seconds more = run.activity.duration - planned->duration;
        compare.row({named(outing, *run.activity.step)},
                    {{"Planned", print_pet(planned->start)},
                     {"Began", print_pet(run.activity.start)},
                     {"For", print_duration(planned->duration)},
                     {"Took", print_duration(run.activity.duration)},
                     {"Difference", (more < Seconds{0} ? "-" : "+") + print_duration(std::chrono::abs(more))}});
    }
    compare.whole();
    if (status.people[0].suit.consumables.empty()) return compare.faults();
    compare.table("Consumables, planned against measured");
    for (const Crew crew : both_crew) {
        const lifesupport::Forecast plan = forecast_of(outing, day.windows, *day.first_plan, crew);
        for (const live::ConsumableStatus& one : status.people[index(crew)].suit.consumables) {
            const lifesupport::Consumable c = one.consumable;
            const double before = plan.at_return().left[static_cast<std::size_t>(c)];
            const auto amount = [&](double value) { return print_amount(c, value, Wording{}, Units::metric); };
            compare.row({std::string(word(crew)) + " " + outing.person(crew).name, Wording{}.consumable(c)},
                        {{"Planned", amount(before)},
                         {"At the end", amount(one.left)},
                         {"Difference", (one.left < before ? "-" : "+") + amount(std::abs(one.left - before))},
                         {"Reserve", amount(one.reserve)},
                         {"Last reading", one.measured ? print_pet(*one.measured) : "none"}});
        }
    }
    compare.whole();
    return compare.faults();
}

TEST_P(Tables, TheCloseOutHasEachStepsAndEachSuitsOwnNumbers) {
    for (const Ending ending : {Ending::home, Ending::terminated}) {
        const auto day = told_day(GetParam(), ending);
        const json page = page_of("close-out", day->subject());
        EXPECT_THAT(close_out_faults(page, day->demo.outing, day->status), IsEmpty());
        live::Status other = day->status;
        const auto step = std::ranges::find_if(other.day.as_run,
                                               [](const live::AsRun& run) { return run.activity.step.has_value(); });
        step->activity.duration += Seconds{30};
        EXPECT_THAT(close_out_faults(page, day->demo.outing, other), testing::SizeIs(2));  // took, and the difference
        step->activity.duration -= Seconds{30};
        step->activity.start += minutes{1};
        EXPECT_THAT(close_out_faults(page, day->demo.outing, other), testing::SizeIs(1));
        step->activity.start -= minutes{1};
        other.day.holds.front().from -= minutes{1};
        EXPECT_THAT(close_out_faults(page, day->demo.outing, other), testing::SizeIs(1));
        if (std::string(GetParam()) == "pool") continue;
        other = day->status;
        other.people[0].suit.consumables[0].left += 0.02;
        EXPECT_THAT(close_out_faults(page, day->demo.outing, other), Not(IsEmpty()));
    }
}

std::vector<std::string> hand_over_faults(const json& page, const Outing& outing, const live::Status& status) {
    Compare compare(page);
    const live::Day& day = status.day;
    const Pet now = day.pet_now();
    compare.says(fmt::format("PET {}, {} UTC: ", print_pet(now), print_utc(day.now).substr(11, 5)));
    compare.says(fmt::format("Forecast: hatch closed at PET {}; planned {}, hard end {}.",
                             print_pet(status.forecast.finish), print_pet(day.plan->finish()),
                             print_pet(pet(outing.rules.limit))));
    compare.says("PET zero is " + print_duration(std::chrono::floor<Seconds>(day.pet_zero - day.planned_pet_zero)) +
                 " later than planned.");
    compare.table("Tasks");
    for (const Task& task : outing.tasks) {
        const auto& end = status.tasks[index(task.id)].forecast_end;
        compare.row({named(outing, task.id)}, {{"Ends by forecast", end ? print_pet(*end) : ""}});
    }
    compare.whole();
    compare.table("Next decision times");
    const auto moment = [&](const std::string& what, std::optional<Pet> at) {
        if (at && now <= *at)
            compare.row({what}, {{"PET", print_pet(*at)},
                                 {"UTC", print_utc(to_utc(*at, day.pet_zero)).substr(11, 5)},
                                 {"In", between_clocks(now, *at)}});
    };
    moment("last moment to turn back, both, orderly", status.terminate_by);
    moment("last moment to turn back, both, at once", status.abort_by);
    moment("hard end: hatch closed", pet(outing.rules.limit));
    if (status.coverage.known) moment(status.coverage.now ? "coverage ends" : "coverage begins", status.coverage.next);
    if (status.light.known) moment(status.light.now ? "daylight ends" : "daylight begins", status.light.next);
    compare.table("The last hour");
    for (const live::RecordLine& line : status.record)
        if (line.kind == "step_finished" && day.now - std::chrono::hours{1} <= line.happened)
            compare.row({print_pet(to_pet(line.happened, day.pet_zero)), print_utc(line.happened).substr(11, 5)}, {});
    if (status.people[0].suit.consumables.empty()) return compare.faults();
    compare.table("Suits");
    for (std::size_t i = 0; i < status.people[0].suit.consumables.size(); ++i) {
        std::vector<std::pair<std::string, std::string>> cells;
        for (const Crew crew : both_crew) {
            const live::ConsumableStatus& one = status.people[index(crew)].suit.consumables[i];
            const std::string who(word(crew));
            cells.emplace_back(who + " now", print_amount(one.consumable, one.left, Wording{}, Units::metric));
            cells.emplace_back(who + " at return",
                               print_amount(one.consumable, one.left_at_return, Wording{}, Units::metric));
            cells.emplace_back(who + " in hand", in_hand(one.in_hand));
        }
        compare.row({Wording{}.consumable(status.people[0].suit.consumables[i].consumable)}, cells);
    }
    compare.whole();
    return compare.faults();
}

TEST_P(Tables, TheHandOverHasTheForecastsOwnNumbers) {
    const auto day = told_day(GetParam(), Ending::at_work);
    const json page = page_of("hand-over", day->subject());
    const auto faults = [&](const live::Status& status) { return hand_over_faults(page, day->demo.outing, status); };
    EXPECT_THAT(faults(day->status), IsEmpty());
    live::Status other = day->status;
    *other.terminate_by += minutes{1};
    EXPECT_THAT(faults(other), testing::SizeIs(3));
    other = day->status;
    other.forecast.finish += minutes{1};
    EXPECT_THAT(faults(other), testing::SizeIs(1));
    other = day->status;
    for (live::TaskStatus& task : other.tasks)
        if (task.forecast_end) *task.forecast_end += minutes{1};
    EXPECT_THAT(faults(other), Not(IsEmpty()));
    other = day->status;
    for (live::RecordLine& line : other.record) line.happened += minutes{7};
    EXPECT_THAT(faults(other), Not(IsEmpty()));
    if (std::string(GetParam()) == "pool") return;
    other = day->status;
    std::swap(other.people[0].suit, other.people[1].suit);
    EXPECT_THAT(faults(other), Not(IsEmpty()));
}

/// A script's rows are spoken when their steps begin, and its length is what it says.
TEST_P(Tables, EveryLineOfAScriptStandsAtItsSteps) {
    const auto day = told_day(GetParam(), Ending::at_work);
    for (const Subject& subject : {planned_demo(GetParam()).subject(), day->subject()}) {
        const auto faults = [&](const Timeline& timeline) {
            std::size_t count = 0;
            for (const auto& row : csv(bytes_of("script", subject, Format::csv)))
                for (const Activity& a : timeline.activities)
                    if (a.step && row[5] == "step " + subject.outing.step(*a.step).label + ", public words")
                        count += row[1] != print_pet(a.start) ||
                                 row[2] != print_utc(to_utc(a.start, timeline.pet_zero)).substr(11, 5);
            return count;
        };
        EXPECT_EQ(faults(subject.timeline), 0u);
        EXPECT_EQ(faults(shifted(subject).timeline), 1u);
    }
}

}  // namespace
}  // namespace handrail::brief
