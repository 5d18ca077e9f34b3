#include "serve/api.h"

#include <gmock/gmock.h>

#include "fake_backend.h"
#include "serve/assets.h"

namespace handrail::serve {
namespace {

using nlohmann::json;
using test::get;
using test::morning;
using test::post;
using test::with_token;
using testing::HasSubstr;
using testing::Not;

struct ApiTest : testing::Test {
    test::FakeBackend backend;
    Gate open{std::nullopt}, guarded{test::four_tokens()};
    Api api{backend, open}, guarded_api{backend, guarded};

    json entry(const std::string& line, std::uint64_t seen) const {
        return {{"line", line}, {"author", "lead"}, {"seen", seen}};
    }
    Answer write(const json& body) { return api.answer(post("/api/v1/entries", body), morning()); }
};

TEST_F(ApiTest, AnEntryIsWrittenAndItsPositionReturned) {
    const Answer answer = write(entry("started valve.1", 0));
    EXPECT_EQ(answer.status, 201u);
    EXPECT_EQ(json::parse(answer.body), json({{"position", 1}}));
}

TEST_F(ApiTest, AnEntryBasedOnAnOldPositionIsAConflictWithTheNewerState) {
    write(entry("started valve.1", 0));
    const Answer answer = write(entry("started camera.1", 0));
    EXPECT_EQ(answer.status, 409u);
    const json body = json::parse(answer.body);
    EXPECT_EQ(body["position"], 1);
    EXPECT_EQ(body["status"]["record"].size(), 1u);
    EXPECT_THAT(body["error"].get<std::string>(), HasSubstr("Somebody wrote"));
    EXPECT_EQ(backend.newest(), 1u);
}

TEST_F(ApiTest, AConflictTellsWhatWasWrittenSinceThePositionNamed) {
    write(entry("started valve.1", 0));
    write(entry("finished valve.1", 1));
    write(entry("started valve.2", 2));
    const json body = json::parse(write(entry("started camera.1", 1)).body);
    ASSERT_EQ(body["since"].size(), 2u);
    EXPECT_EQ(body["since"][0]["position"], 2);
    EXPECT_THAT(body["error"].get<std::string>(),
                HasSubstr("since entry 1: \"finished valve.1\", \"started valve.2\";"));
}

TEST_F(ApiTest, OfManyEntriesAConflictTellsThreeAndCountsTheRest) {
    for (std::uint64_t i = 0; i < 5; ++i) write(entry("line " + std::to_string(i), i));
    const json body = json::parse(write(entry("started camera.1", 0)).body);
    EXPECT_EQ(body["since"].size(), 5u);
    EXPECT_THAT(body["error"].get<std::string>(), HasSubstr("\"line 2\" and 2 more; nothing was written"));
}

TEST_F(ApiTest, APositionThatTheJournalDoesNotHaveIsCalledThat) {
    write(entry("started valve.1", 0));
    const Answer answer = write(entry("started camera.1", 7));
    EXPECT_EQ(answer.status, 409u);
    EXPECT_THAT(json::parse(answer.body)["error"].get<std::string>(), HasSubstr("nobody can have seen entry 7"));
}

TEST_F(ApiTest, AWhatIfIsAnsweredAndNothingIsWritten) {
    const Answer answer = api.answer(post("/api/v1/what-if", {{"lines", {"arm lost", "hold"}}}), morning());
    EXPECT_EQ(answer.status, 200u);
    const json body = json::parse(answer.body);
    EXPECT_EQ(body["supposed"], json({"arm lost", "hold"}));
    EXPECT_TRUE(body.contains("status") && body.contains("options"));
    EXPECT_EQ(backend.newest(), 0u);
}

TEST_F(ApiTest, AWhatIfThatCannotBeReadIsRefusedWithASentence) {
    const std::vector<std::pair<json, const char*>> all{
        {json::array(), "not a JSON object"},
        {json::object(), "lines: expected a list of 1 to 8 texts"},
        {{{"lines", "arm lost"}}, "lines: expected a list"},
        {{{"lines", json::array()}}, "lines: expected a list"},
        {{{"lines", {"a", 7}}}, "lines: expected a list"},
        {{{"lines", std::vector<std::string>(9, "hold")}}, "lines: expected a list"},
        {{{"lines", {"hold", ""}}}, "lines: expected one line"},
        {{{"lines", {"a\nb"}}}, "control characters"},
        {{{"lines", {"gibberish"}}}, "found gibberish"}};
    for (const auto& [body, says] : all) {
        const Answer answer = api.answer(post("/api/v1/what-if", body), morning());
        EXPECT_EQ(answer.status, 400u) << body;
        EXPECT_THAT(json::parse(answer.body)["error"].get<std::string>(), HasSubstr(says)) << body;
    }
}

TEST_F(ApiTest, WhoeverReadsTheStateMayAskWhatIfAndGetsTheirOwnView) {
    write(entry("medical: the marker", 0));
    const Request request = post("/api/v1/what-if", {{"lines", {"arm lost"}}});
    EXPECT_EQ(guarded_api.answer(request, morning()).status, 401u);
    EXPECT_EQ(guarded_api.answer(with_token(request, test::public_token), morning()).status, 403u);
    for (const char* token : {test::lead_token, test::console_token}) {
        const Answer answer = guarded_api.answer(with_token(request, token), morning());
        EXPECT_EQ(answer.status, 200u);
        EXPECT_THAT(answer.body, Not(HasSubstr("marker")));
    }
    EXPECT_THAT(guarded_api.answer(with_token(request, test::medical_token), morning()).body, HasSubstr("marker"));
}

TEST_F(ApiTest, TheSameWriteSentTwiceIsDoneOnce) {
    json body = entry("started valve.1", 0);
    body["id"] = "page-1-entry-1";
    const Answer first = write(body), second = write(body);
    EXPECT_EQ(first.status, 201u);
    EXPECT_EQ(second.status, 201u);
    EXPECT_EQ(first.body, second.body);
    EXPECT_EQ(backend.newest(), 1u);
}

TEST_F(ApiTest, AWriteThatFailedMayBeSentAgainUnderItsId) {
    json body = entry("started valve.1", 0);
    body["id"] = "page-1-entry-1";
    backend.full = true;
    EXPECT_EQ(write(body).status, 503u);
    backend.full = false;
    EXPECT_EQ(write(body).status, 201u);
}

TEST_F(ApiTest, BadEntriesAreRefusedWithASentenceAndNothingIsWritten) {
    const json good = entry("started valve.1", 0);
    struct Bad {
        const char* why;
        json body;
        const char* says;
    };
    const auto with = [&](const char* key, const json& value) {
        json body = good;
        body[key] = value;
        return body;
    };
    const auto without = [&](const char* key) {
        json body = good;
        body.erase(key);
        return body;
    };
    const std::vector<Bad> all{
        {"no object", json::array(), "not a JSON object"},
        {"no line", without("line"), "line: expected a text, found nothing"},
        {"a number as line", with("line", 7), "line: expected a text, found 7"},
        {"an empty line", with("line", ""), "line: expected one line"},
        {"a long line", with("line", std::string(2001, 'x')), "2001"},
        {"two lines", with("line", "a\nb"), "control characters"},
        {"no author", without("author"), "author: expected a text"},
        {"no position", without("seen"), "seen: expected the newest"},
        {"a negative position", with("seen", -1), "seen: expected the newest"},
        {"a position as text", with("seen", "0"), "seen: expected the newest"},
        {"a time that is none", with("at", "noon"), "at: expected"},
        {"the future", with("at", "2031-04-05T09:00:00Z"), "a time that has passed"},
        {"what the record cannot take", with("line", "gibberish"), "found gibberish"},
    };
    for (const Bad& bad : all) {
        const Answer answer = write(bad.body);
        EXPECT_EQ(answer.status, 400u) << bad.why;
        EXPECT_THAT(json::parse(answer.body)["error"].get<std::string>(), HasSubstr(bad.says)) << bad.why;
    }
    Request torn = post("/api/v1/entries", {});
    torn.body = "{\"line\": \"sta";
    EXPECT_EQ(api.answer(torn, morning()).status, 400u);
    torn.body = "{\"line\": \"\xff\xfe\"}";
    EXPECT_EQ(api.answer(torn, morning()).status, 400u);
    EXPECT_EQ(backend.newest(), 0u);
}

TEST_F(ApiTest, AnEntryFromAClockASecondAheadCountsAsNow) {
    json body = entry("started valve.1", 0);
    body["at"] = "2031-04-05T08:00:01Z";
    EXPECT_EQ(write(body).status, 201u);
}

TEST_F(ApiTest, UnknownAddressesAndMethodsAreRefused) {
    EXPECT_EQ(api.answer(get("/api/v1/nothing"), morning()).status, 404u);
    EXPECT_EQ(api.answer(get("/api/v1/status/"), morning()).status, 404u);
    const Answer wrong = api.answer(post("/api/v1/status", {}), morning());
    EXPECT_EQ(wrong.status, 405u);
    EXPECT_EQ(wrong.headers.at(0).second, "GET");
}

TEST_F(ApiTest, NoAddressReachesAFileOutsideTheFixedTable) {
    for (const char* path : {"/../etc/passwd", "/..%2f..%2fetc/passwd", "//etc/passwd", "/assets/../index.html",
                             "/assets/", "/./", "/%2e%2e/", "etc/passwd", "", "\\..\\x"})
        EXPECT_EQ(api.answer(get(path), morning()).status, 404u) << path;
}

TEST_F(ApiTest, ThePageHasAStrongEtagAndIsNotSentTwice) {
    const Answer page = api.answer(get("/"), morning());
    EXPECT_EQ(page.status, 200u);
    EXPECT_THAT(page.content_type, HasSubstr("text/html"));
    EXPECT_THAT(page.body, HasSubstr("<!doctype html>"));
    ASSERT_EQ(page.headers.at(0).first, "ETag");
    Request again = get("/");
    again.if_none_match = page.headers.at(0).second;
    const Answer same = api.answer(again, morning());
    EXPECT_EQ(same.status, 304u);
    EXPECT_TRUE(same.body.empty());
}

TEST_F(ApiTest, EveryAssetIsServedAndItsCompressedFormHasItsOwnEtag) {
    for (const Asset& asset : console_assets()) {
        EXPECT_FALSE(asset.body.empty()) << asset.path;
        EXPECT_TRUE(asset.etag.starts_with('"') && asset.etag.ends_with('"') && asset.etag.size() > 20) << asset.etag;
        const Answer plain = api.answer(get(std::string(asset.path)), morning());
        EXPECT_EQ(plain.body, asset.body);
        if (asset.gzip.empty()) continue;
        Request request = get(std::string(asset.path));
        request.accept_encoding = "gzip, deflate, br";
        const Answer packed = api.answer(request, morning());
        EXPECT_EQ(packed.body, asset.gzip);
        EXPECT_NE(packed.headers.at(0).second, plain.headers.at(0).second);
    }
}

TEST_F(ApiTest, TheRecordStartsAfterThePositionAskedFor) {
    write(entry("started valve.1", 0));
    write(entry("finished valve.1", 1));
    const json all = json::parse(api.answer(get("/api/v1/record"), morning()).body);
    EXPECT_EQ(all["entries"].size(), 2u);
    const json rest = json::parse(api.answer(get("/api/v1/record", "from=1"), morning()).body);
    EXPECT_EQ(rest["entries"].size(), 1u);
    for (const char* query : {"from=x", "from=-1", "from=1x", "from=99999999999999999999"})
        EXPECT_EQ(api.answer(get("/api/v1/record", query), morning()).status, 400u) << query;
}

TEST_F(ApiTest, OnlyTheLeadWrites) {
    const Request request = post("/api/v1/entries", entry("started valve.1", 0));
    EXPECT_EQ(guarded_api.answer(request, morning()).status, 401u);
    EXPECT_EQ(guarded_api.answer(with_token(request, test::console_token), morning()).status, 403u);
    EXPECT_EQ(guarded_api.answer(with_token(request, test::medical_token), morning()).status, 403u);
    EXPECT_EQ(guarded_api.answer(with_token(request, test::public_token), morning()).status, 403u);
    EXPECT_EQ(backend.newest(), 0u);
    EXPECT_EQ(guarded_api.answer(with_token(request, test::lead_token), morning()).status, 201u);
}

TEST_F(ApiTest, ThePublicGetsItsOwnDocumentAndNothingElse) {
    write(entry("medical: the marker", 0));
    for (const Route& route : routes()) {
        if (route.method != "GET" || route.path.ends_with("/events")) continue;
        const Answer answer =
            guarded_api.answer(with_token(get(std::string(route.path)), test::public_token), morning());
        EXPECT_THAT(answer.body, Not(HasSubstr("marker"))) << route.path;
        const bool its_own =
            route.path == "/api/v1/status" || route.path == "/api/v1/session" || route.path == "/api/v1/everyone";
        EXPECT_EQ(answer.status, its_own ? 200u : 403u) << route.path;
    }
    const Answer status = guarded_api.answer(with_token(get("/api/v1/status"), test::public_token), morning());
    EXPECT_EQ(json::parse(status.body)["role"], "public");
}

TEST_F(ApiTest, WhatEveryoneMayKnowIsTheSameForEveryRole) {
    for (const char* token : {test::lead_token, test::console_token, test::medical_token, test::public_token}) {
        const Answer answer = guarded_api.answer(with_token(get("/api/v1/everyone"), token), morning());
        EXPECT_EQ(answer.status, 200u);
        EXPECT_EQ(json::parse(answer.body)["role"], "public");
        const auto role = guarded_api.may_listen(with_token(get("/api/v1/everyone/events"), token), morning());
        ASSERT_TRUE(std::holds_alternative<Role>(role));
        EXPECT_EQ(std::get<Role>(role), Role::public_view);
    }
    EXPECT_EQ(guarded_api.answer(get("/api/v1/everyone"), morning()).status, 401u);
    EXPECT_TRUE(std::holds_alternative<Answer>(guarded_api.may_listen(get("/api/v1/everyone/events"), morning())));
}

TEST_F(ApiTest, AWalkThroughIsDataOrAPageToKeep) {
    EXPECT_EQ(api.answer(get("/api/v1/walk-through", "words=crew"), morning()).body, "{}");
    EXPECT_EQ(api.answer(get("/api/v1/walk-through"), morning()).body, "{} ") << "the public's words by default";
    const Answer page = api.answer(get("/api/v1/walk-through.html"), morning());
    EXPECT_EQ(page.content_type, "text/html; charset=utf-8");
    EXPECT_THAT(page.headers, testing::Contains(testing::Pair("Content-Disposition", HasSubstr("attachment"))));
    EXPECT_EQ(api.answer(get("/api/v1/walk-through", "words=x"), morning()).status, 400u);
}

TEST_F(ApiTest, PrivateWordsReachTheMedicalRoleOnly) {
    write(entry("medical: the marker", 0));
    for (const Route& route : routes()) {
        if (route.method != "GET" || route.path == "/api/v1/events") continue;
        for (const char* token : {test::lead_token, test::console_token, test::public_token}) {
            const Answer answer = guarded_api.answer(with_token(get(std::string(route.path)), token), morning());
            EXPECT_THAT(answer.body, Not(HasSubstr("marker"))) << route.path << " as " << token;
        }
    }
    const Answer medical = guarded_api.answer(with_token(get("/api/v1/record"), test::medical_token), morning());
    EXPECT_THAT(medical.body, HasSubstr("marker"));
}

TEST_F(ApiTest, AConflictShowsAWriterOnlyWhatTheirRoleMayRead) {
    write(entry("medical: the marker", 0));
    const Answer stale = guarded_api.answer(
        with_token(post("/api/v1/entries", entry("started valve.1", 0)), test::lead_token), morning());
    EXPECT_EQ(stale.status, 409u);
    EXPECT_THAT(stale.body, Not(HasSubstr("marker")));
}

TEST(Answered, ForgetsTheOldestBeyondAThousand) {
    Answered answered;
    for (int i = 0; i <= 1000; ++i) answered.keep(std::to_string(i), Answer{});
    EXPECT_FALSE(answered.find("0"));
    EXPECT_TRUE(answered.find("1"));
    EXPECT_TRUE(answered.find("1000"));
}

}  // namespace
}  // namespace handrail::serve
