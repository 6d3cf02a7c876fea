// What a body is like round each place of its skin: the wall behind it, the gap before it, how open it lies.
#pragma once

#include <optional>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::print {

/// A place of the skin that stands for a piece of it.
struct SkinPlace {
    Vec3 p = Vec3::Zero();
    Vec3 normal = Vec3::Zero();  ///< outward
    double area = 0.0;           ///< mm2
    /// Distance square to the skin that lies behind the material here (before the air here): where the ray
    /// along the normal meets skin that looks the other way within `opposed_deg`, the distance from this
    /// place to the plane of that skin. None where it meets other skin, or nothing. A slab, a ball and a tube
    /// give their very wall; a wedge its thickness square to the other face.
    std::optional<double> wall_mm, gap_mm;
    /// Depth over breadth of the round hole whose floor's middle sees as much of the sky as this place does,
    /// weighted by the cosine from the normal: open share 1 / (1 + 4 k^2) of a hole k times as deep as it is
    /// wide (the form factor of a disc: J. R. Howell, A catalog of radiation configuration factors, 1982). 0
    /// where it lies open by more than `open_share`.
    double depth = 0.0;
};

/// Skin behind a wall, or beyond a gap, looks the other way within this, degrees.
inline constexpr double opposed_deg = 60.0;
/// Places that see more of the sky than this lie open; of them no more is asked.
inline constexpr double open_share = 0.2;

struct Probe {
    std::vector<SkinPlace> places;  ///< by triangle; large ones several
    double area_mm2 = 0.0;
    std::size_t hollows = 0;  ///< closed skins that look inward: voids within the body
    double hollow_mm3 = 0.0;  ///< of all of them
    std::optional<Vec3> hollow_where;
};

struct ProbeSetting {
    double spacing_mm = 1.0;            ///< of places on triangles larger than that
    bool depth = true;                  ///< whether what lies deep is asked for
    std::size_t most_places = 600'000;  ///< spacing grows to keep within it
};

/// Asks a closed, outward mesh, mm. Places and figures do not depend on threads. Faults (input, stage
/// "print"): a mesh that is empty, holds what is no number, or is not closed; more triangles than places;
/// cancelled.
Outcome<Probe> probe(const TriangleMesh& mesh, const ProbeSetting& setting, Progress* progress);

}  // namespace archwright::print
