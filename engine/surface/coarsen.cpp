#include "engine/surface/coarsen.hpp"

#include <algorithm>
#include <queue>
#include <tuple>

#include "engine/mesh/topology.hpp"
#include "engine/surface/fans.hpp"

namespace archwright::surface {

namespace {

// Neighbours of every point, in compressed rows; an inner edge is listed twice, which does no harm.
struct Neighbours {
    std::vector<std::int32_t> begin, list;

    explicit Neighbours(const TriangleMesh& mesh) : begin(mesh.points.size() + 1, 0) {
        for (const Triangle& t : mesh.triangles)
            for (std::int32_t p : t) begin[static_cast<std::size_t>(p) + 1] += 2;
        for (std::size_t i = 0; i + 1 < begin.size(); ++i) begin[i + 1] += begin[i];
        list.resize(static_cast<std::size_t>(begin.back()));
        std::vector<std::int32_t> next(begin.begin(), begin.end() - 1);
        for (const Triangle& t : mesh.triangles)
            for (std::size_t k = 0; k < 3; ++k)
                for (std::size_t other = 1; other < 3; ++other)
                    list[static_cast<std::size_t>(next[static_cast<std::size_t>(t[k])]++)] =
                        t[(k + other) % 3];
    }
    template <class Visit>
    void each(std::int32_t point, Visit&& visit) const {
        for (std::int32_t k = begin[static_cast<std::size_t>(point)];
             k < begin[static_cast<std::size_t>(point) + 1]; ++k)
            visit(list[static_cast<std::size_t>(k)]);
    }
};

// Points no closer than `spacing` along the surface, and none farther than that from one of them: taken in
// the order of the points, each blocking what can be walked to within that distance.
std::vector<std::int32_t> spread_seeds(const TriangleMesh& mesh, const Neighbours& near, double spacing) {
    std::vector<char> blocked(mesh.points.size(), 0);
    std::vector<std::int32_t> visited(mesh.points.size(), -1), seeds, stack;
    const double reach2 = spacing * spacing;
    for (std::size_t i = 0; i < mesh.points.size(); ++i) {
        if (blocked[i]) continue;
        const std::int32_t seed = static_cast<std::int32_t>(i);
        seeds.push_back(seed);
        stack.assign(1, seed);
        visited[i] = seed;
        while (!stack.empty()) {
            const std::int32_t at = stack.back();
            stack.pop_back();
            blocked[static_cast<std::size_t>(at)] = 1;
            near.each(at, [&](std::int32_t next) {
                std::int32_t& mark = visited[static_cast<std::size_t>(next)];
                if (mark == seed ||
                    (mesh.points[static_cast<std::size_t>(next)] - mesh.points[i]).squaredNorm() >= reach2)
                    return;
                mark = seed;
                stack.push_back(next);
            });
        }
    }
    return seeds;
}

// Every point to its nearest seed along the edges (E. W. Dijkstra 1959), ties to the lower cell and point.
std::vector<std::int32_t> grow_cells(const TriangleMesh& mesh, const Neighbours& near,
                                     const std::vector<std::int32_t>& seeds) {
    using Entry = std::tuple<double, std::int32_t, std::int32_t>;  // distance, cell, point
    std::vector<std::int32_t> cell(mesh.points.size(), -1);
    std::vector<double> distance(mesh.points.size(), 1e300);
    std::vector<Entry> heap;
    heap.reserve(mesh.points.size());
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue(std::greater<>{}, std::move(heap));
    for (std::size_t s = 0; s < seeds.size(); ++s) {
        distance[static_cast<std::size_t>(seeds[s])] = 0.0;
        queue.emplace(0.0, static_cast<std::int32_t>(s), seeds[s]);
    }
    while (!queue.empty()) {
        const auto [d, label, at] = queue.top();
        queue.pop();
        if (cell[static_cast<std::size_t>(at)] >= 0) continue;
        cell[static_cast<std::size_t>(at)] = label;
        near.each(at, [&, d = d, label = label, at = at](std::int32_t next) {
            const std::size_t n = static_cast<std::size_t>(next);
            if (cell[n] >= 0) return;
            const double further = d + (mesh.points[n] - mesh.points[static_cast<std::size_t>(at)]).norm();
            if (further < distance[n]) {
                distance[n] = further;
                queue.emplace(further, label, next);
            }
        });
    }
    return cell;
}

TriangleMesh dual(const TriangleMesh& fine, const std::vector<std::int32_t>& cell, std::size_t cells) {
    TriangleMesh mesh;
    mesh.points.assign(cells, Vec3::Zero());
    std::vector<double> members(cells, 0.0);
    for (std::size_t i = 0; i < fine.points.size(); ++i) {
        if (cell[i] < 0) continue;
        mesh.points[static_cast<std::size_t>(cell[i])] += fine.points[i];
        members[static_cast<std::size_t>(cell[i])] += 1.0;
    }
    for (std::size_t c = 0; c < cells; ++c) mesh.points[c] /= std::max(1.0, members[c]);
    for (const Triangle& t : fine.triangles) {
        const std::int32_t a = cell[static_cast<std::size_t>(t[0])], b = cell[static_cast<std::size_t>(t[1])],
                           c = cell[static_cast<std::size_t>(t[2])];
        if (a != b && b != c && c != a) mesh.triangles.push_back({a, b, c});
    }
    return mesh;
}

// Cells where the dual is not a manifold that winds one way.
std::vector<char> unsound_cells(const TriangleMesh& mesh, const Topology& topology) {
    std::vector<char> bad = find_pinched(mesh, topology).pinched;
    for (std::size_t h = 0; h < topology.opposite.size(); ++h) {
        const auto start = [&](std::size_t k) { return mesh.triangles[k / 3][k % 3]; };
        const std::int32_t across = topology.opposite[h];
        if (across == Topology::non_manifold ||
            (across >= 0 && start(h) == start(static_cast<std::size_t>(across)))) {
            bad[static_cast<std::size_t>(start(h))] = 1;
            bad[static_cast<std::size_t>(
                start(static_cast<std::size_t>(next_half_edge(static_cast<std::int32_t>(h)))))] = 1;
        }
    }
    return bad;
}

// Halves the flagged cells: from the point of the cell farthest (in steps) from its first, both grow at once.
// Returns whether any could be halved.
bool halve(const Neighbours& near, const std::vector<char>& flagged, std::vector<std::int32_t>& cell,
           std::size_t& cells) {
    std::vector<std::vector<std::int32_t>> members(flagged.size());
    for (std::size_t i = 0; i < cell.size(); ++i)
        if (cell[i] >= 0 && flagged[static_cast<std::size_t>(cell[i])])
            members[static_cast<std::size_t>(cell[i])].push_back(static_cast<std::int32_t>(i));
    bool any = false;
    std::vector<std::int32_t> ring, order;
    for (std::size_t c = 0; c < members.size(); ++c) {
        if (members[c].size() < 2) continue;
        any = true;
        const std::int32_t old = static_cast<std::int32_t>(c), fresh = static_cast<std::int32_t>(cells++);
        constexpr std::int32_t unmet = -2;
        const auto spread = [&](std::vector<std::int32_t> starts) {
            for (std::int32_t p : members[c]) cell[static_cast<std::size_t>(p)] = unmet;
            for (std::size_t k = 0; k < starts.size(); ++k)
                cell[static_cast<std::size_t>(starts[k])] = k == 0 ? old : fresh;
            for (std::size_t k = 0; k < starts.size(); ++k)
                near.each(starts[k], [&](std::int32_t next) {
                    if (cell[static_cast<std::size_t>(next)] != unmet) return;
                    cell[static_cast<std::size_t>(next)] = cell[static_cast<std::size_t>(starts[k])];
                    starts.push_back(next);
                });
            return starts.back();
        };
        const std::int32_t far = spread({spread({members[c].front()})});
        spread({spread({far}), far});
    }
    return any;
}

}  // namespace

Coarse coarsen(const TriangleMesh& fine, double spacing_mm) {
    const Neighbours near(fine);
    const std::vector<std::int32_t> seeds = spread_seeds(fine, near, spacing_mm);
    Coarse coarse;
    coarse.cell = grow_cells(fine, near, seeds);
    std::size_t cells = seeds.size();
    Topology topology;
    for (;;) {
        coarse.mesh = dual(fine, coarse.cell, cells);
        topology = find_topology(coarse.mesh);
        const std::vector<char> bad = unsound_cells(coarse.mesh, topology);
        if (std::find(bad.begin(), bad.end(), 1) == bad.end()) break;
        if (!halve(near, bad, coarse.cell, cells)) {  // the fine mesh itself is not sound there
            drop_disputed(coarse.mesh, topology);
            break;
        }
    }
    // the largest part only: what else there is, is a pillow of a few triangles
    const Parts parts = find_parts(coarse.mesh, topology);
    std::vector<std::int32_t> origin(coarse.mesh.points.size());
    for (std::size_t i = 0; i < origin.size(); ++i) origin[i] = static_cast<std::int32_t>(i);
    if (parts.count() > 0) {
        const auto largest = std::max_element(parts.area.begin(), parts.area.end()) - parts.area.begin();
        std::vector<char> keep(coarse.mesh.triangles.size());
        for (std::size_t t = 0; t < keep.size(); ++t) keep[t] = parts.of_triangle[t] == largest;
        coarse.mesh = keep_triangles(coarse.mesh, keep, origin);
    } else {
        origin.clear();
        coarse.mesh.points.clear();
    }
    std::vector<std::int32_t> place(cells, -1);
    for (std::size_t i = 0; i < origin.size(); ++i)
        place[static_cast<std::size_t>(origin[i])] = static_cast<std::int32_t>(i);
    for (std::int32_t& c : coarse.cell) c = c < 0 ? -1 : place[static_cast<std::size_t>(c)];
    return coarse;
}

}  // namespace archwright::surface
