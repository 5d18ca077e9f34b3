#include <fmt/format.h>

#include <algorithm>

#include "live/json_parts.h"
#include "live/options.h"

/// Options as a document and as text.
namespace handrail::live {

using detail::OrderedJson;

detail::OrderedJson option_json(const Outing& outing, const Day& day, const Option& option) {
    const auto keys = [&](const std::vector<TaskId>& tasks) {
        OrderedJson list = OrderedJson::array();
        for (const TaskId task : tasks) list.push_back(outing.task(task).key);
        return list;
    };
    OrderedJson cannot = OrderedJson::array();
    for (const Cannot& one : option.cannot) cannot.push_back({{"task", outing.task(one.task).key}, {"why", one.why}});
    OrderedJson uses = OrderedJson::array();
    for (const auto& [item, by] : option.uses)
        uses.push_back({{"item", outing.item(item).id}, {"by", outing.item(by).id}});
    OrderedJson activities = OrderedJson::array();
    for (const AsRun& run : option.forecast.ahead) activities.push_back(detail::activity_json(outing, run));
    OrderedJson one{
        {"id", option.id},
        {"title", option.title},
        {"done", keys(option.done)},
        {"left", keys(option.left)},
        {"required_left", keys(option.required_left)},
        {"dropped", keys(option.dropped)},
        {"uses", std::move(uses)},
        {"cannot", std::move(cannot)},
        {"value", detail::rounded(option.value)},
        {"finish_pet_s", detail::pet_s(option.forecast.finish)},
        {"tightest", option.tightest ? OrderedJson{{"words", words(*option.tightest)},
                                                   {"margin_min", detail::minutes(option.tightest->in_hand)}}
                                     : OrderedJson()},
        {"changes", option.changes},
        {"findings", detail::findings_json(option.findings)},
        {"activities", std::move(activities)},
        {"stand_down", OrderedJson()}};
    if (option.stand_down && option.coming_in) {
        one["stand_down"] = {{"line", word(*option.stand_down)}};
        one["stand_down"].update(detail::coming_in_json(outing, day, *option.coming_in));
    }
    if (option.odds)
        one["odds"] = {{"required_done", detail::rounded(option.odds->required)},
                       {"in_time_with_reserves", detail::rounded(option.odds->home)},
                       {"standard_error", detail::rounded(option.odds->error)},
                       {"finish_p50_pet_s", detail::pet_s(option.odds->finish_p50)},
                       {"finish_p90_pet_s", detail::pet_s(option.odds->finish_p90)}};
    return one;
}

std::string options_json(const Outing& outing, const Day& day, const std::vector<Option>& options,
                         Timelines timelines) {
    OrderedJson list = OrderedJson::array();
    for (const Option& option : options) {
        OrderedJson one = option_json(outing, day, option);
        if (timelines == Timelines::included && option.forecast.timeline)
            one["timeline"] = to_json(outing, *option.forecast.timeline);
        list.push_back(std::move(one));
    }
    return detail::dumped({{"format", "handrail-options"},
                           {"version", 1},
                           {"position", number(day.position)},
                           {"utc", print_utc(day.now)},
                           {"pet_s", detail::pet_s(day.pet_now())},
                           {"options", std::move(list)},
                           {"caution", caution}});
}

namespace {

/// The first few in words; those that carrying on breaks as well are only counted after the first option.
std::string findings_text(const Option& option, const Option& first) {
    constexpr std::size_t shown = 3;
    const bool is_first = &option == &first;
    std::string text;
    std::size_t told = 0, more = 0, as_before = 0;
    for (const Finding& finding : option.findings) {
        const bool known = !is_first && std::ranges::any_of(first.findings, [&](const Finding& f) {
            return f.rule == finding.rule && f.what == finding.what;
        });
        if (known)
            ++as_before;
        else if (told < shown)
            text += fmt::format("  breaks {}: {}\n", finding.rule, finding.what), ++told;
        else
            ++more;
    }
    if (more > 0) text += fmt::format("  and {} findings more\n", more);
    if (as_before > 0) text += fmt::format("  breaks {} rules as carrying on does\n", as_before);
    return text;
}

}  // namespace

std::string print(const Outing& outing, const Day& day, const std::vector<Option>& options) {
    if (options.empty()) return "There is nothing left to decide.\n";
    std::string text = fmt::format("Ways on at PET {}\n", print_pet(day.pet_now()));
    for (const Option& option : options) {
        text += fmt::format("\n{}: {}\n  done {} of {} tasks, value {:g}", option.id, option.title, option.done.size(),
                            outing.tasks.size(), option.value);
        if (option.stand_down != StandDownKind::scrub) text += ", both in at PET " + print_pet(option.forecast.finish);
        if (option.tightest)
            text += fmt::format(", tightest {} with {} in hand", words(*option.tightest),
                                print_duration(std::chrono::floor<std::chrono::minutes>(option.tightest->in_hand)));
        text += "\n";
        if (option.odds)
            text +=
                fmt::format("  odds: all required {:.0f} %, home in time with reserves {:.0f} %, P90 {}\n",
                            100 * option.odds->required, 100 * option.odds->home, print_pet(option.odds->finish_p90));
        for (const std::string& change : option.changes) text += "  " + change + "\n";
        for (const Cannot& cannot : option.cannot)
            if (&option == &options.front())
                text += fmt::format("  {} cannot be done: {}\n", outing.task(cannot.task).name, cannot.why);
        text += findings_text(option, options.front());
        if (option.stand_down && option.coming_in && !day.stand_down) text += print(outing, day, *option.coming_in);
    }
    text +=
        "\nNothing is adopted until somebody says so: handrail adopt ID. Scrubbing, coming in and coming in at once "
        "are "
        "entries of the lead's own: \"scrub\", \"terminate\" or \"abort\", with the reason after it.\n";
    return text + std::string(caution) + "\n";
}

}  // namespace handrail::live
