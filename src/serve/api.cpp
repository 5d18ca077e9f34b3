#include "serve/api.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <nlohmann/json.hpp>
#include <variant>

#include "serve/assets.h"
#include "units/parse.h"

namespace handrail::serve {
namespace {

using nlohmann::json;

constexpr std::array table{
    Route{"GET", "/api/v1/session"},      Route{"POST", "/api/v1/session"},
    Route{"DELETE", "/api/v1/session"},   Route{"GET", "/api/v1/status"},
    Route{"GET", "/api/v1/record"},       Route{"GET", "/api/v1/outing"},
    Route{"GET", "/api/v1/options"},      Route{"GET", "/api/v1/events"},
    Route{"POST", "/api/v1/entries"},     Route{"POST", "/api/v1/adopt"},
    Route{"GET", "/api/v1/timeline.svg"}, Route{"GET", "/api/v1/suits"},
    Route{"POST", "/api/v1/edits"},       Route{"GET", "/api/v1/documents"},
    Route{"GET", "/api/v1/document"},     Route{"GET", "/api/v1/file"},
    Route{"POST", "/api/v1/file"},        Route{"GET", "/api/v1/sessions"},
    Route{"DELETE", "/api/v1/sessions"},  Route{"GET", "/api/v1/light"},
    Route{"GET", "/api/v1/walk-through"}, Route{"GET", "/api/v1/walk-through.html"},
    Route{"GET", "/api/v1/everyone"},     Route{"GET", "/api/v1/everyone/events"},
    Route{"POST", "/api/v1/what-if"},
};

constexpr std::size_t answers_kept = 1000;
// A typed line is a sentence; longer texts belong into a file.
constexpr std::size_t longest_line = 2000, longest_name = 80;
// More than this is another day, not a question.
constexpr std::size_t most_supposed = 8;
// The clock of the page's machine may run ahead of the server's by this much before an entry counts as not yet
// happened.
constexpr auto clock_tolerance = std::chrono::seconds{2};

std::optional<std::uint64_t> whole_number(const std::string& text) {
    std::uint64_t number = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (text.empty() || error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
    return number;
}

// Documents may show themselves inside the page and nowhere else; they run no scripts and load nothing.
constexpr const char* document_policy =
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; base-uri 'none'; form-action "
    "'none'; "
    "frame-ancestors 'self'; sandbox allow-same-origin allow-modals";

bool is_write(const Request& request) { return request.method != "GET"; }

/// Reads the fields of a JSON object one by one; the first thing wrong is kept as a sentence.
class Fields {
public:
    explicit Fields(const std::string& body) : object_(json::parse(body, nullptr, false)) {
        if (!object_.is_object()) problem_ = "The body is not a JSON object; nothing was written.";
    }
    std::string text(const char* name, std::size_t longest) {
        if (!problem_.empty()) return {};
        const auto field = object_.find(name);
        if (field == object_.end() || !field->is_string()) {
            problem_ =
                std::string(name) + ": expected a text, found " +
                (field == object_.end() ? "nothing" : field->dump(-1, ' ', true, json::error_handler_t::replace)) +
                "; nothing was written.";
            return {};
        }
        return one_line(name, field->get<std::string>(), longest);
    }
    std::vector<std::string> texts(const char* name, std::size_t most, std::size_t longest) {
        if (!problem_.empty()) return {};
        const auto field = object_.find(name);
        const bool list = field != object_.end() && field->is_array() && !field->empty() && field->size() <= most;
        if (!list || !std::ranges::all_of(*field, [](const json& one) { return one.is_string(); })) {
            problem_ = std::string(name) + ": expected a list of 1 to " + std::to_string(most) +
                       " texts; nothing was written.";
            return {};
        }
        std::vector<std::string> texts;
        for (const json& one : *field) texts.push_back(one_line(name, one.get<std::string>(), longest));
        return texts;
    }
    std::uint64_t position(const char* name) {
        if (!problem_.empty()) return 0;
        const auto field = object_.find(name);
        if (field == object_.end() || !field->is_number_unsigned()) {
            problem_ = std::string(name) +
                       ": expected the newest journal position you have seen, a whole number; nothing was written.";
            return 0;
        }
        return field->get<std::uint64_t>();
    }
    /// `otherwise` when the field is not there.
    Utc utc(const char* name, Utc otherwise) {
        if (!problem_.empty() || !object_.contains(name)) return otherwise;
        const std::string written = text(name, longest_name);
        if (!problem_.empty()) return otherwise;
        const auto parsed = parse_utc(written);
        if (const Utc* instant = std::get_if<Utc>(&parsed)) return *instant;
        const ParseError& error = std::get<ParseError>(parsed);
        problem_ = std::string(name) + ": expected " + error.expected + ", found \"" + error.found + "\"; " +
                   error.remedy + ".";
        return otherwise;
    }
    std::string optional_text(const char* name, std::size_t longest) {
        if (!problem_.empty() || !object_.contains(name)) return {};
        return text(name, longest);
    }
    const std::string& problem() const { return problem_; }

private:
    std::string one_line(const char* name, std::string text, std::size_t longest) {
        const bool control = std::ranges::any_of(text, [](unsigned char c) { return c < ' ' || c == 0x7f; });
        if (text.empty() || text.size() > longest || control)
            problem_ = std::string(name) + ": expected one line of 1 to " + std::to_string(longest) + " bytes, found " +
                       (text.empty() ? "none"
                        : control    ? "control characters"
                                     : std::to_string(text.size())) +
                       "; nothing was written.";
        return text;
    }

    json object_;
    std::string problem_;
};

Answer json_answer(std::string body) {
    Answer answer;
    answer.body = std::move(body);
    answer.headers.emplace_back("Cache-Control", "no-store");
    return answer;
}

Answer reply(Reply from) {
    switch (from.kind) {
        case Reply::Kind::done:
        case Reply::Kind::saved: {
            Answer answer = json_answer(std::move(from.body));
            if (from.kind == Reply::Kind::saved) answer.status = 201;
            answer.content_type = std::move(from.content_type);
            return answer;
        }
        case Reply::Kind::stale: {
            Answer answer = json_answer(json{
                {"error", "Somebody wrote since. Look at what is new, then try again."},
                {"position", from.position}}.dump());
            answer.status = 409;
            return answer;
        }
        case Reply::Kind::bad_input:
            return refusal(400, from.body);
        case Reply::Kind::missing:
            return refusal(404, from.body);
        case Reply::Kind::failed:
            return refusal(503, from.body);
    }
    return refusal(500, "");
}

/// What changed since the position a write named, in a sentence.
std::string stale_words(std::uint64_t seen, std::uint64_t newest, const json& since) {
    if (seen > newest)
        return fmt::format(
            "seen: this journal has {} entries, so nobody can have seen entry {}; nothing was written. Look at the "
            "state and send it again if it still holds.",
            newest, seen);
    constexpr std::size_t told = 3;
    std::string words;
    for (std::size_t i = 0; i < std::min(told, since.size()); ++i)
        words += fmt::format("{}\"{}\"", words.empty() ? "" : ", ", since[i]["words"].get<std::string>());
    if (since.size() > told) words += fmt::format(" and {} more", since.size() - told);
    if (words.empty()) words = "nothing that this view shows";
    return fmt::format(
        "Somebody wrote since entry {}: {}; nothing was written. Look at the newer state and send it again if it still "
        "holds.",
        seen, words);
}

bool same_etag(const std::string& if_none_match, const std::string& etag) {
    return if_none_match == "*" || if_none_match.find(etag) != std::string::npos;
}

}  // namespace

std::span<const Route> routes() { return table; }

std::optional<Answer> Answered::find(const std::string& id) {
    const std::lock_guard lock(mutex_);
    const auto found = by_id_.find(id);
    return found == by_id_.end() ? std::nullopt : std::optional(found->second);
}

void Answered::keep(const std::string& id, const Answer& answer) {
    const std::lock_guard lock(mutex_);
    if (!by_id_.try_emplace(id, answer).second) return;
    oldest_first_.push_back(id);
    if (oldest_first_.size() <= answers_kept) return;
    by_id_.erase(oldest_first_.front());
    oldest_first_.pop_front();
}

Answer Api::answer(const Request& request, Utc now) {
    if (!request.path.starts_with("/api/")) return file(request);
    const bool known = std::ranges::any_of(table, [&](const Route& r) { return r.path == request.path; });
    if (!known) return refusal(404, "There is nothing under this address; docs/openapi.json lists what there is.");
    std::string allowed;
    for (const Route& route : table)
        if (route.path == request.path) {
            if (!allowed.empty()) allowed += ", ";
            allowed += route.method;
        }
    if (std::ranges::none_of(table,
                             [&](const Route& r) { return r.path == request.path && r.method == request.method; })) {
        Answer answer = refusal(405, "This address only takes " + allowed + ".");
        answer.headers.emplace_back("Allow", allowed);
        return answer;
    }
    if (is_write(request)) {
        const bool touches_nothing = request.path == "/api/v1/edits" || request.path == "/api/v1/what-if";
        if (std::optional<Answer> refused =
                gate_.may_write(request, touches_nothing ? Pace::drafting : Pace::writing, now))
            return *refused;
    }

    const bool session = request.path == "/api/v1/session";
    if (session && request.method == "POST") return gate_.sign_in(request, now);
    if (session && request.method == "DELETE") return gate_.sign_out(request);
    const std::variant<Role, Answer> asks = gate_.who_asks(request, now);
    if (const Answer* refused = std::get_if<Answer>(&asks)) return *refused;
    const Role role = std::get<Role>(asks);
    if (session)
        return json_answer(json{{"role", std::string(word(role))},
                                {"tokens", gate_.needs_token()},
                                {"practice", clock_ == ClockKind::practice}}
                               .dump());
    return api(request, role, now);
}

std::variant<Role, Answer> Api::may_listen(const Request& request, Utc now) {
    std::variant<Role, Answer> asks = gate_.who_asks(request, now);
    // Whoever asks for what everyone may know gets that and nothing else.
    if (request.path == "/api/v1/everyone/events" && std::holds_alternative<Role>(asks)) return Role::public_view;
    return asks;
}

Answer Api::api(const Request& request, Role role, Utc now) {
    // The public gets one document, built from a list of its own; nothing that was made for anybody else.
    if (request.path == "/api/v1/everyone") return json_answer(backend_.public_json(now));
    if (request.path == "/api/v1/everyone/events")
        return refusal(406, "Ask for this with \"Accept: text/event-stream\".");
    if (role == Role::public_view) {
        if (request.path == "/api/v1/status") return json_answer(backend_.public_json(now));
        return refusal(403, "The public view has the status and its events only.");
    }
    // A question, though it is posted: whoever reads the state may ask it.
    if (request.path == "/api/v1/what-if") return what_if(request, role, now);
    if (is_write(request) && role != Role::lead) return refusal(403, "Only the lead writes here.");
    if (request.path == "/api/v1/status") return json_answer(backend_.status_json(role, now));
    if (request.path == "/api/v1/record") return record(request, role, now);
    if (request.path == "/api/v1/outing") return json_answer(backend_.outing_json());
    if (request.path == "/api/v1/light") return json_answer(backend_.light_json(now));
    if (request.path.starts_with("/api/v1/walk-through")) return walk_through(request, now);
    if (request.path == "/api/v1/options") return json_answer(backend_.options_json(role, now));
    if (request.path == "/api/v1/entries") return append(request, role, now);
    if (request.path == "/api/v1/adopt") return adopt(request, role, now);
    if (request.path == "/api/v1/suits") return json_answer(backend_.suits_json(role, now));
    if (request.path == "/api/v1/edits") return reply(backend_.draft(request.body, now));
    if (request.path == "/api/v1/documents") return json_answer(backend_.documents_json(now));
    if (request.path == "/api/v1/document") return document(request, now);
    if (request.path == "/api/v1/sessions") {
        if (role != Role::lead) return refusal(403, "Only the lead sees and ends sessions.");
        return is_write(request) ? gate_.revoke(request) : gate_.sessions(request, now);
    }
    if (request.path == "/api/v1/file") {
        if (role != Role::lead) return refusal(403, "Only the lead changes the outing file.");
        const std::lock_guard lock(writing_);
        return reply(is_write(request) ? backend_.edit_outing_file(request.body) : backend_.outing_file());
    }
    if (request.path == "/api/v1/timeline.svg") {
        std::optional<std::string> svg = backend_.chart_svg();
        if (!svg) return refusal(404, "There is no timeline to draw yet.");
        Answer answer = json_answer(std::move(*svg));
        answer.content_type = "image/svg+xml";
        return answer;
    }
    return refusal(406, "Ask for this with \"Accept: text/event-stream\".");
}

Answer Api::record(const Request& request, Role role, Utc now) {
    const std::string from = value_of(request.query, "from", '&');
    const std::optional<std::uint64_t> position = from.empty() ? 0 : whole_number(from);
    if (!position) return refusal(400, "from: expected a journal position, a whole number from 0.");
    return json_answer(backend_.record_json(role, *position, now));
}

Answer Api::document(const Request& request, Utc now) {
    DocumentRequest wish{value_of(request.query, "kind", '&'), value_of(request.query, "format", '&'),
                         value_of(request.query, "for", '&'), value_of(request.query, "size", '&')};
    Answer answer = reply(backend_.document(wish, now));
    if (answer.status != 200) return answer;
    answer.headers.emplace_back("Content-Security-Policy", document_policy);
    answer.headers.emplace_back("X-Frame-Options", "SAMEORIGIN");
    return answer;
}

Answer Api::walk_through(const Request& request, Utc now) {
    const std::string words = value_of(request.query, "words", '&');
    if (!words.empty() && words != "crew" && words != "public")
        return refusal(400, "words: expected crew or public, found something else.");
    const bool page = request.path.ends_with(".html");
    std::optional<std::string> made = backend_.walk_through(words == "crew" ? WalkWords::crew : WalkWords::everyone,
                                                            page ? WalkForm::page : WalkForm::json, now);
    if (!made)
        return refusal(404, "There is no plan to walk through yet, or this program was built without the player.");
    Answer answer = json_answer(std::move(*made));
    if (!page) return answer;
    answer.content_type = "text/html; charset=utf-8";
    // Saved, not opened here: the page carries its own scripts, which this server's policy would not let run.
    answer.headers.emplace_back("Content-Disposition", "attachment; filename=\"walk-through.html\"");
    return answer;
}

Answer Api::what_if(const Request& request, Role role, Utc now) {
    Fields fields(request.body);
    const std::vector<std::string> lines = fields.texts("lines", most_supposed, longest_line);
    if (!fields.problem().empty()) return refusal(400, fields.problem());
    return reply(backend_.what_if(role, lines, now));
}

Answer Api::append(const Request& request, Role role, Utc now) {
    Fields fields(request.body);
    EntryRequest entry;
    entry.line = fields.text("line", longest_line);
    entry.author = fields.text("author", longest_name);
    entry.seen = fields.position("seen");
    entry.at = fields.utc("at", now);
    const std::string id = fields.optional_text("id", longest_name);
    if (!fields.problem().empty()) return refusal(400, fields.problem());
    if (entry.at > now + clock_tolerance)
        return refusal(400, "at: expected a time that has passed, found " + print_utc(entry.at) + "; it is " +
                                print_utc(now) + " here. Nothing was written.");
    entry.at = std::min(entry.at, now);
    // One at a time, so that a write sent twice finds the answer of the first.
    const std::lock_guard lock(writing_);
    if (!id.empty())
        if (std::optional<Answer> before = answered_.find(id)) return *before;
    const Outcome done = backend_.append(entry, now);
    Answer answer = outcome(done, role, entry.seen, now);
    if (!id.empty() && done.kind == Outcome::Kind::written) answered_.keep(id, answer);
    return answer;
}

Answer Api::adopt(const Request& request, Role role, Utc now) {
    Fields fields(request.body);
    AdoptRequest wish;
    wish.option = fields.text("option", longest_name);
    wish.author = fields.text("author", longest_name);
    wish.seen = fields.position("seen");
    if (!fields.problem().empty()) return refusal(400, fields.problem());
    const std::lock_guard lock(writing_);
    return outcome(backend_.adopt(wish, now), role, wish.seen, now);
}

Answer Api::outcome(const Outcome& outcome, Role role, std::uint64_t seen, Utc now) {
    switch (outcome.kind) {
        case Outcome::Kind::written: {
            Answer answer = json_answer(json{{"position", outcome.position}}.dump());
            answer.status = 201;
            return answer;
        }
        case Outcome::Kind::stale: {
            // What this role may read of it; the rest is only counted.
            const json record = json::parse(backend_.record_json(role, seen, now));
            Answer answer = refusal(409, stale_words(seen, outcome.position, record["entries"]));
            json body = json::parse(answer.body);
            body["position"] = outcome.position;
            body["since"] = record["entries"];
            body["status"] = json::parse(backend_.status_json(role, now));
            answer.body = body.dump();
            return answer;
        }
        case Outcome::Kind::bad_input:
            return refusal(400, outcome.sentence);
        case Outcome::Kind::store_failed:
            return refusal(503, outcome.sentence);
    }
    return refusal(500, "The server made a mistake; nothing was written.");
}

Answer Api::file(const Request& request) {
    if (request.path == "/public") {
        Answer answer = refusal(308, "The public page is at /public/.");
        answer.headers.emplace_back("Location", "/public/");
        return answer;
    }
    const auto assets = console_assets();
    const auto found = std::ranges::find(assets, request.path, &Asset::path);
    if (found == assets.end()) return refusal(404, "There is nothing under this address.");
    if (request.method != "GET" && request.method != "HEAD") {
        Answer answer = refusal(405, "This address only takes GET.");
        answer.headers.emplace_back("Allow", "GET, HEAD");
        return answer;
    }
    const bool gzip = !found->gzip.empty() && request.accept_encoding.find("gzip") != std::string::npos;
    std::string etag(found->etag);
    if (gzip) etag.insert(etag.size() - 1, "-gz");
    Answer answer;
    answer.content_type = found->content_type;
    answer.headers.emplace_back("ETag", etag);
    answer.headers.emplace_back("Vary", "Accept-Encoding");
    answer.headers.emplace_back("Cache-Control", found->immutable ? "public, max-age=31536000, immutable" : "no-cache");
    if (same_etag(request.if_none_match, etag)) {
        answer.status = 304;
        return answer;
    }
    if (gzip) answer.headers.emplace_back("Content-Encoding", "gzip");
    answer.body = gzip ? found->gzip : found->body;
    return answer;
}

}  // namespace handrail::serve
