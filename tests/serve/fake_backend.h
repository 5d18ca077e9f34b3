#pragma once

#include <atomic>
#include <mutex>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "serve/backend.h"
#include "serve/message.h"

namespace handrail::serve::test {

/// A journal of plain lines in memory. Private lines start with "medical:"; only the medical role reads their words.
class FakeBackend final : public Backend {
public:
    std::uint64_t newest() override {
        const std::lock_guard lock(mutex_);
        if (broken) throw std::runtime_error("the disk is gone");
        return lines_.size();
    }
    std::string status_json(Role viewer, Utc now) override {
        return nlohmann::json{{"position", newest()},
                              {"utc", print_utc(now)},
                              {"record", entries(viewer, 0)},
                              {"role", std::string(word(viewer))}}
            .dump();
    }
    std::string public_json(Utc now) override {
        return nlohmann::json{{"role", "public"}, {"utc", print_utc(now)}}.dump();
    }
    std::string record_json(Role viewer, std::uint64_t from, Utc) override {
        return nlohmann::json{{"position", newest()}, {"entries", entries(viewer, from)}}.dump();
    }
    std::string options_json(Role, Utc) override { return R"({"position":0,"options":[]})"; }
    Reply what_if(Role viewer, const std::vector<std::string>& lines, Utc now) override {
        if (lines.front() == "gibberish") return {Reply::Kind::bad_input, "expected started, found gibberish."};
        return {Reply::Kind::done, nlohmann::json{{"position", newest()},
                                                  {"supposed", lines},
                                                  {"status", nlohmann::json::parse(status_json(viewer, now))},
                                                  {"options", {{"options", nlohmann::json::array()}}}}
                                       .dump()};
    }
    std::string outing_json() override { return R"({"name":"Larkspur"})"; }
    std::string light_json(Utc) override { return R"({"daylight":null})"; }
    std::optional<std::string> walk_through(WalkWords words, WalkForm form, Utc) override {
        return std::string(form == WalkForm::page ? "<!doctype html>" : "{}") + (words == WalkWords::crew ? "" : " ");
    }
    Outcome append(const EntryRequest& entry, Utc) override {
        const std::lock_guard lock(mutex_);
        if (entry.seen != lines_.size()) return {Outcome::Kind::stale, lines_.size(), ""};
        if (entry.line == "gibberish") return {Outcome::Kind::bad_input, 0, "line: expected started, found gibberish."};
        if (full) return {Outcome::Kind::store_failed, 0, "The disk is full; nothing was written."};
        lines_.push_back(entry.line);
        return {Outcome::Kind::written, lines_.size(), ""};
    }
    Outcome adopt(const AdoptRequest& wish, Utc now) override {
        return append(EntryRequest{"adopted " + wish.option, wish.author, wish.seen, now}, now);
    }
    std::string suits_json(Role, Utc) override { return R"({"position":0,"crew":[]})"; }
    Reply draft(const std::string& request, Utc) override {
        if (!nlohmann::json::parse(request, nullptr, false).contains("wishes"))
            return {Reply::Kind::bad_input, "wishes: expected an object, found none."};
        return {Reply::Kind::done, R"({"position":0})"};
    }
    std::string documents_json(Utc) override { return R"({"documents":[]})"; }
    Reply document(const DocumentRequest& wish, Utc) override {
        if (wish.kind != "cue-sheet") return {Reply::Kind::missing, "There is no such document."};
        return {Reply::Kind::done, "<p>" + wish.reader + "</p>", "text/html; charset=utf-8"};
    }
    Reply outing_file() override { return {Reply::Kind::done, "{}"}; }
    Reply edit_outing_file(const std::string& request) override {
        if (full) return {Reply::Kind::failed, "The disk is full; nothing was written."};
        if (!nlohmann::json::parse(request, nullptr, false).contains("edits"))
            return {Reply::Kind::bad_input, "edits: expected a list, found none."};
        return {Reply::Kind::saved, "{}"};
    }
    std::optional<std::string> chart_svg() override { return std::nullopt; }

    std::atomic<bool> full = false, broken = false;

private:
    nlohmann::json entries(Role viewer, std::uint64_t from) {
        const std::lock_guard lock(mutex_);
        nlohmann::json list = nlohmann::json::array();
        for (std::size_t i = from; i < lines_.size(); ++i) {
            const bool hidden = lines_[i].starts_with("medical:") && viewer != Role::medical;
            list.push_back({{"position", i + 1}, {"words", hidden ? "hold" : lines_[i]}});
        }
        return list;
    }

    std::mutex mutex_;
    std::vector<std::string> lines_;
};

inline constexpr const char* lead_token = "lead-0123456789abcdefghijklmn";
inline constexpr const char* console_token = "console-0123456789abcdefghijk";
inline constexpr const char* medical_token = "medical-0123456789abcdefghijk";
inline constexpr const char* public_token = "public-0123456789abcdefghijkl";
inline Tokens four_tokens() {
    const std::string text = std::string("# invented\nlead ") + lead_token + "\nconsole " + console_token +
                             "\nmedical " + medical_token + "\npublic " + public_token + "\n";
    return Tokens::read(text, "tokens").value();
}

inline Utc morning() { return Utc{std::chrono::sys_days{std::chrono::year{2031} / 4 / 5}} + std::chrono::hours{8}; }

inline Request get(const std::string& path, const std::string& query = {}) {
    Request request;
    request.method = "GET";
    request.path = path;
    request.query = query;
    request.host = "127.0.0.1:8630";
    request.remote = "127.0.0.1";
    return request;
}
inline Request post(const std::string& path, const nlohmann::json& body) {
    Request request = get(path);
    request.method = "POST";
    request.content_type = "application/json";
    request.origin = "http://127.0.0.1:8630";
    request.body = body.dump();
    return request;
}
inline Request with_token(Request request, const std::string& token) {
    request.authorization = "Bearer " + token;
    return request;
}

}  // namespace handrail::serve::test
