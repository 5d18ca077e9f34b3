#include "serve/gate.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string_view>

namespace handrail::serve {
namespace {

constexpr auto session_length = std::chrono::hours{24};  // an outing with its morning and its close-out
constexpr const char* cookie_name = "handrail_session";
// A lead types a line or presses a key; a queue of an hour's entries may arrive at once.
constexpr double writes_per_second = 20, writes_burst = 200;
// A step dragged over the timeline asks at every move that the answer before has arrived.
constexpr double drafts_per_second = 60, drafts_burst = 300;
constexpr double failures_per_second = 0.2, failures_burst = 5;
constexpr std::size_t most_addresses = 4096, most_sessions = 1000;

bool is_json(const std::string& content_type) {
    std::string type = content_type.substr(0, content_type.find(';'));
    while (type.ends_with(' ')) type.pop_back();
    std::ranges::transform(type, type.begin(),
                           [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
    return type == "application/json";
}

/// "http://host:port" and "https://host:port" → "host:port"
std::string_view host_of(std::string_view origin) {
    for (const std::string_view scheme : {"http://", "https://"})
        if (origin.starts_with(scheme)) return origin.substr(scheme.size());
    return {};
}

}  // namespace

std::string Sessions::open(Role role, const std::string& remote, Utc now) {
    std::string id = random_secret();
    const std::lock_guard lock(mutex_);
    std::erase_if(open_, [&](const auto& entry) { return entry.second.until <= now; });
    if (open_.size() >= most_sessions)
        open_.erase(std::ranges::min_element(open_, {}, [](const auto& entry) { return entry.second.number; }));
    open_[digest_of(id)] = Open{++last_number_, role, now, now + session_length, remote};
    return id;
}

std::optional<Role> Sessions::role_of(const std::string& id, Utc now) {
    const std::lock_guard lock(mutex_);
    const auto found = open_.find(digest_of(id));
    if (found == open_.end() || found->second.until <= now) return std::nullopt;
    return found->second.role;
}

void Sessions::close(const std::string& id) {
    const std::lock_guard lock(mutex_);
    open_.erase(digest_of(id));
}

std::vector<Sessions::Known> Sessions::list(const std::string& own, Utc now) {
    const std::lock_guard lock(mutex_);
    const Digest mine = digest_of(own);
    std::vector<Known> known;
    for (const auto& [digest, open] : open_)
        if (open.until > now) known.push_back({open.number, open.role, open.since, open.remote, digest == mine});
    std::ranges::sort(known, {}, &Known::number);
    return known;
}

std::size_t Sessions::revoke(std::optional<std::uint64_t> number, const std::string& own) {
    const std::lock_guard lock(mutex_);
    const Digest mine = digest_of(own);
    return std::erase_if(
        open_, [&](const auto& entry) { return number ? entry.second.number == *number : entry.first != mine; });
}

bool RateLimit::take(const std::string& address, Utc now) {
    const std::lock_guard lock(mutex_);
    if (buckets_.size() >= most_addresses && !buckets_.contains(address)) {
        const auto full_again = std::chrono::duration<double>(burst_ / per_second_);
        std::erase_if(buckets_, [&](const auto& entry) { return now - entry.second.filled > full_again; });
        if (buckets_.size() >= most_addresses) return false;
    }
    auto [entry, fresh] = buckets_.try_emplace(address, Bucket{burst_, now});
    Bucket& bucket = entry->second;
    const double passed = std::max(0.0, std::chrono::duration<double>(now - bucket.filled).count());
    bucket.left = std::min(burst_, bucket.left + passed * per_second_);
    bucket.filled = now;
    if (bucket.left < 1) return false;
    bucket.left -= 1;
    return true;
}

Gate::Gate(std::optional<Tokens> tokens)
    : tokens_(std::move(tokens)),
      writes_(writes_per_second, writes_burst),
      drafts_(drafts_per_second, drafts_burst),
      failures_(failures_per_second, failures_burst) {}

std::variant<Role, Answer> Gate::who_asks(const Request& request, Utc now) {
    if (!tokens_) {
        if (names_this_machine(request.host)) return Role::lead;
        return refusal(
            403,
            "This server has no tokens, so it answers only to 127.0.0.1, [::1] or localhost. Use one of these "
            "in the address.");
    }
    constexpr std::string_view scheme = "Bearer ";
    if (request.authorization.starts_with(scheme)) {
        const std::string_view token = std::string_view(request.authorization).substr(scheme.size());
        if (const std::optional<Role> role = tokens_->role_of(token)) return *role;
        if (!failures_.take(request.remote, now))
            return refusal(429, "Too many wrong tokens from this address. Wait a minute.");
        return refusal(401, "This token is not known here.");
    }
    const std::string id = value_of(request.cookie, cookie_name, ';');
    if (!id.empty())
        if (const std::optional<Role> role = sessions_.role_of(id, now)) return *role;
    return refusal(401, "Sign in with a token first.");
}

std::optional<Answer> Gate::may_write(const Request& request, Pace pace, Utc now) {
    if (!is_json(request.content_type)) return refusal(415, "Send application/json.");
    const bool foreign_origin = !request.origin.empty() && host_of(request.origin) != request.host;
    const bool foreign_site =
        !request.fetch_site.empty() && request.fetch_site != "same-origin" && request.fetch_site != "none";
    if (foreign_origin || foreign_site) return refusal(403, "A page of another site may not write here.");
    RateLimit& limit = pace == Pace::drafting ? drafts_ : writes_;
    if (!limit.take(request.remote, now)) {
        Answer answer = refusal(429, "Too many entries at once from this address. Send the rest in a moment.");
        answer.headers.emplace_back("Retry-After", "2");
        return answer;
    }
    return std::nullopt;
}

Answer Gate::sign_in(const Request& request, Utc now) {
    if (!tokens_) return refusal(409, "This server has no tokens; there is nothing to sign in to.");
    const nlohmann::json wish = nlohmann::json::parse(request.body, nullptr, false);
    if (!wish.is_object() || !wish.contains("token") || !wish["token"].is_string())
        return refusal(400, "token: expected a text, found none; send {\"token\": \"...\"}.");
    const std::optional<Role> role = tokens_->role_of(wish["token"].get<std::string>());
    if (!role) {
        if (!failures_.take(request.remote, now))
            return refusal(429, "Too many wrong tokens from this address. Wait a minute.");
        return refusal(401, "This token is not known here.");
    }
    Answer answer;
    answer.body = nlohmann::json{{"role", std::string(word(*role))}}.dump();
    answer.headers.emplace_back("Set-Cookie", std::string(cookie_name) + "=" +
                                                  sessions_.open(*role, request.remote, now) +
                                                  "; Path=/; HttpOnly; SameSite=Strict; Max-Age=86400");
    return answer;
}

Answer Gate::sign_out(const Request& request) {
    sessions_.close(value_of(request.cookie, cookie_name, ';'));
    Answer answer;
    answer.body = "{}";
    answer.headers.emplace_back("Set-Cookie",
                                std::string(cookie_name) + "=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0");
    return answer;
}

Answer Gate::sessions(const Request& request, Utc now) {
    nlohmann::json list = nlohmann::json::array();
    for (const Sessions::Known& one : sessions_.list(value_of(request.cookie, cookie_name, ';'), now))
        list.push_back({{"number", one.number},
                        {"role", std::string(word(one.role))},
                        {"since", print_utc(one.since)},
                        {"remote", one.remote},
                        {"own", one.own}});
    Answer answer;
    answer.body = nlohmann::json{{"sessions", std::move(list)}}.dump();
    answer.headers.emplace_back("Cache-Control", "no-store");
    return answer;
}

Answer Gate::revoke(const Request& request) {
    const nlohmann::json wish = nlohmann::json::parse(request.body, nullptr, false);
    if (!wish.is_object() || (wish.contains("number") && !wish["number"].is_number_unsigned()))
        return refusal(400, "number: expected the number of a session, or none to end all others.");
    std::optional<std::uint64_t> number;
    if (wish.contains("number")) number = wish["number"].get<std::uint64_t>();
    Answer answer;
    answer.body =
        nlohmann::json{{"ended", sessions_.revoke(number, value_of(request.cookie, cookie_name, ';'))}}.dump();
    return answer;
}

bool names_this_machine(const std::string& host) {
    std::string_view name = host;
    if (name.starts_with('[')) {
        const std::size_t end = name.find(']');
        return end != std::string_view::npos && name.substr(0, end + 1) == "[::1]" &&
               (end + 1 == name.size() || name[end + 1] == ':');
    }
    name = name.substr(0, name.find(':'));
    if (name == "localhost") return true;
    // A whole dotted quad, so that a name such as 127.0.0.1.example.org does not pass.
    return name.starts_with("127.") && std::ranges::count(name, '.') == 3 &&
           name.find_first_not_of("0123456789.") == std::string_view::npos;
}

}  // namespace handrail::serve
