#include "units/time.h"

#include <fmt/format.h>

#include <cstdlib>

namespace handrail {
namespace {
struct Clock {
    bool negative;
    long long hours, minutes, seconds;
};
Clock clock_of(Pet t) {
    const auto total = since_zero(t).count();
    const auto size = std::llabs(total);
    return {total < 0, size / 3600, size / 60 % 60, size % 60};
}
}  // namespace

std::string print_pet(Pet t) {
    const auto minutes = std::chrono::floor<std::chrono::minutes>(t.time_since_epoch()).count();
    const auto size = std::llabs(minutes);
    return fmt::format("{}{:02}:{:02}", minutes < 0 ? "-" : "", size / 60, size % 60);
}

std::string print_pet_seconds(Pet t) {
    const Clock c = clock_of(t);
    return fmt::format("{}{:02}:{:02}:{:02}", c.negative ? "-" : "", c.hours, c.minutes, c.seconds);
}

std::string print_utc(Utc t) {
    const auto day = std::chrono::floor<std::chrono::days>(t);
    const std::chrono::year_month_day date{day};
    const std::chrono::hh_mm_ss time{t - day};
    std::string text = fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", static_cast<int>(date.year()),
                                   static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                                   time.hours().count(), time.minutes().count(), time.seconds().count());
    if (time.subseconds().count() != 0) text += fmt::format(".{:03}", time.subseconds().count());
    return text + "Z";
}

std::string print_duration(Seconds d) {
    const long long total = std::llabs(d.count());
    std::string text;
    const auto add = [&text](long long amount, const char* unit) {
        if (amount == 0) return;
        if (!text.empty()) text += ' ';
        text += fmt::format("{} {}", amount, unit);
    };
    add(total / 3600, "h");
    add(total / 60 % 60, "min");
    add(total % 60, "s");
    if (text.empty()) return "0 min";
    return d.count() < 0 ? "-" + text : text;
}

std::string print_signed_minutes(Seconds d) {
    const auto minutes = std::chrono::round<std::chrono::minutes>(d).count();
    return fmt::format("{}{} min", minutes < 0 ? "-" : "+", std::llabs(minutes));
}

}  // namespace handrail
