// A shell ready to be flexed: its middle surface as triangles, its wall at their corners, its stuff.
#pragma once

#include <optional>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/vec.hpp"
#include "engine/flex/facet.hpp"
#include "engine/flex/lamina.hpp"
#include "engine/flex/laminate.hpp"

namespace archwright::flex {

struct Model {
    std::vector<Vec3> points;         ///< of the middle surface, mm
    std::vector<Triangle> triangles;  ///< counter-clockwise seen from the foot
    std::vector<double> wall_mm;      ///< at the points; straight between them
    Lamina lamina;
    Vec3 fibre = Vec3::UnitX();    ///< direction 1 of the lamina or x of the sheet, laid on every triangle
    std::optional<Sheet> sheet{};  ///< of a laminate: goes before the lamina

    /// Fault (input, stage "flex") naming what is wrong and where: nothing in it, more than
    /// limit::most_points, sizes that do not agree, a point or wall that is not a number, a wall of 0 or
    /// less, a triangle that names no point or has no area, a point no triangle uses, a material that cannot
    /// be.
    Outcome<Done> check() const;

    ShellElement element(std::size_t triangle) const;
    /// The sheet, or that of the lamina.
    Sheet stuff() const { return sheet ? *sheet : Sheet::of(lamina); }
    /// Pulled along x, MPa.
    double modulus_along() const;
    double mean_wall() const;
};

/// Area of the middle surface that belongs to each point, mm2: a third of every triangle round it.
std::vector<double> areas(const Model& model);

/// Unit normals at the points towards the foot: of the triangles round them, by their angles (Thuermer and
/// Wuethrich 1998).
std::vector<Vec3> normals(const Model& model);

}  // namespace archwright::flex
