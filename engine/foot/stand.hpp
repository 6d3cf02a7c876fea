// From a received scan to a foot standing in the design frame.
#pragma once

#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/outcome.hpp"
#include "engine/base/side.hpp"
#include "engine/base/units.hpp"
#include "engine/foot/frame.hpp"
#include "engine/foot/landmarks.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/scan/receive.hpp"

namespace archwright::foot {

/// A foot in the design frame, standing as it stands by itself.
struct Standing {
    Frame frame;                      ///< scan file to design frame
    TriangleMesh mesh;                ///< design frame, mm, right-foot handed, outward; usable triangles only
    Landmarks landmarks;              ///< design frame: set by a person, and suggested for the rest
    double foot_length_mm = 0.0;      ///< heel to the longest toe along +x; estimated where the toes are cut
    bool length_estimated = false;    ///< the toes are cut
    double lowest_toe_mm = 0.0;       ///< z of the lowest point distal to 0.78 of the length
    Vec3 heel_lowest = Vec3::Zero();  ///< lowest point of the heel
    std::vector<Check> checks;
};

/// Mirrors by the STATED side first (Frame), then up, toes, level, axis. Level: z = 0 is the plane through
/// the lowest points of the heel, 1st and 5th metatarsal head regions, lowered to the lowest point behind the
/// toes. Axis: +x from the heel centre to the 2nd metatarsal head when a person marked it, else to 45 % of
/// the way from the 1st to the 5th head's border point. `set_by_person`: scan coordinates, may be empty; each
/// counts where it lies on the cast (on_cast.hpp).
/// A foot and its mirror image stated with the other side give the same to tolerance::mirror_mm.
Outcome<Standing> stand(const TriangleMesh& cleaned, const scan::Reception& reception, Side side,
                        LengthUnit unit, const Landmarks& set_by_person);

}  // namespace archwright::foot
