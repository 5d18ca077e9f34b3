#include "serve/message.h"

#include <nlohmann/json.hpp>
#include <string_view>

namespace handrail::serve {

Answer refusal(unsigned status, const std::string& sentence) {
    Answer answer;
    answer.status = status;
    answer.body = nlohmann::json{{"error", sentence}}.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
    return answer;
}

std::string value_of(const std::string& pairs, const std::string& name, char separator) {
    std::string_view rest = pairs;
    while (!rest.empty()) {
        const std::size_t end = std::min(rest.find(separator), rest.size());
        std::string_view pair = rest.substr(0, end);
        rest.remove_prefix(std::min(end + 1, rest.size()));
        while (pair.starts_with(' ')) pair.remove_prefix(1);
        if (pair.starts_with(name) && pair.substr(name.size()).starts_with('='))
            return std::string(pair.substr(name.size() + 1));
    }
    return {};
}

}  // namespace handrail::serve
