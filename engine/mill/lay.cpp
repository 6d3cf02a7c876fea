#include "engine/mill/lay.hpp"

#include "engine/base/parallel.hpp"
#include "engine/base/units.hpp"

namespace archwright::mill {

namespace {

constexpr double hidden_mm = 0.2;
// undercuts this near are equal: less is what the grid makes of the same shape
constexpr double same_area_mm2 = 20.0;

}  // namespace

Undercut undercut(const TriangleMesh& mesh, double step) {
    Undercut found;
    auto top = grid_over(mesh.box(), step, step);
    if (!top) return found;
    const TriangleMesh turned = turned_over(mesh);
    auto below = grid_over(turned.box(), step, step);
    top_heights(*top, mesh);
    top_heights(*below, turned);
    // least height of the nodes round a place: what surely stands over it, also on a steep wall
    const auto over = [](const HeightGrid& grid, double x, double y) {
        const int i = std::clamp(static_cast<int>(std::lround((x - grid.x0) / grid.step)), 1, grid.nx - 2);
        const int k = std::clamp(static_cast<int>(std::lround((y - grid.y0) / grid.step)), 1, grid.ny - 2);
        double least = grid.at(i, k);
        for (int dk = -1; dk <= 1; ++dk)
            for (int di = -1; di <= 1; ++di) least = std::min(least, grid.at(i + di, k + dk));
        return least;
    };
    double largest = 0.0;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const Triangle& corner = mesh.triangles[t];
        const Vec3 c = (mesh.points[corner[0]] + mesh.points[corner[1]] + mesh.points[corner[2]]) / 3.0;
        if (!(over(*top, c.x(), c.y()) > c.z() + hidden_mm &&
              over(*below, c.x(), -c.y()) > -c.z() + hidden_mm))
            continue;
        const double area = mesh.area(t);
        found.area_mm2 += area;
        if (area > largest) {
            largest = area;
            found.where = c;
        }
    }
    return found;
}

Mat3 tilt(double pitch_deg, double roll_deg) {
    return (Eigen::AngleAxisd(radians(roll_deg), Vec3::UnitX()) *
            Eigen::AngleAxisd(radians(pitch_deg), Vec3::UnitY()))
        .toRotationMatrix();
}

Tilt best_tilt(const TriangleMesh& mesh, double most_deg, double step_deg) {
    std::vector<Tilt> tried;
    const int steps = step_deg > 0.0 ? static_cast<int>(most_deg / step_deg + 1e-9) : 0;
    for (int i = -steps; i <= steps; ++i)
        for (int k = -steps; k <= steps; ++k) tried.push_back({i * step_deg, k * step_deg, 0.0, 0.0});
    parallel_for(tried.size(), 1, [&](std::size_t begin, std::size_t end) {
        TriangleMesh turned = mesh;
        for (std::size_t i = begin; i < end; ++i) {
            const Mat3 turn = tilt(tried[i].pitch_deg, tried[i].roll_deg);
            for (std::size_t p = 0; p < mesh.points.size(); ++p) turned.points[p] = turn * mesh.points[p];
            tried[i].undercut_mm2 = undercut(turned, 0.5).area_mm2;
            tried[i].height_mm = turned.box().size().z();
        }
    });
    double least = 1e300;
    for (const Tilt& one : tried) least = std::min(least, one.undercut_mm2);
    const Tilt* best = nullptr;
    const auto turned_by = [](const Tilt& t) { return std::hypot(t.pitch_deg, t.roll_deg); };
    for (const Tilt& one : tried) {
        if (one.undercut_mm2 > least + same_area_mm2) continue;
        if (best == nullptr || one.height_mm < best->height_mm - 0.5 ||
            (one.height_mm < best->height_mm + 0.5 && turned_by(one) < turned_by(*best)))
            best = &one;
    }
    return *best;
}

}  // namespace archwright::mill
