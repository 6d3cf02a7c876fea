#include "engine/scan/receive_layers.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/base/parallel.hpp"
#include "engine/mesh/bvh.hpp"

namespace archwright::scan {
namespace {

constexpr double nearest_mm = 0.3, farthest_mm = 8.0;  // where a second layer of plaster lies
constexpr double parallel = 0.8;                       // cosine between the layers
constexpr double leaning = 0.2;         // cosine below which the middle of the hollow does not tell
constexpr double rim_mm = 6.0;          // the rim's own thickness is a layer's distance
constexpr double island = 0.02;         // share of the whole area below which a label is an error of its own
constexpr double hollow_height = 30.0;  // nominal mm
constexpr double hollow_from = 0.12, hollow_to = 0.78;  // shares of the length

enum Label : std::uint8_t { unknown, inner, outer };

/// Steps over edges from triangle to triangle.
template <class Body>
void neighbours(const Topology& topology, std::int32_t t, Body&& body) {
    for (std::int32_t h = 3 * t; h < 3 * t + 3; ++h)
        if (const std::int32_t across = topology.opposite[static_cast<std::size_t>(h)]; across >= 0)
            body(across / 3);
}

/// Triangles no ray told of take the label of the nearest that has one.
void spread(const Topology& topology, std::vector<std::uint8_t>& label) {
    std::vector<std::int32_t> queue;
    for (std::size_t t = 0; t < label.size(); ++t)
        if (label[t] != unknown) queue.push_back(static_cast<std::int32_t>(t));
    for (std::size_t next = 0; next < queue.size(); ++next)
        neighbours(topology, queue[next], [&](std::int32_t n) {
            if (label[n] != unknown) return;
            label[n] = label[queue[next]];
            queue.push_back(n);
        });
}

/// Small patches of one label within the other are turned over.
void drop_islands(const TriangleMesh& mesh, const Topology& topology, std::vector<std::uint8_t>& label) {
    const double total = mesh.area();
    std::vector<std::uint8_t> seen(label.size(), 0);
    std::vector<std::int32_t> patch;
    for (std::size_t seed = 0; seed < label.size(); ++seed) {
        if (seen[seed]) continue;
        patch.assign(1, static_cast<std::int32_t>(seed));
        seen[seed] = 1;
        double area = 0.0;
        for (std::size_t next = 0; next < patch.size(); ++next) {
            area += mesh.area(patch[next]);
            neighbours(topology, patch[next], [&](std::int32_t n) {
                if (seen[n] || label[n] != label[seed]) return;
                seen[n] = 1;
                patch.push_back(n);
            });
        }
        if (area > island * total) continue;
        const std::uint8_t other = label[seed] == inner ? outer : inner;
        for (const std::int32_t t : patch) label[t] = other;
    }
}

/// The rim between the layers belongs to neither: inner triangles near an outer one become outer.
void drop_rim(const TriangleMesh& mesh, const Topology& topology, double band,
              std::vector<std::uint8_t>& label) {
    const auto centre = [&](std::int32_t t) {
        const Triangle& c = mesh.triangles[t];
        return Vec3((mesh.points[c[0]] + mesh.points[c[1]] + mesh.points[c[2]]) / 3.0);
    };
    std::vector<std::pair<std::int32_t, Vec3>> queue;  // with the place on the border it was reached from
    std::vector<std::uint8_t> seen(label.size(), 0);
    for (std::size_t t = 0; t < label.size(); ++t) {
        if (label[t] != inner) continue;
        bool at_border = false;
        neighbours(topology, static_cast<std::int32_t>(t),
                   [&](std::int32_t n) { at_border = at_border || label[n] == outer; });
        if (!at_border) continue;
        seen[t] = 1;
        queue.emplace_back(static_cast<std::int32_t>(t), centre(static_cast<std::int32_t>(t)));
    }
    for (std::size_t next = 0; next < queue.size(); ++next) {
        const std::int32_t t = queue[next].first;
        const Vec3 from = queue[next].second;
        neighbours(topology, t, [&](std::int32_t n) {
            if (seen[n] || label[n] != inner || (centre(n) - from).norm() > band) return;
            seen[n] = 1;
            queue.emplace_back(n, from);
        });
    }
    for (const auto& reached : queue) label[reached.first] = outer;
}

}  // namespace

std::vector<std::uint8_t> inner_layer(const TriangleMesh& mesh, const Topology& topology, const Plan& plan,
                                      double mm_per_unit) {
    const Bvh bvh(mesh);
    std::vector<std::uint8_t> label(mesh.triangles.size(), unknown);
    parallel_for(label.size(), 2048, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const Triangle& t = mesh.triangles[i];
            const Vec3 middle = (mesh.points[t[0]] + mesh.points[t[1]] + mesh.points[t[2]]) / 3.0;
            const Vec3 n = mesh.normal2(i).normalized();
            const Vec3 at = plan.posture.to_working(middle);
            const double x = std::clamp(at.x(), hollow_from * nominal_length, hollow_to * nominal_length);
            const int k = plan.outline.at(x);
            const Vec3 hollow(x, plan.outline.has(k) ? plan.outline.middle(k) : 0.0,
                              std::min(hollow_height, 0.5 * plan.height));
            const Vec3 inward = (plan.posture.rotation.transpose() * (hollow - at)).normalized();
            double nearest = farthest_mm / mm_per_unit;
            std::optional<int> side;
            for (const int s : {-1, 1}) {
                const auto hit = bvh.ray(middle, s * n, nearest_mm / mm_per_unit, nearest);
                if (!hit) continue;
                const Vec3 m = mesh.normal2(hit->triangle);
                if (std::abs(m.dot(n)) < parallel * m.norm()) continue;
                nearest = hit->t;
                side = s;
            }
            if (!side) continue;
            const double towards = *side * n.dot(inward);  // the other layer, seen from this one
            if (std::abs(towards) > leaning) label[i] = towards < 0.0 ? inner : outer;
        }
    });
    spread(topology, label);
    drop_islands(mesh, topology, label);
    drop_rim(mesh, topology, rim_mm / mm_per_unit, label);
    std::vector<std::uint8_t> usable(label.size());
    for (std::size_t i = 0; i < label.size(); ++i) usable[i] = label[i] == inner ? 1 : 0;
    return usable;
}

}  // namespace archwright::scan
