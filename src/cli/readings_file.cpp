#include "cli/readings_file.h"

#include <fmt/format.h>

#include "cli/terminal.h"
#include "outing/csv.h"
#include "units/parse.h"

namespace handrail::cli {
namespace {

using namespace detail;
using lifesupport::Consumable;

template <class T>
std::optional<T> value_of(const Parsed<T>& parsed, const Cell& cell, std::string_view column, Errors& errors) {
    if (const T* value = std::get_if<T>(&parsed)) return *value;
    const auto& error = std::get<ParseError>(parsed);
    errors.add(cell.place, fmt::format("reading, {}", column), error.expected, error.found, error.remedy);
    return std::nullopt;
}

/// The amount left in the consumable's unit.
std::optional<double> amount(const Cell& cell, Consumable c, std::string_view column, Errors& errors) {
    const auto number = [](const auto& quantity) { return quantity ? std::optional(quantity->value()) : std::nullopt; };
    switch (c) {
        case Consumable::oxygen:
        case Consumable::co2:
        case Consumable::water:
            return number(value_of(parse_mass(cell.text), cell, column, errors));
        case Consumable::battery:
            return number(value_of(parse_energy(cell.text), cell, column, errors));
        case Consumable::gas:
            return number(value_of(parse_volume(cell.text), cell, column, errors));
    }
    return std::nullopt;
}

constexpr std::array<std::pair<Consumable, std::string_view>, 5> columns{{{Consumable::oxygen, "oxygen"},
                                                                          {Consumable::co2, "co2"},
                                                                          {Consumable::water, "water"},
                                                                          {Consumable::battery, "battery"},
                                                                          {Consumable::gas, "gas"}}};

}  // namespace

CrewReadings readings_or_fail(const std::filesystem::path& file) {
    Errors errors;
    Sources sources;
    CrewReadings readings;
    const Source* source = sources.read(file, errors);
    const auto table = source ? CsvTable::read(*source, {"crew", "pet", "oxygen", "co2", "water", "battery", "gas"},
                                               {"crew", "pet"}, errors)
                              : std::nullopt;
    if (table)
        for (const Row& row : table->rows()) {
            const Cell who = table->cell(row, "crew"), when = table->cell(row, "pet");
            lifesupport::Reading reading;
            if (const auto at = value_of(parse_pet(when.text), when, "pet", errors)) reading.at = *at;
            for (const auto& [consumable, column] : columns)
                if (const Cell cell = table->cell(row, column); !cell.text.empty())
                    reading.left[index(consumable)] = amount(cell, consumable, column, errors);
            if (who.text == word(Crew::ev1))
                readings[0].push_back(reading);
            else if (who.text == word(Crew::ev2))
                readings[1].push_back(reading);
            else
                errors.add(who.place, "reading, crew", "EV1 or EV2", shown_text(who.text), "say whose suit was read");
        }
    if (errors.count() > 0) fail(errors.sorted(sources.names()));
    return readings;
}

}  // namespace handrail::cli
