#include "engine/lettering/cut.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/lettering/outline.hpp"
#include "engine/surface/triangles_within.hpp"

namespace archwright::lettering {

namespace {

// Points between the letters stand this far apart, and at least `off` away from a stroke's border: chords
// of the bends an underside has stay far within tolerance::chord_mm.
constexpr double between_mm = 0.8, off_mm = 0.3;
// What of the old mesh lies nearer to the letters' box than this is meshed anew.
constexpr double margin_mm = 0.8;

Fault fault(const std::string& message) {
    return {FaultKind::check, "lettering", message, {}};
}

double distance_to_stroke(const Vec2& p, const Stroke& stroke) {
    double least = (p - stroke.front()).norm();
    for (std::size_t k = 1; k < stroke.size(); ++k) {
        const Vec2 a = stroke[k - 1], e = stroke[k] - a;
        const double t = std::clamp((p - a).dot(e) / e.squaredNorm(), 0.0, 1.0);
        least = std::min(least, (p - a - t * e).norm());
    }
    return least;
}

// The part of the underside that is meshed anew.
struct Patch {
    std::vector<char> taken;                                    // per triangle of the underside
    std::vector<std::pair<std::int32_t, std::int32_t>> border;  // edges of points of the shell's mesh
    std::vector<std::int32_t> on_border, within;                // points that stay; points that go or stay
};

Patch patch_under(const surface::ShellMesh& mesh, const Chart& chart, const Vec2& half) {
    Patch patch;
    patch.taken.resize(mesh.underside_end - mesh.foot_side_end, 0);
    const Vec2 reach = half + Vec2::Constant(margin_mm);
    std::map<std::pair<std::int32_t, std::int32_t>, int> edges;
    for (std::size_t k = 0; k < patch.taken.size(); ++k) {
        const Triangle& t = mesh.mesh.triangles[mesh.foot_side_end + k];
        Vec2 low = Vec2::Constant(1e300), high = Vec2::Constant(-1e300);
        for (const std::int32_t c : t) {
            const Vec2 p = chart.flat(mesh.uv[static_cast<std::size_t>(c)]);
            low = low.cwiseMin(p);
            high = high.cwiseMax(p);
        }
        if ((low.array() > reach.array()).any() || (high.array() < -reach.array()).any()) continue;
        patch.taken[k] = 1;
        for (std::size_t c = 0; c < 3; ++c) ++edges[std::minmax(t[c], t[(c + 1) % 3])];
    }
    std::map<std::int32_t, bool> points;  // whether on the border
    for (const auto& [edge, count] : edges) {
        if (count == 1) patch.border.push_back(edge);
        for (const std::int32_t p : {edge.first, edge.second}) points[p] = points[p] || count == 1;
    }
    for (const auto& [p, border] : points) (border ? patch.on_border : patch.within).push_back(p);
    return patch;
}

struct Point {
    Vec2 uv;
    bool floor = false;
    std::int32_t old = -1;  // of the shell's mesh, or new
};

// Triangles of the patch, counter-clockwise in (u,v), over the points. Edges between old points are the
// patch's border alone.
Outcome<std::vector<Triangle>> triangulate(const std::vector<Point>& points,
                                           const std::vector<std::pair<std::size_t, std::size_t>>& border,
                                           std::vector<std::pair<std::size_t, std::size_t>> edges) {
    edges.insert(edges.end(), border.begin(), border.end());
    std::vector<Vec2> places;
    std::vector<char> old;
    for (const Point& point : points) {
        places.push_back(point.uv);
        old.push_back(point.old >= 0 ? 1 : 0);
    }
    auto triangles = surface::triangles_within(places, edges, old);
    if (triangles) return triangles;
    if (triangles.fault().kind == FaultKind::check) return fault("Two points of letters coincide.");
    return Fault{FaultKind::internal, "lettering", "Triangulation failed: " + triangles.fault().message, {}};
}

}  // namespace

Outcome<Cut> cut_letters(const surface::Shell& shell, const surface::ShellMesh& mesh, const Chart& chart,
                         const Layout& layout, const Style& style, bool raised) {
    if (layout.letters.empty()) return Cut{mesh, {}};
    const Outlines lines = outlines(layout, style);
    const Patch patch = patch_under(mesh, chart, layout.half_size);

    std::vector<Point> points;
    std::vector<std::pair<std::size_t, std::size_t>> border, rings;
    std::map<std::int32_t, std::size_t> at;  // point of the shell's mesh: among ours
    const auto keep = [&](std::int32_t p) {
        at[p] = points.size();
        points.push_back({mesh.uv[static_cast<std::size_t>(p)], false, p});
    };
    for (const std::int32_t p : patch.on_border) keep(p);
    for (const auto& [a, b] : patch.border) border.emplace_back(at[a], at[b]);
    const Vec2 reach = layout.half_size + Vec2::Constant(margin_mm);
    for (const std::int32_t p : patch.within) {
        const Vec2 flat = chart.flat(mesh.uv[static_cast<std::size_t>(p)]).cwiseAbs();
        if ((flat.array() > reach.array()).any()) keep(p);
    }
    for (const bool floor : {false, true})
        for (const Ring& ring : floor ? lines.floor : lines.edge) {
            const std::size_t first = points.size();
            for (std::size_t k = 0; k < ring.size(); ++k) {
                points.push_back({chart.uv(ring[k]), floor, -1});
                rings.emplace_back(first + k, first + (k + 1) % ring.size());
            }
        }
    // a triangular lattice between the letters and round them
    const double row_mm = between_mm * std::sqrt(0.75), clear = 0.5 * style.stroke_mm + off_mm;
    const int rows = static_cast<int>(std::floor(reach.y() / row_mm)),
              columns = static_cast<int>(std::floor(reach.x() / between_mm)) + 1;
    std::vector<Vec2> lattice;
    for (int j = -rows; j <= rows; ++j)
        for (int i = -columns; i <= columns; ++i) {
            const Vec2 p((i + (j % 2 == 0 ? 0.0 : 0.5)) * between_mm, j * row_mm);
            if ((p.cwiseAbs().array() < reach.array()).all()) lattice.push_back(p);
        }
    std::vector<char> free(lattice.size(), 0);
    parallel_for(lattice.size(), 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const Vec2 uv = chart.uv(lattice[k]);
            free[k] = 1;
            for (const Letter& letter : layout.letters)
                for (const Stroke& stroke : letter.strokes)
                    if (distance_to_stroke(lattice[k], stroke) < clear) free[k] = 0;
            // where the box leaves the underside the rim runs through it
            for (const auto& [a, b] : border) {
                const Vec2 from = chart.flat(points[a].uv), to = chart.flat(points[b].uv);
                if (distance_to_stroke(lattice[k], {from, to}) < off_mm) free[k] = 0;
            }
            if (free[k] == 0) continue;
            bool in = false;  // the patch, by parity
            for (const auto& [a, b] : border) {
                const Vec2 &p = points[a].uv, &q = points[b].uv;
                if ((p.y() > uv.y()) != (q.y() > uv.y()) &&
                    uv.x() < p.x() + (uv.y() - p.y()) / (q.y() - p.y()) * (q.x() - p.x()))
                    in = !in;
            }
            free[k] = in ? 1 : 0;
        }
    });
    for (std::size_t k = 0; k < lattice.size(); ++k)
        if (free[k] != 0) points.push_back({chart.uv(lattice[k]), false, -1});

    const auto triangles = triangulate(points, border, rings);
    if (!triangles) return triangles.fault();

    // points: foot side, underside kept, underside new, the rest
    Cut cut;
    surface::ShellMesh& out = cut.mesh;
    std::vector<char> gone(mesh.uv.size(), 0);
    for (const std::int32_t p : patch.within)
        if (at.find(p) == at.end()) gone[static_cast<std::size_t>(p)] = 1;
    const std::size_t both = mesh.foot_side_points + mesh.underside_points;
    std::vector<std::int32_t> moved(mesh.uv.size(), -1), fresh(points.size(), -1);
    const auto take = [&](std::size_t p) {
        if (gone[p] != 0) return;
        moved[p] = static_cast<std::int32_t>(out.uv.size());
        out.uv.push_back(mesh.uv[p]);
        out.mesh.points.push_back(mesh.mesh.points[p]);
    };
    for (std::size_t p = 0; p < both; ++p) take(p);
    for (std::size_t k = 0; k < points.size(); ++k) {
        if (points[k].old >= 0) {
            fresh[k] = moved[static_cast<std::size_t>(points[k].old)];
            continue;
        }
        fresh[k] = static_cast<std::int32_t>(out.uv.size());
        const surface::SurfacePoint place = shell.underside.first(points[k].uv);
        // the normal points to the foot
        const double inward = points[k].floor ? (raised ? -style.depth_mm : style.depth_mm) : 0.0;
        out.uv.push_back(points[k].uv);
        out.mesh.points.push_back(place.s + inward * place.normal());
        if (points[k].floor) cut.floor.push_back(fresh[k]);
    }
    out.foot_side_points = mesh.foot_side_points;
    out.underside_points = out.uv.size() - mesh.foot_side_points;
    const auto shift = static_cast<std::ptrdiff_t>(out.uv.size()) - static_cast<std::ptrdiff_t>(both);
    for (std::size_t p = both; p < mesh.uv.size(); ++p) take(p);
    out.edges = mesh.edges;
    for (surface::ShellMesh::Edge& edge : out.edges)
        for (std::size_t* row : {&edge.upper, &edge.lower, &edge.inner})
            if (*row >= both) *row = static_cast<std::size_t>(static_cast<std::ptrdiff_t>(*row) + shift);

    const auto copy = [&](std::size_t k) {
        Triangle t = mesh.mesh.triangles[k];
        for (std::int32_t& c : t) c = moved[static_cast<std::size_t>(c)];
        out.mesh.triangles.push_back(t);
    };
    for (std::size_t k = 0; k < mesh.foot_side_end; ++k) copy(k);
    for (std::size_t k = mesh.foot_side_end; k < mesh.underside_end; ++k)
        if (patch.taken[k - mesh.foot_side_end] == 0) copy(k);
    for (const Triangle& t : *triangles)  // seen from below
        out.mesh.triangles.push_back({fresh[static_cast<std::size_t>(t[0])],
                                      fresh[static_cast<std::size_t>(t[2])],
                                      fresh[static_cast<std::size_t>(t[1])]});
    out.foot_side_end = mesh.foot_side_end;
    out.underside_end = out.mesh.triangles.size();
    for (std::size_t k = mesh.underside_end; k < mesh.mesh.triangles.size(); ++k) copy(k);
    out.rims_end = mesh.rims_end - mesh.underside_end + out.underside_end;
    out.walls_end = mesh.walls_end - mesh.underside_end + out.underside_end;
    return cut;
}

}  // namespace archwright::lettering
