#include "engine/scan/sole.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/tolerances.hpp"
#include "engine/scan/rim.hpp"

namespace archwright::scan {
namespace {

// Nominal mm (a 260 mm foot).
constexpr double cell = 6.0;
constexpr double inside_border = 10.0;
constexpr double toe_roots = 0.76;  // share of the length

/// Nothing of a sole lies higher: the arch may, elsewhere it is low; the back of a foot is above both.
double sole_height(double share) {
    return share > 0.3 && share < 0.65 ? 34.0 : 22.0;
}

}  // namespace

double open_share(const Plan& plan) {
    const int columns = static_cast<int>(nominal_length / cell) + 1;
    constexpr double reach = 120.0;  // half the width of the raster
    const int rows = static_cast<int>(2.0 * reach / cell) + 1;
    std::vector<double> lowest(static_cast<std::size_t>(columns * rows), 1e300);
    for (const Vec3& p : plan.position) {
        const int i = static_cast<int>(std::floor(p.x() / cell));
        const int j = static_cast<int>(std::floor((p.y() + reach) / cell));
        if (i < 0 || j < 0 || i >= columns || j >= rows) continue;
        double& z = lowest[static_cast<std::size_t>(i * rows + j)];
        z = std::min(z, p.z());
    }
    const double end = std::min(toe_roots * nominal_length, plan.scan_length - inside_border);
    int all = 0;
    int open = 0;
    for (int i = 0; i < columns; ++i) {
        const double x = (i + 0.5) * cell;
        if (x < inside_border || x > end) continue;
        const int k = plan.outline.at(x);
        if (!plan.outline.has(k)) continue;
        for (int j = 0; j < rows; ++j) {
            const double y = (j + 0.5) * cell - reach;
            if (y < plan.outline.right[static_cast<std::size_t>(k)] + inside_border ||
                y > plan.outline.left[static_cast<std::size_t>(k)] - inside_border)
                continue;
            ++all;
            if (lowest[static_cast<std::size_t>(i * rows + j)] > sole_height(Plan::share(x))) ++open;
        }
    }
    return all == 0 ? 1.0 : static_cast<double>(open) / all;
}

std::vector<Hole> sole_holes(const TriangleMesh& mesh, const std::vector<BoundaryLoop>& loops, int rim,
                             const Plan& plan, double mm_per_unit) {
    std::vector<Hole> holes;
    for (std::size_t l = 0; l < loops.size(); ++l) {
        if (static_cast<int>(l) == rim) continue;
        const BoundaryLoop& loop = loops[l];
        const double perimeter = mm_per_unit * loop.length;
        // Of all holes of one perimeter the round one is the widest.
        if (perimeter < std::numbers::pi * tolerance::hole_reported_mm) continue;
        Vec3 centre = Vec3::Zero();
        for (const std::int32_t p : loop.points) centre += mesh.points[p];
        centre /= static_cast<double>(loop.points.size());
        const Vec3 w = plan.posture.to_working(centre);
        const double share = Plan::share(w.x());
        if (share < 0.0 || share > 1.0 || w.z() > sole_height(share)) continue;
        const Vec3 area = vector_area(mesh, loop);
        if (std::abs(area.dot(plan.posture.up())) < 0.5 * area.norm()) continue;
        Hole hole;
        hole.centre = centre;
        hole.diameter_mm = mm_per_unit * 2.0 * std::sqrt(area.norm() / std::numbers::pi);
        hole.perimeter_mm = perimeter;
        if (hole.diameter_mm >= tolerance::hole_reported_mm) holes.push_back(hole);
    }
    std::stable_sort(holes.begin(), holes.end(),
                     [](const Hole& a, const Hole& b) { return a.diameter_mm > b.diameter_mm; });
    return holes;
}

}  // namespace archwright::scan
