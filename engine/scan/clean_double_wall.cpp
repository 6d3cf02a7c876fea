// A cast scanned on both faces: found by looking for a second, parallel layer close by.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numeric>

#include "engine/base/parallel.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mesh/topology.hpp"
#include "engine/scan/clean.hpp"

namespace archwright::scan {

namespace {

constexpr double nearest_layer_mm = 0.3;   // nearer is noise, or the same sheet scanned twice
constexpr double farthest_layer_mm = 8.0;  // plaster bandage and foam shells stay below; toes are above
constexpr double parallel_cosine = 0.85;   // some 32 degrees: walls of uneven thickness
constexpr std::size_t most_rays = 60000;   // for the share; a sheet's side is then told from its own pairs

/// Of one triangle: where its second layer lies.
struct Pair {
    float gap = 0.0f;      ///< mm; 0 when there is none
    std::int8_t side = 0;  ///< 1 along the triangle's normal, -1 against it
};

Pair look(const Bvh& bvh, std::size_t triangle) {
    const TriangleMesh& mesh = bvh.mesh();
    const Triangle& t = mesh.triangles[triangle];
    const Vec3 normal2 = mesh.normal2(triangle);
    const double length = normal2.norm();
    if (!(length > 0.0)) return {};
    const Vec3 n = normal2 / length;
    const Vec3 middle = (mesh.points[t[0]] + mesh.points[t[1]] + mesh.points[t[2]]) / 3.0;
    Pair best;
    for (const int side : {-1, 1}) {
        const auto hit = bvh.ray(middle, side * n, nearest_layer_mm, farthest_layer_mm);
        if (!hit) continue;
        const Vec3 m = mesh.normal2(static_cast<std::size_t>(hit->triangle));
        if (std::abs(m.dot(n)) < parallel_cosine * m.norm()) continue;
        if (best.side == 0 || hit->t < static_cast<double>(best.gap))
            best = {static_cast<float>(hit->t), static_cast<std::int8_t>(side)};
    }
    return best;
}

/// Sheets of paired triangles: joined through edges, not across the rim, where pairing ends or turns over.
std::vector<char> tell_inner(const TriangleMesh& mesh, const std::vector<Pair>& pairs) {
    const Topology topology = find_topology(mesh);
    const std::size_t count = mesh.triangles.size();
    const auto neighbours = [&](std::int32_t t, auto&& body) {
        for (std::int32_t h = 3 * t; h < 3 * t + 3; ++h)
            if (const std::int32_t g = topology.opposite[static_cast<std::size_t>(h)]; g >= 0)
                body(g / 3,
                     mesh.triangles[static_cast<std::size_t>(t)][static_cast<std::size_t>(h % 3)] ==
                         mesh.triangles[static_cast<std::size_t>(g / 3)][static_cast<std::size_t>(g % 3)]);
    };
    std::vector<Vec3> normal(count);
    for (std::size_t t = 0; t < count; ++t) normal[t] = mesh.normal2(t).normalized();

    std::vector<std::int32_t> sheet(count, -1);
    std::vector<double> vote;  // positive: the layer is the inner one
    std::vector<std::int32_t> queue;
    for (std::size_t seed = 0; seed < count; ++seed) {
        if (sheet[seed] >= 0 || pairs[seed].side == 0) continue;
        const auto id = static_cast<std::int32_t>(vote.size());
        queue.assign(1, static_cast<std::int32_t>(seed));
        sheet[seed] = id;
        for (std::size_t next = 0; next < queue.size(); ++next)
            neighbours(queue[next], [&](std::int32_t g, bool turned) {
                const auto a = static_cast<std::size_t>(queue[next]), b = static_cast<std::size_t>(g);
                const int side = turned ? -pairs[b].side : pairs[b].side;
                if (sheet[b] >= 0 || pairs[b].side == 0 || side != pairs[a].side) return;
                sheet[b] = id;
                queue.push_back(g);
            });
        // A hollow's inner layer bends round the hollow: seen from it the second layer lies outward, away
        // from the sheet's own centre of curvature. Mean curvature is estimated over edges: where normals
        // (turned towards the hollow's side) approach one another ahead, the sheet is concave there.
        double sum = 0.0;
        for (const std::int32_t t : queue) {
            const auto a = static_cast<std::size_t>(t);
            const Vec3 to_other = static_cast<double>(pairs[a].side) * normal[a];
            const auto centre = [&](std::size_t k) -> Vec3 {
                const Triangle& i = mesh.triangles[k];
                return (mesh.points[i[0]] + mesh.points[i[1]] + mesh.points[i[2]]) / 3.0;
            };
            neighbours(t, [&](std::int32_t g, bool) {
                const auto b = static_cast<std::size_t>(g);
                if (sheet[b] != id || b < a) return;
                // the neighbour bends away from the other layer: this layer is the inner one
                const Vec3 step = centre(b) - centre(a);
                const Vec3 other_b = static_cast<double>(pairs[b].side) * normal[b];
                sum += 0.5 * (other_b - to_other).dot(step);
            });
        }
        vote.push_back(sum);
    }

    // Triangles without a pair go with the nearest sheet over edges, breadth first.
    std::vector<char> inner(count, 0);
    queue.clear();
    for (std::size_t t = 0; t < count; ++t)
        if (sheet[t] >= 0) queue.push_back(static_cast<std::int32_t>(t));
    for (std::size_t next = 0; next < queue.size(); ++next)
        neighbours(queue[next], [&](std::int32_t g, bool) {
            if (sheet[static_cast<std::size_t>(g)] >= 0) return;
            sheet[static_cast<std::size_t>(g)] = sheet[static_cast<std::size_t>(queue[next])];
            queue.push_back(g);
        });
    for (std::size_t t = 0; t < count; ++t)
        inner[t] = sheet[t] >= 0 && vote[static_cast<std::size_t>(sheet[t])] > 0.0;
    return inner;
}

}  // namespace

std::optional<DoubleWall> find_double_wall(const TriangleMesh& mm_mesh) {
    const std::size_t count = mm_mesh.triangles.size();
    if (count == 0) return std::nullopt;
    const Bvh bvh(mm_mesh);
    std::vector<Pair> pairs(count);

    // First a sample, evenly through the file; most casts have one wall and are done here.
    const std::size_t stride = std::max<std::size_t>(1, count / most_rays);
    const std::size_t samples = (count + stride - 1) / stride;
    parallel_for(samples, 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) pairs[i * stride] = look(bvh, i * stride);
    });
    double area = 0.0;
    double paired = 0.0;
    std::vector<float> gaps;
    for (std::size_t t = 0; t < count; t += stride) {
        const double a = mm_mesh.area(t);
        area += a;
        if (pairs[t].side == 0) continue;
        paired += a;
        gaps.push_back(pairs[t].gap);
    }
    if (!(area > 0.0) || paired < tolerance::double_wall_share * area) return std::nullopt;

    DoubleWall wall;
    wall.share = paired / area;
    const auto middle = gaps.begin() + static_cast<std::ptrdiff_t>(gaps.size() / 2);
    std::nth_element(gaps.begin(), middle, gaps.end());
    wall.gap = static_cast<double>(*middle);
    if (stride > 1)
        parallel_for(count, 4096, [&](std::size_t begin, std::size_t end) {
            for (std::size_t t = begin; t < end; ++t)
                if (t % stride != 0) pairs[t] = look(bvh, t);
        });
    wall.inner = tell_inner(mm_mesh, pairs);
    return wall;
}

}  // namespace archwright::scan
