#include "engine/surface/shell_mesh.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/base/parallel.hpp"
#include "engine/surface/rim.hpp"
#include "engine/surface/uv_mesh.hpp"

namespace archwright::surface {

namespace {

// Chords across the rim may take this much of the tolerance; chords along it have the other half.
constexpr double across_share = 0.5;
constexpr int most_strips = 64;

// Where the rim's inner rows stand, 0..1 across. A cubic's chord over 1/m of it errs by |B''| / (8 m^2) at
// most, and |B''| by 6 times the greater second difference of its rows.
std::vector<double> rows_across(const Shell& shell, const std::vector<double>& trim_s, double tolerance) {
    if (shell.rim.kind == Rim::Kind::square) return {};
    if (shell.rim.kind == Rim::Kind::bevelled) return {1.0 / 3.0, 2.0 / 3.0};
    std::vector<double> bends(trim_s.size());
    parallel_for(trim_s.size(), 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const auto rows = rim_rows(shell, trim_s[k]).rows;
            bends[k] = 6.0 * std::max((rows[0] - 2.0 * rows[1] + rows[2]).norm(),
                                      (rows[1] - 2.0 * rows[2] + rows[3]).norm());
        }
    });
    const double bend = *std::max_element(bends.begin(), bends.end());
    const int strips = std::clamp(
        static_cast<int>(std::ceil(std::sqrt(bend / (8.0 * across_share * tolerance)))), 2, most_strips);
    std::vector<double> across;
    for (int r = 1; r < strips; ++r) across.push_back(static_cast<double>(r) / strips);
    return across;
}

// The strip of triangles between two rows of points that run the same way, `upper` towards the foot side.
// Each quad takes its shorter diagonal.
void stitch(TriangleMesh& mesh, std::size_t upper, std::size_t lower, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t j = (i + 1) % count;
        const auto a = static_cast<std::int32_t>(upper + i), b = static_cast<std::int32_t>(upper + j);
        const auto c = static_cast<std::int32_t>(lower + i), d = static_cast<std::int32_t>(lower + j);
        const double ad = (mesh.points[upper + i] - mesh.points[lower + j]).squaredNorm();
        const double bc = (mesh.points[upper + j] - mesh.points[lower + i]).squaredNorm();
        if (ad < bc) {
            mesh.triangles.push_back({a, d, b});
            mesh.triangles.push_back({a, c, d});
        } else {
            mesh.triangles.push_back({a, c, b});
            mesh.triangles.push_back({b, c, d});
        }
    }
}

}  // namespace

Outcome<ShellMesh> mesh_shell(const Shell& shell, const MeshSettings& settings) {
    UvMeshSettings uv_settings{settings.chord_mm, {}};
    if (shell.rim.kind != Rim::Kind::square)
        for (double across : {0.25, 0.5, 0.75})
            uv_settings.along.emplace_back(
                [&shell, across](double s) { return rim_point(rim_rows(shell, s), across); });
    auto meshed = mesh_region({&shell.foot_side, &shell.underside}, shell.trim, {}, uv_settings);
    if (!meshed) return meshed.fault();
    if (auto rim = check_rim(shell); !rim) return rim.fault();

    ShellMesh out;
    out.trim_s = std::move(meshed->loops.front().s);
    out.across = rows_across(shell, out.trim_s, settings.chord_mm);
    const std::size_t side = meshed->points.size(), edge = out.trim_s.size();
    out.foot_side_points = out.underside_points = side;
    out.uv = std::move(meshed->points);
    out.uv.reserve(2 * side + out.across.size() * edge);
    out.uv.insert(out.uv.end(), out.uv.begin(), out.uv.begin() + static_cast<std::ptrdiff_t>(side));
    for (std::size_t r = 0; r < out.across.size(); ++r)
        out.uv.insert(out.uv.end(), out.uv.begin(), out.uv.begin() + static_cast<std::ptrdiff_t>(edge));
    reevaluate(out, shell);

    TriangleMesh& mesh = out.mesh;
    mesh.triangles = std::move(meshed->triangles);
    out.foot_side_end = mesh.triangles.size();
    out.underside_end = 2 * out.foot_side_end;
    mesh.triangles.reserve(out.underside_end + 2 * edge * (out.across.size() + 1));
    const auto shift = static_cast<std::int32_t>(side);
    for (std::size_t k = 0; k < out.foot_side_end; ++k) {
        const Triangle t = mesh.triangles[k];
        mesh.triangles.push_back({t[0] + shift, t[2] + shift, t[1] + shift});
    }
    std::size_t upper = 0;
    for (std::size_t r = 0; r <= out.across.size(); ++r) {
        const std::size_t lower = r < out.across.size() ? 2 * side + r * edge : side;
        stitch(mesh, upper, lower, edge);
        upper = lower;
    }
    return out;
}

void reevaluate(ShellMesh& out, const Shell& shell) {
    const std::size_t side = out.foot_side_points, edge = out.trim_s.size();
    auto& points = out.mesh.points;
    points.resize(out.uv.size());
    parallel_for(side, 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            points[k] = shell.foot_side.point(out.uv[k]);
            points[side + k] = shell.underside.point(out.uv[k]);
        }
    });
    if (out.across.empty()) return;
    parallel_for(edge, 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const RimRows rows = rim_rows(shell, out.trim_s[k]);
            for (std::size_t r = 0; r < out.across.size(); ++r)
                points[2 * side + r * edge + k] = rim_point(rows, out.across[r]);
        }
    });
}

}  // namespace archwright::surface
