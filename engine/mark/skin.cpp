#include "engine/mark/skin.hpp"

#include <algorithm>
#include <queue>

#include "engine/mesh/topology.hpp"

namespace archwright::mark {

Skin::Skin(const TriangleMesh& mesh) : mesh_(mesh), normal_(mesh.point_normals()) {
    const std::size_t n = mesh.points.size();
    area_.assign(n, 0.0);
    std::vector<std::pair<std::int32_t, std::int32_t>> edges;
    edges.reserve(6 * mesh.triangles.size());
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const double third = mesh.area(t) / 3.0;
        const Triangle& corner = mesh.triangles[t];
        for (std::size_t k = 0; k < 3; ++k) {
            area_[corner[k]] += third;
            const std::int32_t a = corner[k], b = corner[(k + 1) % 3];
            edges.emplace_back(a, b);
            edges.emplace_back(b, a);
        }
    }
    std::sort(edges.begin(), edges.end());
    edges.erase(std::unique(edges.begin(), edges.end()), edges.end());
    first_.assign(n + 1, 0);
    neighbours_.reserve(edges.size());
    std::vector<double> lengths;
    lengths.reserve(edges.size());
    for (const auto& [a, b] : edges) {
        ++first_[static_cast<std::size_t>(a) + 1];
        neighbours_.push_back(b);
        lengths.push_back((place(a) - place(b)).norm());
    }
    for (std::size_t i = 0; i < n; ++i) first_[i + 1] += first_[i];
    if (!lengths.empty()) {
        const auto middle = lengths.begin() + static_cast<std::ptrdiff_t>(lengths.size() / 2);
        std::nth_element(lengths.begin(), middle, lengths.end());
        spacing_ = *middle;
    }
    to_rim_.assign(n, far_mm);
    std::vector<std::int32_t> rim;
    for (const BoundaryLoop& loop : boundary_loops(mesh, find_topology(mesh)))
        if (loop.length > rim_mm) rim.insert(rim.end(), loop.points.begin(), loop.points.end());
    std::sort(rim.begin(), rim.end());
    rim.erase(std::unique(rim.begin(), rim.end()), rim.end());
    const Reached reached = Walker(*this).from(rim, far_mm, {}, {});
    for (std::size_t i = 0; i < reached.point.size(); ++i)
        to_rim_[static_cast<std::size_t>(reached.point[i])] = reached.way[i];
}

std::span<const std::int32_t> Skin::neighbours(std::int32_t point) const {
    const std::size_t a = first_[static_cast<std::size_t>(point)],
                      b = first_[static_cast<std::size_t>(point) + 1];
    return {neighbours_.data() + a, b - a};
}

Reached Walker::from(std::span<const std::int32_t> seeds, double reach,
                     const std::vector<std::uint8_t>& allowed, const std::vector<double>& cost) {
    struct Step {
        double way;
        std::int32_t point, from;
        bool operator>(const Step& other) const {
            return way != other.way ? way > other.way : point > other.point;
        }
    };
    std::priority_queue<Step, std::vector<Step>, std::greater<>> open;
    for (const std::int32_t seed : seeds) open.push({0.0, seed, -1});
    Reached reached;
    while (!open.empty()) {
        const Step step = open.top();
        open.pop();
        const auto at = static_cast<std::size_t>(step.point);
        if (done_[at] != 0) continue;
        done_[at] = 1;
        const auto index = static_cast<std::int32_t>(reached.point.size());
        reached.point.push_back(step.point);
        reached.way.push_back(step.way);
        reached.from.push_back(step.from);
        for (const std::int32_t next : skin_.neighbours(step.point)) {
            const auto to = static_cast<std::size_t>(next);
            if (done_[to] != 0 || (!allowed.empty() && allowed[to] == 0)) continue;
            double way = (skin_.place(step.point) - skin_.place(next)).norm();
            if (!cost.empty()) way *= 0.5 * (cost[at] + cost[to]);
            if (step.way + way <= reach) open.push({step.way + way, next, index});
        }
    }
    for (const std::int32_t point : reached.point) done_[static_cast<std::size_t>(point)] = 0;
    return reached;
}

}  // namespace archwright::mark
