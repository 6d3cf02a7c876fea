#include "engine/print/probe.hpp"

#include <numbers>

#include "engine/base/parallel.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/mesh/topology.hpp"

namespace archwright::print {

namespace {

constexpr double far_away_mm = 1e6;
/// Rays leave their own skin behind, mm: far below any wall that is asked for.
constexpr double off_skin_mm = 1e-5;
/// Rays that tell whether a place lies open, and those that tell how deep it lies when it does not.
constexpr int first_rays = 24, all_rays = 768;

Fault no_body(const std::string& message) {
    return {FaultKind::input, "print", message, {}};
}

/// Directions about +z by the cosine: Hammersley's points on the disc, lifted (Malley's method).
std::vector<Vec3> sky(int count) {
    std::vector<Vec3> rays;
    for (int i = 0; i < count; ++i) {
        double turn = 0.0, half = 0.5;
        for (unsigned bits = static_cast<unsigned>(i); bits != 0; bits >>= 1U, half *= 0.5)
            if (bits & 1U) turn += half;
        const double out2 = (i + 0.5) / count, angle = 2.0 * std::numbers::pi * turn;
        rays.emplace_back(std::sqrt(out2) * std::cos(angle), std::sqrt(out2) * std::sin(angle),
                          std::sqrt(1.0 - out2));
    }
    return rays;
}

/// Distance square to what the ray meets, where that looks the other way.
std::optional<double> across(const Bvh& tree, const Vec3& p, const Vec3& along, bool outside) {
    const auto hit = tree.ray(p, along, off_skin_mm, far_away_mm);
    if (!hit) return std::nullopt;
    const Vec3 n = tree.mesh().normal2(static_cast<std::size_t>(hit->triangle)).normalized();
    // leaving the body the skin looks along the ray; coming to it from outside, against it
    const double square = outside ? -n.dot(along) : n.dot(along);
    static const double least = std::cos(opposed_deg * std::numbers::pi / 180.0);
    if (square < least) return std::nullopt;
    return hit->t * square;
}

double depth_of(const Bvh& tree, const Vec3& p, const Vec3& normal) {
    static const std::vector<Vec3> first = sky(first_rays), all = sky(all_rays);
    const Vec3 e = normal.unitOrthogonal(), f = normal.cross(e);
    const auto open = [&](const std::vector<Vec3>& rays) {
        int free = 0;
        for (const Vec3& r : rays)
            if (!tree.ray(p, r.x() * e + r.y() * f + r.z() * normal, off_skin_mm, far_away_mm)) ++free;
        return static_cast<double>(free) / static_cast<double>(rays.size());
    };
    if (open(first) > open_share + 0.2) return 0.0;
    const double share = open(all);
    if (share > open_share) return 0.0;
    // a place that no ray leaves is as deep as half a ray of the many tells
    return 0.5 * std::sqrt(1.0 / std::max(share, 0.5 / all_rays) - 1.0);
}

void find_hollows(const TriangleMesh& mesh, const Topology& topology, Probe& found) {
    const Parts parts = find_parts(mesh, topology);
    if (parts.count() < 2) return;
    std::vector<double> volume(parts.count(), 0.0);
    std::vector<std::size_t> first(parts.count(), mesh.triangles.size());
    const Vec3 middle = mesh.box().centre();
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const auto part = static_cast<std::size_t>(parts.of_triangle[t]);
        const Triangle& c = mesh.triangles[t];
        volume[part] += (mesh.points[c[0]] - middle).dot(mesh.normal2(t)) / 6.0;
        first[part] = std::min(first[part], t);
    }
    for (std::size_t part = 0; part < parts.count(); ++part)
        if (volume[part] < 0.0) {
            ++found.hollows;
            found.hollow_mm3 -= volume[part];
            if (!found.hollow_where) found.hollow_where = mesh.points[mesh.triangles[first[part]][0]];
        }
}

/// Into how many pieces a side of this triangle is divided: by its area, and by its longest side in steps ten
/// times as long, so that a sliver is not cut into dust.
int pieces(const TriangleMesh& mesh, std::size_t t, double spacing) {
    const Triangle& c = mesh.triangles[t];
    double longest = 0.0;
    for (int k = 0; k < 3; ++k)
        longest = std::max(longest, (mesh.points[c[k]] - mesh.points[c[(k + 1) % 3]]).norm());
    constexpr double most = 1000.0;
    const double wish = std::max(std::sqrt(2.0 * mesh.area(t)), 0.1 * longest) / spacing;
    return static_cast<int>(std::clamp(std::ceil(wish), 1.0, most));
}

std::vector<SkinPlace> lay_places(const TriangleMesh& mesh, const ProbeSetting& setting) {
    double spacing = std::max(setting.spacing_mm, 1e-3);
    const auto count = [&] {
        std::size_t all = 0;
        for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
            const auto m = static_cast<std::size_t>(pieces(mesh, t, spacing));
            all += m * m;
        }
        return all;
    };
    while (count() > setting.most_places) spacing *= 1.4;
    std::vector<SkinPlace> places;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const Vec3 twice = mesh.normal2(t);
        const double size = twice.norm();
        if (!(size > 1e-14)) continue;  // a sliver has no side to look at
        const int m = pieces(mesh, t, spacing);
        const Triangle& c = mesh.triangles[t];
        const Vec3 &a = mesh.points[c[0]], u = (mesh.points[c[1]] - a) / m, v = (mesh.points[c[2]] - a) / m;
        const double area = 0.5 * size / (static_cast<double>(m) * m);
        for (int i = 0; i < m; ++i)
            for (int k = 0; k + i < m; ++k)
                for (int upper = 0; upper < (i + k + 1 < m ? 2 : 1); ++upper) {
                    const double third = (1.0 + upper) / 3.0;
                    SkinPlace place;
                    place.p = a + (i + third) * u + (k + third) * v;
                    place.normal = twice / size;
                    place.area = area;
                    places.push_back(place);
                }
    }
    return places;
}

}  // namespace

Outcome<Probe> probe(const TriangleMesh& mesh, const ProbeSetting& setting, Progress* progress) {
    if (mesh.triangles.empty()) return no_body("The body has no surface.");
    for (const Vec3& p : mesh.points)
        if (!(p.cwiseAbs().maxCoeff() < far_away_mm))
            return no_body("The body has a point that is no number, or a kilometre away.");
    if (mesh.triangles.size() > setting.most_places)
        return no_body("The body has " + std::to_string(mesh.triangles.size()) +
                       " triangles; so many are not looked at. Make its mesh coarser.");
    const Topology topology = find_topology(mesh);
    if (topology.open_edges > 0 || topology.non_manifold_edges() > 0 || topology.misoriented_edges > 0)
        return no_body("The body's surface is not closed: " + std::to_string(topology.open_edges) +
                       " open edges, " + std::to_string(topology.non_manifold_edges()) +
                       " edges of more than two triangles, " + std::to_string(topology.misoriented_edges) +
                       " between triangles that look opposite ways.");
    if (!(mesh.volume() > 0.0)) return no_body("The body's surface looks inward.");
    Probe found;
    found.places = lay_places(mesh, setting);
    for (const SkinPlace& place : found.places) found.area_mm2 += place.area;
    find_hollows(mesh, topology, found);
    const Bvh tree(mesh);
    parallel_for(found.places.size(), 256, [&](std::size_t begin, std::size_t end) {
        if (progress && progress->cancelled()) return;
        for (std::size_t i = begin; i < end; ++i) {
            SkinPlace& place = found.places[i];
            place.wall_mm = across(tree, place.p, -place.normal, false);
            place.gap_mm = across(tree, place.p, place.normal, true);
            if (setting.depth) place.depth = depth_of(tree, place.p, place.normal);
        }
    });
    if (progress && progress->cancelled())
        return Fault{FaultKind::cancelled, "print", "Cancelled; nothing was judged.", {}};
    return found;
}

}  // namespace archwright::print
