#include "live/session.h"

#include <fmt/format.h>

#include <memory>

#include "sky/windows.h"

namespace handrail::live {

std::variant<Outing, std::string> outing_of(std::span<const Recorded> entries) {
    if (entries.empty()) return std::string("The journal has no entry yet; make it again with handrail open.");
    const auto* opened = std::get_if<OutingOpened>(&entries.front().entry.body);
    if (opened == nullptr)
        return std::string("The journal's first entry does not open an outing; this is not a day's journal.");
    Result<Outing> outing = read_outing_from(opened->sources);
    if (!outing)
        return fmt::format("The outing kept in the journal cannot be read: {}", print(outing.errors().front()));
    return std::move(outing).value();
}

Entry opening(const OutingWithTexts& outing, const std::string& path, const Timeline& timeline,
              const std::string& author, Utc now) {
    const Outing& o = outing.outing;
    return {now,
            now,
            to_pet(now, timeline.pet_zero),
            author,
            Visibility::console,
            std::nullopt,
            OutingOpened{o.name, o.fingerprint, path, timeline.pet_zero, to_json(o, timeline), outing.texts}};
}

WindowSource windows_for(const Outing& outing) {
    struct Kept {
        std::optional<Utc> pet_zero;
        WindowTable table;
    };
    auto kept = std::make_shared<Kept>();
    return [&outing, kept](Utc pet_zero) {
        if (kept->pet_zero != pet_zero) {
            Result<WindowTable> table = sky::windows_of(outing, pet_zero);
            kept->table = table ? std::move(table).value() : sky::file_windows(outing, pet_zero);
            kept->pet_zero = pet_zero;
        }
        return kept->table;
    };
}

}  // namespace handrail::live
