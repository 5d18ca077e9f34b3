#include "serve/server.h"

#include <gmock/gmock.h>

#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <chrono>
#include <thread>

#include "fake_backend.h"

namespace handrail::serve {
namespace {

namespace asio = boost::asio;
namespace http = boost::beast::http;
using asio::ip::tcp;
using nlohmann::json;
using testing::HasSubstr;

/// A server on a free port, with short times so that tests of waiting are quick.
struct ServerTest : testing::Test {
    test::FakeBackend backend;
    std::unique_ptr<Server> server;
    std::jthread thread;

    void start(std::optional<Tokens> tokens = std::nullopt) {
        ServerOptions options;
        options.tokens = std::move(tokens);
        options.beat_every = Milliseconds{50};
        options.status_every = Milliseconds{100};
        options.look_every = Milliseconds{10};
        options.request_time = Milliseconds{300};
        server = std::make_unique<Server>(std::move(options));
        thread = std::jthread([this] {
            server->run(
                backend, [] { return std::chrono::floor<Milliseconds>(std::chrono::system_clock::now()); },
                StopOn::nothing);
        });
    }
    ~ServerTest() override {
        if (server) server->stop();
    }

    tcp::socket connect() {
        tcp::socket socket(io);
        socket.connect({asio::ip::make_address("127.0.0.1"), server->port()});
        return socket;
    }
    std::string host() const { return "127.0.0.1:" + std::to_string(server->port()); }
    /// Sends bytes as they are and reads until the other end closes.
    std::string raw(const std::string& bytes) {
        tcp::socket socket = connect();
        boost::system::error_code error;
        asio::write(socket, asio::buffer(bytes), error);
        std::string all;
        asio::read(socket, asio::dynamic_buffer(all), error);
        return all;
    }
    std::string request(const std::string& line, const std::string& more = {}, const std::string& body = {}) {
        return raw(line + " HTTP/1.1\r\nHost: " + host() + "\r\nConnection: close\r\n" + more +
                   (body.empty() ? "" : "Content-Length: " + std::to_string(body.size()) + "\r\n") + "\r\n" + body);
    }
    std::string write_line(const std::string& line, std::uint64_t seen) {
        return request("POST /api/v1/entries", "Content-Type: application/json\r\n",
                       json{{"line", line}, {"author", "lead"}, {"seen", seen}}.dump());
    }

    /// One open event stream.
    struct Stream {
        tcp::socket socket;
        std::string seen;
        bool read_until(const std::string& text) {
            std::array<char, 4096> some{};
            while (seen.find(text) == std::string::npos) {
                boost::system::error_code error;
                const std::size_t size = socket.read_some(asio::buffer(some), error);
                if (error) return false;
                seen.append(some.data(), size);
            }
            return true;
        }
    };
    Stream listen(const std::string& more = {}) {
        Stream stream{connect(), {}};
        asio::write(stream.socket,
                    asio::buffer("GET /api/v1/events HTTP/1.1\r\nHost: " + host() + "\r\n" + more + "\r\n"));
        return stream;
    }

    asio::io_context io;
};

TEST_F(ServerTest, EveryAnswerCarriesTheHeadersThatKeepThePageToItself) {
    start();
    for (const char* line : {"GET /", "GET /api/v1/status", "GET /nothing", "POST /"}) {
        const std::string answer = request(line);
        EXPECT_THAT(answer, HasSubstr("Content-Security-Policy: default-src 'none'; script-src 'self'")) << line;
        EXPECT_THAT(answer, HasSubstr("X-Content-Type-Options: nosniff")) << line;
        EXPECT_THAT(answer, HasSubstr("frame-ancestors 'none'")) << line;
    }
}

TEST_F(ServerTest, AHeadRequestGetsTheLengthButNoBody) {
    start();
    const std::string answer = request("HEAD /");
    EXPECT_THAT(answer, testing::StartsWith("HTTP/1.1 200"));
    EXPECT_THAT(answer, HasSubstr("Content-Length: "));
    EXPECT_THAT(answer, testing::EndsWith("\r\n\r\n"));
}

TEST_F(ServerTest, AConnectionServesSeveralRequests) {
    start();
    const std::string one = "GET /api/v1/status HTTP/1.1\r\nHost: " + host() + "\r\n\r\n";
    const std::string last = "GET /api/v1/session HTTP/1.1\r\nHost: " + host() + "\r\nConnection: close\r\n\r\n";
    const std::string answers = raw(one + one + last);
    EXPECT_THAT(answers, HasSubstr(R"("role":"lead","tokens":false)"));
}

TEST_F(ServerTest, TooMuchIsRefused) {
    start();
    EXPECT_THAT(raw("POST /api/v1/entries HTTP/1.1\r\nHost: " + host() + "\r\nContent-Length: 70000\r\n\r\n"),
                testing::StartsWith("HTTP/1.1 413"));
    EXPECT_THAT(request("GET /", "X-Long: " + std::string(20000, 'x') + "\r\n"), testing::StartsWith("HTTP/1.1 431"));
    EXPECT_THAT(raw("what is this\r\n\r\n"), testing::StartsWith("HTTP/1.1 400"));
    EXPECT_EQ(backend.newest(), 0u);
}

TEST_F(ServerTest, ARequestThatNeverEndsIsDroppedAndOthersAreServedMeanwhile) {
    start();
    tcp::socket slow = connect();
    asio::write(slow, asio::buffer(std::string("GET / HTTP/1.1\r\nHo")));
    EXPECT_THAT(request("GET /api/v1/status"), testing::StartsWith("HTTP/1.1 200"));
    std::string rest;
    boost::system::error_code error;
    asio::read(slow, asio::dynamic_buffer(rest), error);  // returns because the server hangs up
    EXPECT_TRUE(rest.empty());
}

TEST_F(ServerTest, AWrittenEntryReachesEveryListener) {
    start();
    Stream first = listen(), second = listen();
    ASSERT_TRUE(first.read_until("event: status"));
    ASSERT_TRUE(second.read_until("event: status"));
    EXPECT_THAT(write_line("started valve.1", 0), testing::StartsWith("HTTP/1.1 201"));
    EXPECT_TRUE(first.read_until("started valve.1"));
    EXPECT_TRUE(second.read_until("started valve.1"));
    EXPECT_THAT(first.seen, HasSubstr("id: 1\nevent: change"));
}

TEST_F(ServerTest, AnEntryOfAnotherProcessReachesTheListenersToo) {
    start();
    Stream stream = listen();
    ASSERT_TRUE(stream.read_until("event: status"));
    (void)backend.append(EntryRequest{"started elsewhere", "lead", 0, {}}, {});
    EXPECT_TRUE(stream.read_until("started elsewhere"));
}

TEST_F(ServerTest, WhoeverComesBackGetsEverythingMissed) {
    start();
    (void)write_line("started valve.1", 0);
    (void)write_line("finished valve.1", 1);
    Stream stream = listen("Last-Event-ID: 1\r\n");
    EXPECT_TRUE(stream.read_until("finished valve.1"));
    EXPECT_THAT(stream.seen, HasSubstr("id: 2\nevent: status"));
}

TEST_F(ServerTest, TheHeartbeatStopsWhenTheStateCannotBeWorkedOut) {
    start();
    Stream stream = listen();
    ASSERT_TRUE(stream.read_until("event: beat"));
    backend.broken = true;
    EXPECT_THAT(request("GET /api/v1/status"), testing::StartsWith("HTTP/1.1 500"));
    std::this_thread::sleep_for(std::chrono::milliseconds{100});
    stream.socket.non_blocking(true);
    boost::system::error_code error;
    std::array<char, 65536> drained{};
    while (!error) stream.socket.read_some(asio::buffer(drained), error);
    std::this_thread::sleep_for(std::chrono::milliseconds{200});
    error.clear();
    EXPECT_EQ(stream.socket.read_some(asio::buffer(drained), error), 0u);
    EXPECT_EQ(error, asio::error::would_block);
}

TEST_F(ServerTest, AStreamNeedsATokenWhereTheServerDoes) {
    start(test::four_tokens());
    EXPECT_THAT(request("GET /api/v1/events"), testing::StartsWith("HTTP/1.1 401"));
    Stream stream = listen(std::string("Authorization: Bearer ") + test::public_token + "\r\n");
    EXPECT_TRUE(stream.read_until(R"("role":"public")"));
}

TEST_F(ServerTest, StoppingEndsOpenStreams) {
    start();
    Stream stream = listen();
    ASSERT_TRUE(stream.read_until("event: status"));
    server->stop();
    thread.join();
    server.reset();
    EXPECT_FALSE(stream.read_until("never sent"));
}

std::string refusal_of(ServerOptions options) {
    try {
        Server server(std::move(options));
    } catch (const CannotListen& error) {
        return error.sentence;
    }
    return "";
}

TEST_F(ServerTest, AnAddressOthersCanReachNeedsTokens) {
    ServerOptions options;
    options.listen = "0.0.0.0";
    EXPECT_THAT(refusal_of(options), HasSubstr("--tokens"));
    options.tokens = test::four_tokens();
    EXPECT_EQ(refusal_of(options), "");
    options.listen = "somewhere";
    EXPECT_THAT(refusal_of(options), HasSubstr("expected an IP address"));
}

TEST_F(ServerTest, APortInUseIsSaidPlainly) {
    start();
    ServerOptions options;
    options.port = server->port();
    EXPECT_THAT(refusal_of(options), HasSubstr("is in use"));
}

}  // namespace
}  // namespace handrail::serve
