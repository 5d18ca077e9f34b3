#include "serve/gate.h"

#include <gmock/gmock.h>

#include "fake_backend.h"

namespace handrail::serve {
namespace {

using test::get;
using test::morning;
using test::post;
using test::with_token;

unsigned status_of(const std::variant<Role, Answer>& asks) {
    const Answer* refused = std::get_if<Answer>(&asks);
    return refused ? refused->status : 200;
}

TEST(NamesThisMachine, TakesLoopbackLiteralsAndLocalhostOnly) {
    for (const char* host :
         {"127.0.0.1", "127.0.0.1:8630", "127.9.9.9", "localhost", "localhost:1", "[::1]", "[::1]:80"})
        EXPECT_TRUE(names_this_machine(host)) << host;
    for (const char* host : {"", "example.org", "127.0.0.1.example.org", "127.evil", "localhost.example.org", "[::2]",
                             "[::1]x", "10.0.0.1", "1270.0.0.1"})
        EXPECT_FALSE(names_this_machine(host)) << host;
}

TEST(Gate, WithoutTokensWhoeverReachesLoopbackIsTheLead) {
    Gate gate{std::nullopt};
    EXPECT_EQ(std::get<Role>(gate.who_asks(get("/api/v1/status"), morning())), Role::lead);
}

TEST(Gate, WithoutTokensAForeignNamePointedAtThisMachineIsRefused) {
    Gate gate{std::nullopt};
    Request request = get("/api/v1/status");
    request.host = "attacker.example:8630";
    EXPECT_EQ(status_of(gate.who_asks(request, morning())), 403u);
}

TEST(Gate, WithTokensABearerTokenGivesTheRoleAndNothingElseDoes) {
    Gate gate{test::four_tokens()};
    EXPECT_EQ(status_of(gate.who_asks(get("/"), morning())), 401u);
    EXPECT_EQ(status_of(gate.who_asks(with_token(get("/"), "wrong"), morning())), 401u);
    EXPECT_EQ(std::get<Role>(gate.who_asks(with_token(get("/"), test::console_token), morning())), Role::console);
}

TEST(Gate, SigningInGivesACookieThatWorksUntilSignedOut) {
    Gate gate{test::four_tokens()};
    const Answer in = gate.sign_in(post("/api/v1/session", {{"token", test::medical_token}}), morning());
    ASSERT_EQ(in.status, 200u);
    const std::string cookie = in.headers.at(0).second;
    EXPECT_THAT(cookie, testing::HasSubstr("HttpOnly"));
    EXPECT_THAT(cookie, testing::HasSubstr("SameSite=Strict"));
    EXPECT_THAT(cookie, testing::Not(testing::HasSubstr(test::medical_token)));
    Request request = get("/api/v1/status");
    request.cookie = "other=1; " + cookie.substr(0, cookie.find(';'));
    EXPECT_EQ(std::get<Role>(gate.who_asks(request, morning())), Role::medical);
    EXPECT_EQ(status_of(gate.who_asks(request, morning() + std::chrono::hours{25})), 401u);
    gate.sign_out(request);
    EXPECT_EQ(status_of(gate.who_asks(request, morning())), 401u);
}

TEST(Gate, TheLeadSeesWhoIsSignedInAndEndsAnySession) {
    Gate gate{test::four_tokens()};
    const auto sign_in = [&](const char* token) {
        const Answer in = gate.sign_in(post("/api/v1/session", {{"token", token}}), morning());
        Request request = get("/api/v1/sessions");
        request.cookie = in.headers.at(0).second.substr(0, in.headers.at(0).second.find(';'));
        return request;
    };
    Request lead = sign_in(test::lead_token);
    const Request console = sign_in(test::console_token), medical = sign_in(test::medical_token);
    const auto list = nlohmann::json::parse(gate.sessions(lead, morning()).body)["sessions"];
    ASSERT_EQ(list.size(), 3u);
    EXPECT_EQ(list[0]["own"], true);
    EXPECT_EQ(list[1]["role"], "console");
    EXPECT_EQ(list.dump().find(console.cookie.substr(console.cookie.find('=') + 1)), std::string::npos);
    lead.body = nlohmann::json{{"number", list[1]["number"]}}.dump();
    EXPECT_EQ(gate.revoke(lead).status, 200u);
    EXPECT_EQ(status_of(gate.who_asks(console, morning())), 401u);
    EXPECT_EQ(status_of(gate.who_asks(medical, morning())), 200u);
    lead.body = "{}";
    EXPECT_EQ(nlohmann::json::parse(gate.revoke(lead).body)["ended"], 1);
    EXPECT_EQ(status_of(gate.who_asks(medical, morning())), 401u);
    EXPECT_EQ(status_of(gate.who_asks(lead, morning())), 200u);
    lead.body = R"({"number": "all"})";
    EXPECT_EQ(gate.revoke(lead).status, 400u);
}

TEST(Gate, DraftsHaveAPaceOfTheirOwnSoThatDraggingNeverKeepsAnEntryOut) {
    Gate gate{std::nullopt};
    const Request request = post("/api/v1/edits", nlohmann::json::object());
    std::size_t drafts = 0;
    while (!gate.may_write(request, Pace::drafting, morning())) ++drafts;
    EXPECT_EQ(drafts, 300u);
    EXPECT_EQ(gate.may_write(request, Pace::writing, morning()), std::nullopt);
}

TEST(Gate, GuessingTokensIsSlowedDown) {
    Gate gate{test::four_tokens()};
    unsigned last = 0;
    for (int guess = 0; guess < 10; ++guess)
        last = gate.sign_in(post("/api/v1/session", {{"token", "guess"}}), morning()).status;
    EXPECT_EQ(last, 429u);
    EXPECT_EQ(gate.sign_in(post("/api/v1/session", {{"token", "guess"}}), morning() + std::chrono::minutes{5}).status,
              401u);
}

TEST(Gate, AWriteMustBeJsonFromThePagesOwnOrigin) {
    Gate gate{std::nullopt};
    const Request good = post("/api/v1/entries", {});
    EXPECT_EQ(gate.may_write(good, Pace::writing, morning()), std::nullopt);
    Request form = good;
    form.content_type = "application/x-www-form-urlencoded";
    EXPECT_EQ(gate.may_write(form, Pace::writing, morning())->status, 415u);
    Request plain = good;
    plain.content_type = "text/plain";
    EXPECT_EQ(gate.may_write(plain, Pace::writing, morning())->status, 415u);
    Request charset = good;
    charset.content_type = "Application/JSON; charset=utf-8";
    EXPECT_EQ(gate.may_write(charset, Pace::writing, morning()), std::nullopt);
    for (const char* origin : {"http://attacker.example", "null", "http://127.0.0.1:1", "file://"}) {
        Request foreign = good;
        foreign.origin = origin;
        EXPECT_EQ(gate.may_write(foreign, Pace::writing, morning())->status, 403u) << origin;
    }
    Request cross_site = good;
    cross_site.origin.clear();
    cross_site.fetch_site = "cross-site";
    EXPECT_EQ(gate.may_write(cross_site, Pace::writing, morning())->status, 403u);
    Request command_line = good;  // curl sends neither
    command_line.origin.clear();
    EXPECT_EQ(gate.may_write(command_line, Pace::writing, morning()), std::nullopt);
}

TEST(RateLimit, LetsABurstThroughThenOnlyItsRateAndKeepsAddressesApart) {
    RateLimit limit(1, 3);
    for (int i = 0; i < 3; ++i) EXPECT_TRUE(limit.take("a", morning()));
    EXPECT_FALSE(limit.take("a", morning()));
    EXPECT_TRUE(limit.take("b", morning()));
    EXPECT_TRUE(limit.take("a", morning() + std::chrono::seconds{1}));
    EXPECT_FALSE(limit.take("a", morning() + std::chrono::seconds{1}));
}

TEST(RateLimit, AFloodOfAddressesDoesNotGrowItsMemoryForEver) {
    RateLimit limit(1, 1);
    for (int i = 0; i < 4096; ++i) EXPECT_TRUE(limit.take(std::to_string(i), morning()));
    EXPECT_FALSE(limit.take("one more", morning()));
    EXPECT_TRUE(limit.take("one more", morning() + std::chrono::minutes{1}));
}

}  // namespace
}  // namespace handrail::serve
