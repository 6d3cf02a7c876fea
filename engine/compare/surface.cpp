#include "engine/compare/surface.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/base/parallel.hpp"

namespace archwright::compare {

namespace {

/// Edges of two shells that were meshed apart lie a chord beside one another; a point so far beside the
/// normal still stands for the surface there. Less than a rim is broad.
constexpr double edge_mm = 0.5;
/// Newton's way from the triangles onto the surface they stand for is some hundredths of a millimetre; one
/// that goes farther has run off.
constexpr double farthest_step_mm = 1.0;
constexpr double newton_end_mm = 1e-12;

Sheet sheet_of_side(const surface::SplineSurface& exact, const surface::ShellMesh& mesh, std::size_t first,
                    std::size_t points, std::size_t first_triangle, std::size_t end_triangle, double facing) {
    Sheet sheet;
    sheet.first_point = first;
    sheet.points.resize(points);
    sheet.normals.resize(points);
    parallel_for(points, 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const surface::SurfacePoint at = exact.first(mesh.uv[first + i]);
            sheet.points[i] = at.s;
            sheet.normals[i] = facing * at.normal();
        }
    });
    sheet.triangles.reserve(end_triangle - first_triangle);
    const auto lower = static_cast<std::int32_t>(first);
    for (std::size_t k = first_triangle; k < end_triangle; ++k) {
        Triangle t = mesh.mesh.triangles[k];
        bool inside = true;
        for (auto& corner : t) {
            corner -= lower;
            inside = inside && corner >= 0 && static_cast<std::size_t>(corner) < points;
        }
        if (inside) sheet.triangles.push_back(t);
    }
    return sheet;
}

/// The share of each point in the area of its triangles, mm^2.
std::vector<double> areas_of(const Sheet& sheet) {
    std::vector<double> areas(sheet.points.size(), 0.0);
    for (const Triangle& t : sheet.triangles) {
        const Vec3 &a = sheet.points[static_cast<std::size_t>(t[0])],
                   &b = sheet.points[static_cast<std::size_t>(t[1])],
                   &c = sheet.points[static_cast<std::size_t>(t[2])];
        const double third = (b - a).cross(c - a).norm() / 6.0;
        for (const auto corner : t) areas[static_cast<std::size_t>(corner)] += third;
    }
    return areas;
}

void find_peaks(const Sheet& sheet, double sign, Difference& out) {
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < sheet.points.size(); ++i)
        if (std::isfinite(out.mm[i]) && sign * out.mm[i] >= Difference::felt_mm) order.push_back(i);
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        const double x = sign * out.mm[a], y = sign * out.mm[b];
        return x > y || (x == y && a < b);
    });
    std::vector<Peak> found;
    for (const std::size_t i : order) {
        if (found.size() == Difference::most_peaks) break;
        const bool own = std::all_of(found.begin(), found.end(), [&](const Peak& peak) {
            return (peak.where - sheet.points[i]).norm() > Difference::peaks_apart_mm;
        });
        if (own) found.push_back({sheet.points[i], out.mm[i]});
    }
    out.peaks.insert(out.peaks.end(), found.begin(), found.end());
}

}  // namespace

Sheet foot_side(const surface::Shell& shell, const surface::ShellMesh& mesh) {
    return sheet_of_side(shell.foot_side, mesh, 0, mesh.foot_side_points, 0, mesh.foot_side_end, 1.0);
}

Sheet underside(const surface::Shell& shell, const surface::ShellMesh& mesh) {
    return sheet_of_side(shell.underside, mesh, mesh.foot_side_points, mesh.underside_points,
                         mesh.foot_side_end, mesh.underside_end, -1.0);
}

Sheet sheet_of(const TriangleMesh& mesh) {
    Sheet sheet;
    sheet.points = mesh.points;
    sheet.normals = mesh.point_normals();
    sheet.triangles = mesh.triangles;
    return sheet;
}

Reference::Reference(TriangleMesh mesh, bool turned_over)
    : mesh_(std::make_unique<TriangleMesh>(std::move(mesh))) {
    if (turned_over) mesh_->flip();
    tree_ = std::make_unique<Bvh>(*mesh_);
}

Reference::Reference(const surface::SplineSurface& exact, const surface::ShellMesh& mesh, std::size_t first,
                     std::size_t last, double facing)
    : mesh_(std::make_unique<TriangleMesh>()), exact_(exact), uv_(mesh.uv) {
    mesh_->points = mesh.mesh.points;
    mesh_->triangles.assign(mesh.mesh.triangles.begin() + static_cast<std::ptrdiff_t>(first),
                            mesh.mesh.triangles.begin() + static_cast<std::ptrdiff_t>(last));
    // letters are left out: the plain surface stands in their place
    if (facing < 0.0)
        for (std::size_t i = mesh.foot_side_points; i < mesh.foot_side_points + mesh.underside_points; ++i)
            mesh_->points[i] = exact.point(mesh.uv[i]);
    tree_ = std::make_unique<Bvh>(*mesh_);
}

Reference Reference::foot_side(const surface::Shell& shell, const surface::ShellMesh& mesh) {
    return {shell.foot_side, mesh, 0, mesh.foot_side_end, 1.0};
}

Reference Reference::underside(const surface::Shell& shell, const surface::ShellMesh& mesh) {
    return {shell.underside, mesh, mesh.foot_side_end, mesh.underside_end, -1.0};
}

double Reference::exactly(const Vec3& p, const Vec3& n, double t, std::int32_t triangle) const {
    const Triangle& corners = mesh_->triangles[static_cast<std::size_t>(triangle)];
    const Vec3 &a = mesh_->points[static_cast<std::size_t>(corners[0])],
               &b = mesh_->points[static_cast<std::size_t>(corners[1])],
               &c = mesh_->points[static_cast<std::size_t>(corners[2])];
    const Vec3 at = p + t * n, normal2 = (b - a).cross(c - a);
    const double whole = normal2.squaredNorm();
    if (!(whole > 0.0)) return t;
    const double v = normal2.dot((at - a).cross(c - a)) / whole,
                 w = normal2.dot((b - a).cross(at - a)) / whole;
    Vec2 uv = (1.0 - v - w) * uv_[static_cast<std::size_t>(corners[0])] +
              v * uv_[static_cast<std::size_t>(corners[1])] + w * uv_[static_cast<std::size_t>(corners[2])];
    // Newton for S(u,v) = p + s n
    double s = t;
    constexpr int rounds = 12;
    for (int i = 0; i < rounds; ++i) {
        if (exact_->clamp(uv) != uv) return t;
        const surface::SurfacePoint here = exact_->first(uv);
        Mat3 m;
        m << here.su, here.sv, -n;
        const double volume = m.determinant();
        if (!(std::abs(volume) > 1e-12)) return t;  // the normal lies in the surface
        const Vec3 step = -(m.inverse() * (here.s - p - s * n));
        uv += step.head<2>();
        s += step.z();
        if (!(std::abs(s - t) < farthest_step_mm)) return t;
        if (step.cwiseAbs().maxCoeff() < newton_end_mm) break;
    }
    return s;
}

std::optional<double> Reference::along(const Vec3& p, const Vec3& n) const {
    std::optional<Hit> best;
    for (const Hit& hit : tree_->ray_all(p, n, -reach_mm, reach_mm))
        if (mesh_->normal2(static_cast<std::size_t>(hit.triangle)).dot(n) > 0.0 &&
            (!best || std::abs(hit.t) < std::abs(best->t)))
            best = hit;
    if (!best) {
        const auto near = tree_->nearest(p, reach_mm);
        if (!near || !(mesh_->normal2(static_cast<std::size_t>(near->triangle)).dot(n) > 0.0)) return {};
        const double t = (near->point - p).dot(n);
        if (!((near->point - p - t * n).norm() <= edge_mm)) return {};
        best = Hit{t, near->triangle};
    }
    return exact_ ? exactly(p, n, best->t, best->triangle) : best->t;
}

Outcome<Difference> difference(const Sheet& now, const Reference& other, Progress& progress) {
    Difference out;
    const std::size_t count = now.points.size();
    out.mm.assign(count, std::numeric_limits<double>::quiet_NaN());
    std::vector<char> used(count, 0);
    for (const Triangle& t : now.triangles)
        for (const auto corner : t) used[static_cast<std::size_t>(corner)] = 1;
    // in stretches, so that a person who gives it up is heard
    constexpr std::size_t stretch = 20'000;
    for (std::size_t from = 0; from < count; from += stretch) {
        if (!progress.report("Comparing", static_cast<double>(from) / static_cast<double>(count)))
            return Fault{FaultKind::cancelled, "compare", "Cancelled; nothing was compared.", {}};
        const std::size_t size = std::min(stretch, count - from);
        parallel_for(size, 256, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = from + begin; i < from + end; ++i)
                if (used[i] != 0 && now.normals[i].squaredNorm() > 0.5)
                    if (const auto t = other.along(now.points[i], now.normals[i])) out.mm[i] = -*t;
        });
    }
    const std::vector<double> areas = areas_of(now);
    double with = 0.0, sum = 0.0, squares = 0.0;
    for (std::size_t i = 0; i < count; ++i) {
        const double mm = out.mm[i], area = areas[i];
        out.area_mm2 += area;
        if (!std::isfinite(mm)) {
            out.alone_mm2 += area;
            continue;
        }
        with += area;
        sum += area * mm;
        squares += area * mm * mm;
        (mm > 0.0 ? out.added_mm3 : out.taken_mm3) += area * std::abs(mm);
        out.most_added_mm = std::max(out.most_added_mm, mm);
        out.most_taken_mm = std::max(out.most_taken_mm, -mm);
    }
    if (with > 0.0) {
        out.mean_mm = sum / with;
        out.rms_mm = std::sqrt(squares / with);
    }
    find_peaks(now, 1.0, out);
    find_peaks(now, -1.0, out);
    std::stable_sort(out.peaks.begin(), out.peaks.end(),
                     [](const Peak& a, const Peak& b) { return std::abs(a.mm) > std::abs(b.mm); });
    return out;
}

}  // namespace archwright::compare
