#include "engine/mark/photograph.hpp"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mark/find_ink.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mesh/topology.hpp"

namespace archwright::mark {

namespace {

constexpr double spacing_mm = 0.5;  // of the points that carry the photograph: a pencil line has two
constexpr double before_mm = 0.5;   // what lies this much before a point hides it
constexpr std::size_t most_triangles = 3'000'000;

/// Which points of the mesh the camera sees.
std::vector<std::uint8_t> seen_points(const TriangleMesh& mesh, const View& view,
                                      const scan::Raster& photograph) {
    const Bvh bvh(mesh);
    const std::vector<Vec3> normals = mesh.point_normals();
    std::vector<std::uint8_t> seen(mesh.points.size(), 0);
    parallel_for(mesh.points.size(), 1024, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const auto pixel = view.seen(mesh.points[i]);
            if (!pixel || pixel->x() < 0.0 || pixel->y() < 0.0 ||
                pixel->x() > static_cast<double>(photograph.width) ||
                pixel->y() > static_cast<double>(photograph.height))
                continue;
            Vec3 from, way;
            view.ray(*pixel, from, way);
            if (std::abs(normals[i].dot(way)) < tolerance::photo_edge_on_cosine) continue;
            const double far = (mesh.points[i] - from).dot(way);
            if (far > before_mm && !bvh.ray(from, way, 0.0, far - before_mm)) seen[i] = 1;
        }
    });
    return seen;
}

/// Every triangle into four, at the middles of its edges.
void halve_edges(TriangleMesh& mesh) {
    std::unordered_map<std::uint64_t, std::int32_t> middles;
    std::vector<Triangle> finer;
    finer.reserve(4 * mesh.triangles.size());
    const auto middle = [&](std::int32_t a, std::int32_t b) {
        const auto low = static_cast<std::uint64_t>(std::min(a, b)),
                   high = static_cast<std::uint64_t>(std::max(a, b));
        const auto [at, fresh] =
            middles.try_emplace((high << 32U) | low, static_cast<std::int32_t>(mesh.points.size()));
        if (fresh)
            mesh.points.push_back(
                0.5 * (mesh.points[static_cast<std::size_t>(a)] + mesh.points[static_cast<std::size_t>(b)]));
        return at->second;
    };
    for (const Triangle& t : mesh.triangles) {
        const std::int32_t a = middle(t[0], t[1]), b = middle(t[1], t[2]), c = middle(t[2], t[0]);
        finer.push_back({t[0], a, c});
        finer.push_back({t[1], b, a});
        finer.push_back({t[2], c, b});
        finer.push_back({a, b, c});
    }
    mesh.triangles = std::move(finer);
}

double mean_edge(const TriangleMesh& mesh) {
    double sum = 0.0;
    for (const Triangle& t : mesh.triangles)
        sum += (mesh.points[static_cast<std::size_t>(t[0])] - mesh.points[static_cast<std::size_t>(t[1])])
                   .norm();
    return mesh.triangles.empty() ? 0.0 : sum / static_cast<double>(mesh.triangles.size());
}

TriangleMesh in_view(const foot::Standing& standing) {
    TriangleMesh mesh;
    mesh.triangles = standing.mesh.triangles;
    mesh.points.reserve(standing.mesh.points.size());
    for (const Vec3& p : standing.mesh.points) mesh.points.push_back(to_view(standing, p));
    return mesh;
}

}  // namespace

Vec3 to_view(const foot::Standing& standing, const Vec3& design) {
    return standing.frame.mm_per_unit * standing.frame.to_scan(design);
}

Vec3 from_view(const foot::Standing& standing, const Vec3& p) {
    return standing.frame.to_design(p / standing.frame.mm_per_unit);
}

Outcome<TriangleMesh> laid_on(const TriangleMesh& mesh, const View& view, const scan::Raster& photograph,
                              Progress* progress) {
    if (progress != nullptr && !progress->report("Laying the photograph on the cast", 0.0))
        return Fault{FaultKind::cancelled, "photo", "Cancelled.", {}};
    const std::vector<std::uint8_t> seen = seen_points(mesh, view, photograph);
    TriangleMesh part;
    part.points = mesh.points;
    for (const Triangle& t : mesh.triangles)
        if (std::all_of(t.begin(), t.end(),
                        [&](std::int32_t p) { return seen[static_cast<std::size_t>(p)] != 0; }))
            part.triangles.push_back(t);
    drop_unused_points(part);
    if (part.triangles.empty())
        return Fault{FaultKind::usage,
                     "photo",
                     "Nothing of the cast is to be seen in the photograph as it was matched: look at the "
                     "matches, pixel by point.",
                     {}};
    for (double edge = mean_edge(part);
         edge > 1.5 * spacing_mm && 4 * part.triangles.size() <= most_triangles; edge *= 0.5)
        halve_edges(part);
    const std::vector<Vec3> normals = part.point_normals();
    part.colours.resize(part.points.size());
    parallel_for(part.points.size(), 1024, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            // the mean over what a point stands for, so that the camera's grain stays behind
            const Vec3 a = 0.5 * spacing_mm * normals[i].unitOrthogonal(), b = normals[i].cross(a);
            Vec3 sum = Vec3::Zero();
            double count = 0.0;
            for (const Vec3& d : {Vec3(Vec3::Zero()), a, Vec3(-a), b, Vec3(-b)}) {
                const auto pixel = view.seen(part.points[i] + d);
                if (!pixel) continue;
                const TriangleMesh::Colour c = photograph.at(pixel->x(), pixel->y());
                sum += Vec3(c[0], c[1], c[2]);
                count += 1.0;
            }
            for (std::size_t k = 0; k < 3; ++k)
                part.colours[i][k] =
                    count > 0.0
                        ? static_cast<std::uint8_t>(std::lround(sum[static_cast<Eigen::Index>(k)] / count))
                        : std::uint8_t{0};
        }
    });
    return part;
}

Outcome<std::vector<InkMark>> find_ink(const foot::Standing& standing, const View& view,
                                       const scan::Raster& photograph, Progress* progress) {
    auto laid = laid_on(in_view(standing), view, photograph, progress);
    if (!laid) return laid.fault();
    foot::Standing seen = standing;
    seen.mesh = std::move(*laid);
    for (Vec3& p : seen.mesh.points) p = from_view(standing, p);
    return find_ink(seen, progress);
}

Outcome<std::vector<Vec3>> carried(const foot::Standing& standing, const View& view,
                                   const std::vector<Vec2>& pixels) {
    const TriangleMesh mesh = in_view(standing);
    const Bvh bvh(mesh);
    std::vector<Vec3> points;
    for (const Vec2& pixel : pixels) {
        Vec3 from, way;
        view.ray(pixel, from, way);
        constexpr double far_mm = 1e5;
        const auto hit = bvh.ray(from, way, 0.0, far_mm);
        if (!hit)
            return Fault{FaultKind::usage,
                         "photo",
                         "There is no cast at " + rounded(pixel.x(), 0) + "," + rounded(pixel.y(), 0) +
                             " of the photograph: draw on the cast.",
                         {}};
        points.push_back(from_view(standing, from + hit->t * way));
    }
    return points;
}

}  // namespace archwright::mark
