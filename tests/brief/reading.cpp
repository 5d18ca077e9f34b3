#include "reading.h"

#include <algorithm>
#include <cctype>
#include <functional>
#include <nlohmann/json.hpp>
#include <regex>

namespace handrail::brief {

std::string without_tags(const std::string& page) {
    std::string out;
    for (std::size_t at = 0; at < page.size();) {
        if (page[at] != '<') {
            out += page[at++];
            continue;
        }
        const std::size_t end = std::min(page.find('>', at), page.size() - 1);
        const std::string tag = page.substr(at, end + 1 - at);
        if (const std::size_t label = tag.find("aria-label=\""); label != std::string::npos)
            out += " " + tag.substr(label + 12, tag.find('"', label + 12) - label - 12);
        out += ' ';
        at = tag == "<style>" ? page.find("</style>", at) : end + 1;
    }
    for (const auto& [written, sign] : {std::pair{"&gt;", ">"}, {"&lt;", "<"}})
        for (std::size_t at = out.find(written); at != std::string::npos; at = out.find(written))
            out.replace(at, 4, sign);
    return out;
}

std::string unfolded(std::string calendar) {
    for (std::size_t fold = calendar.find("\r\n "); fold != std::string::npos; fold = calendar.find("\r\n ", fold))
        calendar.erase(fold, 3);
    return calendar;
}

std::set<std::string> times_in(std::string_view text) {
    const auto digit = [&](std::size_t at) {
        return at < text.size() && std::isdigit(static_cast<unsigned char>(text[at])) != 0;
    };
    std::set<std::string> times;
    for (std::size_t at = 2; at < text.size(); ++at) {
        const bool clock = text[at] == ':' && digit(at - 1) && digit(at - 2) && digit(at + 1) && digit(at + 2) &&
                           !digit(at + 3) && (at < 3 || (!digit(at - 3) && text[at - 3] != ':'));
        if (!clock) continue;
        const bool before_zero = at >= 3 && text[at - 3] == '-' && (at < 4 || !digit(at - 4));
        times.insert((before_zero ? "-" : "") + std::string(text.substr(at - 2, 5)));
    }
    return times;
}

namespace {
std::set<std::string> matches(const std::string& text, const std::regex& what) {
    std::set<std::string> out;
    for (std::sregex_iterator it(text.begin(), text.end(), what), end; it != end; ++it) out.insert(it->str());
    return out;
}
}  // namespace

std::set<std::string> instants_in(const std::string& text) {
    static const std::regex instant(R"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z|-?\d\d:\d\d:\d\d)");
    return matches(text, instant);
}

std::set<std::string> shares_in(const std::string& text) {
    static const std::regex share(R"(([<>] )?\d+(\.\d+)? %)");
    return matches(text, share);
}

std::string strings_of_json(const std::string& text) {
    std::string out;
    const std::function<void(const nlohmann::json&)> walk = [&](const nlohmann::json& json) {
        if (json.is_string()) out += json.get<std::string>() + "\n";
        if (json.is_structured())
            for (const auto& value : json) walk(value);
    };
    walk(nlohmann::json::parse(text));
    return out;
}

std::set<std::string> amounts_in(const std::string& text) {
    static const std::regex amount(R"((\d+(\.\d+)?) (kg|Wh|L)\b)");
    return matches(text, amount);
}

}  // namespace handrail::brief
