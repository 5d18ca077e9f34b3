#pragma once

#include <chrono>
#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "outing/model.h"

/// Prebreathe: nitrogen in one tissue along the stages, what breaks and holds cost, and the earliest depress.
/// R is a number from one assumed tissue: it is not a probability and it decides nothing by itself.
namespace handrail::lifesupport {

/// Minutes as the equations give them, not rounded.
using Minutes = std::chrono::duration<double, std::ratio<60>>;

/// Nitrogen pressure in the tissue after `time` of breathing nitrogen at a pressure that goes evenly from `start` to
/// `end`. Constant: P = Pa + (P0 - Pa) 2^(-t/T). Ramp of rate r, k = ln 2 / T:
/// P = Pa0 + r (t - 1/k) - (Pa0 - P0 - r/k) e^(-kt) (R and tissue as in Aviation, Space and Environmental Medicine 67,
/// 1996; the ramp is the Schreiner solution of the same equation).
KiloPascal tissue_after(KiloPascal tissue, KiloPascal start, KiloPascal end, Seconds time, Seconds half_time);
/// Minutes until the tissue has come down to `target` while breathing constant nitrogen; none when it never does.
std::optional<Minutes> time_to_reach(KiloPascal tissue, KiloPascal target, KiloPascal breathed, Seconds half_time);
/// What the symmetric tissue model alone would ask for a break: T log2(P1/P), P1 after the break on air at
/// `breathed`, repaid on pure oxygen. Shown beside the rule, never used instead of it: this slow tissue alone would
/// call a break harmless, and fast tissues reload in minutes.
Minutes tissue_payback(KiloPascal tissue, KiloPascal breathed, Seconds length, Seconds half_time);
/// A tissue in balance with the cabin's air.
KiloPascal saturated(const Prebreathe& protocol);

/// What the rule table says of a break of this length: time to repay, or a new start (also when it is longer than
/// every rule covers).
struct Payback {
    Seconds time{};
    bool restart = false;
};
Payback payback(std::span<const BreakRule> rules, Seconds length);

struct Hold {
    Seconds length{};
    std::optional<Utc> at;  ///< none: at the end, before the depress
};
struct Break {
    Seconds length{};
    Utc at;
};

enum class StageKind : std::uint8_t {
    planned,      ///< a stage of the protocol, or the part of one around a hold or a break
    hold,         ///< the stage goes on longer: same gas, same pressure
    off_oxygen,   ///< a break: air is breathed
    payback,      ///< oxygen that the rule asks for a break
    after_break,  ///< oxygen until Prebreathe::after_break has passed since the last break
    to_limit,     ///< oxygen until R has come down to the limit (resting protocols only)
    depress       ///< the last ramp down to suit pressure
};
std::string_view word(StageKind);

/// One stretch of the pressure history as it will be.
struct StageRow {
    StageKind kind{};
    std::size_t stage = 0;  ///< which stage of the protocol it is or stands in
    std::string name;
    Utc start;
    Seconds duration{};
    KiloPascal pressure_start, pressure_end;
    Fraction oxygen;  ///< breathed
    bool exercise = false;
    KiloPascal tissue_end;  ///< nitrogen
    double r_end = 0;       ///< tissue_end over suit pressure

    Utc end() const { return start + duration; }
};

struct BreakCost {
    Break what;
    bool on_oxygen = false;  ///< false: no oxygen was being breathed, nothing to repay
    Payback rule;
    Minutes tissue;  ///< what the tissue model alone would ask
};

struct PrebreatheCourse {
    std::vector<StageRow> rows;
    std::vector<BreakCost> breaks;
    Utc start, depress, end;  ///< `end`: the suits go to battery power, PET zero
    Seconds later{};          ///< `end` against the protocol without holds and breaks
    KiloPascal suit_pressure;
    KiloPascal tissue_at_depress;
    double r_at_depress = 0;
    double r_after_depress = 0;       ///< when the depress takes time on oxygen, lower than r_at_depress
    std::optional<double> limit_r;    ///< the limit that was applied; none for a validated exercise protocol
    bool limit_out_of_reach = false;  ///< the gas breathed before the depress never brings R down to the limit
    std::string convention;           ///< to stand beside every R
};

/// Why a hold or a break cannot be placed; `which` counts in the order given, breaks after holds.
struct Misplaced {
    std::size_t which = 0;
    std::string why;  ///< a whole sentence
};

/// The course of the protocol begun at `start`. Holds and breaks are placed by the clock, in time order. The depress is
/// the last stage if it ramps to suit pressure or below; its start is the earliest depress. A break counts where oxygen
/// is breathed (a share of 80 % or more), is spent on air at the stage's pressure, and is repaid at the end of the
/// stage it interrupts; a new start runs the whole protocol again. A break during the depress is refused: it means
/// going back to cabin pressure.
std::variant<PrebreatheCourse, Misplaced> run_prebreathe(const Prebreathe& protocol, KiloPascal suit_pressure,
                                                         Utc start, std::span<const Hold> holds = {},
                                                         std::span<const Break> breaks = {});
/// How long the stages last without holds and breaks.
Seconds length(const Prebreathe& protocol);

/// R at a moment of the outing itself.
struct TissueMoment {
    std::string what;  ///< "depress", "2 h outside", "repress to cabin pressure"
    Seconds since_end{};
    KiloPascal tissue;
    double r = 0;  ///< over the pressure at that moment
};
/// Through the outing (oxygen at suit pressure for `outside`, a row each hour), then the repress ramp on air to cabin
/// pressure, then an hour of cabin air.
std::vector<TissueMoment> through_outing(const Prebreathe& protocol, const PrebreatheCourse& course, Seconds outside,
                                         Seconds repress);

}  // namespace handrail::lifesupport
