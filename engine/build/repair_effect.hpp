// What a fault of the cast does to the device: the design with it and without it.
#pragma once

#include "engine/build/device.hpp"

namespace archwright::build {

/// Differences of the same order on the cast as it is and on the cast repaired.
struct RepairEffect {
    /// Measured on the cast, before and after; nothing where it cannot be measured.
    std::optional<double> forefoot_before_deg, forefoot_after_deg;  ///< to rearfoot, positive inverted
    std::optional<double> arch_before_mm, arch_after_mm;
    /// Greatest distance between the two dressed foot sides inside the trim line, in the repaired cast's frame,
    /// mm, and where.
    double foot_side_mm = 0.0;
    Vec3 where = Vec3::Zero();
    std::size_t samples = 0;
};

/// Receives and surfaces the cast again with one more repair. `received` and `surfaced` belong to `foot`.
/// Faults: those of the stages (the repaired cast may not carry the device).
Outcome<RepairEffect> repair_effect(const Received& received, const Surfaced& surfaced,
                                    const design::FootDesign& foot, Side side, const design::Repair& repair,
                                    Progress& progress);

/// "Repaired, the foot side would lie up to 1.4 mm elsewhere, at ...; forefoot to rearfoot 6.4 degrees everted
/// becomes 5.0 degrees everted."
std::string sentence(const RepairEffect& effect);

}  // namespace archwright::build
