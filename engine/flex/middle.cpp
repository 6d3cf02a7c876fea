#include "engine/flex/middle.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "engine/base/text.hpp"
#include "engine/flex/limits.hpp"
#include "engine/surface/loop.hpp"
#include "engine/surface/post.hpp"
#include "engine/surface/uv_mesh.hpp"

namespace archwright::flex {

namespace {

/// Points of the lattice keep this share of an element away from the edges, so that no triangle there is a
/// sliver.
constexpr double edge_share = 0.55;
/// Edges have at least so many points, however large the elements.
constexpr int least_edge_points = 12;

Fault middle_fault(const std::string& what) {
    return Fault{FaultKind::input, "flex", what, std::nullopt};
}

/// Points at about `step` mm (in space) along a closed curve of the middle surface.
std::vector<Vec2> along(const surface::Shell& shell, const surface::PeriodicCurve& curve, double step) {
    const int fine = 64 * static_cast<int>(curve.control.size());
    std::vector<double> reached{0.0};
    const auto at = [&](int i) {
        const Vec2 uv = curve.point(curve.period() * i / fine);
        return Vec3(0.5 * (shell.foot_side.point(uv) + shell.underside.point(uv)));
    };
    Vec3 before = at(0);
    for (int i = 1; i <= fine; ++i) {
        const Vec3 now = at(i);
        reached.push_back(reached.back() + (now - before).norm());
        before = now;
    }
    const int count = std::max(least_edge_points, static_cast<int>(std::lround(reached.back() / step)));
    std::vector<Vec2> points;
    std::size_t i = 0;
    for (int k = 0; k < count; ++k) {
        const double wanted = reached.back() * k / count;
        while (reached[i + 1] < wanted) ++i;
        const double part = (wanted - reached[i]) / std::max(1e-12, reached[i + 1] - reached[i]);
        points.push_back(curve.point(curve.period() * (static_cast<double>(i) + part) / fine));
    }
    return points;
}

struct PostOver {
    const surface::Post* post;
    surface::Outline outline;
    bool stiffens;
};

std::vector<PostOver> posts_over(const surface::Shell& shell, const std::vector<surface::Post>& stuck) {
    std::vector<PostOver> posts;
    for (const surface::Post& post : shell.posts)
        posts.push_back({&post, surface::Outline(post.curve), true});
    for (const surface::Post& post : stuck) posts.push_back({&post, surface::Outline(post.curve), false});
    return posts;
}

/// The middle, the wall and what may touch at one (u,v).
void add_point(const surface::Shell& shell, const std::vector<PostOver>& posts, const Vec2& uv,
               Middle& into) {
    const surface::SurfacePoint foot = shell.foot_side.first(uv), under = shell.underside.first(uv);
    const Vec3 normal = (foot.normal() + under.normal()).normalized();
    Vec3 place = under.s;
    double wall = (foot.s - under.s).dot(normal);
    char on_post = 0;
    for (const PostOver& over : posts) {
        if (!over.outline.inside(uv)) continue;
        place = surface::floor_point(*over.post, under.s.head<2>());
        on_post = 1;
        if (over.stiffens) wall = std::max(wall, (foot.s - place).dot(normal));
    }
    into.uv.push_back(uv);
    into.model.points.push_back(0.5 * (foot.s + under.s));
    into.model.wall_mm.push_back(wall);
    into.place.push_back(place);
    into.on_post.push_back(on_post);
}

}  // namespace

Outcome<Middle> middle_of(const surface::Shell& shell, const std::vector<surface::Post>& stuck,
                          double element_mm) {
    if (!(element_mm >= least_element_mm && element_mm <= greatest_element_mm))
        return middle_fault("Elements of " + exact(element_mm) + " mm are not made: choose " +
                            exact(least_element_mm) + " to " + exact(greatest_element_mm) + " mm.");
    const std::vector<Vec2> border = along(shell, shell.trim, element_mm);
    std::vector<std::vector<Vec2>> rings;
    for (const surface::Aperture& aperture : shell.apertures)
        rings.push_back(along(shell, aperture.curve, element_mm));
    const surface::Outline outside(border);
    std::vector<surface::Outline> holes;
    for (const std::vector<Vec2>& ring : rings) holes.emplace_back(ring);

    std::vector<Vec2> inner;
    for (const std::vector<Vec2>& ring : rings) inner.insert(inner.end(), ring.begin(), ring.end());
    const std::size_t rim = border.size() + inner.size();
    Vec2 low = border.front(), high = border.front();
    for (const Vec2& p : border) {
        low = low.cwiseMin(p);
        high = high.cwiseMax(p);
    }
    const double row = element_mm * std::sqrt(0.75);
    if (double cells = (high - low).prod() / (row * element_mm);
        cells > 4.0 * static_cast<double>(limit::most_points))
        return middle_fault("The shell is too large for elements of " + exact(element_mm) + " mm.");
    int rows = 0;
    for (double v = low.y() + 0.5 * row; v < high.y(); v += row, ++rows)
        for (double u = low.x() + (rows % 2 == 0 ? 0.5 : 1.0) * element_mm; u < high.x(); u += element_mm) {
            const Vec2 p(u, v);
            if (!outside.inside(p) || outside.distance(p) < edge_share * element_mm) continue;
            if (std::any_of(holes.begin(), holes.end(), [&](const surface::Outline& hole) {
                    return hole.inside(p) || hole.distance(p) < edge_share * element_mm;
                }))
                continue;
            inner.push_back(p);
        }
    auto triangles = surface::triangulate(border, inner);
    if (!triangles) return triangles.fault();

    Middle middle;
    const std::vector<PostOver> posts = posts_over(shell, stuck);
    for (const std::vector<Vec2>* points : {&border, static_cast<const std::vector<Vec2>*>(&inner)})
        for (const Vec2& uv : *points) add_point(shell, posts, uv, middle);
    for (std::size_t p = 0; p < middle.uv.size(); ++p) middle.rim.push_back(p < rim);
    for (const Triangle& t : *triangles) {
        const Vec2 centre = (middle.uv[t[0]] + middle.uv[t[1]] + middle.uv[t[2]]) / 3.0;
        if (std::none_of(holes.begin(), holes.end(),
                         [&](const surface::Outline& hole) { return hole.inside(centre); }))
            middle.model.triangles.push_back(t);
    }
    middle.model.lamina = Lamina::isotropic(1.0, 0.0);
    if (const auto good = middle.model.check(); !good) return good.fault();
    return middle;
}

}  // namespace archwright::flex
