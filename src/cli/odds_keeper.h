#pragma once

#include <condition_variable>
#include <mutex>
#include <optional>
#include <thread>

#include "live/status.h"

namespace handrail::cli {

/// Works the odds out beside the server: whoever asks for the status never waits for them, and the newest entry is the
/// one that counts. One thread of its own. Safe from any thread.
class OddsKeeper {
public:
    explicit OddsKeeper(const Outing& outing);
    /// Work these out next, unless those of the same entry, less than a minute old, are known or being worked out.
    void want(const live::Day& day, const live::Forecast& forecast);
    /// The newest there are: of the entry they name, which may be one or two behind.
    std::optional<live::OddsNow> latest() const;

private:
    struct Wish {
        live::Day day;
        live::Forecast forecast;
    };
    struct Asked {
        live::Position position{};
        Utc now{};
    };
    void work(const std::stop_token& stop);

    const Outing& outing_;
    mutable std::mutex mutex_;
    std::condition_variable_any wished_;
    std::optional<Wish> wish_;
    std::optional<Asked> asked_;  ///< the newest anyone has asked for
    std::optional<live::OddsNow> latest_;
    std::jthread worker_;  ///< last: it ends before what it uses
};

}  // namespace handrail::cli
