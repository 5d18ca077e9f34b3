#include "html_check.h"

#include <cctype>
#include <set>
#include <vector>

namespace handrail::brief {
namespace {

std::size_t count(std::string_view html, std::string_view what) {
    std::size_t n = 0;
    for (std::size_t at = html.find(what); at != std::string_view::npos; at = html.find(what, at + 1)) ++n;
    return n;
}

}  // namespace

std::string html_faults(std::string_view html) {
    std::string faults;
    const auto fault = [&](std::string words) { faults += std::move(words) + "\n"; };
    const std::set<std::string, std::less<>> empty_elements{"meta", "br", "img", "hr", "!doctype"};
    std::vector<std::string> open;
    for (std::size_t at = html.find('<'); at != std::string_view::npos; at = html.find('<', at + 1)) {
        const std::size_t end = html.find('>', at);
        if (end == std::string_view::npos) {
            fault("a tag is never closed");
            break;
        }
        const std::string_view tag = html.substr(at + 1, end - at - 1);
        const bool closing = tag.starts_with('/');
        std::string name;
        for (const char c : tag.substr(closing ? 1 : 0)) {
            if (!std::isalnum(static_cast<unsigned char>(c)) && c != '!') break;
            name += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
        }
        if (name.empty()) fault("a bare < before: " + std::string(html.substr(at, 20)));
        if (name == "th" && !closing && tag.find("scope=") == std::string_view::npos) fault("a th without scope");
        if (name == "img" && tag.find(" alt=") == std::string_view::npos) fault("a picture without alt");
        // In drawings (SVG) an element may close itself.
        if (empty_elements.contains(name) || tag.ends_with('/')) continue;
        if (!closing) {
            open.push_back(name);
            if (name == "style") at = html.find("</style", at) - 1;
            continue;
        }
        if (open.empty() || open.back() != name) {
            fault("</" + name + "> closes " + (open.empty() ? "nothing" : "<" + open.back() + ">"));
            return faults;
        }
        open.pop_back();
    }
    for (const std::string& name : open) fault("<" + name + "> is never closed");
    if (!html.starts_with("<!DOCTYPE html>")) fault("no doctype");
    if (count(html, "<html lang=\"") != 1) fault("no language");
    if (count(html.substr(0, html.find("</head>")), "<title>") != 1) fault("not one title");
    if (count(html, "<h1>") != 1) fault("not one h1");
    if (count(html, "<main>") != 1) fault("not one main");
    for (const std::string_view outside : {"http://", "https://", "url(", "@import", "<script", "<link"})
        if (count(html, outside) > (outside == "http://" ? count(html, "xmlns=\"http://www.w3.org/2000/svg\"") : 0))
            fault("reaches outside: " + std::string(outside));
    return faults;
}

}  // namespace handrail::brief
