#include "exporters/float_mesh.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <tuple>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/mesh/topology.hpp"

namespace archwright::exporters {

namespace {

/// Two triangles back to back on the same three points enclose nothing: both go.
void drop_back_to_back(TriangleMesh& mesh) {
    struct Key {
        Triangle sorted;
        bool even;  // as seen from outside: an even permutation of the sorted points
        std::size_t triangle;
    };
    std::vector<Key> keys;
    keys.reserve(mesh.triangles.size());
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
        Triangle t = mesh.triangles[i];
        std::rotate(t.begin(), std::min_element(t.begin(), t.end()), t.end());
        const bool even = t[1] < t[2];
        if (!even) std::swap(t[1], t[2]);
        keys.push_back({t, even, i});
    }
    std::sort(keys.begin(), keys.end(), [](const Key& a, const Key& b) {
        return std::tie(a.sorted, a.even, a.triangle) < std::tie(b.sorted, b.even, b.triangle);
    });
    std::vector<char> gone(mesh.triangles.size(), 0);
    for (std::size_t begin = 0, end = 0; begin < keys.size(); begin = end) {
        std::size_t odd = 0;
        for (end = begin; end < keys.size() && keys[end].sorted == keys[begin].sorted; ++end)
            if (!keys[end].even) ++odd;
        const std::size_t pairs = std::min(odd, end - begin - odd);  // odd ones come first
        for (std::size_t k = 0; k < pairs; ++k)
            gone[keys[begin + k].triangle] = gone[keys[begin + odd + k].triangle] = 1;
    }
    std::size_t kept = 0;
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i)
        if (!gone[i]) mesh.triangles[kept++] = mesh.triangles[i];
    mesh.triangles.resize(kept);
}

/// Does an edge join `c`, where half-edge `from` of a closed mesh begins, to `d`?
bool joined(const TriangleMesh& mesh, const Topology& edges, std::int32_t from, std::int32_t d) {
    std::int32_t h = from;
    do {
        const std::int32_t back = next_half_edge(next_half_edge(h));
        if (mesh.triangles[h / 3][(h + 1) % 3] == d || mesh.triangles[back / 3][back % 3] == d) return true;
        h = edges.opposite[back];
        if (h < 0) return true;  // not a plain fan: leave it alone
    } while (h != from);
    return false;
}

/// A triangle on three points in line is exchanged with its neighbour across the longest edge, which leaves
/// the surface where it is; several checkers drop such triangles on reading and then find a hole. Returns
/// how many were exchanged. (Differences and products of floats are exact in double, so is the test.)
std::size_t swap_flat(TriangleMesh& mesh) {
    std::vector<std::size_t> flat;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t)
        if (mesh.normal2(t).squaredNorm() == 0.0) flat.push_back(t);
    if (flat.empty()) return 0;
    const Topology edges = find_topology(mesh);
    std::vector<char> touched(mesh.points.size(), 0);
    std::size_t count = 0;
    for (const std::size_t t : flat) {
        const Triangle& tri = mesh.triangles[t];
        const auto length = [&](int k) {
            return (mesh.points[tri[(k + 1) % 3]] - mesh.points[tri[k]]).norm();
        };
        int longest = 0;
        for (int k = 1; k < 3; ++k)
            if (length(k) > length(longest)) longest = k;
        const auto edge = static_cast<std::int32_t>(3 * t) + longest;
        const std::int32_t across = edges.opposite[edge];
        if (across < 0) continue;
        const std::int32_t a = tri[longest], b = tri[(longest + 1) % 3], c = tri[(longest + 2) % 3];
        const std::int32_t d = mesh.triangles[across / 3][(across + 2) % 3];
        if (touched[a] || touched[b] || touched[c] || touched[d] || c == d) continue;
        if (joined(mesh, edges, next_half_edge(next_half_edge(edge)), d)) continue;
        mesh.triangles[t] = {c, a, d};
        mesh.triangles[across / 3] = {d, b, c};
        touched[a] = touched[b] = touched[c] = touched[d] = 1;
        ++count;
    }
    return count;
}

Fault fault(const std::string& message, const std::optional<Vec3>& where = {}) {
    return {FaultKind::output, "write", message, where};
}

}  // namespace

TriangleMesh weld_equal(TriangleMesh mesh) {
    const std::vector<Vec3>& p = mesh.points;  // the first of equals, in the mesh's own order, stands for all
    std::vector<std::int32_t> order(p.size());
    std::iota(order.begin(), order.end(), 0);
    const auto less = [&](std::int32_t a, std::int32_t b) {
        for (int k = 0; k < 3; ++k)
            if (p[a][k] != p[b][k]) return p[a][k] < p[b][k];
        return a < b;
    };
    std::sort(order.begin(), order.end(), less);
    std::vector<std::int32_t> stands_for(p.size());
    for (std::size_t i = 0; i < order.size(); ++i)
        stands_for[order[i]] = i > 0 && p[order[i]] == p[order[i - 1]] ? stands_for[order[i - 1]] : order[i];
    for (Triangle& t : mesh.triangles)
        for (std::int32_t& index : t) index = stands_for[index];
    std::erase_if(mesh.triangles,
                  [](const Triangle& t) { return t[0] == t[1] || t[1] == t[2] || t[2] == t[0]; });
    return mesh;
}

std::string open_edge(const TriangleMesh& mesh) {
    if (mesh.triangles.empty()) return "there are no triangles";
    const Topology edges = find_topology(mesh);
    if (edges.open_edges + edges.non_manifold_edges() + edges.misoriented_edges == 0) return {};
    std::size_t h = 0;
    const auto runs_alike = [&](std::size_t e) {
        const auto other = static_cast<std::size_t>(edges.opposite[e]);
        return mesh.triangles[e / 3][e % 3] == mesh.triangles[other / 3][other % 3];
    };
    while (h + 1 < edges.opposite.size() && edges.opposite[h] >= 0 && !runs_alike(h)) ++h;
    const char* const what = edges.opposite[h] == Topology::non_manifold
                                 ? "more than two triangles share an edge"
                             : edges.opposite[h] >= 0 ? "two triangles disagree in winding"
                                                      : "the surface is open";
    return what + (" near " + coordinates(mesh.points[mesh.triangles[h / 3][h % 3]]));
}

Outcome<TriangleMesh> as_floats(const TriangleMesh& given) {
    TriangleMesh mesh{given.points, given.triangles, {}};
    const auto count = static_cast<std::int32_t>(mesh.points.size());
    for (const Triangle& t : mesh.triangles)
        for (const std::int32_t index : t)
            if (index < 0 || index >= count) return fault("A triangle of the mesh names no point.");
    if (const std::string open = open_edge(mesh); !open.empty())
        return fault("The mesh to be written is not closed: " + open + ".");
    for (Vec3& p : mesh.points)
        for (double& x : p) {
            const auto rounded_x = static_cast<float>(x);
            if (!std::isfinite(rounded_x)) return fault("A point of the mesh is not a finite number.");
            x = static_cast<double>(rounded_x) + 0.0;  // + 0.0 turns -0 into 0
        }
    // Each round shortens chains of flat triangles; what the last leaves stays in, closed all the same.
    constexpr int rounds = 8;
    mesh = weld_equal(std::move(mesh));
    drop_back_to_back(mesh);
    for (int k = 0; k < rounds && swap_flat(mesh) > 0; ++k) {
    }
    drop_unused_points(mesh);
    if (const std::string open = open_edge(mesh); !open.empty())
        return fault("Rounded to the 7 digits of the file, the mesh is closed no more: " + open +
                     ". Two parts of the shell touch there; move them apart.");
    if (const auto crossings = self_intersections(mesh, 1); !crossings.empty())
        return fault("Rounded to the 7 digits of the file, two triangles of the mesh cross near " +
                         coordinates(crossings.front().where) +
                         ". Two parts of the shell touch there; move them apart.",
                     crossings.front().where);
    return mesh;
}

}  // namespace archwright::exporters
