#pragma once

#include <cstdint>
#include <list>
#include <map>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "serve/backend.h"
#include "serve/gate.h"
#include "serve/message.h"

namespace handrail::serve {

/// One line of the interface: docs/openapi.json describes exactly these (tested).
struct Route {
    std::string_view method, path;
};
std::span<const Route> routes();

/// Answers already given to writes, by the id the page chose: a page that lost the connection before the answer may
/// send the same write again without it being done twice. Remembers the last thousand; safe from any thread.
class Answered {
public:
    std::optional<Answer> find(const std::string& id);
    void keep(const std::string& id, const Answer& answer);

private:
    std::mutex mutex_;
    std::map<std::string, Answer> by_id_;
    std::list<std::string> oldest_first_;
};

/// Whether the server's clock shows the present.
enum class ClockKind : std::uint8_t { real, practice };

/// Turns a request into its answer. Blocking (options may take a second): called on worker threads, any number at once.
class Api {
public:
    Api(Backend& backend, Gate& gate, ClockKind clock = ClockKind::real)
        : backend_(backend), gate_(gate), clock_(clock) {}

    Answer answer(const Request& request, Utc now);
    /// The role of someone who wants the event stream, or why they don't get it.
    std::variant<Role, Answer> may_listen(const Request& request, Utc now);

private:
    Answer file(const Request& request);
    Answer api(const Request& request, Role role, Utc now);
    Answer record(const Request& request, Role role, Utc now);
    Answer walk_through(const Request& request, Utc now);
    Answer what_if(const Request& request, Role role, Utc now);
    Answer append(const Request& request, Role role, Utc now);
    Answer adopt(const Request& request, Role role, Utc now);
    Answer document(const Request& request, Utc now);
    /// `seen`: the position the write was based on.
    Answer outcome(const Outcome& outcome, Role role, std::uint64_t seen, Utc now);

    Backend& backend_;
    Gate& gate_;
    ClockKind clock_;
    Answered answered_;
    std::mutex writing_;
};

}  // namespace handrail::serve
