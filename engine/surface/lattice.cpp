#include "engine/surface/lattice.hpp"

#include <array>

#include "engine/base/parallel.hpp"

namespace archwright::surface {

namespace {

struct Column {
    int first;
    std::array<double, 4> n, d1, d2;
};

std::vector<Column> columns(const Basis& basis, double length, int nodes) {
    std::vector<Column> all(static_cast<std::size_t>(nodes));
    for (int k = 0; k < nodes; ++k) {
        Column& c = all[static_cast<std::size_t>(k)];
        c.first = basis.evaluate(length * k / (nodes - 1), c.n, &c.d1, &c.d2);
    }
    return all;
}

Vec3 combine(const std::array<double, 4>& n, const Vec3* row) {
    return n[0] * row[0] + n[1] * row[1] + n[2] * row[2] + n[3] * row[3];
}

// Contracts the control net along u once for a row of nodes, then along v node by node.
template <int derivatives, class Put>
void sweep(const SplineSurface& surface, const Lattice& lattice, const Put& put) {
    const auto cu = columns(surface.u, lattice.length_u, lattice.nu);
    const auto cv = columns(surface.v, lattice.length_v, lattice.nv);
    const std::size_t width = static_cast<std::size_t>(surface.v.count);
    parallel_for(static_cast<std::size_t>(lattice.nu), 8, [&](std::size_t begin, std::size_t end) {
        std::array<std::vector<Vec3>, derivatives + 1> rows;
        for (auto& row : rows) row.resize(width);
        for (std::size_t i = begin; i < end; ++i) {
            const Column& c = cu[i];
            const Vec3* net = &surface.control[static_cast<std::size_t>(c.first) * width];
            for (std::size_t j = 0; j < width; ++j) {
                const Vec3 p[4] = {net[j], net[j + width], net[j + 2 * width], net[j + 3 * width]};
                rows[0][j] = combine(c.n, p);
                if constexpr (derivatives > 0) rows[1][j] = combine(c.d1, p);
                if constexpr (derivatives > 1) rows[2][j] = combine(c.d2, p);
            }
            for (std::size_t j = 0; j < cv.size(); ++j) put(i * cv.size() + j, rows, cv[j]);
        }
    });
}

}  // namespace

std::vector<Vec3> sample_points(const SplineSurface& surface, const Lattice& lattice) {
    std::vector<Vec3> points(lattice.size());
    sweep<0>(surface, lattice, [&](std::size_t k, const auto& rows, const Column& c) {
        points[k] = combine(c.n, &rows[0][c.first]);
    });
    return points;
}

LatticeFrames sample_frames(const SplineSurface& surface, const Lattice& lattice) {
    LatticeFrames frames;
    frames.points.resize(lattice.size());
    frames.normals.resize(lattice.size());
    sweep<1>(surface, lattice, [&](std::size_t k, const auto& rows, const Column& c) {
        frames.points[k] = combine(c.n, &rows[0][c.first]);
        frames.normals[k] =
            combine(c.n, &rows[1][c.first]).cross(combine(c.d1, &rows[0][c.first])).normalized();
    });
    return frames;
}

std::vector<SurfacePoint> sample_second(const SplineSurface& surface, const Lattice& lattice) {
    std::vector<SurfacePoint> all(lattice.size());
    sweep<2>(surface, lattice, [&](std::size_t k, const auto& rows, const Column& c) {
        SurfacePoint& at = all[k];
        at.s = combine(c.n, &rows[0][c.first]);
        at.su = combine(c.n, &rows[1][c.first]);
        at.sv = combine(c.d1, &rows[0][c.first]);
        at.suu = combine(c.n, &rows[2][c.first]);
        at.suv = combine(c.d1, &rows[1][c.first]);
        at.svv = combine(c.d2, &rows[0][c.first]);
    });
    return all;
}

}  // namespace archwright::surface
