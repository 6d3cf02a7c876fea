// A surface evaluated on a regular lattice of its whole domain: row by row, so a point costs some 20 ns.
#pragma once

#include <cmath>
#include <cstddef>
#include <vector>

#include "engine/surface/bspline.hpp"

namespace archwright::surface {

/// nu x nv nodes over [0, length_u] x [0, length_v], both ends included; node (i, j) is at index i * nv + j.
struct Lattice {
    int nu = 2, nv = 2;
    double length_u = 1.0, length_v = 1.0;

    /// `per_span` nodes to each knot span of a surface's bases (plus the last).
    static Lattice over(const Basis& u, const Basis& v, int per_span) {
        return {u.spans() * per_span + 1, v.spans() * per_span + 1, u.length, v.length};
    }
    /// The coarsest lattice whose steps are at most `spacing` mm.
    static Lattice spaced(const Basis& u, const Basis& v, double spacing) {
        const auto nodes = [spacing](double length) {
            return std::max(8, static_cast<int>(std::ceil(length / spacing)) + 1);
        };
        return {nodes(u.length), nodes(v.length), u.length, v.length};
    }
    double step_u() const { return length_u / (nu - 1); }
    double step_v() const { return length_v / (nv - 1); }
    std::size_t size() const { return static_cast<std::size_t>(nu) * static_cast<std::size_t>(nv); }
    std::size_t index(int i, int j) const { return static_cast<std::size_t>(i) * nv + j; }
    Vec2 uv(int i, int j) const { return {length_u * i / (nu - 1), length_v * j / (nv - 1)}; }
    Vec2 uv(std::size_t k) const { return uv(static_cast<int>(k) / nv, static_cast<int>(k) % nv); }
};

/// Points of a surface at the nodes.
std::vector<Vec3> sample_points(const SplineSurface& surface, const Lattice& lattice);
/// Points and unit normals at the nodes.
struct LatticeFrames {
    std::vector<Vec3> points, normals;
};
LatticeFrames sample_frames(const SplineSurface& surface, const Lattice& lattice);
/// Points with first and second derivatives.
std::vector<SurfacePoint> sample_second(const SplineSurface& surface, const Lattice& lattice);

}  // namespace archwright::surface
