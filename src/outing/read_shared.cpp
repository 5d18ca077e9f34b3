#include <fmt/format.h>

#include "outing/draft.h"

/// What steps share or wish for: resources, inhibits, preferences.
namespace handrail::detail {

void read_resources(const Fields& file, Draft& draft) {
    for (const Fields& from : file.each("resource")) {
        Resource resource;
        from.take("id", resource.id);
        draft.resources.add(resource.id, from.place_of("id"), from, "id");
        resource.name = resource.id;
        from.take("name", resource.name);
        from.take("capacity", resource.capacity);
        from.take("unit", resource.unit);
        draft.outing.resources.push_back(std::move(resource));
    }
}

void read_inhibits(const Fields& file, Draft& draft) {
    for (const Fields& from : file.each("inhibit")) {
        Inhibit inhibit;
        from.take("id", inhibit.id);
        draft.inhibits.add(inhibit.id, from.place_of("id"), from, "id");
        inhibit.name = inhibit.id;
        from.take("name", inhibit.name);
        from.take("command", inhibit.command);
        from.take("confirm", inhibit.confirm);
        from.take("release", inhibit.release);
        for (Fields::Placed& text : from.texts("during")) {
            draft.conditions.push_back({text.text, from.path_of("during"), text.place});
            inhibit.during.push_back(std::move(text.text));
        }
        draft.outing.inhibits.push_back(std::move(inhibit));
    }
}

void read_preferences(const Fields& file, Draft& draft) {
    for (const Fields& from : file.each("prefer")) {
        Preference preference;
        preference.place = source_place(from.place());
        const auto task = draft.reference<TaskId>(from, "task", draft.tasks);
        from.take("lead", preference.lead);
        for (Fields::Placed& text : from.texts("during")) {
            draft.conditions.push_back({text.text, from.path_of("during"), text.place});
            preference.during = std::move(text.text);
        }
        from.take("ends_by", preference.ends_by);
        from.take("starts_after", preference.starts_after);
        from.take("worth", preference.worth);
        int wishes = 0;
        for (const std::string_view key : {"lead", "during", "ends_by", "starts_after"}) wishes += from.has(key);
        if (wishes != 1)
            from.wrong("worth", "one of lead, during, ends_by and starts_after beside it",
                       fmt::format("{} of them", wishes), "write one [[prefer]] for each wish");
        if (!task) continue;
        preference.task = *task;
        const std::optional<Crew> fixed = draft.outing.task(*task).lead;
        if (preference.lead && fixed)
            from.wrong("lead", "a task whose lead is free", fmt::format("one that {} leads", word(*fixed)),
                       "take lead out of the task, or this wish");
        draft.outing.preferences.push_back(std::move(preference));
    }
}

}  // namespace handrail::detail
