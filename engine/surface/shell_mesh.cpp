#include "engine/surface/shell_mesh.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/base/parallel.hpp"
#include "engine/surface/border.hpp"
#include "engine/surface/loop_check.hpp"
#include "engine/surface/post.hpp"
#include "engine/surface/rim.hpp"
#include "engine/surface/uv_mesh.hpp"

namespace archwright::surface {

namespace {

// Chords across the rim may take this much of the tolerance; chords along it have the other half.
constexpr double across_share = 0.5;
constexpr int most_strips = 64;

// Where the rim's inner rows stand, 0..1 across. A cubic's chord over 1/m of it errs by |B''| / (8 m^2) at
// most, and |B''| by 6 times the greater second difference of its rows. Walls of posts are straight.
std::vector<double> rows_across(const Border& border, const std::vector<double>& at, double tolerance) {
    if (border.kind == Border::Kind::post || border.rim->kind == Rim::Kind::square) return {};
    if (border.rim->kind == Rim::Kind::bevelled) return {1.0 / 3.0, 2.0 / 3.0};
    std::vector<double> bends(at.size());
    parallel_for(at.size(), 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const auto rows = border.rows(at[k]).rows;
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

std::int32_t index_of(std::size_t k) {
    return static_cast<std::int32_t>(k);
}

// What the (u,v) mesher has to know of the shell's loops.
UvMeshSettings settings_of(const std::vector<Border>& all, double chord, std::vector<PeriodicCurve>& holes) {
    UvMeshSettings settings;
    settings.chord_mm = chord;
    for (const Border& border : all) {
        if (border.kind == Border::Kind::aperture) holes.push_back(border.curve);
        if (border.kind == Border::Kind::post) settings.lines.push_back(border.curve);
        auto& along = settings.along.emplace_back();
        if (border.kind == Border::Kind::post)
            along.emplace_back([&border](double s) { return border.rows(s).rows.back(); });
        else if (border.rim->kind != Rim::Kind::square)
            for (double across : {0.25, 0.5, 0.75})
                along.emplace_back([&border, across](double s) { return rim_point(border.rows(s), across); });
    }
    return settings;
}

// A post's floor within the row of points that begins at edge.lower.
Outcome<Done> add_floor(ShellMesh& out, ShellMesh::Edge& edge, const Post& post) {
    TriangleMesh& mesh = out.mesh;
    std::vector<Vec2> plan;
    for (std::size_t k = 0; k < edge.s.size(); ++k) plan.push_back(mesh.points[edge.lower + k].head<2>());
    edge.within = floor_points(post, plan);
    edge.floor = mesh.points.size();
    for (const Vec2& p : edge.within) {
        out.uv.push_back(Vec2(out.uv[edge.lower]));
        mesh.points.push_back(floor_point(post, p));
    }
    const auto floor = triangulate(plan, edge.within);
    if (!floor) return floor.fault();
    const auto of = [&](std::int32_t k) {
        const auto at = static_cast<std::size_t>(k);
        return index_of(at < plan.size() ? edge.lower + at : edge.floor + at - plan.size());
    };
    for (const Triangle& t : *floor) mesh.triangles.push_back({of(t[0]), of(t[2]), of(t[1])});
    return Done{};
}

// Index of each point of the (u,v) mesh among those of the underside, which has none strictly within posts.
std::vector<std::int32_t> underside_points(const UvMesh& meshed, std::size_t& count) {
    std::vector<std::int32_t> index(meshed.points.size(), -1);
    for (std::size_t k = 0; k < meshed.outside_lines; ++k)
        for (std::int32_t c : meshed.triangles[k]) index[static_cast<std::size_t>(c)] = 0;
    count = 0;
    for (std::int32_t& at : index)
        if (at == 0) at = index_of(count++);
    return index;
}

}  // namespace

Outcome<ShellMesh> mesh_shell(const Shell& shell, const MeshSettings& settings) {
    if (auto loops = check_loops(shell); !loops) return loops.fault();
    const std::vector<Border> all = borders(shell);
    std::vector<PeriodicCurve> holes;
    const UvMeshSettings uv_settings = settings_of(all, settings.chord_mm, holes);
    auto meshed = mesh_region({&shell.foot_side, &shell.underside}, shell.trim, holes, uv_settings);
    if (!meshed) return meshed.fault();
    if (auto rim = check_rim(shell); !rim) return rim.fault();

    // points: the sides, then for each border its inner rows, then for each post its floor's edge
    ShellMesh out;
    out.foot_side_points = meshed->points.size();
    const std::vector<std::int32_t> under = underside_points(*meshed, out.underside_points);
    out.uv = meshed->points;
    out.uv.reserve(2 * out.uv.size());
    for (std::size_t k = 0; k < under.size(); ++k)
        if (under[k] >= 0) out.uv.push_back(meshed->points[k]);
    // the loops' points come first and in order on both sides
    const auto add_row = [&](const UvMesh::Loop& loop) {
        for (std::size_t k = 0; k < loop.s.size(); ++k) out.uv.push_back(meshed->points[loop.first + k]);
    };
    for (std::size_t b = 0; b < all.size(); ++b) {
        const UvMesh::Loop& loop = meshed->loops[b];
        ShellMesh::Edge edge;
        edge.s = loop.s;
        edge.upper = loop.first;
        edge.lower = out.foot_side_points + loop.first;
        edge.inner = out.uv.size();
        edge.across = rows_across(all[b], edge.s, settings.chord_mm);
        for (std::size_t r = 0; r < edge.across.size(); ++r) add_row(loop);
        if (all[b].kind == Border::Kind::post) {
            edge.upper = edge.lower;
            edge.lower = out.uv.size();
            add_row(loop);
        }
        out.edges.push_back(std::move(edge));
    }
    reevaluate(out, shell);

    TriangleMesh& mesh = out.mesh;
    mesh.triangles = std::move(meshed->triangles);
    out.foot_side_end = mesh.triangles.size();
    out.underside_end = out.foot_side_end + meshed->outside_lines;
    const auto shift = index_of(out.foot_side_points);
    const auto below = [&](std::int32_t k) { return under[static_cast<std::size_t>(k)] + shift; };
    for (std::size_t k = 0; k < meshed->outside_lines; ++k) {
        const Triangle t = mesh.triangles[k];
        mesh.triangles.push_back({below(t[0]), below(t[2]), below(t[1])});
    }
    for (std::size_t b = 0; b < all.size(); ++b) {
        const ShellMesh::Edge& edge = out.edges[b];
        std::size_t upper = edge.upper;
        for (std::size_t r = 0; r <= edge.across.size(); ++r) {
            const std::size_t lower = r < edge.across.size() ? edge.inner + r * edge.s.size() : edge.lower;
            stitch(mesh, upper, lower, edge.s.size());
            upper = lower;
        }
        if (all[b].kind != Border::Kind::post) out.rims_end = mesh.triangles.size();
    }
    out.walls_end = mesh.triangles.size();
    for (std::size_t b = 0; b < all.size(); ++b) {
        if (all[b].kind != Border::Kind::post) continue;
        if (const auto floor = add_floor(out, out.edges[b], *all[b].post); !floor) return floor.fault();
    }
    return out;
}

Shell shell_over(const SplineSurface& top, const Post& post) {
    Shell shell{top, top, top, post.curve, {}};
    if (shell.trim.signed_area() < 0.0) shell.trim = shell.trim.reversed();
    shell.posts = {post};
    return shell;
}

Outcome<ShellMesh> mesh_post(const SplineSurface& top, const Post& post, const MeshSettings& settings) {
    const Shell above = shell_over(top, post);
    const Border border = borders(above).back();
    if (auto stands = check_post(border); !stands) return stands.fault();
    UvMeshSettings uv_settings;
    uv_settings.chord_mm = settings.chord_mm;
    uv_settings.along.push_back({[&border](double s) { return border.rows(s).rows.back(); }});
    auto meshed = mesh_region({&top}, border.curve, {}, uv_settings);
    if (!meshed) return meshed.fault();

    ShellMesh out;
    const UvMesh::Loop& loop = meshed->loops.front();
    ShellMesh::Edge edge;
    edge.s = loop.s;
    edge.upper = loop.first;
    edge.lower = edge.inner = meshed->points.size();
    out.uv = meshed->points;
    out.foot_side_points = out.uv.size();
    TriangleMesh& mesh = out.mesh;
    for (const Vec2& uv : out.uv) mesh.points.push_back(top.point(uv));
    for (std::size_t k = 0; k < loop.s.size(); ++k) {
        out.uv.push_back(meshed->points[loop.first + k]);
        mesh.points.push_back(border.rows(loop.s[k]).rows.back());
    }
    mesh.triangles = std::move(meshed->triangles);
    out.foot_side_end = out.underside_end = out.rims_end = mesh.triangles.size();
    stitch(mesh, edge.upper, edge.lower, edge.s.size());
    out.walls_end = mesh.triangles.size();
    if (const auto floor = add_floor(out, edge, post); !floor) return floor.fault();
    out.edges.push_back(std::move(edge));
    return out;
}

void reevaluate(ShellMesh& out, const Shell& shell) {
    auto& points = out.mesh.points;
    points.resize(out.uv.size());
    const std::size_t foot = out.foot_side_points, both = foot + out.underside_points;
    parallel_for(both, 1024, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k)
            points[k] = k < foot ? shell.foot_side.point(out.uv[k]) : shell.underside.point(out.uv[k]);
    });
    const std::vector<Border> all = borders(shell);
    for (std::size_t b = 0; b < std::min(all.size(), out.edges.size()); ++b) {
        const ShellMesh::Edge& edge = out.edges[b];
        const bool post = all[b].kind == Border::Kind::post;
        if (edge.across.empty() && !post) continue;
        parallel_for(edge.s.size(), 64, [&](std::size_t begin, std::size_t end) {
            for (std::size_t k = begin; k < end; ++k) {
                const RimRows rows = all[b].rows(edge.s[k]);
                for (std::size_t r = 0; r < edge.across.size(); ++r)
                    points[edge.inner + r * edge.s.size() + k] = rim_point(rows, edge.across[r]);
                if (post) points[edge.lower + k] = rows.rows.back();
            }
        });
        for (std::size_t k = 0; k < edge.within.size(); ++k)
            points[edge.floor + k] = floor_point(*all[b].post, edge.within[k]);
    }
}

}  // namespace archwright::surface
