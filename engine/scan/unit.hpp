// The unit of a cast file, from the length of the foot in it.
#pragma once

#include <optional>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/units.hpp"
#include "engine/scan/receive_proposal.hpp"

namespace archwright::scan {

/// One unit the file could be in, and the foot it would make.
struct UnitCandidate {
    LengthUnit unit = LengthUnit::millimetre;
    double foot_length_mm = 0.0;
    bool plausible_adult = false;  ///< within the range observed in 6,068 adults
    bool plausible_child = false;  ///< shorter, down to the first walking shoes
};

/// All four units with the foot length each would make. `length` is in file units; with `cut_toes` it is an
/// estimate of the whole foot, and the ranges are widened by its uncertainty.
std::vector<UnitCandidate> unit_candidates(double length, bool cut_toes);

/// Proposes a unit. Clear when exactly one unit makes a plausible foot, or when the file declares a unit that
/// does; two plausible units are never decided here.
Proposal<LengthUnit> propose_unit(const std::vector<UnitCandidate>& candidates,
                                  const std::optional<LengthUnit>& declared);

/// The check "unit": pass, or a stop that only stating the unit (again) clears.
Check check_unit(const Proposal<LengthUnit>& proposal, const std::vector<UnitCandidate>& candidates,
                 const std::optional<LengthUnit>& declared, const std::optional<LengthUnit>& stated);

}  // namespace archwright::scan
