#include "engine/surface/uv_quadtree.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <functional>
#include <utility>

#include "engine/base/parallel.hpp"
#include "engine/surface/lattice.hpp"

namespace archwright::surface {

namespace {

constexpr double root_cell_mm = 8.0;
constexpr int root_levels = 6;    // cells down to 8 / 64 mm
constexpr int raster_levels = 3;  // second derivatives are sampled every 8 / 8 mm

// How far a chord over a cell of given size can stand off a surface: for f over a cell h wide, linear
// interpolation on either half errs by at most h^2 (|f_uu| + 2 |f_uv| + |f_vv|) / 8. Greatest normal second
// derivatives over the raster's cells, and over 2 x 2 of them at each level up.
class Bend {
  public:
    Bend(const std::vector<const SplineSurface*>& surfaces, int roots_u, int roots_v) {
        const int nu = roots_u << raster_levels, nv = roots_v << raster_levels;
        const Basis &u = surfaces.front()->u, &v = surfaces.front()->v;
        const Lattice lattice{nu + 1, nv + 1, u.length, v.length};
        std::vector<double> nodes(lattice.size(), 0.0);
        for (const SplineSurface* surface : surfaces) {
            const auto second = sample_second(*surface, lattice);
            parallel_for(lattice.size(), 1024, [&](std::size_t begin, std::size_t end) {
                for (std::size_t k = begin; k < end; ++k) {
                    const SurfacePoint& at = second[k];
                    const Vec3 n = at.normal();
                    const double bend =
                        std::abs(at.suu.dot(n)) + 2.0 * std::abs(at.suv.dot(n)) + std::abs(at.svv.dot(n));
                    nodes[k] = std::max(nodes[k], bend);
                }
            });
        }
        levels_.push_back({nu, nv, std::vector<double>(static_cast<std::size_t>(nu) * nv)});
        for (int i = 0; i < nu; ++i)
            for (int j = 0; j < nv; ++j)
                levels_[0].most[static_cast<std::size_t>(i) * nv + j] =
                    std::max({nodes[lattice.index(i, j)], nodes[lattice.index(i + 1, j)],
                              nodes[lattice.index(i, j + 1)], nodes[lattice.index(i + 1, j + 1)]});
        for (int l = 0; l < raster_levels; ++l) {
            const Level& fine = levels_.back();
            Level coarse{fine.nu / 2, fine.nv / 2, {}};
            coarse.most.resize(static_cast<std::size_t>(coarse.nu) * coarse.nv);
            for (int i = 0; i < coarse.nu; ++i)
                for (int j = 0; j < coarse.nv; ++j) {
                    const double* a = &fine.most[static_cast<std::size_t>(2 * i) * fine.nv + 2 * j];
                    const double* b = a + fine.nv;
                    coarse.most[static_cast<std::size_t>(i) * coarse.nv + j] =
                        std::max({a[0], a[1], b[0], b[1]});
                }
            levels_.push_back(std::move(coarse));
        }
    }
    // Cell (i, j) of the grid whose cells are 1 / 2^depth of a root cell.
    double most(int i, int j, int depth) const {
        const int up = raster_levels - depth;
        const Level& level = levels_[static_cast<std::size_t>(std::max(up, 0))];
        if (up < 0) {
            i >>= -up;
            j >>= -up;
        }
        return level.most[static_cast<std::size_t>(i) * level.nv + j];
    }

  private:
    struct Level {
        int nu, nv;
        std::vector<double> most;
    };
    std::vector<Level> levels_;  // [0] the raster
};

}  // namespace

std::vector<Vec2> quadtree_points(const std::vector<const SplineSurface*>& surfaces, const TrimRegion& region,
                                  double tolerance, const TrimRegion* lines) {
    const Basis &u = surfaces.front()->u, &v = surfaces.front()->v;
    const auto roots = [](double length) {
        return std::max(1, static_cast<int>(std::ceil(length / root_cell_mm)));
    };
    const int roots_u = roots(u.length), roots_v = roots(v.length);
    const Bend bend(surfaces, roots_u, roots_v);
    const double root_u = u.length / roots_u, root_v = v.length / roots_v;

    // a corner as one number: column, row, and the depth of its finest cell (finer sorts first)
    struct Corner {
        std::uint64_t place;
        int depth;
    };
    const std::size_t count = static_cast<std::size_t>(roots_u) * static_cast<std::size_t>(roots_v);
    std::vector<std::vector<Corner>> of_root(count);
    parallel_for(count, 4, [&](std::size_t begin, std::size_t end) {
        for (std::size_t root = begin; root < end; ++root) {
            auto& corners = of_root[root];
            const std::function<void(int, int, int)> visit = [&](int i, int j, int depth) {
                const double scale = 1.0 / (1 << depth), hu = root_u * scale, hv = root_v * scale;
                const Vec2 centre((i + 0.5) * hu, (j + 0.5) * hv);
                const double half = 0.5 * std::hypot(hu, hv);
                if (!region.inside(centre) && region.distance(centre, half) >= half) return;
                const double h = std::max(hu, hv);
                if (depth < root_levels && bend.most(i, j, depth) * h * h / 8.0 > tolerance) {
                    for (int a = 0; a < 2; ++a)
                        for (int b = 0; b < 2; ++b) visit(2 * i + a, 2 * j + b, depth + 1);
                    return;
                }
                const int step = 1 << (root_levels - depth);
                for (int a = 0; a < 2; ++a)
                    for (int b = 0; b < 2; ++b)
                        corners.push_back({static_cast<std::uint64_t>((i + a) * step) << 32U |
                                               static_cast<std::uint64_t>((j + b) * step),
                                           depth});
            };
            visit(static_cast<int>(root) / roots_v, static_cast<int>(root) % roots_v, 0);
            std::sort(corners.begin(), corners.end(), [](const Corner& a, const Corner& b) {
                return a.place != b.place ? a.place < b.place : a.depth > b.depth;
            });
            corners.erase(std::unique(corners.begin(), corners.end(),
                                      [](const Corner& a, const Corner& b) { return a.place == b.place; }),
                          corners.end());
        }
    });
    std::vector<Corner> corners;
    for (const auto& part : of_root) corners.insert(corners.end(), part.begin(), part.end());
    std::sort(corners.begin(), corners.end(), [](const Corner& a, const Corner& b) {
        return a.place != b.place ? a.place < b.place : a.depth > b.depth;
    });
    corners.erase(std::unique(corners.begin(), corners.end(),
                              [](const Corner& a, const Corner& b) { return a.place == b.place; }),
                  corners.end());

    constexpr double clear_share = 0.45, clear_most_mm = 1.0;  // of the cell: thinner triangles gain nothing
    std::vector<Vec2> points(corners.size());
    std::vector<char> keep(corners.size());
    parallel_for(corners.size(), 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const double scale = 1.0 / (1 << root_levels);
            points[k] = Vec2(static_cast<double>(corners[k].place >> 32U) * root_u * scale,
                             static_cast<double>(corners[k].place & 0xffffffffU) * root_v * scale);
            const double clear =
                std::min(clear_share * std::max(root_u, root_v) / (1 << corners[k].depth), clear_most_mm);
            keep[k] = region.inside(points[k]) && region.distance(points[k], clear) >= clear &&
                      (lines == nullptr || lines->distance(points[k], clear) >= clear);
        }
    });
    std::vector<Vec2> kept;
    for (std::size_t k = 0; k < points.size(); ++k)
        if (keep[k]) kept.push_back(points[k]);
    return kept;
}

}  // namespace archwright::surface
