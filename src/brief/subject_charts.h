#pragma once

#include <mutex>
#include <optional>
#include <variant>
#include <vector>

#include "brief/canvas.h"
#include "brief/chart_footer.h"
#include "brief/registry.h"
#include "risk/odds.h"

/// Charts of a plan or a day for which something is computed first.
namespace handrail::brief {

class OddsOnce {
public:
    /// None when nothing is left to simulate.
    const std::optional<risk::Odds>& of(const Subject& subject);

private:
    std::once_flag once_;
    std::optional<risk::Odds> odds_;
};

using PagesOrNot = std::variant<std::vector<Canvas>, NotMade>;
/// Light and coverage from PET zero to the hard end, or to the end of the plan where that is later.
PagesOrNot sky_pages(const Subject& subject, const ChartOrigin& origin);
/// What both suits have left: by the plan; on the day also by what has been done and read, with the readings that the
/// console may see.
PagesOrNot suits_pages(const Subject& subject, const ChartOrigin& origin, Units units);
PagesOrNot risk_pages(const Subject& subject, const ChartOrigin& origin);

}  // namespace handrail::brief
