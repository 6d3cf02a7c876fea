// Stage "receive": what is in this file? Unit, up, toes, side, inside-out, sole, rim: proposals with their
// evidence, never a silent change.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/scan/receive_proposal.hpp"
#include "engine/scan/rim.hpp"
#include "engine/scan/side.hpp"
#include "engine/scan/sole.hpp"
#include "engine/scan/unit.hpp"

namespace archwright::scan {

struct Reception {
    Proposal<LengthUnit> unit;                          ///< the stated one when one was stated
    LengthUnit unit_of_shape = LengthUnit::millimetre;  ///< proposed, whatever was stated
    std::vector<UnitCandidate> units;                   ///< all four
    Proposal<Vec3> up;                                  ///< unit vector, file coordinates
    Proposal<Vec3> toes;  ///< heel to toes, unit vector across `up`, file coordinates
    Proposal<Side> side;  ///< from the shape alone, whatever was stated
    std::vector<Cue> side_cues;
    Proposal<bool> inside_out;  ///< true: normals point into the foot (a negative scanned from inside)
    double foot_length = 0.0;   ///< file units; an estimate where the toes are cut
    bool toes_cut = false;      ///< the scan ends before the toes
    bool lateral_toes_missing = false;
    SoleCoverage sole;
    RimReport rim;
    /// One byte a triangle, 1 = may be used; empty when all may. Ragged and folded rim and the wrong layer of
    /// a double wall are 0.
    std::vector<std::uint8_t> usable;
    std::vector<Check> checks;
};

/// Examines a cleaned scan (file units). `declared` is the unit written in the file itself, if any; `stated`
/// is what a person said. A scan without a sole is refused (FaultKind::input) with the share that is open.
/// Never mirrors, rescales or repairs anything. Cost: two passes over the triangles; everything else works on
/// a fixed number of area-weighted samples.
Outcome<Reception> receive(const TriangleMesh& cleaned, const std::optional<LengthUnit>& declared,
                           const Stated& stated, Progress* progress = nullptr);

}  // namespace archwright::scan
