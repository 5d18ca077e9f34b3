#include "outing/window.h"

#include <algorithm>

namespace handrail {

void WindowTable::set(const std::string& condition, const std::string& worksite, std::vector<Window> windows) {
    std::ranges::sort(windows, {}, [](const Window& w) { return std::pair{w.from(), w.to()}; });
    std::vector<Window> joined;
    for (Window& window : windows) {
        if (joined.empty() || joined.back().to() < window.from()) {
            joined.push_back(std::move(window));
            continue;
        }
        const Window& last = joined.back();
        std::string note = last.note();
        if (note.empty())
            note = window.note();
        else if (!window.note().empty() && window.note() != note)
            note += "; " + window.note();
        joined.back() = Window{last.from(), std::max(last.to(), window.to()), std::move(note)};
    }
    lists_[{condition, worksite}] = std::move(joined);
}

bool WindowTable::knows(const std::string& condition) const {
    const auto first = lists_.lower_bound({condition, std::string{}});
    return first != lists_.end() && first->first.first == condition;
}

std::span<const Window> WindowTable::of(const std::string& condition, const std::string& worksite) const {
    auto list = lists_.find({condition, worksite});
    if (list == lists_.end()) list = lists_.find({condition, std::string{}});
    if (list == lists_.end()) return {};
    return list->second;
}

}  // namespace handrail
