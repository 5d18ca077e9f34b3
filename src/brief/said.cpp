#include "brief/said.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <optional>
#include <utility>
#include <vector>

#include "brief/codes.h"
#include "brief/facts.h"

namespace handrail::brief {
namespace {

/// The words between the places of a message, and which place follows each.
struct Form {
    std::string key;
    std::vector<std::string> words;  ///< one more than there are places
    std::vector<std::size_t> places;
    std::size_t letters = 0;
};

Form form_of(const std::string& key, const std::string& message) {
    Form form{key, {""}, {}, 0};
    for (std::size_t i = 0; i < message.size(); ++i) {
        const bool place = message[i] == '{' && i + 2 < message.size() && message[i + 2] == '}';
        if (place) {
            form.places.push_back(static_cast<std::size_t>(message[i + 1] - '0'));
            form.words.emplace_back();
            i += 2;
        } else {
            form.words.back() += message[i];
            ++form.letters;
        }
    }
    return form;
}

/// Those with most words of their own first.
const std::vector<Form>& forms() {
    static const std::vector<Form> all = [] {
        std::vector<Form> list;
        const Wording english;
        for (const std::string& key : message_keys(Language::english))
            if (key.starts_with("said.")) list.push_back(form_of(key, english(key)));
        std::ranges::stable_sort(list, std::greater{}, &Form::letters);
        return list;
    }();
    return all;
}

/// What stands in the places from `place` on, if the rest of the sentence from `at` on is of this form.
bool fits(const Form& form, const std::string& sentence, std::size_t at, std::size_t place,
          std::array<std::string, 10>& found) {
    const std::string& words = form.words[place];
    if (sentence.compare(at, words.size(), words) != 0) return false;
    at += words.size();
    if (place == form.places.size()) return at == sentence.size();
    const std::string& next = form.words[place + 1];
    for (std::size_t end = at + 1; end <= sentence.size(); ++end) {
        end = next.empty() ? sentence.size() : sentence.find(next, end);
        if (end == std::string::npos) return false;
        if (fits(form, sentence, end, place + 1, found)) {
            found[form.places[place]] = sentence.substr(at, end - at);
            return true;
        }
    }
    return false;
}

std::optional<std::string> known(const std::string& sentence, const Wording& say);

std::optional<std::string> whole(const std::string& sentence, const Wording& say) {
    for (const Form& form : forms()) {
        std::array<std::string, 10> found;
        if (!fits(form, sentence, 0, 0, found)) continue;
        for (std::string& part : found)
            if (!part.empty()) part = known(part, say).value_or(part);
        return say(form.key, {found[0], found[1], found[2]});
    }
    return {};
}

/// In the reader's language; none: a name, or typed by somebody.
std::optional<std::string> known(const std::string& sentence, const Wording& say) {
    for (const char* kind : {"scrub", "terminate", "abort"})
        if (sentence == kind) return say("called_off." + sentence);
    // Several in a row, unless one form has the semicolon in its own words.
    if (const std::size_t end = sentence.find("; "); end != std::string::npos)
        if (const auto first = whole(sentence.substr(0, end), say)) {
            const std::string rest = sentence.substr(end + 2);
            return *first + "; " + known(rest, say).value_or(rest);
        }
    return whole(sentence, say);
}

/// Whether a label ends or begins here: what could be a part of a longer name does not.
bool part_of_a_name(char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '-'; }

}  // namespace

std::string said_again(const std::string& sentence, const Wording& say) {
    // Why everything that was not done is left out after a stand-down.
    for (const char* kind : {"scrub", "terminate", "abort"})
        if (sentence == kind) return say("called_off." + sentence);
    if (say.language() == Language::english || sentence.empty()) return sentence;
    return known(sentence, say).value_or(say("said_as_written", {sentence}));
}

std::vector<std::string> left_out_lines(const Outing& outing, const Timeline& timeline, const Wording& say) {
    std::vector<std::pair<std::string, std::vector<std::string>>> by_reason;
    for (const LeftOut& left : timeline.left_out) {
        const Task& task = outing.task(left.task);
        auto same = std::ranges::find(by_reason, left.reason, &std::pair<std::string, std::vector<std::string>>::first);
        if (same == by_reason.end()) same = by_reason.insert(by_reason.end(), {left.reason, {}});
        same->second.push_back(say("left_out.which", {task_code(left.task), task.name, say.task_class(task.task_class),
                                                      say.number(print_value(task.value))}));
    }
    std::vector<std::string> lines;
    for (const auto& [reason, tasks] : by_reason)
        lines.push_back(reason.empty() ? say.list(tasks)
                                       : say("left_out.tasks", {say.list(tasks), said_again(reason, say)}));
    return lines;
}

std::string with_codes(const Outing& outing, std::string sentence) {
    for (const Step& step : outing.steps)
        for (std::size_t at = sentence.find(step.label); at != std::string::npos;) {
            std::size_t end = at + step.label.size();
            const bool inside = (at > 0 && (part_of_a_name(sentence[at - 1]) || sentence[at - 1] == '.')) ||
                                (end < sentence.size() && part_of_a_name(sentence[end]));
            if (!inside) {
                for (const std::string& named : {", " + step.name, " " + step.name})
                    if (sentence.compare(end, named.size(), named) == 0) {
                        end += named.size();
                        break;
                    }
                const std::string known = step_code(outing, step.id) + " " + step.name;
                sentence.replace(at, end - at, known);
                end = at + known.size();
            }
            at = sentence.find(step.label, end);
        }
    return sentence;
}

}  // namespace handrail::brief
