#include "engine/surface/fans.hpp"

#include <algorithm>

namespace archwright::surface {

namespace {

// Walks every fan once: visit(point, first corner of the fan, whether the point was met before).
template <class Visit>
void each_fan(const TriangleMesh& mesh, const Topology& topology, Visit&& visit) {
    const std::size_t corners = mesh.triangles.size() * 3;
    std::vector<char> done(corners, 0), met(mesh.points.size(), 0);
    const auto point_of = [&](std::int32_t h) {
        return mesh.triangles[static_cast<std::size_t>(h / 3)][static_cast<std::size_t>(h % 3)];
    };
    const auto before = [](std::int32_t h) { return h % 3 == 0 ? h + 2 : h - 1; };
    std::vector<std::int32_t> fan;
    for (std::size_t start = 0; start < corners; ++start) {
        if (done[start]) continue;
        const std::int32_t first = static_cast<std::int32_t>(start), point = point_of(first);
        fan.clear();
        const auto take = [&](std::int32_t h) {
            if (h < 0 || done[static_cast<std::size_t>(h)] || point_of(h) != point) return false;
            done[static_cast<std::size_t>(h)] = 1;
            fan.push_back(h);
            return true;
        };
        // corner h = start of half-edge h. One way: across the half-edge that ends here; then the other way.
        for (std::int32_t h = first; take(h);) h = topology.opposite[static_cast<std::size_t>(before(h))];
        for (std::int32_t h = first;;) {
            const std::int32_t across = topology.opposite[static_cast<std::size_t>(h)];
            if (across < 0) break;
            h = next_half_edge(across);
            if (!take(h)) break;
        }
        visit(point, fan, met[static_cast<std::size_t>(point)] != 0);
        met[static_cast<std::size_t>(point)] = 1;
    }
}

}  // namespace

Fans find_pinched(const TriangleMesh& mesh, const Topology& topology) {
    Fans fans;
    fans.pinched.assign(mesh.points.size(), 0);
    each_fan(mesh, topology, [&](std::int32_t point, const std::vector<std::int32_t>&, bool again) {
        char& mark = fans.pinched[static_cast<std::size_t>(point)];
        if (again && mark == 0) {
            mark = 1;
            ++fans.count;
        }
    });
    return fans;
}

std::vector<std::int32_t> split_pinched(TriangleMesh& mesh, const Topology& topology) {
    std::vector<std::int32_t> copies;
    std::vector<std::pair<std::int32_t, std::int32_t>> renamed;  // corner, new point
    each_fan(mesh, topology, [&](std::int32_t point, const std::vector<std::int32_t>& fan, bool again) {
        if (!again) return;
        const std::int32_t fresh = static_cast<std::int32_t>(mesh.points.size() + copies.size());
        copies.push_back(point);
        for (std::int32_t corner : fan) renamed.emplace_back(corner, fresh);
    });
    for (const auto& [corner, fresh] : renamed)
        mesh.triangles[static_cast<std::size_t>(corner / 3)][static_cast<std::size_t>(corner % 3)] = fresh;
    for (std::int32_t point : copies) {
        const Vec3 at = mesh.points[static_cast<std::size_t>(point)];
        mesh.points.push_back(at);
    }
    return copies;
}

std::size_t drop_disputed(TriangleMesh& mesh, Topology& topology) {
    const std::size_t at_first = mesh.triangles.size();
    for (;;) {
        std::vector<char> keep(mesh.triangles.size(), 1);
        bool all = true;
        for (std::size_t h = 0; h < topology.opposite.size(); ++h) {
            const std::int32_t across = topology.opposite[h];
            bool bad = across == Topology::non_manifold || across == Topology::degenerate;
            if (across >= 0) {
                const auto start = [&](std::size_t k) { return mesh.triangles[k / 3][k % 3]; };
                bad = start(h) == start(static_cast<std::size_t>(across));
            }
            if (bad) {
                keep[h / 3] = 0;
                all = false;
            }
        }
        if (all) return at_first - mesh.triangles.size();
        std::size_t to = 0;
        for (std::size_t t = 0; t < mesh.triangles.size(); ++t)
            if (keep[t]) mesh.triangles[to++] = mesh.triangles[t];
        mesh.triangles.resize(to);
        topology = find_topology(mesh);
    }
}

TriangleMesh keep_triangles(const TriangleMesh& mesh, const std::vector<char>& keep,
                            std::vector<std::int32_t>& origin) {
    TriangleMesh kept;
    std::vector<std::int32_t> place(mesh.points.size(), -1), from;
    kept.triangles.reserve(mesh.triangles.size());
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        if (!keep[t]) continue;
        Triangle triangle = mesh.triangles[t];
        for (std::int32_t& p : triangle) {
            std::int32_t& to = place[static_cast<std::size_t>(p)];
            if (to < 0) {
                to = static_cast<std::int32_t>(kept.points.size());
                kept.points.push_back(mesh.points[static_cast<std::size_t>(p)]);
                from.push_back(origin[static_cast<std::size_t>(p)]);
            }
            p = to;
        }
        kept.triangles.push_back(triangle);
    }
    origin = std::move(from);
    return kept;
}

}  // namespace archwright::surface
