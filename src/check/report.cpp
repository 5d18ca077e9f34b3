#include "check/report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <nlohmann/json.hpp>
#include <tuple>

namespace handrail {
namespace {

const RuleEntry* entry(std::string_view rule) {
    const auto found = std::ranges::find(rule_registry(), rule, &RuleEntry::id);
    return found == rule_registry().end() ? nullptr : &*found;
}

std::string lanes_text(const std::vector<Lane>& lanes) {
    std::string text;
    for (const Lane lane : lanes) text += (text.empty() ? "" : "+") + std::string(word(lane));
    return text;
}

std::string count_text(std::size_t count, std::string_view singular) {
    return fmt::format("{} {}{}", count == 0 ? "no" : std::to_string(count), singular, count == 1 ? "" : "s");
}

/// "10 s", "13 min 30 s", "5 m", "0.0213 kg", "12400 L"
std::string amount_text(const Finding& finding) {
    if (finding.unit == "s" && finding.amount >= 60)
        return print_duration(Seconds{static_cast<Seconds::rep>(std::llround(finding.amount))});
    return finding.amount >= 1000 ? fmt::format("{:.0f} {}", finding.amount, finding.unit)
                                  : fmt::format("{:.3g} {}", finding.amount, finding.unit);
}

std::ptrdiff_t broken_count(std::span<const Finding> findings) {
    return std::ranges::count(findings, Severity::finding, &Finding::severity);
}

}  // namespace

std::string_view word(Severity severity) {
    switch (severity) {
        case Severity::finding:
            return "finding";
        case Severity::note:
            return "note";
    }
    return {};
}

bool any_broken(std::span<const Finding> findings) { return broken_count(findings) > 0; }

std::string print_findings(std::span<const Finding> findings) {
    std::string text;
    for (const Finding& finding : findings) {
        text += fmt::format("PET {}  {}{}{}", print_pet_seconds(finding.at),
                            finding.severity == Severity::note ? "note: " : "", finding.rule,
                            finding.lanes.empty() ? "" : "  " + lanes_text(finding.lanes));
        if (!finding.unit.empty()) text += "  " + amount_text(finding);
        text += fmt::format("\n    {}\n    ({})\n", finding.what, finding.source);
    }
    const auto broken = static_cast<std::size_t>(broken_count(findings));
    return text + fmt::format("{}, {}.\n", count_text(broken, "finding"), count_text(findings.size() - broken, "note"));
}

std::string findings_json(std::span<const Finding> findings) {
    using Json = nlohmann::ordered_json;
    Json list = Json::array();
    for (const Finding& finding : findings) {
        Json lanes = Json::array();
        for (const Lane lane : finding.lanes) lanes.push_back(word(lane));
        list.push_back(Json{{"rule", finding.rule},
                            {"severity", word(finding.severity)},
                            {"lanes", std::move(lanes)},
                            {"at_s", static_cast<double>(finding.at.time_since_epoch().count()) / 1000.0},
                            {"amount", finding.amount},
                            {"unit", finding.unit},
                            {"what", finding.what},
                            {"source", finding.source}});
    }
    const auto broken = broken_count(findings);
    const Json json{{"format", "handrail-findings"},
                    {"version", 1},
                    {"caution", caution},
                    {"broken", broken},
                    {"notes", static_cast<std::ptrdiff_t>(findings.size()) - broken},
                    {"findings", std::move(list)}};
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

namespace checking {

Amount seconds(Milliseconds d) { return {static_cast<double>(d.count()) / 1000.0, "s"}; }
Amount metres(double m) { return {m, "m"}; }

void Report::add(std::string_view rule, std::vector<Lane> lanes, Pet at, Amount amount, std::string what,
                 std::string source) {
    const RuleEntry* known = entry(rule);
    assert(known);
    findings_.push_back({std::string(rule), Severity::finding, std::move(lanes), at, amount.value,
                         std::string(amount.unit), std::move(what),
                         source.empty() ? std::string(known->source) : std::move(source)});
}

void Report::note(std::string_view rule, std::vector<Lane> lanes, Pet at, Amount amount, std::string what) {
    add(rule, std::move(lanes), at, amount, std::move(what));
    findings_.back().severity = Severity::note;
}

std::vector<Finding> Report::take() {
    const auto key = [](const Finding& f) { return std::tuple(f.at, entry(f.rule)); };
    std::ranges::stable_sort(findings_, {}, key);
    return std::move(findings_);
}

std::string source_of(const SourcePlace& place) {
    if (place.file.empty()) return {};
    return place.line > 0 ? fmt::format("{}:{}", place.file, place.line) : place.file;
}

std::string clock(Pet t) { return "PET " + print_pet_seconds(t); }

std::string span_text(Milliseconds d) {
    if (d < Milliseconds{1000}) return fmt::format("{:.1f} s", static_cast<double>(d.count()) / 1000.0);
    return print_duration(std::chrono::floor<Seconds>(d));
}

}  // namespace checking
}  // namespace handrail
