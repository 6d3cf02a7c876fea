// Measuring by hand: distances, angles and radii of places that a person points at. Pure geometry.
#pragma once

#include <optional>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"
#include "engine/picture/subject.hpp"

namespace archwright::editor::view {

/// The angle at b between the ways to a and to c, degrees; none where a or c is b.
std::optional<double> angle_at(const Vec3& a, const Vec3& b, const Vec3& c);

/// Radius of the circle through three places, mm; none where they stand in a line.
std::optional<double> radius_through(const Vec3& a, const Vec3& b, const Vec3& c);

/// The upright plane through two places; across the foot where one stands over the other.
picture::SectionCut upright_cut(const Vec3& a, const Vec3& b);

/// Length along the surface from a to b, mm, in the upright plane through both: as a tape laid straight would
/// lie that follows the surface. Of a closed curve the shorter way. None when no one curve of the section
/// passes both within `near` mm.
std::optional<double> along_surface(const TriangleMesh& surface, const Vec3& a, const Vec3& b,
                                    double near = 0.5);

/// The curve of a section round a place.
struct Bend {
    double radius_mm = 0;
    bool hollow = false;  ///< its middle lies on the side of `out`
};
/// Circle of least squares (algebraic, V. Pratt's normalisation left out: A. Kasa 1976) through the part of
/// the section curve nearest to the place that lies within `reach` mm of it along the curve. `out`: out of
/// the surface. None where the curve is straight: a radius beyond `straight` mm; or too short.
std::optional<Bend> bend_at(const std::vector<picture::Chain>& section, const picture::SectionCut& cut,
                            const Vec3& place, const Vec3& out, double reach = 4.0, double straight = 1000.0);

}  // namespace archwright::editor::view
