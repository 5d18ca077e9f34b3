#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "serve/backend.h"
#include "serve/roles.h"

namespace handrail::serve {

struct ServerOptions {
    std::string listen = "127.0.0.1";  ///< an IP address literal
    std::uint16_t port = 0;            ///< 0: any free one
    std::optional<Tokens> tokens;      ///< required unless `listen` is a loopback address
    Milliseconds beat_every{2000};     ///< heartbeat of the event stream
    Milliseconds status_every{5000};   ///< a status without a new entry: forecasts move with the clock
    Milliseconds look_every{100};      ///< how often the journal is asked for entries of other processes
    Milliseconds request_time{30000};  ///< a request that has not arrived whole by then is dropped
    Milliseconds write_time{10000};    ///< a reader that takes nothing for so long is dropped
    std::size_t most_connections = 2000;
    bool practice_clock = false;  ///< the clock does not show the present; every page has to say so
};

/// What besides stop() ends run().
enum class StopOn : std::uint8_t { signals, nothing };

/// HTTP/1.1 with server-sent events. One thread reads and writes; answers are worked out on others.
class Server {
public:
    /// Opens the port at once, so that a caller can know that it may serve before it makes anything else. Throws
    /// CannotListen with a sentence when the address is no address, is taken or is not ours, or is not loopback while
    /// there are no tokens.
    explicit Server(ServerOptions options);
    ~Server();
    Server(const Server&) = delete;
    Server& operator=(const Server&) = delete;

    std::uint16_t port() const;
    /// "http://127.0.0.1:8630/"
    std::string address() const;
    /// Serves until stop(), with StopOn::signals also until SIGINT or SIGTERM. Once in its life.
    void run(Backend& backend, std::function<Utc()> clock, StopOn what);
    /// Ends run(), closing every connection. From any thread.
    void stop();

private:
    class Core;
    std::unique_ptr<Core> core_;
};

struct CannotListen {
    std::string sentence;
};

}  // namespace handrail::serve
