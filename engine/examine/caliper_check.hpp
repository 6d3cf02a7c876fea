// The clinic's two caliper sizes against the scan: they catch a wrong unit, shrinkage, crush, and scans of
// the outside of a plaster cast.
#pragma once

#include <optional>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/foot/measure.hpp"

namespace archwright::examine {

/// What was measured on the foot, mm.
struct CaliperSizes {
    std::optional<double> heel_breadth_mm, ball_breadth_mm;
};

/// Standard deviation of a breadth by caliper on soft tissue (mm; our choice: a hand's pressure and place).
inline constexpr double caliper_sd_mm = 1.5;
/// Plaster walls are some 4 to 6 mm thick (common practice, no source): a scan of the outside of a cast is
/// wider by two of them.
inline constexpr double plaster_least_mm = 3.0, plaster_most_mm = 8.0;
/// Shrinkage of a whole scan that is believed (share); more is another unit or scale.
inline constexpr double shrinkage_most = 0.06;

/// "cast.calipers": pass within 1.96 standard deviations of caliper and scan together, else a look that says
/// what the differences mean together. Nothing when no size was given. `measured` are those of the cast.
std::optional<Check> check_calipers(const CaliperSizes& clinic,
                                    const std::vector<foot::Measurement>& measured);

}  // namespace archwright::examine
