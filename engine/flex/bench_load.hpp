// Where the bench's named loads stand on a shell, and how large they are.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "engine/flex/bench.hpp"

namespace archwright::flex {

/// A load of the bench as shares of a force at the points; what it works on is its own mean deflection.
struct BenchLoad {
    std::vector<double> shares;  ///< sum 1; empty: it lies beside the shell
    std::vector<double> other;   ///< torsion: the lateral half, pulled down
    double sign = -1.0;          ///< up: 1
    double arm_mm = 0.0;         ///< torsion: between the two halves
    Vec2 at = Vec2::Zero();      ///< its middle in plan
    Vec3 up = Vec3::UnitZ();     ///< away from the ground

    /// On all freedoms, for a load in N (torsion: N mm).
    Eigen::VectorXd forces(double load) const;
    /// Mean in the load's direction, mm; torsion: degrees.
    double deflection(const Eigen::VectorXd& displacement) const;
};

BenchLoad place_load(const surface::TrimRule& rule, const Model& middle, LoadCase load, const Vec2& moved);
/// The case's own load, N; torsion N mm.
double own_load(LoadCase load, double body_mass_kg);
bool on_ground(LoadCase load);

/// How far a place lies behind the distal edge of the trim rule, mm; the distal edge of a shell is what lies
/// within `distal_edge_mm` of it.
double behind_distal(const surface::TrimRule& rule, const Vec2& plan);
inline constexpr double distal_edge_mm = 10.0;

}  // namespace archwright::flex
