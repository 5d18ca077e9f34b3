#pragma once

#include <chrono>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "serve/message.h"
#include "serve/roles.h"
#include "units/time.h"

/// Who is asking, and may they: everything between the socket and the content.
namespace handrail::serve {

/// Signed-in browsers: a random id in a cookie stands for a role until it is signed out or grows old. Kept in memory
/// only; safe from any thread.
class Sessions {
public:
    /// What the lead may know of one: `number` names it and is no secret.
    struct Known {
        std::uint64_t number;
        Role role;
        Utc since;
        std::string remote;
        bool own;  ///< of whoever asks
    };
    /// The oldest one ends when there are too many.
    std::string open(Role role, const std::string& remote, Utc now);
    std::optional<Role> role_of(const std::string& id, Utc now);
    void close(const std::string& id);
    /// Oldest first. `own` is the id of whoever asks, or empty.
    std::vector<Known> list(const std::string& own, Utc now);
    /// Ends that session at once; without a number every one but `own`. How many ended.
    std::size_t revoke(std::optional<std::uint64_t> number, const std::string& own);

private:
    struct Open {
        std::uint64_t number;
        Role role;
        Utc since, until;
        std::string remote;
    };
    std::mutex mutex_;
    std::map<Digest, Open> open_;
    std::uint64_t last_number_ = 0;
};

/// A token bucket for each remote address; safe from any thread.
class RateLimit {
public:
    RateLimit(double per_second, double burst) : per_second_(per_second), burst_(burst) {}
    /// False when this address has asked too often.
    bool take(const std::string& address, Utc now);

private:
    struct Bucket {
        double left;
        Utc filled;
    };
    double per_second_, burst_;
    std::mutex mutex_;
    std::map<std::string, Bucket> buckets_;
};

/// How a server may be reached.
/// What a request with a body does: changes something, or only tries something out (a step being dragged).
enum class Pace : std::uint8_t { writing, drafting };

class Gate {
public:
    /// Without tokens everyone who reaches the server is the lead, so it must only listen on loopback.
    explicit Gate(std::optional<Tokens> tokens);

    bool needs_token() const { return tokens_.has_value(); }
    /// The role of whoever asks, or why they are refused: no token (401), a foreign Host header on a server without
    /// tokens (403: a page of another site pointed its own name at this machine).
    std::variant<Role, Answer> who_asks(const Request& request, Utc now);
    /// Why this write is refused: not JSON (415), sent by a page of another origin (403), too many (429).
    std::optional<Answer> may_write(const Request& request, Pace pace, Utc now);
    /// {"token": ...} → a session cookie; 401 for a token nobody has, 429 after too many of them.
    Answer sign_in(const Request& request, Utc now);
    Answer sign_out(const Request& request);
    /// Who is signed in, for the lead.
    Answer sessions(const Request& request, Utc now);
    /// {"number": 3} ends one session, {} every one but the asker's own; its event streams end within a heartbeat.
    Answer revoke(const Request& request);

private:
    std::optional<Tokens> tokens_;
    Sessions sessions_;
    RateLimit writes_, drafts_, failures_;
};

/// True for the literals and names that can only mean this machine: 127.x.x.x, ::1, localhost; a port may follow.
bool names_this_machine(const std::string& host);

}  // namespace handrail::serve
