// Surfaces and their colours as the page takes them: thinned, as whole numbers, in base64.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "engine/base/side.hpp"
#include "engine/mesh/thinned.hpp"
#include "engine/picture/colour_map.hpp"

namespace archwright::exporters::preview {

/// Most triangles of a shell, of its cast and of each part beside it. So few that a telephone turns them
/// without a stutter, so many that no facet shows (docs/preview.md).
inline constexpr std::size_t most_of_shell = 60000, most_of_cast = 36000, most_of_part = 6000;

/// A figure at every point, mm, for a colour; not a number: none there.
struct PaintedField {
    std::string key;             ///< "wall", "distance"
    std::vector<double> values;  ///< of the points of the mesh before it was thinned
};

/// One surface for the page.
struct PackedBody {
    nlohmann::ordered_json json;
    std::size_t triangles = 0, of_triangles = 0;  ///< drawn, and of how many
    double off_mm = 0.0;  ///< greatest distance of the surface's points from what is drawn
};

/// `mesh`: design frame, mm; written as the part is (mirrored back for a left foot). `group`: of each
/// triangle, rising; triangles of one group stand together, and the JSON tells where each ends. Places are
/// rounded to 1/65535 of the greatest side of the box (under 0.005 mm for any foot), figures to 0.01 mm.
/// Fault (cancelled) alone.
Outcome<PackedBody> packed_body(const TriangleMesh& mesh, const std::vector<std::uint8_t>& group,
                                const std::vector<PaintedField>& fields, std::size_t most, Side side,
                                Progress& progress);

/// A colour map with its range and ticks.
nlohmann::ordered_json packed_scale(const picture::MapScale& scale);

}  // namespace archwright::exporters::preview
