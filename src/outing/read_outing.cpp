#include <fmt/format.h>

#include "outing/draft.h"
#include "outing/outing.h"

namespace handrail {
namespace detail {
namespace {

void check_version(const Fields& file) {
    int version = 1;
    file.take("handrail", version);
    if (version != 1)
        file.wrong("handrail", "version 1 of the file format", fmt::format("{}", version),
                   "write handrail = 1, or use a newer Handrail");
}

void read_head(const Fields& file, Draft& draft, Context& context) {
    const std::optional<Fields> from = file.one("outing");
    if (!from) return;
    Outing& outing = draft.outing;
    from->take("name", outing.name);
    from->take("about", outing.about);
    from->take("note", outing.note);
    const std::size_t before = context.errors.count();
    from->take("pet_zero", outing.pet_zero);
    if (from->has("pet_zero") && context.errors.count() == before) context.pet_zero = outing.pet_zero;
    from->take("doffing", outing.doffing);
}

/// Reads every section, then what can only be judged across sections. A check is left out where what it judges was not
/// read whole, so that one slip is one message.
void read_sections(const Fields& file, Draft& draft, Context& context, Sources& sources,
                   const std::filesystem::path& folder) {
    const auto clean = [&](auto&& read) {
        const std::size_t before = context.errors.count();
        read();
        return context.errors.count() == before;
    };
    check_version(file);
    read_head(file, draft, context);
    const bool rules = clean([&] { read_rules(file, draft); });
    const bool station = clean([&] { read_station(file, draft); }) && file.has("station");
    read_orbit(file, draft, sources, folder);
    read_suits(file, draft);
    read_crew(file, draft);
    const bool items = clean([&] { read_items(file, draft); });
    const bool windows = clean([&] { read_windows(file, draft, sources, folder); });
    read_resources(file, draft);
    read_inhibits(file, draft);
    const bool tasks = clean([&] { read_tasks(file, draft); });
    read_preferences(file, draft);
    read_risk(file, draft);
    read_prebreathe(file, draft);
    if (station && rules) check_ways(file, draft);
    if (items) check_items(file, draft);
    if (windows) check_conditions(draft, context);
    if (tasks) check_orders(draft, context);
}

Result<Outing> read(const Source* main, const std::filesystem::path& folder, Sources& sources, Errors& errors) {
    if (!main) return errors.sorted(sources.names());
    Node root;
    root.place = {&main->name, 1, 1};
    root.value = load_document(*main, folder, sources, errors);
    if (errors.count() > 0) return errors.sorted(sources.names());
    Context context{errors, std::nullopt};
    Draft draft;
    const Fields file(root, file_section(), {}, context);
    read_sections(file, draft, context, sources, folder);
    if (errors.count() > 0) return errors.sorted(sources.names());
    draft.outing.fingerprint = sources.fingerprint();
    return std::move(draft.outing);
}

}  // namespace

Result<OutingWithTexts> read_texts(const std::vector<OutingText>& texts, Sources::Others others) {
    Sources sources(texts, others);
    Errors errors;
    const std::filesystem::path file = texts.front().name;
    const Source* main = sources.read(file, errors);
    Result<Outing> outing = read(main, file.parent_path(), sources, errors);
    if (!outing) return outing.errors();
    OutingWithTexts result{std::move(outing).value(), {}};
    for (const Source& source : sources.all()) result.texts.push_back({source.name, source.text});
    return result;
}

}  // namespace detail

Result<Outing> read_outing(const std::filesystem::path& file) {
    detail::Sources sources;
    detail::Errors errors;
    const detail::Source* main = sources.read(file, errors);
    return detail::read(main, file.parent_path(), sources, errors);
}

Result<OutingWithTexts> read_outing_with_texts(const std::filesystem::path& file) {
    detail::Sources sources;
    detail::Errors errors;
    const detail::Source* main = sources.read(file, errors);
    Result<Outing> outing = detail::read(main, file.parent_path(), sources, errors);
    if (!outing) return outing.errors();
    OutingWithTexts result{std::move(outing).value(), {}};
    for (const detail::Source& source : sources.all()) result.texts.push_back({source.name, source.text});
    return result;
}

Result<Outing> read_outing_from(const std::vector<OutingText>& texts) {
    if (texts.empty())
        return InputError{{}, {}, 0, 0, "the texts of an outing", "none", "read the outing file instead"};
    detail::Sources sources(texts);
    detail::Errors errors;
    const std::filesystem::path file = texts.front().name;
    const detail::Source* main = sources.read(file, errors);
    return detail::read(main, file.parent_path(), sources, errors);
}

Result<Outing> read_outing_text(const std::string& text, const std::string& file, const std::filesystem::path& folder) {
    detail::Sources sources;
    detail::Errors errors;
    const detail::Source* main = sources.take(text, file, errors);
    return detail::read(main, folder, sources, errors);
}

}  // namespace handrail
