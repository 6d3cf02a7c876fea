// Sections of casts, surfaces and shells by an upright plane, seen from behind or from medial.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"
#include "engine/picture/drafting.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::drawings {

/// An upright plane through two places of the plan (design frame, mm), and from where it is seen. What is
/// drawn is its projection on the page's own plane, so that angles about +x are true in every frontal one,
/// though the plane runs askew.
struct Plane {
    enum class View { behind, medial };
    Vec2 a, b;
    View view = View::behind;

    static Plane frontal(double x) { return {{x, 0.0}, {x, 1.0}, View::behind}; }
    static Plane sagittal(double y) { return {{0.0, y}, {1.0, y}, View::medial}; }
    /// mm in front of it.
    double off(const Vec3& p) const;
    /// The coordinates that run across and up the page.
    Vec2 flat(const Vec3& p) const { return {view == View::behind ? p.y() : p.x(), p.z()}; }
    Vec2 page(const picture::Axes& axes, const Vec3& p) const {
        const Vec2 f = flat(p);
        return axes.at(f.x(), f.y());
    }
};

/// A piece of a section, across and up, mm.
using Line = std::vector<Vec2>;

/// Where a mesh meets the plane.
std::vector<Line> section(const TriangleMesh& mesh, const Plane& plane);
/// Where a surface does; inside a region of its (u,v) when one is given.
std::vector<Line> section(const surface::SplineSurface& surface, const Plane& plane,
                          const surface::TrimRegion* inside = nullptr);
/// The longest of the pieces; empty of none.
Line longest(const std::vector<Line>& lines);
/// A piece's height at a place across, by the lower of its branches; nothing where it is not.
std::optional<double> height_at(const Line& line, double across);

/// Only what holds, each run a line of its own.
std::vector<Line> parts(const Line& line, const std::function<bool(const Vec2&)>& holds);

/// A surface as triangles on a lattice of its (u,v), and the (u,v) of its points; inside a region if given.
struct Facets {
    TriangleMesh mesh;
    std::vector<Vec2> uv;
};
Facets facets(const surface::SplineSurface& surface, int per_span, const surface::TrimRegion* inside);

/// The trim line in space, closed.
std::vector<Vec3> in_space(const surface::SplineSurface& surface, const surface::PeriodicCurve& curve);

/// To the page.
std::vector<Vec2> on_page(const picture::Axes& axes, const Line& line);
std::vector<std::vector<Vec2>> on_page(const picture::Axes& axes, const std::vector<Line>& lines);

/// What lies between two lines of one plane, which may touch or coincide: a ring on the page, to be filled.
std::vector<Vec2> between(const picture::Axes& axes, Line one, Line other);

}  // namespace archwright::drawings
