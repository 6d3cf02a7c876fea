// The cast made anew where a person asked for it, before it is stood up.
#pragma once

#include "engine/build/device.hpp"

namespace archwright::build {

/// How near a repair may come to a marked spot of pain, lesion or bone: half of what such a spot measures
/// across, mm (our choice; an area marked round it says more).
inline constexpr double protected_spot_mm = 7.0;

/// The places of the job's marks that are meant to be as they are (pain, lesion, bone, not refused), design
/// frame.
std::vector<examine::ProtectedPlace> protected_places(const std::vector<design::Mark>& marks,
                                                      const foot::Frame& frame);

/// Repairs the scan; null when the job asks for none. Faults: those of examine::repair, and a repair that
/// reaches into such a mark (FaultKind::check): what a person marked as real is never smoothed away.
Outcome<std::shared_ptr<const examine::Repaired>> repair_stage(const TriangleMesh& scan,
                                                               const scan::Reception& reception,
                                                               LengthUnit unit,
                                                               const design::FootDesign& foot,
                                                               Progress& progress);

/// The repair a finding asks for, in the cast file's coordinates: no name and no person yet. Fault (usage) for
/// what cannot be made anew from what lies round it: a flattened heel is not invented back.
Outcome<design::Repair> proposed_repair(const Examined::Call& call, const foot::Frame& frame);

/// "cast.repaired": a look that lists each repair with its figures. Nothing without repairs.
std::optional<Check> check_repairs(const examine::Repaired& repaired, const design::FootDesign& foot,
                                   const foot::Frame& frame);

}  // namespace archwright::build
