#include "engine/mesh/soundness.hpp"

#include <algorithm>

#include "engine/mesh/bvh.hpp"
#include "engine/mesh/predicates.hpp"
#include "engine/mesh/topology.hpp"

namespace archwright {

namespace {

using Index = std::int32_t;

/// Exactly without area: no projection onto a coordinate plane has any.
bool collinear(const Vec3& a, const Vec3& b, const Vec3& c) {
    const auto flat = [&](Index i, Index j) {
        return orient2d({a[i], a[j]}, {b[i], b[j]}, {c[i], c[j]}) == 0;
    };
    return flat(0, 1) && flat(1, 2) && flat(2, 0);
}

/// Points whose triangles form more than one fan, each once, ascending. Going round a point from any of its
/// triangles, over edges of two triangles, must pass them all.
std::vector<Index> split_points(const TriangleMesh& mesh, const Topology& topology) {
    std::vector<std::uint32_t> valence(mesh.points.size(), 0);
    std::vector<Index> some_corner(mesh.points.size(), -1);  // half-edge that starts at the point
    for (std::size_t h = 0; h < topology.opposite.size(); ++h) {
        if (topology.opposite[h] == Topology::degenerate) continue;
        const auto p = static_cast<std::size_t>(mesh.triangles[h / 3][h % 3]);
        if (valence[p]++ == 0) some_corner[p] = static_cast<Index>(h);
    }
    const auto start_of = [&](Index h) {
        return mesh.triangles[static_cast<std::size_t>(h / 3)][static_cast<std::size_t>(h % 3)];
    };
    const auto before = [](Index h) { return h % 3 == 0 ? h + 2 : h - 1; };
    std::vector<Index> split;
    for (std::size_t p = 0; p < valence.size(); ++p) {
        if (valence[p] == 0) continue;
        std::uint32_t passed = 1;
        const Index home = some_corner[p] / 3;
        bool round = false;
        // once out over the edge that leaves the point, and unless that came home, once over the other
        for (const Index first : {some_corner[p], before(some_corner[p])}) {
            Index side = first;
            while (!round) {
                const Index across = topology.opposite[static_cast<std::size_t>(side)];
                if (across < 0) break;
                if (across / 3 == home) {
                    round = true;
                    break;
                }
                ++passed;
                // the other side of the neighbour at p
                side = start_of(across) == static_cast<Index>(p) ? before(across) : next_half_edge(across);
            }
        }
        if (passed != valence[p]) split.push_back(static_cast<Index>(p));
    }
    return split;
}

// --- triangle against triangle, by signs alone ------------------------------------------------------

using Corners = std::array<Vec3, 3>;

/// Drops one coordinate so that a triangle of some area keeps some.
struct Projection {
    Index i = 0;
    Index j = 1;
    bool found = false;

    explicit Projection(const Corners& t) {
        for (Index drop = 2; drop >= 0 && !found; --drop) {
            i = (drop + 1) % 3;
            j = (drop + 2) % 3;
            found = orient2d(of(t[0]), of(t[1]), of(t[2])) != 0;
        }
    }
    Vec2 of(const Vec3& p) const { return {p[i], p[j]}; }
};

/// On the closed segment pq, the three known to be collinear.
bool between(const Vec2& p, const Vec2& q, const Vec2& x) {
    return std::min(p.x(), q.x()) <= x.x() && x.x() <= std::max(p.x(), q.x()) &&
           std::min(p.y(), q.y()) <= x.y() && x.y() <= std::max(p.y(), q.y());
}

bool segments_meet(const Vec2& p, const Vec2& q, const Vec2& r, const Vec2& s) {
    const int pr = orient2d(p, q, r), ps = orient2d(p, q, s);
    const int rp = orient2d(r, s, p), rq = orient2d(r, s, q);
    if (pr * ps < 0 && rp * rq < 0) return true;
    return (pr == 0 && between(p, q, r)) || (ps == 0 && between(p, q, s)) || (rp == 0 && between(r, s, p)) ||
           (rq == 0 && between(r, s, q));
}

bool inside(const std::array<Vec2, 3>& t, const Vec2& p) {
    const int a = orient2d(t[0], t[1], p), b = orient2d(t[1], t[2], p), c = orient2d(t[2], t[0], p);
    return (a >= 0 && b >= 0 && c >= 0) || (a <= 0 && b <= 0 && c <= 0);
}

/// A segment in the plane of a triangle of some area.
bool coplanar_segment_meets(const Vec3& p, const Vec3& q, const Corners& t) {
    const Projection flat(t);
    const std::array<Vec2, 3> c{flat.of(t[0]), flat.of(t[1]), flat.of(t[2])};
    const Vec2 a = flat.of(p), b = flat.of(q);
    return inside(c, a) || inside(c, b) || segments_meet(a, b, c[0], c[1]) ||
           segments_meet(a, b, c[1], c[2]) || segments_meet(a, b, c[2], c[0]);
}

/// Does the closed segment pq meet the closed triangle t? sp and sq: sides of t's plane on which p and q lie.
bool segment_meets(const Vec3& p, const Vec3& q, int sp, int sq, const Corners& t) {
    if (sp * sq > 0) return false;
    if (sp == 0 && sq == 0) return coplanar_segment_meets(p, q, t);
    const int a = orient3d(p, q, t[0], t[1]);
    const int b = orient3d(p, q, t[1], t[2]);
    if (a * b < 0) return false;
    const int c = orient3d(p, q, t[2], t[0]);
    return a * c >= 0 && b * c >= 0;
}

/// Triangles without a common point: meet when an edge of one meets the other.
bool strangers_meet(const Corners& a, const Corners& b) {
    std::array<int, 3> sb{}, sa{};
    for (std::size_t i = 0; i < 3; ++i) sb[i] = orient3d(a[0], a[1], a[2], b[i]);
    if ((sb[0] > 0 && sb[1] > 0 && sb[2] > 0) || (sb[0] < 0 && sb[1] < 0 && sb[2] < 0)) return false;
    for (std::size_t i = 0; i < 3; ++i) sa[i] = orient3d(b[0], b[1], b[2], a[i]);
    if ((sa[0] > 0 && sa[1] > 0 && sa[2] > 0) || (sa[0] < 0 && sa[1] < 0 && sa[2] < 0)) return false;
    if (collinear(a[0], a[1], a[2]) || collinear(b[0], b[1], b[2])) return false;
    for (std::size_t i = 0; i < 3; ++i) {
        const std::size_t j = (i + 1) % 3;
        if (segment_meets(b[i], b[j], sb[i], sb[j], a) || segment_meets(a[i], a[j], sa[i], sa[j], b))
            return true;
    }
    return false;
}

/// Triangles (v, a1, a2) and (v, b1, b2). What they have in common is convex and holds v; if it holds more it
/// reaches the edge opposite v in one of them.
bool meet_beyond_point(const Corners& a, const Corners& b) {
    const int s1 = orient3d(a[0], a[1], a[2], b[1]);
    const int s2 = orient3d(a[0], a[1], a[2], b[2]);
    if (s1 * s2 > 0) return false;
    const int r1 = orient3d(b[0], b[1], b[2], a[1]);
    const int r2 = orient3d(b[0], b[1], b[2], a[2]);
    if (r1 * r2 > 0) return false;
    if (collinear(a[0], a[1], a[2]) || collinear(b[0], b[1], b[2])) return false;
    return segment_meets(b[1], b[2], s1, s2, a) || segment_meets(a[1], a[2], r1, r2, b);
}

/// Triangles (u, v, a) and (u, v, b) meet beyond the edge only when one lies folded onto the other.
bool meet_beyond_edge(const Vec3& u, const Vec3& v, const Vec3& a, const Vec3& b) {
    if (orient3d(u, v, a, b) != 0) return false;
    const Projection flat({u, v, a});
    if (!flat.found) return false;
    const int side_a = orient2d(flat.of(u), flat.of(v), flat.of(a));
    const int side_b = orient2d(flat.of(u), flat.of(v), flat.of(b));
    return side_a * side_b > 0;
}

}  // namespace

bool triangles_meet(const Corners& a, const Corners& b) {
    // which corner of b each corner of a coincides with
    std::array<int, 3> twin{-1, -1, -1};
    int shared = 0;
    for (std::size_t i = 0; i < 3; ++i)
        for (std::size_t j = 0; j < 3; ++j)
            if (a[i] == b[j]) {
                twin[i] = static_cast<int>(j);
                ++shared;
                break;
            }
    if (shared == 0) return strangers_meet(a, b);
    if (shared == 3) return !collinear(a[0], a[1], a[2]) && !collinear(b[0], b[1], b[2]);
    for (std::size_t i = 0; i < 3; ++i) {
        const std::size_t j = (i + 1) % 3, k = (i + 2) % 3;
        if (shared == 1 && twin[i] >= 0) {
            const auto t = static_cast<std::size_t>(twin[i]);
            return meet_beyond_point({a[i], a[j], a[k]}, {b[t], b[(t + 1) % 3], b[(t + 2) % 3]});
        }
        if (shared == 2 && twin[k] < 0) {
            if (twin[i] == twin[j]) return false;  // a names that point twice
            const auto other = static_cast<std::size_t>(3 - twin[i] - twin[j]);
            return meet_beyond_edge(a[i], a[j], a[k], b[other]);
        }
    }
    return false;
}

std::vector<Crossing> self_intersections(const TriangleMesh& mesh, std::size_t most) {
    if (most == 0 || mesh.triangles.empty()) return {};
    const Bvh bvh(mesh);
    const auto corners = [&](Index t) -> Corners {
        const Triangle& p = mesh.triangles[static_cast<std::size_t>(t)];
        return {mesh.points[p[0]], mesh.points[p[1]], mesh.points[p[2]]};
    };
    std::vector<std::vector<std::pair<Index, Index>>> found(bvh.pair_parts());
    bvh.overlapping_pairs([&](std::size_t part, Index a, Index b) {
        if (triangles_meet(corners(a), corners(b))) found[part].emplace_back(a, b);
    });
    std::vector<std::pair<Index, Index>> pairs;
    for (const auto& part : found) pairs.insert(pairs.end(), part.begin(), part.end());
    const auto keep = static_cast<std::ptrdiff_t>(std::min(most, pairs.size()));
    std::partial_sort(pairs.begin(), pairs.begin() + keep, pairs.end());
    pairs.resize(static_cast<std::size_t>(keep));

    std::vector<Crossing> crossings;
    crossings.reserve(pairs.size());
    for (const auto& [a, b] : pairs) {
        // A place for people: the middle of what the two boxes have in common.
        Box3 box_a, box_b;
        for (const Vec3& p : corners(a)) box_a.add(p);
        for (const Vec3& p : corners(b)) box_b.add(p);
        const Vec3 low = box_a.low.cwiseMax(box_b.low);
        const Vec3 high = box_a.high.cwiseMin(box_b.high);
        crossings.push_back({a, b, 0.5 * (low + high)});
    }
    return crossings;
}

Soundness find_soundness(const TriangleMesh& mesh) {
    Soundness result;
    const Topology topology = find_topology(mesh);
    result.open_edges = topology.open_edges;
    result.non_manifold_edges = topology.non_manifold_edges();
    result.misoriented_edges = topology.misoriented_edges;
    const auto note = [&](const Vec3& p) {
        if (result.places.size() < Soundness::places_kept) result.places.push_back(p);
    };
    const auto middle = [&](std::size_t h) -> Vec3 {
        const Triangle& t = mesh.triangles[h / 3];
        return 0.5 * (mesh.points[t[h % 3]] + mesh.points[t[(h + 1) % 3]]);
    };
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const Triangle& p = mesh.triangles[t];
        if (!collinear(mesh.points[p[0]], mesh.points[p[1]], mesh.points[p[2]])) continue;
        ++result.degenerate_triangles;
        note(mesh.points[p[0]]);
    }
    for (std::size_t e = 0; e < topology.non_manifold_edges(); ++e)
        note(middle(
            static_cast<std::size_t>(topology.non_manifold_half_edges[topology.non_manifold_begin[e]])));
    if (topology.open_edges + topology.misoriented_edges > 0)
        for (std::size_t h = 0; h < topology.opposite.size(); ++h) {
            const Index g = topology.opposite[h];
            const bool disagree =
                g > static_cast<Index>(h) &&
                mesh.triangles[h / 3][h % 3] ==
                    mesh.triangles[static_cast<std::size_t>(g / 3)][static_cast<std::size_t>(g % 3)];
            if (g == Topology::open || disagree) note(middle(h));
        }
    for (const Index p : split_points(mesh, topology)) {
        ++result.non_manifold_points;
        note(mesh.points[static_cast<std::size_t>(p)]);
    }
    result.components = find_parts(mesh, topology).count();
    result.volume = mesh.volume();
    result.area = mesh.area();
    result.closed = !mesh.triangles.empty() && result.open_edges == 0 && result.non_manifold_edges == 0 &&
                    result.misoriented_edges == 0;
    return result;
}

}  // namespace archwright
