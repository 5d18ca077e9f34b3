#pragma once

#include <deque>
#include <string>
#include <string_view>
#include <vector>

/// What may stand in an outing file: one table of fields, used by the reader and by the JSON Schema alike.
namespace handrail::detail {

/// What a value must be. Quantities are texts with a unit.
enum class Kind {
    text,
    text_list,  ///< one text or a list of them
    flag,
    whole,   ///< a whole number
    number,  ///< a number without a unit
    choice,
    choice_list,  ///< one word or a list of them
    duration,
    duration3,  ///< a duration, or a table of low, likely, high
    moment,     ///< PET or UTC
    instant,    ///< UTC
    length,
    speed,
    pressure,
    mass,
    mass_flow,
    power,
    energy,
    angle,
    volume,
    volume_flow,
    temperature,
    share,
    point,      ///< three lengths
    direction,  ///< three numbers
    within,     ///< "10 min of valve.2", "10 min", or a table of time and of
    section,
    section_list
};

enum class Sign { any, not_negative, positive };

struct Section;

struct Field {
    Field(std::string_view field_key, Kind field_kind, std::string_view field_about, std::string_view field_example)
        : key(field_key), kind(field_kind), about(field_about), example(field_example) {}
    Field(std::string_view field_key, Kind field_kind, const Section& of, std::string_view field_about)
        : key(field_key), kind(field_kind), about(field_about), section(&of) {}

    Field&& needed() && {
        required = true;
        return std::move(*this);
    }
    Field&& positive() && {
        sign = Sign::positive;
        return std::move(*this);
    }
    Field&& not_negative() && {
        sign = Sign::not_negative;
        return std::move(*this);
    }
    Field&& of(std::vector<std::string_view> allowed) && {
        words = std::move(allowed);
        return std::move(*this);
    }

    std::string_view key;
    Kind kind;
    std::string_view about;
    std::string_view example;  ///< as it stands in the file
    bool required = false;
    Sign sign = Sign::any;
    std::vector<std::string_view> words;
    const Section* section = nullptr;
};

struct Section {
    std::string_view word;  ///< what one of them is called in messages
    std::string_view about;
    std::vector<Field> fields;

    const Field* field(std::string_view key) const;
    std::vector<std::string_view> keys() const;
};

/// The outing file as a whole; every other section hangs from it.
const Section& file_section();

const Section& outing_section();
const Section& station_section();
const Section& worksite_section();
const Section& route_section();
const Section& solid_section();
const Section& arm_section();
const Section& attitude_section();
const Section& orbit_section();
const Section& coverage_section();
const Section& ground_station_section();
const Section& relay_section();
const Section& window_section();
const Section& window_file_section();
const Section& crew_section();
const Section& person_section();
const Section& inside_section();
const Section& suit_section();
const Section& item_section();
const Section& resource_section();
const Section& inhibit_section();
const Section& preference_section();
const Section& use_section();        ///< resource, amount
const Section& interrupt_section();  ///< every, by
const Section& quiet_section();
const Section& task_section();
const Section& step_section();
const Section& hazard_section();
const Section& rules_section();
const Section& pace_section();
const Section& effort_section();
const Section& prebreathe_section();
const Section& stage_section();
const Section& break_section();
const Section& risk_section();
const Section& scatter_section();     ///< median, sigma
const Section& work_section();        ///< a work class for each effort
const Section& work_class_section();  ///< spread, median, sigma
const Section& known_person_section();
const Section& trouble_section();
const Section& pool_section();
const Section& duration_section();  ///< low, likely, high
const Section& within_section();    ///< time, of

/// `a length such as "12 m"`.
std::string expectation(const Field& field);

}  // namespace handrail::detail
