#pragma once

#include <string>

#include "outing/model.h"
#include "timeline/timeline.h"

namespace handrail::serve {
class ReleasedLine;
}

namespace handrail::brief {

/// Text that was written for everyone. It cannot be made from any other text: each comes from one field of the outing
/// file that is meant for the public (PublicFields), from a sentence that stands in this program, or from a line of the
/// record that the lead released (serve::ReleasedLine). What is handed out is built from these alone, so that a field
/// nobody thought of cannot get into it: it would not compile.
class PublicWords {
public:
    PublicWords() = default;
    /// A sentence of this program's own: it is known when the program is compiled.
    struct Literal {
        const char* text;
        consteval Literal(const char* own) : text(own) {}  // NOLINT(google-explicit-constructor)
    };
    PublicWords(Literal own) : text_(own.text) {}  // NOLINT(google-explicit-constructor)

    const std::string& text() const { return text_; }
    bool empty() const { return text_.empty(); }
    PublicWords operator+(const PublicWords& more) const { return PublicWords(text_ + more.text_); }

private:
    explicit PublicWords(std::string text) : text_(std::move(text)) {}
    friend struct PublicFields;
    friend class serve::ReleasedLine;

    std::string text_;
};

/// The fields of an outing file that are written for everyone; docs/outing-file.md says so beside each.
struct PublicFields {
    static PublicWords name(const Outing& outing) { return PublicWords(outing.name); }
    static PublicWords note(const Outing& outing) { return PublicWords(outing.note); }
    static PublicWords about(const Outing& outing) { return PublicWords(outing.about); }
    static PublicWords name(const Station& station) { return PublicWords(station.name); }
    static PublicWords name(const Worksite& site) { return PublicWords(site.name); }
    static PublicWords about(const Worksite& site) { return PublicWords(site.about); }
    static PublicWords name(const CrewMember& person) { return PublicWords(person.name); }
    static PublicWords about(const CrewMember& person) { return PublicWords(person.about); }
    static PublicWords name(const Arm& arm) { return PublicWords(arm.name); }
    static PublicWords name(const Task& task) { return PublicWords(task.name); }
    static PublicWords why(const Task& task) { return PublicWords(task.why); }
    static PublicWords words(const Step& step) { return PublicWords(step.public_words); }
};

/// A task is spoken of in public when somebody wrote for the public about it: its `why`, or public words of a step.
bool is_public(const Outing& outing, const Task& task);
/// The name of the task, or "At work" where the task is not spoken of; for everything else what it is in plain words
/// ("On the way to the Truss root"). Never the name of a step or of an item.
PublicWords public_title(const Outing& outing, const Activity& activity);
/// The step's public words; empty where the task is not spoken of.
PublicWords public_words(const Outing& outing, const Activity& activity);

}  // namespace handrail::brief
