#include "engine/mould/thinning.hpp"

#include <algorithm>
#include <cmath>

namespace archwright::mould {

namespace {

constexpr double cell_mm = 1.0;
constexpr double piece_mm = 0.7;  // a triangle's area is shared out over places on it so far apart
constexpr int most_pieces = 200;

/// Area and shadow of a surface, cell by cell of the plan.
struct Cells {
    double x0 = 0.0, y0 = 0.0;
    int nx = 1, ny = 1;
    std::vector<double> area, shadow;

    explicit Cells(const Box3& box) : x0(box.low.x()), y0(box.low.y()) {
        const Vec3 size = box.size();
        nx = static_cast<int>(size.x() / cell_mm) + 1;
        ny = static_cast<int>(size.y() / cell_mm) + 1;
        area.assign(static_cast<std::size_t>(nx) * ny, 0.0);
        shadow = area;
    }
    std::size_t at(double x, double y) const {
        const int i = std::clamp(static_cast<int>((x - x0) / cell_mm), 0, nx - 1);
        const int j = std::clamp(static_cast<int>((y - y0) / cell_mm), 0, ny - 1);
        return static_cast<std::size_t>(j) * nx + i;
    }
};

}  // namespace

Thinning estimate_thinning(const TriangleMesh& mesh, std::size_t inside, std::size_t formed, double sheet_mm,
                           double radius_mm) {
    Box3 box;
    for (std::size_t t = 0; t < formed; ++t)
        for (const std::int32_t c : mesh.triangles[t]) box.add(mesh.points[static_cast<std::size_t>(c)]);
    Cells cells(box);
    Thinning thinning;
    for (std::size_t t = 0; t < formed; ++t) {
        const Triangle& c = mesh.triangles[t];
        const Vec3 &a = mesh.points[c[0]], &b = mesh.points[c[1]], &d = mesh.points[c[2]];
        const Vec3 n = 0.5 * mesh.normal2(t);
        const double longest =
            std::max({(b - a).head<2>().norm(), (d - b).head<2>().norm(), (a - d).head<2>().norm()});
        const int pieces = std::clamp(static_cast<int>(std::ceil(longest / piece_mm)), 2, most_pieces);
        const double part = 1.0 / (pieces * pieces);
        // middles of the small triangles, upright and turned
        for (int i = 0; i < pieces; ++i)
            for (int j = 0; i + j < pieces; ++j)
                for (const double third : {1.0 / 3.0, 2.0 / 3.0}) {
                    if (third > 0.5 && i + j + 1 >= pieces) continue;
                    const double u = (i + third) / pieces, v = (j + third) / pieces;
                    const Vec3 p = a + u * (b - a) + v * (d - a);
                    const std::size_t cell = cells.at(p.x(), p.y());
                    cells.area[cell] += part * n.norm();
                    cells.shadow[cell] += part * n.z();  // what leans over takes away what lies over it twice
                }
        if (t < inside) {
            thinning.area_mm2 += n.norm();
            thinning.plan_mm2 += n.z();
        }
    }
    // rows of running sums: a disc is a run of each of its rows
    const std::size_t width = static_cast<std::size_t>(cells.nx) + 1;
    std::vector<double> area(width * cells.ny, 0.0), shadow(area);
    for (int j = 0; j < cells.ny; ++j)
        for (int i = 0; i < cells.nx; ++i) {
            const std::size_t from = static_cast<std::size_t>(j) * cells.nx + i, to = j * width + i;
            area[to + 1] = area[to] + cells.area[from];
            shadow[to + 1] = shadow[to] + cells.shadow[from];
        }
    std::vector<double> share(cells.area.size(), 1.0);
    const int reach = static_cast<int>(radius_mm / cell_mm);
    for (int j = 0; j < cells.ny; ++j)
        for (int i = 0; i < cells.nx; ++i) {
            double over = 0.0, under = 0.0;
            for (int dj = -reach; dj <= reach; ++dj) {
                if (j + dj < 0 || j + dj >= cells.ny) continue;
                const double half = std::sqrt(radius_mm * radius_mm - dj * dj * cell_mm * cell_mm) / cell_mm;
                const int low = std::max(0, i - static_cast<int>(half));
                const int high = std::min(cells.nx, i + static_cast<int>(half) + 1);
                const std::size_t begin = (j + dj) * width;
                over += area[begin + high] - area[begin + low];
                under += shadow[begin + high] - shadow[begin + low];
            }
            if (over > 0.0)
                share[static_cast<std::size_t>(j) * cells.nx + i] = std::clamp(under / over, 0.0, 1.0);
        }
    thinning.thickness_mm.assign(mesh.points.size(), sheet_mm);
    thinning.least_mm = sheet_mm;
    for (std::size_t t = 0; t < formed; ++t)
        for (const std::int32_t c : mesh.triangles[t]) {
            const Vec3& p = mesh.points[static_cast<std::size_t>(c)];
            const double here = sheet_mm * share[cells.at(p.x(), p.y())];
            thinning.thickness_mm[static_cast<std::size_t>(c)] = here;
            if (t < inside && here < thinning.least_mm) {
                thinning.least_mm = here;
                thinning.least_where = p;
            }
        }
    if (thinning.area_mm2 > 0.0) thinning.mean_mm = sheet_mm * thinning.plan_mm2 / thinning.area_mm2;
    return thinning;
}

Thinning estimate_thinning(const Mould& mould, double sheet_mm, double radius_mm) {
    // the grooves lie between foot side and margin: they are of what is formed
    return estimate_thinning(mould.mesh, mould.top_end, mould.margin_end, sheet_mm, radius_mm);
}

}  // namespace archwright::mould
