#include "reading.h"

#include <algorithm>
#include <cctype>
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
    return out;
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

std::set<std::string> amounts_in(const std::string& text) {
    static const std::regex amount(R"((\d+(\.\d+)?) (kg|Wh|L)\b)");
    std::set<std::string> amounts;
    for (std::sregex_iterator it(text.begin(), text.end(), amount), end; it != end; ++it) amounts.insert(it->str());
    return amounts;
}

}  // namespace handrail::brief
