// The cast made anew where a person asked for it, before it is stood up.
#pragma once

#include "engine/build/device.hpp"

namespace archwright::build {

/// How far round a marked spot or line of pain, lesion or bone the foot is meant to be as it is: half of what
/// such a spot measures across, mm (our choice; an area marked round it says more).
inline constexpr double protected_spot_mm = 7.0;

/// Middle and reach of what is meant to be as it is. Design frame, mm.
struct GuardedPlace {
    Vec3 place = Vec3::Zero();
    double reach_mm = protected_spot_mm;
};

/// Of every accepted mark of pain, lesion or bone.
std::vector<GuardedPlace> guarded_places(const std::vector<design::Mark>& marks, const foot::Frame& frame);

/// The accepted mark of pain, lesion or bone that a place (scan coordinates) lies on; null: none. Suggestions
/// decide nothing.
const design::Mark* mark_at(const std::vector<design::Mark>& marks, const Vec3& place, double mm_per_unit);

/// Repairs the scan; null when the job asks for none. Faults: those of examine::repair, and a repair that
/// reaches into such a mark (FaultKind::check): what a person marked as real is never smoothed away; one of
/// a kind that is not repairable().
Outcome<std::shared_ptr<const examine::Repaired>> repair_stage(const TriangleMesh& scan,
                                                               const scan::Reception& reception,
                                                               LengthUnit unit,
                                                               const design::FootDesign& foot,
                                                               Progress& progress);

/// The repair a finding asks for, in the cast file's coordinates: no name and no person yet. Fault (usage)
/// for what cannot be made anew from what lies round it (a flattened heel is not invented back), and for what
/// a person or a mark says is the foot.
Outcome<design::Repair> proposed_repair(const Examined::Call& call, const foot::Frame& frame);

/// What a person has to know of a repair beside its figures: that it went the other way than its kind asks
/// for, that ends of its line were left. A sentence or more, each after a space; empty: nothing.
std::string beyond_words(const examine::RepairFigure& figure, const design::Repair& asked);

/// "cast.repaired": a look that lists each repair with its figures. Nothing without repairs.
std::optional<Check> check_repairs(const examine::Repaired& repaired, const design::FootDesign& foot,
                                   const foot::Frame& frame);

}  // namespace archwright::build
