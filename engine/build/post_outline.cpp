#include "engine/build/post_outline.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::build {

namespace {

// Of a post's outline from borders and distal edge: rim, the margin of loops, and a little air (our choice).
constexpr double inset_mm = 7.0;
constexpr double corner_mm = 7.0;

// Corners rounded by arcs, a point every 2.5 mm.
std::vector<Vec2> rounded_polygon(const std::vector<Vec2>& corners, const std::vector<double>& radii) {
    constexpr int per_arc = 32;
    std::vector<Vec2> out;
    const std::size_t n = corners.size();
    for (std::size_t i = 0; i < n; ++i) {
        const Vec2 &p = corners[i], &before = corners[(i + n - 1) % n], &after = corners[(i + 1) % n];
        const Vec2 a = (before - p).normalized(), b = (after - p).normalized();
        const double half = 0.5 * std::acos(std::clamp(a.dot(b), -1.0, 1.0));
        const double reach = radii[i] / std::tan(half);
        constexpr double bend_mm = 1.0;  // a corner as slight as this is no corner
        if (reach < bend_mm) {
            out.push_back(p);
            continue;
        }
        const Vec2 centre = p + (a + b).normalized() * (radii[i] / std::sin(half));
        const Vec2 from = p + reach * a - centre, to = p + reach * b - centre;
        const double turn = std::atan2(from.x() * to.y() - from.y() * to.x(), from.dot(to));
        for (int k = 0; k <= per_arc; ++k) {
            const double t = turn * k / per_arc, c = std::cos(t), s = std::sin(t);
            out.push_back(centre + Vec2(c * from.x() - s * from.y(), s * from.x() + c * from.y()));
        }
    }
    // the curve through them is smooth: unevenly spaced points would make it swing
    constexpr double spacing_mm = 2.5;
    std::vector<double> along{0.0};
    for (std::size_t i = 1; i <= out.size(); ++i)
        along.push_back(along.back() + (out[i % out.size()] - out[i - 1]).norm());
    const int count = std::max(12, static_cast<int>(along.back() / spacing_mm));
    std::vector<Vec2> even;
    std::size_t i = 0;
    for (int k = 0; k < count; ++k) {
        const double s = along.back() * k / count;
        while (i + 2 < along.size() && along[i + 1] <= s) ++i;
        const double t = (s - along[i]) / std::max(along[i + 1] - along[i], 1e-12);
        even.push_back((1.0 - t) * out[i] + t * out[(i + 1) % out.size()]);
    }
    return even;
}

// Breadth of the underside behind the distal edge that is flat enough to stand a post under: in every row
// across from `length` behind the edge to its margin.
struct Breadth {
    double lateral = -1e300, medial = 1e300;
};
Breadth flat_breadth(const surface::SplineSurface& underside, const Surfaced& surfaced, double length) {
    constexpr double spacing_mm = 1.0, flat_cosine = 0.8, row_mm = 3.0;
    const surface::TrimRegion inside{surface::Outline(surfaced.trim.curve)};
    const surface::Lattice lattice = surface::Lattice::spaced(underside.u, underside.v, spacing_mm);
    const surface::LatticeFrames frames = surface::sample_frames(underside, lattice);
    std::map<int, std::pair<double, double>> rows;
    for (std::size_t k = 0; k < frames.points.size(); ++k) {
        const Vec3& p = frames.points[k];
        const double behind = surface::distal_edge_x(surfaced.rule, p.y()) - p.x();
        if (behind < inset_mm || behind > inset_mm + length) continue;
        if (std::abs(frames.normals[k].z()) < flat_cosine) continue;
        const Vec2 uv = lattice.uv(k);
        if (!inside.inside(uv) || inside.distance(uv, inset_mm) < inset_mm) continue;
        auto [row, made] = rows.try_emplace(static_cast<int>(behind / row_mm), p.y(), p.y());
        row->second.first = std::min(row->second.first, p.y());
        row->second.second = std::max(row->second.second, p.y());
    }
    Breadth breadth;
    for (const auto& [row, ends] : rows) {
        breadth.lateral = std::max(breadth.lateral, ends.first);
        breadth.medial = std::min(breadth.medial, ends.second);
    }
    return breadth;
}

}  // namespace

std::vector<Vec2> rearfoot_outline(const feature::RearfootPost& post, const surface::TrimRule& rule) {
    const Vec2 heel = rule.heel_centre.head<2>();
    const double half = 0.5 * post.width_mm, rear = heel.x() - half, front = rear + post.length_mm;
    const double round = std::min(0.98 * half, 0.9 * post.length_mm);
    const double corner = std::min(corner_mm, 0.4 * half);
    return rounded_polygon({{rear, heel.y() - half},
                            {front, heel.y() - half},
                            {front, heel.y() + half},
                            {rear, heel.y() + half}},
                           {round, corner, corner, round});
}

Outcome<std::vector<Vec2>> forefoot_outline(const feature::ForefootPost& post, const Surfaced& surfaced,
                                            const surface::SplineSurface& underside) {
    const Breadth flat = flat_breadth(underside, surfaced, post.length_mm);
    constexpr double least_mm = 20.0;
    if (!(flat.medial - flat.lateral > least_mm))
        return Fault{FaultKind::check, "posts",
                     "There is no room for a forefoot post of " + rounded(post.length_mm, 0) +
                         " mm behind the distal edge: the underside is flat over less than 20 mm there. Make "
                         "it shorter (posts.forefoot.length_mm).",
                     surfaced.rule.fifth_head};
    const auto edge = [&](double y) { return surface::distal_edge_x(surfaced.rule, y) - inset_mm; };
    const double middle = 0.5 * (flat.lateral + flat.medial),
                 corner = std::min(corner_mm, 0.4 * post.length_mm);
    return rounded_polygon({{edge(flat.lateral), flat.lateral},
                            {edge(middle), middle},
                            {edge(flat.medial), flat.medial},
                            {edge(flat.medial) - post.length_mm, flat.medial},
                            {edge(middle) - post.length_mm, middle},
                            {edge(flat.lateral) - post.length_mm, flat.lateral}},
                           {corner, 0.5, corner, corner, 0.5, corner});
}

}  // namespace archwright::build
