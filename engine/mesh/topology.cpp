#include "engine/mesh/topology.hpp"

#include <algorithm>
#include <utility>

namespace archwright {

namespace {

using Index = std::int32_t;

Index from(const TriangleMesh& mesh, Index h) {
    return mesh.triangles[static_cast<std::size_t>(h / 3)][static_cast<std::size_t>(h % 3)];
}
Index to(const TriangleMesh& mesh, Index h) {
    return from(mesh, next_half_edge(h));
}
Index previous(Index h) {
    return h % 3 == 0 ? h + 2 : h - 1;
}

/// A half-edge filed under its lower point.
struct Filed {
    Index other;  ///< the higher point
    Index half_edge;
};

/// The half-edge of the border one meets after going round `turn` from `h`, staying on the sheet of h's
/// triangle; `turn` is the end of h at which to go round. Independent of winding.
struct Walk {
    Index half_edge;
    Index end;  ///< its far end
};
Walk next_on_border(const TriangleMesh& mesh, const Topology& topology, Index h, Index turn) {
    for (;;) {
        // the other side of this triangle at `turn`
        const Index a = next_half_edge(h);
        const Index side = from(mesh, a) == turn || to(mesh, a) == turn ? a : previous(h);
        const Index across = topology.opposite[static_cast<std::size_t>(side)];
        if (across < 0) return {side, from(mesh, side) == turn ? to(mesh, side) : from(mesh, side)};
        h = across;
    }
}

}  // namespace

Topology find_topology(const TriangleMesh& mesh) {
    Topology topology;
    const std::size_t count = 3 * mesh.triangles.size();
    topology.opposite.assign(count, Topology::open);

    // Counting sort of the half-edges by their lower point, then a short sort by the higher one.
    std::vector<std::uint32_t> begin(mesh.points.size() + 1, 0);
    const auto for_each_edge = [&](auto&& body) {
        for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
            const Triangle& p = mesh.triangles[t];
            if (p[0] == p[1] || p[1] == p[2] || p[2] == p[0]) continue;
            for (std::size_t k = 0; k < 3; ++k) body(3 * t + k, p[k], p[k == 2 ? 0 : k + 1]);
        }
    };
    for_each_edge(
        [&](std::size_t, Index a, Index b) { ++begin[static_cast<std::size_t>(std::min(a, b)) + 1]; });
    for (std::size_t i = 1; i < begin.size(); ++i) begin[i] += begin[i - 1];
    std::vector<Filed> filed(begin.back());
    std::vector<std::uint32_t> fill(begin.begin(), begin.end() - 1);
    for_each_edge([&](std::size_t h, Index a, Index b) {
        filed[fill[static_cast<std::size_t>(std::min(a, b))]++] = {std::max(a, b), static_cast<Index>(h)};
    });
    if (filed.size() != count)
        for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
            const Triangle& p = mesh.triangles[t];
            if (p[0] == p[1] || p[1] == p[2] || p[2] == p[0])
                std::fill_n(topology.opposite.begin() + static_cast<std::ptrdiff_t>(3 * t), 3,
                            Topology::degenerate);
        }

    for (std::size_t point = 0; point + 1 < begin.size(); ++point) {
        Filed* const first = filed.data() + begin[point];
        Filed* const last = filed.data() + begin[point + 1];
        std::sort(first, last, [](const Filed& a, const Filed& b) {
            return a.other != b.other ? a.other < b.other : a.half_edge < b.half_edge;
        });
        for (Filed* i = first; i != last;) {
            Filed* j = i + 1;
            while (j != last && j->other == i->other) ++j;
            if (j - i == 1) {
                ++topology.open_edges;
            } else if (j - i == 2) {
                topology.opposite[static_cast<std::size_t>(i[0].half_edge)] = i[1].half_edge;
                topology.opposite[static_cast<std::size_t>(i[1].half_edge)] = i[0].half_edge;
                if (from(mesh, i[0].half_edge) == from(mesh, i[1].half_edge)) ++topology.misoriented_edges;
            } else {
                for (Filed* k = i; k != j; ++k) {
                    topology.opposite[static_cast<std::size_t>(k->half_edge)] = Topology::non_manifold;
                    topology.non_manifold_half_edges.push_back(k->half_edge);
                }
                topology.non_manifold_begin.push_back(topology.non_manifold_half_edges.size());
            }
            i = j;
        }
    }
    return topology;
}

std::vector<BoundaryLoop> boundary_loops(const TriangleMesh& mesh, const Topology& topology) {
    std::vector<BoundaryLoop> loops;
    std::vector<char> passed(topology.opposite.size(), 0);
    for (std::size_t start = 0; start < passed.size(); ++start) {
        if (topology.opposite[start] != Topology::open || passed[start]) continue;
        BoundaryLoop loop;
        Walk walk{static_cast<Index>(start), to(mesh, static_cast<Index>(start))};
        Index begin = from(mesh, static_cast<Index>(start));
        // Border half-edges of a sheet follow one another without branching, so the walk comes home.
        do {
            passed[static_cast<std::size_t>(walk.half_edge)] = 1;
            loop.points.push_back(begin);
            loop.length += (mesh.points[static_cast<std::size_t>(walk.end)] -
                            mesh.points[static_cast<std::size_t>(begin)])
                               .norm();
            begin = walk.end;
            walk = next_on_border(mesh, topology, walk.half_edge, walk.end);
        } while (walk.half_edge != static_cast<Index>(start));
        loops.push_back(std::move(loop));
    }
    return loops;
}

Parts find_parts(const TriangleMesh& mesh, const Topology& topology) {
    // Union by lowest index with path halving: the root of a part is its lowest triangle.
    std::vector<Index> parent(mesh.triangles.size());
    for (std::size_t i = 0; i < parent.size(); ++i) parent[i] = static_cast<Index>(i);
    const auto root = [&](Index i) {
        while (parent[static_cast<std::size_t>(i)] != i) {
            Index& up = parent[static_cast<std::size_t>(i)];
            up = parent[static_cast<std::size_t>(up)];
            i = up;
        }
        return i;
    };
    const auto unite = [&](Index a, Index b) {
        a = root(a);
        b = root(b);
        if (a != b) parent[static_cast<std::size_t>(std::max(a, b))] = std::min(a, b);
    };
    for (std::size_t h = 0; h < topology.opposite.size(); ++h)
        if (topology.opposite[h] > static_cast<Index>(h))
            unite(static_cast<Index>(h / 3), topology.opposite[h] / 3);
    for (std::size_t e = 0; e < topology.non_manifold_edges(); ++e)
        for (std::size_t i = topology.non_manifold_begin[e] + 1; i < topology.non_manifold_begin[e + 1]; ++i)
            unite(topology.non_manifold_half_edges[i - 1] / 3, topology.non_manifold_half_edges[i] / 3);

    Parts parts;
    parts.of_triangle.resize(parent.size());
    for (std::size_t t = 0; t < parent.size(); ++t) {
        const auto r = static_cast<std::size_t>(root(static_cast<Index>(t)));
        if (r == t) {  // the lowest comes first
            parts.of_triangle[t] = static_cast<Index>(parts.triangles.size());
            parts.triangles.push_back(0);
            parts.area.push_back(0.0);
        } else {
            parts.of_triangle[t] = parts.of_triangle[r];
        }
        const auto part = static_cast<std::size_t>(parts.of_triangle[t]);
        ++parts.triangles[part];
        parts.area[part] += mesh.area(t);
    }
    return parts;
}

Orientation orient_consistently(TriangleMesh& mesh, Topology& topology) {
    Orientation result;
    if (topology.misoriented_edges == 0) return result;
    enum : char { unseen, as_is, turned };
    std::vector<char> state(mesh.triangles.size(), unseen);
    std::vector<Index> part;  // doubles as the queue of the flood
    const auto same_way = [&](Index h, Index g) { return from(mesh, h) == from(mesh, g); };
    for (std::size_t seed = 0; seed < state.size(); ++seed) {
        if (state[seed] != unseen) continue;
        part.assign(1, static_cast<Index>(seed));
        state[seed] = as_is;
        double area_as_is = 0.0;
        double area_turned = 0.0;
        for (std::size_t next = 0; next < part.size(); ++next) {
            const Index t = part[next];
            const char mine = state[static_cast<std::size_t>(t)];
            (mine == as_is ? area_as_is : area_turned) += mesh.area(static_cast<std::size_t>(t));
            for (Index h = 3 * t; h < 3 * t + 3; ++h) {
                const Index g = topology.opposite[static_cast<std::size_t>(h)];
                if (g < 0) continue;
                char& theirs = state[static_cast<std::size_t>(g / 3)];
                if (theirs != unseen) continue;
                theirs = same_way(h, g) == (mine == as_is) ? turned : as_is;
                part.push_back(g / 3);
            }
        }
        if (area_turned > area_as_is)
            for (const Index t : part)
                state[static_cast<std::size_t>(t)] =
                    state[static_cast<std::size_t>(t)] == as_is ? turned : as_is;
    }
    for (std::size_t t = 0; t < state.size(); ++t)
        if (state[t] == turned) {
            std::swap(mesh.triangles[t][1], mesh.triangles[t][2]);
            ++result.flipped;
        }
    if (result.flipped > 0) topology = find_topology(mesh);
    result.disputed = topology.misoriented_edges;
    return result;
}

std::size_t drop_unused_points(TriangleMesh& mesh) {
    std::vector<Index> place(mesh.points.size(), -1);
    for (const Triangle& t : mesh.triangles)
        for (const Index p : t) place[static_cast<std::size_t>(p)] = 0;
    std::size_t kept = 0;
    for (std::size_t i = 0; i < place.size(); ++i) {
        if (place[i] < 0) continue;
        mesh.points[kept] = mesh.points[i];
        if (!mesh.colours.empty()) mesh.colours[kept] = mesh.colours[i];
        place[i] = static_cast<Index>(kept++);
    }
    const std::size_t dropped = place.size() - kept;
    if (dropped == 0) return 0;
    mesh.points.resize(kept);
    if (!mesh.colours.empty()) mesh.colours.resize(kept);
    for (Triangle& t : mesh.triangles)
        for (Index& p : t) p = place[static_cast<std::size_t>(p)];
    return dropped;
}

}  // namespace archwright
