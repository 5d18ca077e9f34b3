#include <gmock/gmock.h>

#include <fstream>
#include <set>

#include "fake_backend.h"
#include "serve/api.h"

namespace handrail::serve {
namespace {

using nlohmann::json;

json document() {
    std::ifstream file(HANDRAIL_SOURCE_DIR "/docs/openapi.json");
    return json::parse(file);
}

std::string lower(std::string_view text) {
    std::string out(text);
    for (char& c : out) c = static_cast<char>(std::tolower(c));
    return out;
}

TEST(OpenApi, DescribesExactlyTheAddressesTheServerHas) {
    std::set<std::string> described, served;
    const json whole = document();
    for (const auto& [path, methods] : whole["paths"].items())
        for (const auto& [method, what] : methods.items()) described.insert(method + " " + path);
    for (const Route& route : routes()) served.insert(lower(route.method) + " " + std::string(route.path));
    EXPECT_EQ(described, served);
}

TEST(OpenApi, EveryStatusTheServerAnswersWithIsDescribed) {
    const json paths = document()["paths"];
    test::FakeBackend backend;
    Gate open{std::nullopt}, guarded{test::four_tokens()};
    Api api{backend, open}, guarded_api{backend, guarded};
    const json entry{{"line", "started valve.1"}, {"author", "lead"}, {"seen", 0}, {"option", "1"}, {"token", "wrong"}};
    for (const Route& route : routes()) {
        if (route.path.ends_with("/events")) continue;  // tests/serve/server_test.cpp
        const json& responses = paths[std::string(route.path)][lower(route.method)]["responses"];
        const auto check = [&](Api& which, Request request, const char* how) {
            request.method = route.method;
            request.path = route.path;
            const Answer answer = which.answer(request, test::morning());
            EXPECT_TRUE(responses.contains(std::to_string(answer.status)))
                << route.method << " " << route.path << " " << how << " answered " << answer.status;
            EXPECT_TRUE(answer.status < 400 || json::parse(answer.body)["error"].is_string());
        };
        const Request good = test::post("", entry);
        check(api, good, "good");
        check(api, good, "the same again");
        check(api, test::post("", json::object()), "empty");
        check(guarded_api, good, "without a token");
        check(guarded_api, test::with_token(good, test::public_token), "as the public");
        check(guarded_api, test::with_token(good, "wrong"), "with a wrong token");
        Request form = good;
        form.content_type = "text/plain";
        check(api, form, "as a form");
        Request foreign = good;
        foreign.origin = "http://attacker.example";
        check(api, foreign, "from another origin");
        Request query = good;
        query.query = "from=x";
        check(api, query, "with a bad query");
        backend.full = true;
        Request again =
            test::post("", {{"line", "x"}, {"author", "lead"}, {"seen", backend.newest()}, {"option", "1"}});
        check(api, again, "on a full disk");
        backend.full = false;
    }
}

}  // namespace
}  // namespace handrail::serve
