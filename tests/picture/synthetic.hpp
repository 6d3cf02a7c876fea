// An invented foot and a shell on it, made without the rest of the engine.
#pragma once

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/mesh/bvh.hpp"
#include "engine/picture/subject.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::picture::synthetic {

/// A closed UV sphere.
inline TriangleMesh sphere(const Vec3& centre, double radius, int rings) {
    TriangleMesh mesh;
    const int around = 2 * rings;
    mesh.points.push_back(centre - radius * Vec3::UnitZ());
    for (int i = 1; i < rings; ++i)
        for (int j = 0; j < around; ++j) {
            const double a = std::numbers::pi * i / rings, b = 2.0 * std::numbers::pi * j / around;
            mesh.points.push_back(
                centre + radius * Vec3(std::sin(a) * std::cos(b), std::sin(a) * std::sin(b), -std::cos(a)));
        }
    mesh.points.push_back(centre + radius * Vec3::UnitZ());
    const auto at = [&](int i, int j) { return 1 + (i - 1) * around + (j % around); };
    const int top = static_cast<int>(mesh.points.size()) - 1;
    for (int j = 0; j < around; ++j) {
        mesh.triangles.push_back({0, at(1, j + 1), at(1, j)});
        for (int i = 1; i + 1 < rings; ++i) {
            mesh.triangles.push_back({at(i, j), at(i, j + 1), at(i + 1, j + 1)});
            mesh.triangles.push_back({at(i, j), at(i + 1, j + 1), at(i + 1, j)});
        }
        mesh.triangles.push_back({at(rings - 1, j), at(rings - 1, j + 1), top});
    }
    return mesh;
}

/// A foot of sorts, right, design frame: ovals along x with an arch on the medial side.
inline TriangleMesh foot() {
    TriangleMesh mesh;
    const int stations = 120, around = 96;
    const auto section = [](double t, double angle) {
        const double x = -42.0 + 248.0 * t;
        const double end = std::sqrt(std::max(0.0, 1.0 - std::pow(2.0 * t - 1.0, 8.0)));
        const double half = end * (30.0 + 17.0 * std::exp(-std::pow((t - 0.74) / 0.22, 2.0)));
        const double shift = 6.0 * std::exp(-std::pow((t - 0.8) / 0.3, 2.0));
        const double height = end * (72.0 - 48.0 * t);
        double y = shift + half * std::cos(angle), z = 0.5 * height * (1.0 + std::sin(angle));
        const double arch = 15.0 * std::exp(-std::pow((t - 0.45) / 0.17, 2.0)) / (1.0 + std::exp(-y / 7.0));
        z += arch * std::max(0.0, -std::sin(angle));
        return Vec3(x, y, z);
    };
    for (int i = 0; i < stations; ++i)
        for (int j = 0; j < around; ++j)
            mesh.points.push_back(section((i + 0.5) / stations, 2.0 * std::numbers::pi * j / around));
    const auto at = [&](int i, int j) { return i * around + j % around; };
    for (int j = 0; j < around; ++j)
        for (int i = 0; i + 1 < stations; ++i) {
            mesh.triangles.push_back({at(i, j), at(i + 1, j + 1), at(i + 1, j)});
            mesh.triangles.push_back({at(i, j), at(i, j + 1), at(i + 1, j + 1)});
        }
    for (const int end : {0, stations - 1}) {
        Vec3 middle = Vec3::Zero();
        for (int j = 0; j < around; ++j) middle += mesh.points[static_cast<std::size_t>(at(end, j))] / around;
        const int tip = static_cast<int>(mesh.points.size());
        mesh.points.push_back(middle);
        for (int j = 0; j < around; ++j)
            mesh.triangles.push_back(end == 0 ? Triangle{tip, at(end, j + 1), at(end, j)}
                                              : Triangle{tip, at(end, j), at(end, j + 1)});
    }
    if (mesh.volume() < 0.0) mesh.flip();
    return mesh;
}

struct Device {
    surface::Shell shell;
    surface::ShellMesh mesh;
};

/// Wall asked for at a place (x, y) of the plan.
inline double wall(double x, double y) {
    const auto blend = [](double v) { return v <= 0 ? 0.0 : v >= 1 ? 1.0 : v * v * (3 - 2 * v); };
    return 3.2 + 0.8 * blend((-16.0 - y) / 10.0) - 0.8 * blend((x - 70.0) / 15.0) * blend((y - 12.0) / 12.0);
}

/// A shell laid on a cast by rays from a gutter's axis: only good to look at.
inline Device device(const TriangleMesh& cast, double distal_x, double rim_height) {
    Device out;
    const Bvh tree(cast);
    surface::Basis u{64, distal_x + 70.0 + 30.0}, v{48, 150.0};
    surface::SplineSurface& carpet = out.shell.carpet;
    carpet.u = u;
    carpet.v = v;
    const double axis_z = 34.0;
    for (int i = 0; i < u.count; ++i)
        for (int j = 0; j < v.count; ++j) {
            const double t = u.greville(i) - 70.0;  // along the axis from the heel centre
            const double angle = (v.greville(j) / v.length - 0.5) * 2.9;  // 0: down
            const double pitch = t < 0.0 ? t / 46.0 : 0.0;
            const Vec3 origin(std::max(t, 0.0), 2.0, axis_z - 10.0 * std::clamp(t / 160.0, 0.0, 1.0));
            const Vec3 way(std::sin(pitch), std::cos(pitch) * std::sin(angle),
                           -std::cos(pitch) * std::cos(angle));
            const auto hit = tree.ray(origin, way, 0.0, 120.0);
            carpet.control.push_back(origin + (hit ? hit->t : 45.0) * way);
        }
    for (int pass = 0; pass < 3; ++pass) {
        std::vector<Vec3> smooth = carpet.control;
        const auto c = [&](int i, int j) {
            return carpet.control[static_cast<std::size_t>(i * v.count + j)];
        };
        for (int i = 1; i + 1 < u.count; ++i)
            for (int j = 1; j + 1 < v.count; ++j)
                smooth[static_cast<std::size_t>(i * v.count + j)] =
                    0.5 * c(i, j) + 0.125 * (c(i - 1, j) + c(i + 1, j) + c(i, j - 1) + c(i, j + 1));
        carpet.control = smooth;
    }
    out.shell.foot_side = out.shell.underside = carpet;
    for (int i = 0; i < u.count; ++i)
        for (int j = 0; j < v.count; ++j) {
            const auto k = static_cast<std::size_t>(i * v.count + j);
            const surface::SurfacePoint s = carpet.first({u.greville(i), v.greville(j)});
            Vec3 n = s.normal();
            if (n.z() < 0.0 && std::abs(n.z()) > 0.2) n = -n;
            if (n.dot(s.s - Vec3(std::max(s.s.x(), 0.0), 0.0, 40.0)) > 0.0) n = -n;
            const double along = (s.s.x() - 95.0) / 34.0,
                         across = (s.s.y() - 14.0 - 0.05 * s.s.x() + 4.0) / 6.0;
            const double groove = 1.8 * std::exp(-std::pow(along, 6.0) - std::pow(across, 4.0));
            out.shell.foot_side.control[k] -= groove * n;
            out.shell.underside.control[k] -= std::max(wall(s.s.x(), s.s.y()), groove + 1.9) * n;
        }
    // the trim line: a fan of directions in (u,v), out to the rim's height or the distal edge
    std::vector<Vec2> trim;
    const Vec2 middle(105.0, 75.0);
    for (int k = 0; k < 48; ++k) {
        const double a = 2.0 * std::numbers::pi * k / 48;
        const Vec2 way(std::cos(a), std::sin(a));
        double reach = 5.0;
        for (; reach < 130.0; reach += 0.5) {
            const Vec2 uv = middle + reach * way;
            if (uv.x() < 1 || uv.y() < 1 || uv.x() > u.length - 1 || uv.y() > v.length - 1) break;
            const Vec3 p = carpet.point(uv);
            const double front = distal_x - 0.0035 * (p.y() - 12.0) * (p.y() - 12.0);
            const double rise =
                rim_height + 6.0 * std::exp(-std::pow((p.x() - 75.0) / 35.0, 2.0)) * (p.y() > 0 ? 1.0 : -1.0);
            if (p.x() > front || p.z() > std::max(rise, 9.0)) break;
        }
        trim.push_back(middle + reach * way);
    }
    for (int pass = 0; pass < 2; ++pass) {
        std::vector<Vec2> smooth = trim;
        for (std::size_t k = 0; k < trim.size(); ++k)
            smooth[k] = 0.5 * trim[k] +
                        0.25 * (trim[(k + 1) % trim.size()] + trim[(k + trim.size() - 1) % trim.size()]);
        trim = smooth;
    }
    out.shell.trim = surface::PeriodicCurve::through(trim);
    // rings from the middle to the trim line
    const int rings = 60, around = 240;
    TriangleMesh& mesh = out.mesh.mesh;
    const auto side_points = [&](const surface::SplineSurface& side) {
        const Vec2 centre = middle;
        for (int i = 0; i <= rings; ++i)
            for (int j = 0; j < (i == 0 ? 1 : around); ++j) {
                const Vec2 uv =
                    centre + (out.shell.trim.point(48.0 * j / around) - centre) * (double(i) / rings);
                mesh.points.push_back(side.point(uv));
                out.mesh.uv.push_back(uv);
            }
    };
    side_points(out.shell.foot_side);
    const int per_side = static_cast<int>(mesh.points.size());
    side_points(out.shell.underside);
    const auto at = [&](int base, int i, int j) {
        return base + (i == 0 ? 0 : 1 + (i - 1) * around + j % around);
    };
    const auto side_triangles = [&](int base, bool turn) {
        for (int i = 0; i < rings; ++i)
            for (int j = 0; j < around; ++j)
                for (const Triangle& t :
                     {Triangle{at(base, i, j), at(base, i + 1, j), at(base, i + 1, j + 1)},
                      Triangle{at(base, i, j), at(base, i + 1, j + 1), at(base, i, j + 1)}}) {
                    if (t[0] == t[2]) continue;
                    mesh.triangles.push_back(turn ? Triangle{t[0], t[2], t[1]} : t);
                }
    };
    side_triangles(0, false);
    out.mesh.foot_side_end = mesh.triangles.size();
    side_triangles(per_side, true);
    out.mesh.underside_end = mesh.triangles.size();
    for (int j = 0; j < around; ++j) {
        const int a = at(0, rings, j), b = at(0, rings, j + 1), c = at(per_side, rings, j),
                  d = at(per_side, rings, j + 1);
        mesh.triangles.push_back({a, c, d});
        mesh.triangles.push_back({a, d, b});
    }
    out.mesh.rims_end = out.mesh.walls_end = mesh.triangles.size();
    out.mesh.foot_side_points = out.mesh.underside_points = static_cast<std::size_t>(per_side);
    if (mesh.volume() < 0.0) mesh.flip();
    return out;
}

inline void add_landmark(PictureInput& input, foot::LandmarkId id, const Vec3& at) {
    foot::Landmark landmark;
    landmark.position = at;
    landmark.source = foot::Landmark::Source::set;
    input.landmarks[id] = landmark;
}

/// A device's input with landmarks, regions and checks, on the invented foot.
inline PictureInput input(const TriangleMesh& cast, const Device& device, Side side) {
    PictureInput in;
    in.side = side;
    in.case_code = "LARK-2207";
    in.title = "Revision B";
    in.cast = &cast;
    in.shell = &device.shell;
    in.shell_mesh = &device.mesh;
    in.base_wall_mm = 3.2;
    in.minimum_wall_mm = 2.0;
    in.rigidity_n_mm2 = 1400.0 / (12.0 * (1.0 - 0.42 * 0.42));
    in.density_g_cm3 = 0.905;
    add_landmark(in, foot::LandmarkId::heel_centre, {0, 0, 0});
    add_landmark(in, foot::LandmarkId::first_head_plantar, {150, 34, 2});
    add_landmark(in, foot::LandmarkId::fifth_head_plantar, {124, -36, 2});
    add_landmark(in, foot::LandmarkId::fifth_base, {70, -30, 4});
    PlanOutline lateral{PlanOutline::Kind::wall_region, "", {}, 4.0},
        distal{PlanOutline::Kind::wall_region, "", {}, 2.4};
    PlanOutline groove{PlanOutline::Kind::hollow, "groove", {}, 1.8};
    for (int k = 0; k < 64; ++k) {
        const double a = 2.0 * std::numbers::pi * k / 64;
        lateral.points.push_back({40 + 62 * std::cos(a), -32 + 13 * std::sin(a)});
        distal.points.push_back({112 + 34 * std::cos(a), 34 + 18 * std::sin(a)});
        groove.points.push_back({95 + 36 * std::cos(a), 14 + 6 * std::sin(a)});
    }
    in.outlines = {lateral, distal, groove};
    const auto check = [&](const char* title, Verdict verdict, double figure, const char* unit) {
        Check c;
        c.title = title;
        c.verdict = verdict;
        c.figure = figure;
        c.unit = unit;
        in.checks.push_back(c);
    };
    check("Shell is one closed solid", Verdict::pass, 0, "");
    check("Wall under the groove", Verdict::look, 1.9, "mm");
    check("Wall from the underside", Verdict::pass, 0.01, "mm");
    check("Wall from the foot side", Verdict::pass, 0.02, "mm");
    check("Forefoot to rearfoot, corrected at capture and again", Verdict::stop, 5.0, "degrees");
    check("Underside clear of the ground", Verdict::pass, 0.8, "mm");
    check("Fit of the carpet to the cast", Verdict::pass, 0.03, "mm");
    return in;
}

}  // namespace archwright::picture::synthetic
