#include "engine/picture/local_relief.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace archwright::picture {

namespace {

/// Sums over nodes of 1, x, y, xx, xy, yy, h, xh, yh (x along u, y along v).
constexpr std::size_t sums = 9;
using Moments = std::array<double, sums>;

/// The plane is smooth: it is worked out at every fourth node and taken linearly between.
constexpr int stride = 4;

struct Coarse {
    int nu = 0, nv = 0;
    std::vector<Moments> at;

    Coarse(int nu_, int nv_)
        : nu(nu_), nv(nv_), at(static_cast<std::size_t>(nu_) * static_cast<std::size_t>(nv_), Moments{}) {}
    Moments& node(int i, int j) { return at[static_cast<std::size_t>(i) * nv + j]; }
    const Moments& node(int i, int j) const { return at[static_cast<std::size_t>(i) * nv + j]; }
};

std::vector<double> half_kernel(double sigma) {
    std::vector<double> kernel;
    const int reach = std::max(1, static_cast<int>(std::ceil(3.5 * sigma)));
    for (int k = 0; k <= reach; ++k) kernel.push_back(std::exp(-0.5 * k * k / (sigma * sigma)));
    return kernel;
}

Coarse spread(const Coarse& in, const std::vector<double>& kernel, bool along_u) {
    Coarse out(in.nu, in.nv);
    const int reach = static_cast<int>(kernel.size()) - 1;
    for (int i = 0; i < in.nu; ++i)
        for (int j = 0; j < in.nv; ++j)
            for (int k = -reach; k <= reach; ++k) {
                const int a = along_u ? i + k : i, b = along_u ? j : j + k;
                if (a < 0 || b < 0 || a >= in.nu || b >= in.nv) continue;
                const double weight = kernel[static_cast<std::size_t>(std::abs(k))];
                for (std::size_t m = 0; m < sums; ++m) out.node(i, j)[m] += weight * in.node(a, b)[m];
            }
    return out;
}

/// The plane at (x, y); the mean where the nodes seen lie on one line.
double plane_at(const Moments& m, double x, double y) {
    if (!(m[0] > 0.0)) return 0.0;
    const double mx = m[1] / m[0], my = m[2] / m[0], mh = m[6] / m[0];
    const double xx = m[3] / m[0] - mx * mx, xy = m[4] / m[0] - mx * my, yy = m[5] / m[0] - my * my;
    const double xh = m[7] / m[0] - mx * mh, yh = m[8] / m[0] - my * mh;
    const double determinant = xx * yy - xy * xy;
    constexpr double on_a_line = 1e-6;  // mm^4, of ground that is at least a node's breadth in both ways
    if (!(determinant > on_a_line)) return mh;
    return mh + (x - mx) * (yy * xh - xy * yh) / determinant + (y - my) * (xx * yh - xy * xh) / determinant;
}

}  // namespace

std::vector<double> local_relief(const examine::HeightMap& map, double reach_mm) {
    std::vector<double> out(map.size(), 0.0);
    if (map.empty()) return out;
    // coarse node (a, b) stands at the fine node (stride a, stride b) and takes those nearest to it
    Coarse coarse((map.nu - 1) / stride + 2, (map.nv - 1) / stride + 2);
    for (int i = 0; i < map.nu; ++i)
        for (int j = 0; j < map.nv; ++j) {
            const std::size_t k = map.index(i, j);
            if (!map.valid[k]) continue;
            const double x = i * map.step_mm, y = j * map.step_mm, h = static_cast<double>(map.height[k]);
            Moments& m = coarse.node((i + stride / 2) / stride, (j + stride / 2) / stride);
            const Moments one{1.0, x, y, x * x, x * y, y * y, h, x * h, y * h};
            for (std::size_t q = 0; q < sums; ++q) m[q] += one[q];
        }
    const double cell = stride * map.step_mm;
    const std::vector<double> kernel = half_kernel(reach_mm / cell);
    coarse = spread(spread(coarse, kernel, true), kernel, false);
    std::vector<double> plane(coarse.at.size());
    for (int a = 0; a < coarse.nu; ++a)
        for (int b = 0; b < coarse.nv; ++b)
            plane[static_cast<std::size_t>(a) * coarse.nv + b] =
                plane_at(coarse.node(a, b), a * cell, b * cell);
    for (int i = 0; i < map.nu; ++i)
        for (int j = 0; j < map.nv; ++j) {
            const std::size_t k = map.index(i, j);
            if (!map.valid[k]) continue;
            const int a = i / stride, b = j / stride;
            const double s = static_cast<double>(i % stride) / stride,
                         t = static_cast<double>(j % stride) / stride;
            const auto at = [&](int p, int q) { return plane[static_cast<std::size_t>(p) * coarse.nv + q]; };
            const double base = (1.0 - s) * ((1.0 - t) * at(a, b) + t * at(a, b + 1)) +
                                s * ((1.0 - t) * at(a + 1, b) + t * at(a + 1, b + 1));
            out[k] = static_cast<double>(map.height[k]) - base;
        }
    return out;
}

}  // namespace archwright::picture
