#include <fmt/format.h>

#include "live/status.h"

namespace handrail::live {
namespace {

std::string minutes_words(Seconds d) { return print_duration(std::chrono::floor<std::chrono::minutes>(d)); }

std::string behind_words(Seconds behind, const std::string& cause) {
    if (behind == Seconds{0}) return "on time";
    std::string text =
        fmt::format("{} {}", print_duration(std::chrono::abs(behind)), behind > Seconds{0} ? "behind" : "ahead");
    if (!cause.empty()) text += fmt::format(" ({})", cause);
    return text;
}

std::string condition_words(const std::string& name, const ConditionStatus& status) {
    if (!status.known) return name + " unknown";
    std::string text = (status.now ? "" : "no ") + name;
    if (status.next) text += fmt::format(" until {}", print_pet(*status.next));
    return text;
}

std::string person_text(const Outing& outing, const Status& status, Crew crew) {
    const PersonStatus& person = status.people[index(crew)];
    std::string text = fmt::format("{} {}", word(crew), outing.person(crew).name);
    text += status.day.stand_down ? "\n" : ": " + behind_words(person.behind, person.cause) + "\n";
    if (person.now) {
        const Activity& activity = person.now->run.activity;
        text +=
            fmt::format("  now   {} since {}, until about {}{}\n", title(outing, activity), print_pet(activity.start),
                        print_pet(activity.end()), person.now->run.assumed ? " (assumed)" : "");
    } else {
        text += fmt::format("  now   nothing logged, at {}\n", outing.worksite(status.day.at[index(crew)]).name);
    }
    for (const ToCome& next : person.next) {
        const std::string planned =
            next.planned_start ? fmt::format(" (planned {})", print_pet(*next.planned_start)) : "";
        text += fmt::format("  next  {} {}{}\n", print_pet(next.activity.start), title(outing, next.activity), planned);
    }
    std::string suit;
    if (person.suit.limiting && person.suit.in_hand)
        suit += *person.suit.in_hand >= Seconds{0}
                    ? fmt::format("{} lasts {} beyond the reserve", word(*person.suit.limiting),
                                  minutes_words(*person.suit.in_hand))
                    : fmt::format("{} falls short of the reserve by {}", word(*person.suit.limiting),
                                  minutes_words(-*person.suit.in_hand));
    if (person.suit.terminate.at)
        suit += fmt::format("{}turn back by {}", suit.empty() ? "" : "; ", print_pet(*person.suit.terminate.at));
    if (person.suit.abort.at) suit += fmt::format(", at once by {}", print_pet(*person.suit.abort.at));
    if (!suit.empty()) text += "  suit  " + suit + "\n";
    return text;
}

std::string odds_text(const Outing& outing, const OddsNow& odds) {
    std::string text = fmt::format(
        "odds: all required {:.0f} %, home in time with reserves {:.0f} %, both in between {} and {} (P10, P90)\n",
        100 * odds.required, 100 * odds.home, print_pet(odds.finish_p10), print_pet(odds.finish_p90));
    constexpr std::size_t gates_shown = 3;
    for (std::size_t i = 0; i < std::min(gates_shown, odds.gates.size()); ++i) {
        const NextGate& gate = odds.gates[i];
        const std::string& task = outing.task(gate.task).name;
        const std::string_view which = i == 0 ? "next gate" : "then";
        text +=
            gate.begin_until
                ? fmt::format("{}: begin \"{}\" until {} (forecast {}), later leave it out\n", which, task,
                              print_pet(*gate.begin_until), print_pet(gate.planned))
                : fmt::format("{}: leave out \"{}\" (forecast {}): begun at any time, it costs more than it brings\n",
                              which, task, print_pet(gate.planned));
    }
    return text;
}

std::string morning_text(const Outing& outing, const Day& day) {
    const Morning& morning = day.morning;
    std::string text;
    if (day.pet_zero > day.planned_pet_zero)
        text += fmt::format("PET zero is late by {}{}\n",
                            minutes_words(std::chrono::floor<Seconds>(day.pet_zero - day.planned_pet_zero)),
                            morning.cause.empty() ? "" : " (" + morning.cause + ")");
    if (!morning.suit_up && !morning.prebreathe && !morning.depress) return text;
    for (const MorningStep& step : morning_steps(outing, morning, day.planned_pet_zero, day.pet_zero)) {
        text += fmt::format("  {:<10}", step.name);
        if (step.begins) text += fmt::format(" {} {}", step.begun ? "began" : "from", print_utc(*step.begins));
        if (step.planned && step.planned != step.begins) text += fmt::format(" (planned {})", print_utc(*step.planned));
        text += "\n";
    }
    if (morning.payback > Seconds{0})
        text += fmt::format("prebreathe: {} on oxygen added for breaks\n", minutes_words(morning.payback));
    if (!morning.trouble.empty()) text += fmt::format("prebreathe: {}\n", morning.trouble);
    return text;
}

std::string findings_text(const Status& status) {
    constexpr std::size_t shown = 4;
    std::string text;
    for (std::size_t i = 0; i < std::min(shown, status.findings.size()); ++i)
        text += fmt::format("breaks {}: {}\n", status.findings[i].rule, status.findings[i].what);
    if (status.findings.size() > shown) text += fmt::format("and {} findings more\n", status.findings.size() - shown);
    return text;
}

}  // namespace

std::string print(const Outing& outing, const Status& status, Reader reader) {
    const Day& day = status.day;
    std::string text = fmt::format("{}   PET {}   {}   {}\n", outing.name, print_pet_seconds(day.pet_now()),
                                   print_utc(day.now), word(day.phase));
    if (reader == Reader::everyone) {
        if (day.open_hold() != nullptr) text += fmt::format("hold since {}\n", print_pet(day.open_hold()->from));
        for (const Crew crew : both_crew)
            if (const auto& now = status.people[index(crew)].now) {
                const auto& step = now->run.activity.step;
                text +=
                    fmt::format("{}: {}\n", outing.person(crew).name,
                                step ? outing.task(outing.step(*step).task).name : title(outing, now->run.activity));
            }
        return text + std::string(caution) + "\n";
    }
    if (!day.pet_running) text += morning_text(outing, day);
    if (const Hold* hold = day.open_hold()) {
        const bool tells = may_read(reader, hold->visibility) && !hold->reason.empty();
        text += fmt::format("hold since {}{}\n", print_pet(hold->from), tells ? ": " + hold->reason : "");
    }
    if (day.stand_down) {
        const bool tells = may_read(reader, day.stand_down->visibility) && !day.stand_down->reason.empty();
        text += fmt::format("{} since {}{}\n", word(day.stand_down->kind), print_pet(day.stand_down->at),
                            tells ? ": " + day.stand_down->reason : "");
    }
    const bool scrubbed = day.stand_down && day.stand_down->kind == StandDownKind::scrub;
    if (day.plan && status.forecast.possible && !scrubbed)
        text += fmt::format("{}both in at {} (planned {}, hard end {})\n",
                            day.stand_down ? "" : behind_words(status.behind, status.cause) + "; ",
                            print_pet(status.forecast.finish), print_pet(status.planned_finish),
                            print_pet(pet(outing.rules.limit)));
    if (status.coming_down) text += print(outing, day, *status.coming_down);
    if (status.finish_at_pace && *status.finish_at_pace != status.forecast.finish)
        text += fmt::format("at the pace so far (EV1 x{:.2f}, EV2 x{:.2f}) both in at {}\n", status.pace[0].factor,
                            status.pace[1].factor, print_pet(*status.finish_at_pace));
    for (const std::string& reason : status.forecast.reasons) text += "no way on: " + reason + "\n";
    if (status.tightest)
        text +=
            fmt::format("tightest margin: {}, {}\n", words(*status.tightest), minutes_words(status.tightest->in_hand));
    text += fmt::format("{}; {}\n", condition_words("daylight", status.light),
                        condition_words("coverage", status.coverage));
    for (const Crew crew : both_crew) text += person_text(outing, status, crew);
    std::string tasks;
    for (const Task& task : outing.tasks)
        tasks +=
            fmt::format("{}{} {}", tasks.empty() ? "" : ", ", task.key, word(status.tasks[index(task.id)].progress));
    text += "tasks: " + tasks + "\n";
    if (status.odds) text += odds_text(outing, *status.odds);
    text += findings_text(status);
    for (const Unapplied& one : day.unapplied)
        if (may_read(reader, one.visibility))
            text += fmt::format("entry {} changes nothing: {}\n", number(one.position), one.why);
    return text + std::string(caution) + "\n";
}

}  // namespace handrail::live
