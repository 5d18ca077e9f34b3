#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "live/entry.h"
#include "units/parse.h"

namespace handrail::live {
namespace {

using nlohmann::json;

template <class... F>
struct overloaded : F... {
    using F::operator()...;
};

constexpr std::array consumables{lifesupport::Consumable::oxygen, lifesupport::Consumable::co2,
                                 lifesupport::Consumable::water, lifesupport::Consumable::battery,
                                 lifesupport::Consumable::gas};
constexpr std::array<std::string_view, 5> consumable_keys{"oxygen", "co2", "water", "battery", "gas"};
constexpr std::array phases{Phase::planned, Phase::suit_up, Phase::prebreathe, Phase::depress,
                            Phase::egress,  Phase::work,    Phase::clean_up,   Phase::ingress,
                            Phase::repress, Phase::post,    Phase::closed};
constexpr std::array visibilities{Visibility::everyone, Visibility::console, Visibility::medical};
constexpr std::array stand_downs{StandDownKind::scrub, StandDownKind::terminate, StandDownKind::abort};
constexpr std::array places{ItemPlaced::Where::loose, ItemPlaced::Where::in_bag, ItemPlaced::Where::carried,
                            ItemPlaced::Where::installed, ItemPlaced::Where::lost};

json body_json(const Body& body) {
    return std::visit(
        overloaded{
            [](const OutingOpened& b) {
                json sources = json::array();
                for (const OutingText& s : b.sources) sources.push_back({{"name", s.name}, {"text", s.text}});
                return json{{"fingerprint", b.fingerprint},      {"outing", b.outing}, {"path", b.path},
                            {"pet_zero", print_utc(b.pet_zero)}, {"sources", sources}, {"timeline", b.timeline}};
            },
            [](const PetZero&) { return json::object(); },
            [](const PhaseBegan& b) {
                return json{{"phase", word(b.phase)}};
            },
            [](const StepStarted& b) {
                json j{{"step", b.step}};
                if (b.crew) j["crew"] = word(*b.crew);
                return j;
            },
            [](const StepFinished& b) {
                return json{{"step", b.step}};
            },
            [](const StepSkipped& b) {
                return json{{"reason", b.reason}, {"step", b.step}};
            },
            [](const StepUndone& b) {
                return json{{"step", b.step}};
            },
            [](const StepDelayed& b) {
                return json{{"by_s", b.by.count()}, {"reason", b.reason}, {"step", b.step}};
            },
            [](const HoldBegan& b) {
                return json{{"reason", b.reason}};
            },
            [](const Resumed&) { return json::object(); },
            [](const ItemPlaced& b) {
                return json{{"item", b.item}, {"place", b.place}, {"where", word(b.where)}};
            },
            [](const CrewPlaced& b) {
                json j{{"crew", word(b.crew)}, {"worksite", b.worksite}};
                if (b.anchor) j["anchor"] = *b.anchor;
                return j;
            },
            [](const GlovesChecked& b) {
                return json{{"crew", word(b.crew)}};
            },
            [](const SuitReading& b) {
                return json{{"consumable", consumable_keys[index(b.consumable)]},
                            {"crew", word(b.crew)},
                            {"left_thousandths", b.left_thousandths}};
            },
            [](const Note& b) {
                return json{{"text", b.text}};
            },
            [](const Decision& b) {
                return json{{"text", b.text}};
            },
            [](const PlanAdopted& b) {
                json j{{"dropped", b.dropped}, {"option", b.option}, {"timeline", b.timeline}, {"title", b.title}};
                if (!b.uses.empty()) {
                    json uses = json::array();
                    for (const auto& [item, by] : b.uses) uses.push_back({{"by", by}, {"item", item}});
                    j["uses"] = std::move(uses);
                }
                return j;
            },
            [](const TaskDropped& b) {
                return json{{"reason", b.reason}, {"task", b.task}};
            },
            [](const CrewAble& b) {
                return json{{"able", b.able}, {"crew", word(b.crew)}, {"reason", b.reason}};
            },
            [](const ArmAvailable& b) {
                return json{{"available", b.available}, {"reason", b.reason}};
            },
            [](const StandDown& b) {
                return json{{"reason", b.reason}, {"stand_down", word(b.kind)}};
            },
            [](const Closed& b) {
                return json{{"text", b.text}};
            },
            [](const Struck&) { return json::object(); },
            [](const ConditionChanged& b) {
                json j{{"condition", b.condition}, {"holds", b.holds}, {"reason", b.reason}};
                if (b.until) j["until"] = print_utc(*b.until);
                return j;
            },
            [](const WorksiteClosed& b) {
                json j{{"closed", b.closed}, {"reason", b.reason}, {"worksite", b.worksite}};
                if (b.until) j["until"] = print_utc(*b.until);
                return j;
            },
            [](const ItemReplaced& b) {
                return json{{"by", b.by}, {"item", b.item}};
            },
            [](const PetZeroExpected& b) {
                return json{{"at", print_utc(b.at)}, {"reason", b.reason}};
            },
            [](const OxygenBreathed& b) {
                return json{{"crew", word(b.crew)}, {"on", b.on}, {"reason", b.reason}};
            },
            [](const CrewInside& b) {
                return json{{"crew", word(b.crew)}};
            },
        },
        body);
}

/// Takes fields out of an object; the first thing that is wrong is kept as a sentence.
class Fields {
public:
    Fields(const json& object, std::string where) : object_(object), where_(std::move(where)) {
        if (!object.is_object()) wrong(fmt::format("{} should be an object", where_));
    }
    const std::string& error() const { return error_; }
    void wrong(std::string what) {
        if (error_.empty()) error_ = std::move(what);
    }

    bool has(const char* key) const { return object_.is_object() && object_.contains(key); }
    const json* find(const char* key) {
        if (has(key)) return &object_.at(key);
        wrong(fmt::format("{} has no \"{}\"", where_, key));
        return nullptr;
    }
    std::string text(const char* key) {
        const json* value = find(key);
        if (value == nullptr) return {};
        if (value->is_string()) return value->get<std::string>();
        wrong(fmt::format("\"{}\" should be a text", key));
        return {};
    }
    std::int64_t integer(const char* key) {
        const json* value = find(key);
        if (value == nullptr) return 0;
        // 2^53: what every JSON reader can carry (RFC 8785, section 3.2.2.3).
        constexpr std::int64_t largest = 9'007'199'254'740'992;
        if (value->is_number_integer() && (!value->is_number_unsigned() || value->get<std::uint64_t>() <= largest)) {
            const auto number = value->get<std::int64_t>();
            if (number >= -largest) return number;
        }
        wrong(fmt::format("\"{}\" should be a whole number", key));
        return 0;
    }
    bool yes(const char* key) {
        const json* value = find(key);
        if (value == nullptr) return false;
        if (value->is_boolean()) return value->get<bool>();
        wrong(fmt::format("\"{}\" should be true or false", key));
        return false;
    }
    Utc utc(const char* key) {
        const std::string found = text(key);
        const auto read = parse_utc(found);
        if (const Utc* instant = std::get_if<Utc>(&read)) return *instant;
        wrong(fmt::format("\"{}\" should be a UTC instant", key));
        return {};
    }
    /// One of a list of words.
    template <class T, std::size_t n, class Word>
    T one_of(const char* key, const std::array<T, n>& all, Word word_of) {
        const std::string found = text(key);
        for (const T& value : all)
            if (word_of(value) == found) return value;
        wrong(fmt::format("\"{}\": \"{}\" is not one of the words known here", key, found));
        return all.front();
    }
    Crew crew(const char* key) {
        return one_of(key, both_crew, [](Crew c) { return word(c); });
    }

private:
    const json& object_;
    std::string where_, error_;
};

OutingOpened read_opened(Fields& f) {
    OutingOpened b{f.text("outing"), f.text("fingerprint"), f.text("path"), f.utc("pet_zero"), f.text("timeline"), {}};
    const json* sources = f.find("sources");
    if (sources == nullptr) return b;
    if (!sources->is_array()) f.wrong("\"sources\" should be a list");
    for (const json& one : *sources) {
        Fields s(one, "a source");
        b.sources.push_back({s.text("name"), s.text("text")});
        if (!s.error().empty()) f.wrong(s.error());
    }
    return b;
}

PlanAdopted read_adopted(Fields& f) {
    PlanAdopted b{f.text("option"), f.text("title"), f.text("timeline"), {}, {}};
    if (f.has("uses")) {
        const json* uses = f.find("uses");
        if (!uses->is_array()) f.wrong("\"uses\" should be a list");
        for (const json& one : *uses) {
            Fields u(one, "one of \"uses\"");
            b.uses.emplace_back(u.text("item"), u.text("by"));
            if (!u.error().empty()) f.wrong(u.error());
        }
    }
    const json* dropped = f.find("dropped");
    if (dropped == nullptr) return b;
    if (!dropped->is_array()) f.wrong("\"dropped\" should be a list");
    for (const json& one : *dropped) {
        if (one.is_string())
            b.dropped.push_back(one.get<std::string>());
        else
            f.wrong("\"dropped\" should be a list of task names");
    }
    return b;
}

Body read_body(const std::string& kind_word, Fields& f) {
    const auto word_of = [](auto value) { return word(value); };
    if (kind_word == "outing_opened") return read_opened(f);
    if (kind_word == "pet_zero") return PetZero{};
    if (kind_word == "phase") return PhaseBegan{f.one_of("phase", phases, word_of)};
    if (kind_word == "step_started")
        return StepStarted{f.text("step"), f.has("crew") ? std::optional(f.crew("crew")) : std::nullopt};
    if (kind_word == "step_finished") return StepFinished{f.text("step")};
    if (kind_word == "step_skipped") return StepSkipped{f.text("step"), f.text("reason")};
    if (kind_word == "step_undone") return StepUndone{f.text("step")};
    if (kind_word == "step_delayed") return StepDelayed{f.text("step"), Seconds{f.integer("by_s")}, f.text("reason")};
    if (kind_word == "hold") return HoldBegan{f.text("reason")};
    if (kind_word == "resume") return Resumed{};
    if (kind_word == "item_placed")
        return ItemPlaced{f.one_of("where", places, word_of), f.text("item"), f.text("place")};
    if (kind_word == "crew_placed")
        return CrewPlaced{f.crew("crew"), f.text("worksite"),
                          f.has("anchor") ? std::optional(f.text("anchor")) : std::nullopt};
    if (kind_word == "gloves_checked") return GlovesChecked{f.crew("crew")};
    if (kind_word == "suit_reading")
        return SuitReading{f.crew("crew"),
                           f.one_of("consumable", consumables, [](auto c) { return consumable_keys[index(c)]; }),
                           f.integer("left_thousandths")};
    if (kind_word == "note") return Note{f.text("text")};
    if (kind_word == "decision") return Decision{f.text("text")};
    if (kind_word == "plan_adopted") return read_adopted(f);
    if (kind_word == "task_dropped") return TaskDropped{f.text("task"), f.text("reason")};
    if (kind_word == "crew_able") return CrewAble{f.crew("crew"), f.yes("able"), f.text("reason")};
    if (kind_word == "arm_available") return ArmAvailable{f.yes("available"), f.text("reason")};
    if (kind_word == "stand_down") return StandDown{f.one_of("stand_down", stand_downs, word_of), f.text("reason")};
    if (kind_word == "closed") return Closed{f.text("text")};
    if (kind_word == "struck") return Struck{};
    const auto until = [&f] { return f.has("until") ? std::optional(f.utc("until")) : std::nullopt; };
    if (kind_word == "condition")
        return ConditionChanged{f.text("condition"), f.yes("holds"), until(), f.text("reason")};
    if (kind_word == "worksite") return WorksiteClosed{f.text("worksite"), f.yes("closed"), until(), f.text("reason")};
    if (kind_word == "item_replaced") return ItemReplaced{f.text("item"), f.text("by")};
    if (kind_word == "pet_zero_expected") return PetZeroExpected{f.utc("at"), f.text("reason")};
    if (kind_word == "oxygen") return OxygenBreathed{f.crew("crew"), f.yes("on"), f.text("reason")};
    if (kind_word == "crew_inside") return CrewInside{f.crew("crew")};
    f.wrong(fmt::format("\"{}\" is not a kind of entry this version knows", kind_word));
    return Struck{};
}

bool year_has_four_digits(Utc t) {
    const std::chrono::year_month_day date{std::chrono::floor<std::chrono::days>(t)};
    return date.year() >= std::chrono::year{0} && date.year() <= std::chrono::year{9999};
}

json entry_json(const Entry& entry) {
    json j{{"author", entry.author},
           {"body", body_json(entry.body)},
           {"happened", print_utc(entry.happened)},
           {"kind", kind(entry.body)},
           {"logged", print_utc(entry.logged)},
           {"pet_ms", entry.pet.time_since_epoch().count()},
           {"visibility", word(entry.visibility)}};
    if (entry.corrects) j["corrects"] = number(*entry.corrects);
    return j;
}

}  // namespace

bool can_be_written(const Entry& entry) {
    // Further from today than any outing, and well inside what the calendar below can compute.
    constexpr auto far = std::chrono::years{20000};
    for (const Utc t : {entry.logged, entry.happened})
        if (t.time_since_epoch() > far || t.time_since_epoch() < -far || !year_has_four_digits(t)) return false;
    try {
        (void)to_json(entry);
        return true;
    } catch (const json::type_error&) {  // a text that is not UTF-8
        return false;
    }
}

std::string to_json(const Entry& entry) {
    // nlohmann::json keeps keys sorted by byte, which for the ASCII keys used here is the order of RFC 8785.
    return entry_json(entry).dump(-1, ' ', false, json::error_handler_t::strict);
}

std::variant<Entry, std::string> read_entry(std::string_view text) {
    const json j = json::parse(text, nullptr, false);
    if (j.is_discarded()) return std::string("not JSON");
    Fields f(j, "the entry");
    if (!f.error().empty()) return f.error();
    Entry entry;
    entry.author = f.text("author");
    entry.happened = f.utc("happened");
    entry.logged = f.utc("logged");
    entry.pet = Pet{Milliseconds{f.integer("pet_ms")}};
    entry.visibility = f.one_of("visibility", visibilities, [](Visibility v) { return word(v); });
    if (f.has("corrects")) {
        const std::int64_t corrects = f.integer("corrects");
        if (corrects < 1) f.wrong("\"corrects\" should be a position from 1");
        entry.corrects = Position{static_cast<std::uint64_t>(corrects)};
    }
    const std::string kind_word = f.text("kind");
    const json* body = f.find("body");
    if (body == nullptr || !f.error().empty()) return f.error();
    Fields b(*body, fmt::format("the body of a {} entry", kind_word));
    if (b.error().empty()) entry.body = read_body(kind_word, b);
    if (!b.error().empty()) return b.error();
    return entry;
}

}  // namespace handrail::live
