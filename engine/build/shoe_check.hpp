// Whether the device lies on the insole of the shoe (docs/shoe.md).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/design/job.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/shoe/insole.hpp"
#include "engine/shoe/read.hpp"

namespace archwright::build {

/// What of the device lies within this height of the ground is its footprint, mm.
inline constexpr double footprint_height_mm = 5.0;

/// One line of the device against the insole's edge less the clearance (the line).
struct ShoeLine {
    /// Greatest overlap, mm; negative: least clearance. The heel end, which touches the line by the way the
    /// device is laid, enters only where it is past the line by more than tolerance::shoe_touch_mm.
    double overlap_mm = 0.0;
    Vec3 where = Vec3::Zero();  ///< of it on the device, design frame, mm
    std::string zone;  ///< "heel, medial", "arch, lateral", "forefoot, medial", "behind the heel", ...
};

/// The device laid on the insole: the rear of its widest outline at the rear of the line, as its heel cup
/// stands against the shoe's counter; shift and turn those of the least greatest overlap of the footprint,
/// and among those without any of the least of the rim.
struct ShoeLaid {
    double forward_mm = 0.0;  ///< of the design frame's origin in front of the insole's rear
    double shift_mm = 0.0;    ///< of the origin from the insole's axis, medial positive
    double turn_deg = 0.0;    ///< of the device on the insole, toes medial positive
    ShoeLine footprint;       ///< what lies within footprint_height_mm of the ground
    ShoeLine rim;             ///< everything, seen from above

    /// The insole's outline as it lies under the device: design frame, mm.
    std::vector<Vec2> insole_under(const shoe::Insole& insole) const;
};

/// Greatest turn tried, degrees each way.
inline constexpr double most_turn_deg = 3.0;

/// Lays the mesh (design frame, mm, ground level at its lowest point) on the insole. The mesh must not be
/// empty.
ShoeLaid lay_in_shoe(const TriangleMesh& mesh, const shoe::Insole& insole, double clearance_mm);

/// The shoe of one device. Only where the order says something of its insole.
struct ShoeFit {
    std::string source;  ///< "the file NAME (SVG, 1 unit is ...)" or "the sizes in the order"
    std::string file;    ///< its name without folder, or empty
    std::string sha256;  ///< of the file, or empty
    double clearance_mm = 0.0;
    std::optional<shoe::Insole> insole;  ///< none while sizes are missing
    std::optional<ShoeLaid> laid;
    std::vector<std::string> notes;
    std::vector<Check> checks;
};

/// Whether the order says anything of the insole.
bool names_insole(const design::Order& order);

/// Lays the finished shell on the insole of the order: `drawing` is what its file holds, where it names one.
/// Some of the three sizes missing: a look that names them. Faults: those of shoe::Insole.
Outcome<ShoeFit> shoe_stage(const TriangleMesh& mesh, const design::Order& order,
                            const std::optional<shoe::Drawing>& drawing);

}  // namespace archwright::build
