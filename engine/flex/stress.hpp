// Stress of a flexed shell on its two faces.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "engine/flex/large.hpp"
#include "engine/flex/model.hpp"

namespace archwright::flex {

/// Plane stress on one face, in the facet's axes, MPa.
struct FaceStress {
    double xx = 0.0, yy = 0.0, xy = 0.0;
    double von_mises() const;
    /// Greatest and least principal stress (tension positive).
    double greatest() const;
    double least() const;
};

struct ElementStress {
    FaceStress foot_side, underside;
};

/// At the middle of every triangle: mean membrane strain and half the wall times the curvature there. Linear
/// in the displacement (all freedoms).
std::vector<ElementStress> stresses(const Model& model, const Eigen::VectorXd& displacement);

/// Of a shell that has moved far, in the axes its triangles have turned to.
std::vector<ElementStress> stresses(const LargeShell& shell, const LargeState& state);

}  // namespace archwright::flex
