#include <fmt/format.h>

#include <algorithm>

#include "timeline/timeline.h"

/// The table for people. 120 columns: the width of a landscape page at a readable size and of a common terminal.
namespace handrail {
namespace {

constexpr std::size_t table_width = 120;
constexpr std::size_t time_width = 5;      // "02:40"
constexpr std::size_t duration_width = 7;  // "120:00", right-aligned under "min:s"
constexpr std::size_t place_width = 18;
constexpr std::size_t gap = 2;
constexpr std::size_t inside_width = 26;  // one column for arm, IV and ground: they have little to say

/// Columns a code point takes in a terminal: none for combining marks, two for the wide East Asian blocks.
std::size_t columns_of(char32_t c) {
    if (c >= 0x300 && c <= 0x36F) return 0;
    const bool wide = (c >= 0x1100 && c <= 0x115F) || (c >= 0x2E80 && c <= 0xA4CF) || (c >= 0xAC00 && c <= 0xD7A3) ||
                      (c >= 0xF900 && c <= 0xFAFF) || (c >= 0xFE30 && c <= 0xFE6F) || (c >= 0xFF00 && c <= 0xFF60) ||
                      (c >= 0xFFE0 && c <= 0xFFE6) || (c >= 0x1F300 && c <= 0x1FAFF) || (c >= 0x20000 && c <= 0x3FFFD);
    return wide ? 2 : 1;
}

/// One character of UTF-8 text: its bytes and columns.
struct Character {
    std::string_view bytes;
    std::size_t columns;
};

std::vector<Character> characters(std::string_view text) {
    std::vector<Character> result;
    for (std::size_t i = 0; i < text.size();) {
        const auto byte = static_cast<unsigned char>(text[i]);
        const std::size_t length = byte >= 0xF0 ? 4 : byte >= 0xE0 ? 3 : byte >= 0xC0 ? 2 : 1;
        const std::string_view bytes = text.substr(i, length);
        char32_t point = length == 1 ? byte : byte & (0xFFu >> (length + 1));
        for (const char next : bytes.substr(1)) point = (point << 6) | (static_cast<unsigned char>(next) & 0x3Fu);
        result.push_back({bytes, columns_of(point)});
        i += length;
    }
    return result;
}

std::size_t width(std::string_view text) {
    std::size_t columns = 0;
    for (const Character& c : characters(text)) columns += c.columns;
    return columns;
}

std::string padded(std::string text, std::size_t columns) {
    const std::size_t used = width(text);
    return used < columns ? text + std::string(columns - used, ' ') : text;
}

/// Breaks at spaces; a word longer than a line is cut.
std::vector<std::string> wrapped(std::string_view text, std::size_t columns) {
    std::vector<std::string> lines;
    std::string line, current_word;
    const auto flush_word = [&] {
        if (current_word.empty()) return;
        if (!line.empty() && width(line) + 1 + width(current_word) > columns) {
            lines.push_back(line);
            line.clear();
        }
        line += (line.empty() ? "" : " ") + current_word;
        current_word.clear();
    };
    for (const Character& c : characters(text)) {
        if (c.bytes == " " || c.bytes == "\n" || c.bytes == "\t") {
            flush_word();
            continue;
        }
        if (width(current_word) + c.columns > columns) flush_word();
        current_word += c.bytes;
    }
    flush_word();
    if (!line.empty()) lines.push_back(line);
    return lines;
}

struct Column {
    std::string head;
    std::vector<Lane> lanes;
    std::size_t width = 0;
};

/// The crew always; one column for the others if the timeline uses any of them.
std::vector<Column> columns_for(const Outing& outing, const Timeline& timeline) {
    std::vector<Column> columns;
    for (const Crew c : both_crew)
        columns.push_back({std::string(word(c)) + " " + outing.person(c).name, {lane_of(c)}, 0});
    std::size_t left = table_width - time_width - duration_width - place_width - 4 * gap;
    Column inside{"", {}, inside_width};
    for (const Lane lane : {Lane::arm, Lane::iv, Lane::ground}) {
        if (std::ranges::none_of(timeline.activities, [&](const Activity& a) { return a.on(lane); })) continue;
        inside.head += (inside.lanes.empty() ? "" : ", ") + std::string(word(lane));
        inside.lanes.push_back(lane);
    }
    if (!inside.lanes.empty()) {
        columns.push_back(std::move(inside));
        left -= inside_width + gap;
    }
    columns[0].width = left / 2;
    columns[1].width = left - columns[0].width;
    return columns;
}

std::string beside(const Outing& outing, const Activity& activity, Lane lane) {
    const std::string_view first = word(activity.lanes.front());
    if (lane != Lane::arm || !activity.step) return fmt::format("with {}", first);
    switch (outing.step(*activity.step).arm) {
        case ArmUse::ride:
            return fmt::format("carries {}", first);
        case ArmUse::hold:
            return fmt::format("holds for {}", first);
        case ArmUse::none:
            return fmt::format("with {}", first);
    }
    return {};
}

/// The first lane of an activity tells what it is, the others whom they work with.
std::string cell(const Outing& outing, const Activity& activity, const Column& column) {
    std::string text;
    for (const Lane lane : column.lanes) {
        if (!activity.on(lane)) continue;
        const bool is_first = lane == activity.lanes.front();
        const std::string what =
            is_first ? title(outing, activity) + (activity.as_run ? " (as run)" : "") : beside(outing, activity, lane);
        const bool crew = lane == Lane::ev1 || lane == Lane::ev2;
        text +=
            (text.empty() ? "" : "; ") + (crew ? what : fmt::format("{}{} {}", word(lane), is_first ? ":" : "", what));
    }
    return text;
}

std::string place_of(const Outing& outing, const Activity& activity) {
    if (activity.kind == ActivityKind::step) {
        const Step& step = outing.step(*activity.step);
        if (step.at && step.to && *step.at != *step.to)
            return outing.worksite(*step.at).name + " → " + outing.worksite(*step.to).name;
        if (step.at) return outing.worksite(*step.at).name;
    }
    // A translate's title already says where to.
    const bool moves = activity.kind == ActivityKind::translate || activity.kind == ActivityKind::arm_move;
    if (activity.path.empty()) return {};
    return moves ? "from " + outing.worksite(activity.path.front()).name : outing.worksite(activity.path.back()).name;
}

std::string minutes_seconds(Seconds duration) {
    return fmt::format("{}:{:02}", duration.count() / 60, duration.count() % 60);
}

void append_row(std::string& text, const std::vector<std::vector<std::string>>& cells,
                const std::vector<std::size_t>& widths) {
    std::size_t height = 1;
    for (const auto& lines : cells) height = std::max(height, lines.size());
    for (std::size_t row = 0; row < height; ++row) {
        std::string line;
        for (std::size_t i = 0; i < cells.size(); ++i)
            line += padded(row < cells[i].size() ? cells[i][row] : "", widths[i]) + std::string(gap, ' ');
        line.erase(line.find_last_not_of(' ') + 1);
        text += line + "\n";
    }
}

void append_paragraph(std::string& text, std::string_view paragraph, std::string_view indent = "") {
    bool first = true;
    for (const std::string& line : wrapped(paragraph, table_width - indent.size())) {
        text += (first ? "" : std::string(indent)) + line + "\n";
        first = false;
    }
}

}  // namespace

std::string print_table(const Outing& outing, const Timeline& timeline) {
    std::string text;
    const std::size_t tasks = timeline.bindings.size();
    append_paragraph(
        text, fmt::format("{} · PET zero {} · {} · ends at PET {}", timeline.outing, print_utc(timeline.pet_zero),
                          tasks == 1 ? "1 task" : fmt::format("{} tasks", tasks), print_pet(timeline.finish())));
    text += "\n";

    const std::vector<Column> columns = columns_for(outing, timeline);
    std::vector<std::size_t> widths{time_width, duration_width};
    std::vector<std::vector<std::string>> head{{"PET"}, {fmt::format("{:>{}}", "min:s", duration_width)}};
    for (const Column& column : columns) {
        widths.push_back(column.width);
        head.push_back(wrapped(column.head, column.width));
    }
    widths.push_back(place_width);
    head.push_back({"place"});
    append_row(text, head, widths);
    std::string ruler;
    for (const std::size_t w : widths) ruler += std::string(w, '-') + std::string(gap, ' ');
    ruler.erase(ruler.find_last_not_of(' ') + 1);
    text += ruler + "\n";

    for (const Activity& activity : timeline.activities) {
        std::vector<std::vector<std::string>> cells{
            {print_pet(activity.start)}, {fmt::format("{:>{}}", minutes_seconds(activity.duration), duration_width)}};
        for (const Column& column : columns) cells.push_back(wrapped(cell(outing, activity, column), column.width));
        cells.push_back(wrapped(place_of(outing, activity), place_width));
        append_row(text, cells, widths);
    }

    if (!timeline.left_out.empty()) text += "\nLeft out:\n";
    for (const LeftOut& out : timeline.left_out)
        append_paragraph(text, fmt::format("- {}: {}", outing.task(out.task).name, out.reason), "  ");
    text += "\n";
    append_paragraph(text, caution);
    return text;
}

}  // namespace handrail
