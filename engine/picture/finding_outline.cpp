#include "engine/picture/finding_outline.hpp"

#include <algorithm>
#include <cmath>

#include "engine/examine/image.hpp"
#include "engine/examine/repair.hpp"

namespace archwright::picture {

namespace {

using examine::Finding;
using examine::Mask;

/// The edge of a set of nodes, smoothed over a mm, as far as it lies on the foot.
std::vector<Chain> edge_of(const SoleRelief& sole, const Mask& nodes) {
    examine::Image image(nodes.nu, nodes.nv);
    for (std::size_t k = 0; k < nodes.size(); ++k) image.a[k] = nodes.a[k] ? 1.0f : 0.0f;
    image = blurred(image, 1.0 / sole.map().step_mm);
    return level_curves(sole.mesh(), {image.a.begin(), image.a.end()}, 0.5);
}

std::optional<std::size_t> node_nearest(const examine::HeightMap& map, const Vec3& place, bool valid_alone) {
    std::optional<std::size_t> best;
    double least = 1e300;
    for (std::size_t k = 0; k < map.size(); ++k) {
        const double d = (map.position[k] - place).squaredNorm();
        if ((map.valid[k] || !valid_alone) && d < least) {
            least = d;
            best = k;
        }
    }
    return best;
}

/// The connected part of a set that holds a node; empty when none does.
Mask part_at(const Mask& mask, std::size_t node) {
    const examine::Labels parts = parts_of(mask);
    Mask part(mask.nu, mask.nv);
    if (parts.of.a[node] < 0) return part;
    for (std::size_t k = 0; k < mask.size(); ++k) part.a[k] = parts.of.a[k] == parts.of.a[node];
    return part;
}

bool any(const Mask& mask) {
    return std::any_of(mask.a.begin(), mask.a.end(), [](char set) { return set != 0; });
}

// What lies within a quarter mm of the plane round the place: a little more than counts as flat
// (engine/examine/flat.hpp), so that the scan's noise does not fray its edge.
Mask flat_nodes(const Finding& f, const SoleRelief& sole) {
    constexpr double within_mm = 0.25;
    constexpr int rounds = 4;
    const examine::HeightMap& map = sole.map();
    Mask flat(map.nu, map.nv);
    const auto middle = node_nearest(map, f.place, true);
    if (!middle) return flat;
    const double core = 0.3 * std::min(f.length_mm, f.breadth_mm), all = 0.8 * f.length_mm;
    Vec3 normal = Vec3::UnitZ(), centre = f.place;
    Mask seen(map.nu, map.nv);
    seen.a = map.valid;
    examine::Image off(map.nu, map.nv);
    for (int round = 0; round < rounds; ++round) {
        std::vector<Vec3> on;
        for (std::size_t k = 0; k < map.size(); ++k) {
            const Vec3 from = map.position[k] - f.place;
            if (map.valid[k] && from.norm() < (round == 0 ? core : all) && (round == 0 || flat.a[k] != 0))
                on.push_back(map.position[k]);
        }
        if (on.size() < 16) return {};
        centre = Vec3::Zero();
        for (const Vec3& p : on) centre += p / static_cast<double>(on.size());
        Mat3 spread = Mat3::Zero();
        for (const Vec3& p : on) spread += (p - centre) * (p - centre).transpose();
        normal = Eigen::SelfAdjointEigenSolver<Mat3>(spread).eigenvectors().col(0);
        for (std::size_t k = 0; k < map.size(); ++k)
            off.a[k] = map.valid[k] ? static_cast<float>((map.position[k] - centre).dot(normal)) : 0.0f;
        const examine::Image calm = blurred(off, seen, 1.0 / map.step_mm);
        Mask near(map.nu, map.nv);
        for (std::size_t k = 0; k < map.size(); ++k)
            near.a[k] = map.valid[k] && std::abs(static_cast<double>(calm.a[k])) < within_mm &&
                        (map.position[k] - f.place).norm() < all;
        flat = part_at(near, *middle);
    }
    return flat;
}

// What the scanner did not see round the place, and a little more.
Mask hole_nodes(const Finding& f, const SoleRelief& sole) {
    constexpr double outside_mm = 1.5;
    const examine::HeightMap& map = sole.map();
    Mask unseen(map.nu, map.nv);
    const double reach = 0.5 * f.length_mm + 2.0;
    for (std::size_t k = 0; k < map.size(); ++k)
        unseen.a[k] = !map.valid[k] && (map.position[k] - f.place).norm() < reach;
    return any(unseen) ? grown(unseen, outside_mm / map.step_mm) : unseen;
}

std::vector<Chain> line_of(const Finding& f, const SoleRelief& sole) {
    std::vector<Chain> runs;
    Chain run;
    for (const Vec3& p : f.line) {
        if (sole.shows(p, on_sole_mm)) {
            run.points.push_back(p);
            continue;
        }
        if (run.points.size() > 1) runs.push_back(run);
        run.points.clear();
    }
    if (run.points.size() > 1) runs.push_back(run);
    return runs;
}

}  // namespace

std::vector<Chain> reach_outline(const SoleRelief& sole, const std::vector<Vec3>& points, double reach) {
    if (points.empty()) return {};
    std::vector<double> inside(sole.mesh().points.size());
    for (std::size_t k = 0; k < inside.size(); ++k)
        inside[k] = reach - examine::distance_to_line(sole.mesh().points[k], points);
    return level_curves(sole.mesh(), inside, 0.0);
}

std::vector<Chain> outline_of(const Finding& f, const SoleRelief& sole) {
    if (!f.line.empty()) return line_of(f, sole);
    const bool hole = f.kind == Finding::Kind::hole;
    if (!sole.shows(f.place, on_sole_mm + (hole ? 0.5 * f.length_mm : 0.0))) return {};
    if (hole || f.kind == Finding::Kind::flat_heel || f.kind == Finding::Kind::flat_border) {
        const Mask nodes = hole ? hole_nodes(f, sole) : flat_nodes(f, sole);
        if (any(nodes)) {
            std::vector<Chain> edge = edge_of(sole, nodes);
            if (!edge.empty()) return edge;
        }
    }
    constexpr double least_mm = 3.0;  // smaller circles hide what they are about
    return reach_outline(sole, {f.place}, std::max(least_mm, 0.5 * std::max(f.length_mm, f.breadth_mm)));
}

}  // namespace archwright::picture
