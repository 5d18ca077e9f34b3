#include "serve/server.h"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/thread_pool.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/core/tcp_stream.hpp>
#include <boost/beast/http.hpp>
#include <cstdio>
#include <exception>
#include <vector>

#include "serve/api.h"
#include "serve/feed.h"

namespace handrail::serve {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
using asio::awaitable;
using asio::use_awaitable;
using asio::ip::tcp;

constexpr auto quietly = asio::as_tuple(use_awaitable);

constexpr std::uint32_t largest_header = 16 * 1024;
constexpr std::uint64_t largest_body = 64 * 1024;
// Status and record answer within milliseconds and must not wait behind a search for options.
constexpr std::size_t quick_threads = 2, search_threads = 2;

std::string text_of(beast::string_view view) { return {view.data(), view.size()}; }

Request to_request(const http::request<http::string_body>& in, const std::string& remote) {
    Request request;
    request.method = text_of(in.method_string());
    const std::string target = text_of(in.target());
    const std::size_t mark = target.find('?');
    request.path = target.substr(0, mark);
    if (mark != std::string::npos) request.query = target.substr(mark + 1);
    request.host = text_of(in[http::field::host]);
    request.origin = text_of(in[http::field::origin]);
    request.fetch_site = text_of(in["Sec-Fetch-Site"]);
    request.content_type = text_of(in[http::field::content_type]);
    request.authorization = text_of(in[http::field::authorization]);
    request.cookie = text_of(in[http::field::cookie]);
    request.if_none_match = text_of(in[http::field::if_none_match]);
    request.accept_encoding = text_of(in[http::field::accept_encoding]);
    request.last_event_id = text_of(in["Last-Event-ID"]);
    request.body = in.body();
    request.remote = remote;
    return request;
}

/// What every answer carries: the page loads nothing from elsewhere and is shown inside nothing.
template <class Body>
void harden(http::response<Body>& out) {
    out.set("Content-Security-Policy",
            "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
            "font-src 'self'; manifest-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'; "
            "frame-ancestors 'none'");
    out.set("X-Content-Type-Options", "nosniff");
    out.set("X-Frame-Options", "DENY");
    out.set("Referrer-Policy", "no-referrer");
    out.set("Cross-Origin-Opener-Policy", "same-origin");
    out.set("Cross-Origin-Resource-Policy", "same-origin");
    out.set("Permissions-Policy", "camera=(), microphone=(), geolocation=()");
}

http::response<http::string_body> to_response(Answer answer, bool keep_alive) {
    http::response<http::string_body> out;
    out.version(11);
    out.result(answer.status);
    harden(out);
    if (answer.status != 304) out.set(http::field::content_type, answer.content_type);
    for (const auto& [name, value] : answer.headers) out.set(name, value);
    out.keep_alive(keep_alive);
    out.body() = std::move(answer.body);
    if (answer.status != 304) out.prepare_payload();
    return out;
}

}  // namespace

class Server::Core {
public:
    explicit Core(ServerOptions options)
        : options_(std::move(options)), gate_(options_.tokens), acceptor_(io_), news_(io_) {
        open();
    }

    std::uint16_t port() const { return acceptor_.local_endpoint().port(); }
    std::string address() const {
        const tcp::endpoint end = acceptor_.local_endpoint();
        const std::string host =
            end.address().is_v6() ? "[" + end.address().to_string() + "]" : end.address().to_string();
        return fmt::format("http://{}:{}/", host, end.port());
    }

    void run(Backend& backend, std::function<Utc()> clock, StopOn what) {
        backend_ = &backend;
        clock_ = std::move(clock);
        api_.emplace(backend, gate_, options_.practice_clock ? ClockKind::practice : ClockKind::real);
        asio::signal_set signals(io_);
        if (what == StopOn::signals) {
            signals.add(SIGINT);
            signals.add(SIGTERM);
            signals.async_wait([this](beast::error_code error, int) {
                if (!error) finish();
            });
        }
        asio::co_spawn(io_, accept(), asio::detached);
        asio::co_spawn(io_, feed(), [](std::exception_ptr error) {
            if (error) std::rethrow_exception(error);
        });
        io_.run();
        quick_.join();
        search_.join();
    }

    void stop() {
        asio::post(io_, [this] { finish(); });
    }

private:
    void open() {
        beast::error_code error;
        const auto where = asio::ip::make_address(options_.listen, error);
        if (error)
            throw CannotListen{fmt::format(
                "--listen: expected an IP address such as 127.0.0.1, found \"{}\"; name one of this machine's.",
                options_.listen)};
        if (!where.is_loopback() && !options_.tokens)
            throw CannotListen{fmt::format(
                "--listen {}: other machines could reach this address, and without tokens everyone who does is the "
                "lead. Give --tokens FILE, or listen on 127.0.0.1.",
                options_.listen)};
        const tcp::endpoint end(where, options_.port);
        acceptor_.open(end.protocol(), error);
        if (!error) acceptor_.set_option(asio::socket_base::reuse_address(true), error);
        if (!error) acceptor_.bind(end, error);
        if (!error) acceptor_.listen(asio::socket_base::max_listen_connections, error);
        if (!error) return;
        if (error == asio::error::address_in_use)
            throw CannotListen{fmt::format(
                "Port {} on {} is in use. End what runs there, or choose another with --port (0 takes a free one).",
                options_.port, options_.listen)};
        throw CannotListen{fmt::format("Cannot listen on {} port {}: {}. Choose another with --listen or --port.",
                                       options_.listen, options_.port, error.message())};
    }

    /// On the io thread: the loops see `finished_` and end; what is still open is cut.
    void finish() {
        finished_ = true;
        io_.stop();
    }

    template <class Result, class Work>
    static awaitable<Result> work_on(Work work) {
        co_return work();
    }
    /// Works something out on a pool and comes back to the io thread.
    template <class Work>
    awaitable<std::invoke_result_t<Work>> away(asio::thread_pool& pool, Work work) {
        using Out = std::invoke_result_t<Work>;
        co_return co_await asio::co_spawn(pool, work_on<Out, Work>(std::move(work)), use_awaitable);
    }

    awaitable<void> accept() {
        while (!finished_) {
            auto [error, socket] = co_await acceptor_.async_accept(quietly);
            if (finished_) co_return;
            if (error) {
                // Out of file handles: wait for one rather than spin.
                asio::steady_timer pause(io_, std::chrono::milliseconds{50});
                co_await pause.async_wait(quietly);
                continue;
            }
            if (connections_ >= options_.most_connections) continue;  // closing it says as much as an answer would
            asio::co_spawn(io_, connection(std::move(socket)), asio::detached);
        }
    }

    awaitable<void> connection(tcp::socket socket) {
        ++connections_;
        const struct Leave {
            std::size_t& count;
            ~Leave() { --count; }
        } leave{connections_};
        beast::error_code ignored;
        socket.set_option(tcp::no_delay(true), ignored);
        const tcp::endpoint end = socket.remote_endpoint(ignored);
        const std::string remote = end.address().to_string();
        beast::tcp_stream stream(std::move(socket));
        try {
            co_await requests(stream, remote);
        } catch (const std::exception& error) {
            fmt::print(stderr, "handrail: a request failed inside the server: {}\n", error.what());
        }
        stream.socket().shutdown(tcp::socket::shutdown_both, ignored);
    }

    awaitable<void> requests(beast::tcp_stream& stream, const std::string& remote) {
        beast::flat_buffer buffer(largest_header + largest_body);
        while (!finished_) {
            http::request_parser<http::string_body> parser;
            parser.header_limit(largest_header);
            parser.body_limit(largest_body);
            // One deadline for the whole request, so that sending it a byte at a time gains nothing.
            stream.expires_after(options_.request_time);
            auto [error, size] = co_await http::async_read(stream, buffer, parser, quietly);
            if (error) {
                if (const std::optional<Answer> answer = complaint(error))
                    co_await write(stream, to_response(*answer, false), false);
                co_return;
            }
            const bool keep_alive = parser.get().keep_alive();
            const Request request = to_request(parser.get(), remote);
            stream.expires_never();
            const bool events = request.path == "/api/v1/events" || request.path == "/api/v1/everyone/events";
            if (events && request.method == "GET") {
                co_await listen(stream, request);
                co_return;
            }
            Answer answer = co_await respond(request);
            if (!co_await write(stream, to_response(std::move(answer), keep_alive), request.method == "HEAD"))
                co_return;
            if (!keep_alive) co_return;
        }
    }

    static std::optional<Answer> complaint(const beast::error_code& error) {
        if (error == http::error::end_of_stream || error == beast::error::timeout ||
            error.category() == asio::error::get_system_category() || error == http::error::partial_message)
            return std::nullopt;
        if (error == http::error::body_limit)
            return refusal(413, "The body is larger than 64 KiB; nothing was written.");
        if (error == http::error::header_limit || error == http::error::buffer_overflow)
            return refusal(431, "The header is larger than 16 KiB.");
        return refusal(400, "This is not an HTTP/1.1 request.");
    }

    awaitable<Answer> respond(const Request& request) {
        const bool slow = request.path == "/api/v1/options" || request.path == "/api/v1/what-if" ||
                          request.path == "/api/v1/document";
        asio::thread_pool& pool = slow ? search_ : quick_;
        const Utc now = clock_();
        Answer answer = co_await away(pool, [this, &request, now] {
            try {
                return api_->answer(request, now);
            } catch (const std::exception& error) {
                fmt::print(stderr, "handrail: {} {} failed: {}\n", request.method, request.path, error.what());
                return refusal(500, "The server made a mistake; the terminal it runs in says which. Nothing was lost.");
            }
        });
        if (answer.status == 201) news_.cancel();
        co_return answer;
    }

    awaitable<bool> write(beast::tcp_stream& stream, http::response<http::string_body> response, bool head) {
        stream.expires_after(options_.write_time);
        if (head) {
            http::response<http::empty_body> bare(std::move(response.base()));
            http::response_serializer<http::empty_body> serializer(bare);
            auto [error, size] = co_await http::async_write_header(stream, serializer, quietly);
            co_return !error;
        }
        auto [error, size] = co_await http::async_write(stream, response, quietly);
        co_return !error;
    }

    awaitable<void> listen(beast::tcp_stream& stream, const Request& request) {
        const std::variant<Role, Answer> may = api_->may_listen(request, clock_());
        if (const Answer* refused = std::get_if<Answer>(&may)) {
            co_await write(stream, to_response(*refused, false), false);
            co_return;
        }
        http::response<http::empty_body> head;
        head.version(11);
        head.result(http::status::ok);
        harden(head);
        head.set(http::field::content_type, "text/event-stream");
        head.set(http::field::cache_control, "no-store");
        head.set("X-Accel-Buffering", "no");
        head.set(http::field::connection, "close");
        http::response_serializer<http::empty_body> serializer(head);
        stream.expires_after(options_.write_time);
        auto [error, size] = co_await http::async_write_header(stream, serializer, quietly);
        if (error) co_return;

        const auto listener = std::make_shared<Listener>(std::get<Role>(may));
        asio::steady_timer wake(io_, asio::steady_timer::time_point::max());
        listener->write_now = [&stream](const std::string& frame) -> std::size_t {
            beast::error_code failed;
            tcp::socket& socket = stream.socket();
            if (!socket.non_blocking()) socket.non_blocking(true, failed);
            const std::size_t written = failed ? 0 : socket.write_some(asio::buffer(frame), failed);
            // Whatever failed is found again, and dealt with, by the write that waits.
            return failed ? 0 : written;
        };
        listener->push(std::make_shared<const std::string>("retry: 1000\n\n"));
        listeners_.push_back(listener);
        open_[listener.get()] = Stream{&wake, request};
        news_.cancel();
        co_await stream_to(stream, *listener, wake);
        open_.erase(listener.get());
        listener->write_now = nullptr;
        listener->lost = true;
    }

    awaitable<void> stream_to(beast::tcp_stream& stream, Listener& listener, asio::steady_timer& wake) {
        while (!finished_ && !listener.lost) {
            if (listener.queue.empty()) {
                wake.expires_at(asio::steady_timer::time_point::max());
                co_await wake.async_wait(quietly);
                continue;
            }
            const Frame frame = listener.queue.front();
            listener.queue.pop_front();
            listener.writing = true;
            stream.expires_after(options_.write_time);
            auto [error, size] = co_await asio::async_write(stream, asio::buffer(*frame), quietly);
            stream.expires_never();
            listener.writing = false;
            if (error) co_return;
        }
    }

    /// An open event stream: what wakes it, and the request that asked for it.
    struct Stream {
        asio::steady_timer* wake = nullptr;
        Request asked;
    };
    /// A session that was ended or has grown old takes its streams with it.
    void end_revoked(Utc now) {
        for (const auto& listener : listeners_)
            if (const auto found = open_.find(listener.get()); found != open_.end())
                if (std::holds_alternative<Answer>(api_->may_listen(found->second.asked, now))) listener->lost = true;
    }

    /// Looks for news and tells the listeners; the one loop behind the event stream.
    awaitable<void> feed() {
        Utc beaten{}, refreshed{};
        while (!finished_) {
            news_.expires_after(options_.look_every);
            co_await news_.async_wait(quietly);  // cancelled when something was written here
            if (finished_) co_return;
            std::erase_if(listeners_, [](const auto& listener) { return listener->lost; });
            if (listeners_.empty()) continue;
            const Utc now = clock_();
            const bool refresh = now - refreshed >= options_.status_every;
            bool failed = false;
            try {
                const std::uint64_t newest = co_await away(quick_, [this] { return backend_->newest(); });
                const std::vector<Role> roles = wanted(listeners_, told_, newest, refresh);
                if (!roles.empty()) {
                    // Nobody else touches told_ while the worker reads it.
                    AllTold fresh =
                        co_await away(quick_, [this, &roles, now] { return work_out(*backend_, roles, told_, now); });
                    tell(listeners_, fresh);
                    for (auto& [role, told] : fresh) told_[role] = std::move(told);
                }
                if (refresh) refreshed = now;
                if (now - beaten >= options_.beat_every) {
                    end_revoked(now);
                    beat(listeners_, now, newest);
                    beaten = now;
                }
            } catch (const std::exception& error) {
                // No heartbeat either: the pages will say that they are stale, which is the truth.
                fmt::print(stderr, "handrail: the state cannot be worked out: {}\n", error.what());
                failed = true;
            }
            if (failed) {
                asio::steady_timer pause(io_, std::chrono::seconds{1});
                co_await pause.async_wait(quietly);
            }
            for (const auto& listener : listeners_)
                if (listener->queue.empty() && !listener->lost)
                    continue;
                else if (const auto found = open_.find(listener.get()); found != open_.end())
                    found->second.wake->cancel();
        }
    }

    const ServerOptions options_;
    Gate gate_;
    // Set by run() before anything is answered.
    Backend* backend_ = nullptr;
    std::function<Utc()> clock_;
    std::optional<Api> api_;
    // The pools outlive the io context's coroutines, which wait for work on them.
    asio::thread_pool quick_{quick_threads}, search_{search_threads};
    asio::io_context io_{1};
    tcp::acceptor acceptor_;
    asio::steady_timer news_;
    Listeners listeners_;
    AllTold told_;
    std::map<const Listener*, Stream> open_;
    std::size_t connections_ = 0;
    bool finished_ = false;
};

Server::Server(ServerOptions options) : core_(std::make_unique<Core>(std::move(options))) {}
Server::~Server() = default;
std::uint16_t Server::port() const { return core_->port(); }
std::string Server::address() const { return core_->address(); }
void Server::run(Backend& backend, std::function<Utc()> clock, StopOn what) {
    core_->run(backend, std::move(clock), what);
}
void Server::stop() { core_->stop(); }

}  // namespace handrail::serve
