#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "serve/backend.h"
#include "units/time.h"

/// The event stream: who has to be told what. No sockets and no threads here; the server calls it from its one io
/// thread, except work_out(), and hands the frames on.
///
/// A page that comes (or comes back) gets the whole document as `status`, afterwards only what differs, as `change`:
/// {"set": {top-level keys with their new values}, "entries": [record entries that are new or altered]}. Either carries
/// the journal position as its id, except for the public. `beat` carries the server's clock.
namespace handrail::serve {

/// One server-sent event, ready for the wire.
using Frame = std::shared_ptr<const std::string>;

/// "id: 12\nevent: status\ndata: {...}\n\n"; without an id the listener's last one stands.
std::string event_frame(const std::string& event, const std::string& data, std::optional<std::uint64_t> id);
/// What turns the document `before` into `after`, as the text of a `change`; nothing when they are the same.
std::optional<std::string> change_between(const std::string& before, const std::string& after);

/// One open page.
class Listener {
public:
    explicit Listener(Role viewer) : role(viewer) {}

    const Role role;
    bool has_status = false;
    bool lost = false;        ///< closed, or too slow to be worth waiting for
    bool writing = false;     ///< a frame is on its way: another must wait its turn
    std::deque<Frame> queue;  ///< still to be written
    /// Gives the socket what it takes at once, without waiting; how many bytes that were. Not set: everything queues.
    /// A thousand pages are told in the time of a thousand system calls, without waking a thousand coroutines.
    std::function<std::size_t(const std::string&)> write_now;

    /// A page that has so many frames waiting is cut off; it comes back and gets the whole document.
    static constexpr std::size_t longest_queue = 64;
    void push(const Frame& frame);
};
using Listeners = std::vector<std::shared_ptr<Listener>>;

/// What one role was last told.
struct Told {
    std::uint64_t position = 0;
    std::string document;
    Frame whole;   ///< `document` as a status event
    Frame change;  ///< from the document before; none when nothing differs
};
/// By role. One text is worked out for each role, however many listen.
using AllTold = std::map<Role, Told>;

/// The roles that have to be told something: everyone's when `refresh`, else those with news or a new listener.
std::vector<Role> wanted(const Listeners& listeners, const AllTold& told, std::uint64_t newest, bool refresh);
/// Asks the backend. Blocking: runs on a worker thread.
AllTold work_out(Backend& backend, const std::vector<Role>& roles, const AllTold& before, Utc now);
/// Gives every listener what it lacks. `told` is what work_out() returned for these roles.
void tell(const Listeners& listeners, const AllTold& told);
/// The heartbeat: server UTC and newest position, so that a page knows within seconds that it has gone stale.
void beat(const Listeners& listeners, Utc now, std::uint64_t newest);

}  // namespace handrail::serve
