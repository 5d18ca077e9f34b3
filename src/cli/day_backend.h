#pragma once

#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "cli/day_drafts.h"
#include "cli/day_file.h"
#include "cli/odds_keeper.h"
#include "live/options.h"
#include "live/session.h"
#include "live/status.h"
#include "serve/backend.h"
#include "store/journal.h"

namespace handrail::cli {

/// A journal and its outing, served: what `handrail serve` puts behind serve::Backend. Safe from any thread. The
/// journal stays the only truth: other processes may write to it, and every answer reads what is new first.
/// Throws std::runtime_error with a whole sentence when the journal can no longer be read.
class DayBackend final : public serve::Backend {
public:
    /// `outing` is the one kept in the journal's first entry.
    DayBackend(std::unique_ptr<store::Journal> journal, Outing outing);

    std::uint64_t newest() override;
    std::string status_json(serve::Role viewer, Utc now) override;
    std::string public_json(Utc now) override;
    std::string record_json(serve::Role viewer, std::uint64_t from, Utc now) override;
    std::string options_json(serve::Role viewer, Utc now) override;
    std::string outing_json() override;
    serve::Reply what_if(serve::Role viewer, const std::vector<std::string>& lines, Utc now) override;
    std::string suits_json(serve::Role viewer, Utc now) override;
    serve::Reply draft(const std::string& request, Utc now) override;
    std::string documents_json(Utc now) override;
    serve::Reply document(const serve::DocumentRequest& wish, Utc now) override;
    serve::Reply outing_file() override;
    serve::Reply edit_outing_file(const std::string& request) override;
    std::string light_json(Utc now) override;
    std::optional<std::string> walk_through(serve::WalkWords words, serve::WalkForm form, Utc now) override;
    serve::Outcome append(const serve::EntryRequest& entry, Utc now) override;
    serve::Outcome adopt(const serve::AdoptRequest& wish, Utc now) override;
    std::optional<std::string> chart_svg() override;

private:
    std::filesystem::path file_of_outing();

    /// What was last offered, so that adopting takes exactly what was seen.
    struct Offered {
        live::Position position{};
        Utc at;
        std::vector<live::Option> options;
    };

    // All of these with mutex_ held.
    void read_new();
    live::Day day_at(Utc now);
    const live::Status& status_at(Utc now);
    std::string document(live::Reader reader, Utc now);
    serve::Outcome take(const live::Option& chosen, const live::Day& day, const serve::AdoptRequest& wish, Utc now);
    serve::Outcome write(const live::Entry& entry, live::Position seen);
    live::Position last() const;

    const std::unique_ptr<store::Journal> journal_;
    const Outing outing_;
    const live::WindowSource windows_;
    std::mutex mutex_;
    std::vector<live::Recorded> entries_;
    std::optional<live::Status> status_;  ///< for the entries and the moment below
    live::Position status_position_{};
    Utc status_at_;
    std::optional<Offered> offered_;
    Drafts drafts_;
    OddsKeeper odds_;
};

}  // namespace handrail::cli
