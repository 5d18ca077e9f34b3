#include "cli/day_backend.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "brief/scene.h"
#include "brief/timeline_chart.h"
#include "brief/walk_through.h"
#include "cli/day_documents.h"
#include "cli/walk_page.h"
#include "live/line.h"
#include "live/suit_curves.h"
#include "live/what_if.h"
#include "serve/outing_json.h"
#include "serve/public_feed.h"
#include "sky/windows.h"

namespace handrail::cli {
namespace {

using live::Position;
using nlohmann::json;
using serve::Outcome;

// An option older than this starts from a moment long gone; it has to be worked out again.
constexpr auto offer_holds = std::chrono::minutes{5};

/// The lead's page may stand where others look over a shoulder, so it shows what the console shows; private words are
/// for the medical role alone.
live::Reader reader_of(serve::Role role) {
    switch (role) {
        case serve::Role::lead:
        case serve::Role::console:
            return live::Reader::console;
        case serve::Role::medical:
            return live::Reader::medical;
        case serve::Role::public_view:
            return live::Reader::everyone;
    }
    return live::Reader::everyone;
}

Outcome bad_input(std::string sentence) { return {Outcome::Kind::bad_input, 0, std::move(sentence)}; }

}  // namespace

DayBackend::DayBackend(std::unique_ptr<store::Journal> journal, Outing outing)
    : journal_(std::move(journal)), outing_(std::move(outing)), windows_(live::windows_for(outing_)), odds_(outing_) {}

Position DayBackend::last() const { return Position{entries_.size()}; }

void DayBackend::read_new() {
    auto read = journal_->read(last());
    if (const auto* error = std::get_if<store::StoreError>(&read)) throw std::runtime_error(error->what);
    if (const auto* tampered = std::get_if<store::Tampered>(&read)) throw std::runtime_error(tampered->what);
    for (live::Recorded& entry : std::get<std::vector<live::Recorded>>(read)) entries_.push_back(std::move(entry));
}

live::Day DayBackend::day_at(Utc now) {
    read_new();
    return live::fold(outing_, windows_, entries_, live::moment(entries_, now));
}

const live::Status& DayBackend::status_at(Utc now) {
    read_new();
    if (!status_ || status_position_ != last() || status_at_ != now) {
        status_ =
            live::status_of(outing_, entries_, live::fold(outing_, windows_, entries_, live::moment(entries_, now)));
        status_position_ = last();
        status_at_ = now;
    }
    odds_.want(status_->day, status_->forecast);
    status_->odds = odds_.latest();
    return *status_;
}

std::string DayBackend::document(live::Reader reader, Utc now) {
    return live::status_json(outing_, status_at(now), reader);
}

std::uint64_t DayBackend::newest() {
    auto newest = journal_->newest();
    if (const auto* error = std::get_if<store::StoreError>(&newest)) throw std::runtime_error(error->what);
    return live::number(std::get<Position>(newest));
}

std::string DayBackend::status_json(serve::Role viewer, Utc now) {
    const std::lock_guard lock(mutex_);
    return document(reader_of(viewer), now);
}

std::string DayBackend::public_json(Utc now) {
    const std::lock_guard lock(mutex_);
    const live::Status& status = status_at(now);
    return serve::public_json(serve::public_feed(outing_, status), outing_, status.day.windows);
}

std::string DayBackend::record_json(serve::Role viewer, std::uint64_t from, Utc now) {
    const std::lock_guard lock(mutex_);
    const json whole = json::parse(document(reader_of(viewer), now));
    json entries = json::array();
    for (const json& entry : whole["record"])
        if (entry["position"].get<std::uint64_t>() > from) entries.push_back(entry);
    return json{{"position", whole["position"]}, {"entries", std::move(entries)}}.dump();
}

std::string DayBackend::options_json(serve::Role, Utc now) {
    // The search runs without the lock: the state must not wait for it.
    std::unique_lock lock(mutex_);
    const live::Day day = day_at(now);
    lock.unlock();
    std::vector<live::Option> options = live::options_of(outing_, day);
    live::add_odds(outing_, day, options);
    std::string text = live::options_json(outing_, day, options, live::Timelines::left_out);
    lock.lock();
    offered_ = Offered{day.position, day.now, std::move(options)};
    return text;
}

serve::Reply DayBackend::what_if(serve::Role viewer, const std::vector<std::string>& lines, Utc now) {
    std::unique_lock lock(mutex_);
    const live::Day before = day_at(now);
    const auto supposed = live::suppose(outing_, windows_, entries_, before, lines);
    if (const auto* no = std::get_if<live::NotUnderstood>(&supposed))
        return {serve::Reply::Kind::bad_input, no->sentence};
    const auto& entries = std::get<std::vector<live::Recorded>>(supposed);
    const live::Status then = live::status_of(outing_, entries, live::fold(outing_, windows_, entries, before.now));
    const std::size_t written = entries_.size();
    lock.unlock();
    std::vector<live::Option> options = live::options_of(outing_, then.day);
    live::add_odds(outing_, then.day, options);
    json words = json::array();
    for (const live::RecordLine& line : live::visible(then.record, reader_of(viewer)))
        if (live::number(line.position) > written) words.push_back(line.words);
    // Neither text is read again: both are whole JSON documents already.
    return {serve::Reply::Kind::done,
            fmt::format(R"({{"position":{},"supposed":{},"status":{},"options":{}}})", written, words.dump(),
                        live::status_json(outing_, then, reader_of(viewer)),
                        live::options_json(outing_, then.day, options, live::Timelines::left_out))};
}

std::string DayBackend::outing_json() { return serve::outing_json(outing_); }

std::string DayBackend::suits_json(serve::Role viewer, Utc now) {
    const std::lock_guard lock(mutex_);
    return live::suit_curves_json(outing_, status_at(now), reader_of(viewer));
}

std::string DayBackend::documents_json(Utc now) {
    const std::lock_guard lock(mutex_);
    return cli::documents_json(outing_, status_at(now));
}

serve::Reply DayBackend::document(const serve::DocumentRequest& wish, Utc now) {
    // Made without the lock, from copies: a PDF takes a second, and the state must not wait for it.
    std::unique_lock lock(mutex_);
    const live::Status status = status_at(now);
    const std::vector<live::Recorded> entries = entries_;
    lock.unlock();
    return made_document(outing_, entries, status, wish);
}

serve::Reply DayBackend::draft(const std::string& request, Utc now) {
    const std::lock_guard lock(mutex_);
    const live::Day day = day_at(now);
    // The event stream works the state out every few seconds and after each entry.
    const bool fresh = status_ && status_position_ == last() && now - status_at_ <= std::chrono::seconds{10};
    return drafts_.make(outing_, day, fresh ? &status_->forecast : nullptr, request);
}

std::filesystem::path DayBackend::file_of_outing() {
    const std::lock_guard lock(mutex_);
    if (entries_.empty()) read_new();
    const auto* opened = entries_.empty() ? nullptr : std::get_if<live::OutingOpened>(&entries_.front().entry.body);
    return opened ? opened->path : std::string();
}

serve::Reply DayBackend::outing_file() { return DayFile(file_of_outing(), outing_.fingerprint).show(); }

serve::Reply DayBackend::edit_outing_file(const std::string& request) {
    return DayFile(file_of_outing(), outing_.fingerprint).edit(request);
}

std::string DayBackend::light_json(Utc now) {
    std::unique_lock lock(mutex_);
    const live::Day day = day_at(now);
    lock.unlock();
    return brief::light_json(outing_, day.windows, day.pet_zero, pet(-sky::span_before), pet(sky::span_after),
                             brief::SiteKeys::ids);
}

std::optional<std::string> DayBackend::walk_through(serve::WalkWords words, serve::WalkForm form, Utc now) {
    std::unique_lock lock(mutex_);
    const live::Day day = day_at(now);
    lock.unlock();
    if (!day.plan) return std::nullopt;
    Timeline plan = *day.plan;
    plan.pet_zero = day.pet_zero;
    const std::string walk = brief::walk_through_json(
        outing_, day.windows, plan,
        words == serve::WalkWords::crew ? brief::CaptionWords::crew : brief::CaptionWords::everyone);
    return form == serve::WalkForm::json ? std::optional(walk) : walk_page(outing_, walk);
}

Outcome DayBackend::append(const serve::EntryRequest& request, Utc now) {
    const std::lock_guard lock(mutex_);
    const live::Day day = day_at(now);
    if (live::number(last()) != request.seen) return {Outcome::Kind::stale, live::number(last()), {}};
    const auto line = live::read_line(outing_, entries_, day, request.line);
    if (const auto* trouble = std::get_if<live::NotUnderstood>(&line)) return bad_input(trouble->sentence);
    const auto& understood = std::get<live::Understood>(line);
    // A time named in the line outranks the moment its key was pressed.
    const std::optional<Utc> happened = understood.happened ? std::nullopt : std::optional(request.at);
    const live::Entry entry = live::entry_of(understood, day, request.author, now, happened);
    if (!live::can_be_written(entry)) return bad_input("The line holds bytes that are no text (UTF-8); type it again.");
    return write(entry, last());
}

Outcome DayBackend::adopt(const serve::AdoptRequest& wish, Utc now) {
    const std::lock_guard lock(mutex_);
    const live::Day day = day_at(now);
    if (live::number(last()) != wish.seen) return {Outcome::Kind::stale, live::number(last()), {}};
    if (const live::Option* draft = drafts_.find(wish.option, last())) return take(*draft, day, wish, now);
    if (!offered_ || offered_->position != last() || day.now - offered_->at > offer_holds)
        return bad_input("These options are no longer current. Work them out again, then adopt.");
    const auto chosen = std::ranges::find(offered_->options, wish.option, &live::Option::id);
    if (chosen == offered_->options.end())
        return bad_input(fmt::format("There is no option \"{}\" among those worked out last.", wish.option));
    return take(*chosen, day, wish, now);
}

/// The plan of this option is in force from here on. With mutex_ held.
Outcome DayBackend::take(const live::Option& chosen, const live::Day& day, const serve::AdoptRequest& wish, Utc now) {
    if (!chosen.forecast.possible) return bad_input("This option cannot be carried out, so it cannot be adopted.");
    const live::Understood body{live::adoption(outing_, chosen), {}, {}, {}};
    const live::Entry entry = live::entry_of(body, day, wish.author, now);
    if (!live::can_be_written(entry)) return bad_input("The author's name is no text (UTF-8); type it again.");
    return write(entry, last());
}

Outcome DayBackend::write(const live::Entry& entry, Position seen) {
    const auto done = journal_->append(entry, seen);
    if (const auto* stale = std::get_if<store::Stale>(&done))
        return {Outcome::Kind::stale, live::number(stale->newest), {}};
    if (const auto* error = std::get_if<store::StoreError>(&done)) return {Outcome::Kind::store_failed, 0, error->what};
    return {Outcome::Kind::written, live::number(std::get<Position>(done)), {}};
}

std::optional<std::string> DayBackend::chart_svg() {
    std::unique_lock lock(mutex_);
    if (entries_.empty()) read_new();
    const live::Day day = day_at(entries_.empty() ? Utc{} : entries_.back().entry.logged);
    lock.unlock();
    if (!day.plan) return std::nullopt;
    brief::ChartOptions options;
    options.sheet = brief::SheetKind::screen;
    const std::vector<brief::Canvas> pages = brief::timeline_chart(outing_, day.windows, *day.plan, options);
    if (pages.empty()) return std::nullopt;
    return pages.front().svg();
}

}  // namespace handrail::cli
