#include "engine/scan/rim.hpp"

#include <algorithm>
#include <cmath>
#include <queue>

#include "engine/base/tolerances.hpp"

namespace archwright::scan {
namespace {

constexpr double rim_share_of_extent = 0.4;  // an ankle's opening measures 0.9 and more, a hole far less
constexpr double course_mm = 15.0;  // half width of the window that smooths the course: a tear is narrower
constexpr double step_mm = 1.0;
constexpr std::size_t most_steps = 5000;
constexpr double band_mm = 24.0;       // examined beside the rim, along the surface
constexpr double reference_mm = 14.0;  // from here to the band's end the surface tells which way it faces
constexpr double bucket_mm = 5.0;      // of rim, sharing one reference
constexpr double widest_ragged_mm = 10.0;
constexpr double turned_back = -0.2;    // cosine between folded surface and reference
constexpr double least_fold_mm2 = 4.0;  // a bucket, before it counts

/// The loop at equal steps, mm.
std::vector<Vec3> resample(const TriangleMesh& mesh, const BoundaryLoop& loop, double mm_per_unit) {
    const double length = mm_per_unit * loop.length;
    const std::size_t n = std::clamp<std::size_t>(static_cast<std::size_t>(length / step_mm), 8, most_steps);
    std::vector<Vec3> course;
    course.reserve(n);
    double passed = 0.0;
    for (std::size_t i = 0; i < loop.points.size() && course.size() < n; ++i) {
        const Vec3 a = mm_per_unit * mesh.points[loop.points[i]];
        const Vec3 b = mm_per_unit * mesh.points[loop.points[(i + 1) % loop.points.size()]];
        const double edge = (b - a).norm();
        while (course.size() < n) {
            const double at = length * static_cast<double>(course.size()) / static_cast<double>(n);
            if (at > passed + edge) break;
            course.push_back(edge > 0.0 ? Vec3(a + (at - passed) / edge * (b - a)) : a);
        }
        passed += edge;
    }
    return course;
}

std::vector<Vec3> moving_mean(const std::vector<Vec3>& values, std::size_t half) {
    const std::size_t n = values.size();
    std::vector<Vec3> means(n);
    for (std::size_t i = 0; i < n; ++i) {
        Vec3 sum = Vec3::Zero();
        for (std::size_t k = 0; k <= 2 * half; ++k) sum += values[(i + n + k - half) % n];
        means[i] = sum / static_cast<double>(2 * half + 1);
    }
    return means;
}

/// 95th percentile of the distance from the smoothed course. Smoothing shortens curves; smoothing what it
/// took away and giving that back ("twicing", Tukey 1977) leaves curved rims alone.
double raggedness(const std::vector<Vec3>& course, double length) {
    const double step = length / static_cast<double>(course.size());
    const auto half = static_cast<std::size_t>(std::max(1.0, course_mm / step));
    if (course.size() < 2 * half + 1) return 0.0;
    std::vector<Vec3> rest = moving_mean(course, half);
    for (std::size_t i = 0; i < course.size(); ++i) rest[i] = course[i] - rest[i];
    const std::vector<Vec3> back = moving_mean(rest, half);
    std::vector<double> distance(course.size());
    for (std::size_t i = 0; i < course.size(); ++i) distance[i] = (rest[i] - back[i]).norm();
    const auto at = static_cast<std::ptrdiff_t>(0.95 * static_cast<double>(distance.size() - 1));
    std::nth_element(distance.begin(), distance.begin() + at, distance.end());
    return distance[static_cast<std::size_t>(at)];
}

/// A triangle beside the rim: how far from it along the surface (from centroid to centroid, so some 10 % too
/// far), and from which piece of it.
struct Beside {
    std::int32_t triangle = -1;
    std::int32_t source = -1;  ///< index into the loop
    double distance = 0.0;     ///< mm
};

std::vector<Beside> triangles_beside(const TriangleMesh& mesh, const Topology& topology,
                                     const BoundaryLoop& loop, double mm_per_unit) {
    std::vector<std::int32_t> place(mesh.points.size(), -1);
    for (std::size_t i = loop.points.size(); i-- > 0;) place[loop.points[i]] = static_cast<std::int32_t>(i);
    const auto centroid = [&](std::int32_t t) {
        const Triangle& c = mesh.triangles[t];
        return Vec3((mesh.points[c[0]] + mesh.points[c[1]] + mesh.points[c[2]]) / 3.0);
    };
    struct Step {
        double distance;
        std::int32_t triangle;
        std::int32_t source;
        bool operator>(const Step& o) const {
            if (distance != o.distance) return distance > o.distance;
            return triangle != o.triangle ? triangle > o.triangle : source > o.source;
        }
    };
    std::priority_queue<Step, std::vector<Step>, std::greater<>> front;
    const auto push = [&](std::int32_t t, std::int32_t source, double d) {
        if (d < band_mm) front.push({d, t, source});
    };
    for (std::size_t h = 0; h < topology.opposite.size(); ++h) {
        if (topology.opposite[h] != Topology::open) continue;
        const auto t = static_cast<std::int32_t>(h / 3);
        // of the edge's two ends the one passed first, whichever way the triangle runs
        const std::int32_t source =
            std::min(place[mesh.triangles[t][h % 3]], place[mesh.triangles[t][(h + 1) % 3]]);
        if (source >= 0)
            push(t, source, mm_per_unit * (centroid(t) - mesh.points[loop.points[source]]).norm());
    }
    std::vector<std::uint8_t> done(mesh.triangles.size(), 0);
    std::vector<Beside> beside;
    while (!front.empty()) {
        const Step step = front.top();
        front.pop();
        if (done[step.triangle]) continue;
        done[step.triangle] = 1;
        beside.push_back({step.triangle, step.source, step.distance});
        for (int k = 0; k < 3; ++k) {
            const std::int32_t across = topology.opposite[static_cast<std::size_t>(3 * step.triangle + k)];
            if (across >= 0 && !done[across / 3])
                push(across / 3, step.source,
                     step.distance + mm_per_unit * (centroid(across / 3) - centroid(step.triangle)).norm());
        }
    }
    return beside;
}

/// The same loop from its lowest point index towards the lower of that point's two neighbours, so that a scan
/// and its mirror image are cut alike.
BoundaryLoop canonical(const BoundaryLoop& loop) {
    BoundaryLoop same = loop;
    const auto least = std::min_element(same.points.begin(), same.points.end());
    std::rotate(same.points.begin(), least, same.points.end());
    if (same.points.size() > 2 && same.points.back() < same.points[1])
        std::reverse(same.points.begin() + 1, same.points.end());
    return same;
}

}  // namespace

Vec3 vector_area(const TriangleMesh& mesh, const BoundaryLoop& loop) {
    Vec3 sum = Vec3::Zero();
    if (loop.points.empty()) return sum;
    const Vec3 o = mesh.points[loop.points.front()];
    for (std::size_t i = 0; i < loop.points.size(); ++i)
        sum += (mesh.points[loop.points[i]] - o)
                   .cross(mesh.points[loop.points[(i + 1) % loop.points.size()]] - o);
    return 0.5 * sum;
}

int find_rim(const std::vector<BoundaryLoop>& loops, double extent) {
    int longest = -1;
    for (std::size_t i = 0; i < loops.size(); ++i)
        if (longest < 0 || loops[i].length > loops[static_cast<std::size_t>(longest)].length)
            longest = static_cast<int>(i);
    if (longest >= 0 && loops[static_cast<std::size_t>(longest)].length < rim_share_of_extent * extent)
        return -1;
    return longest;
}

Opening opening_of(const TriangleMesh& mesh, const BoundaryLoop& loop, const Vec3& middle) {
    Opening opening;
    opening.length = loop.length;
    double weight = 0.0;
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
        const Vec3& a = mesh.points[loop.points[i]];
        const Vec3& b = mesh.points[loop.points[(i + 1) % loop.points.size()]];
        const double length = (b - a).norm();
        opening.centre += 0.5 * length * (a + b);
        weight += length;
    }
    if (weight > 0.0) opening.centre /= weight;
    const Vec3 area = vector_area(mesh, loop);
    opening.normal = area.norm() > 0.0 ? Vec3(area.normalized()) : Vec3(Vec3::Zero());
    if (opening.normal.dot(opening.centre - middle) < 0.0) opening.normal = -opening.normal;
    return opening;
}

RimReport examine_rim(const TriangleMesh& mesh, const Topology& topology, const BoundaryLoop& given,
                      const Opening& opening, double mm_per_unit, std::vector<std::uint8_t>& usable) {
    const BoundaryLoop loop = canonical(given);
    RimReport report;
    report.open = true;
    report.centre = opening.centre;
    report.normal = opening.normal;
    report.perimeter_mm = mm_per_unit * loop.length;
    report.ragged_mm = raggedness(resample(mesh, loop, mm_per_unit), report.perimeter_mm);

    std::vector<double> along(loop.points.size(), 0.0);  // mm of rim passed
    for (std::size_t i = 1; i < loop.points.size(); ++i)
        along[i] = along[i - 1] +
                   mm_per_unit * (mesh.points[loop.points[i]] - mesh.points[loop.points[i - 1]]).norm();
    const auto buckets = static_cast<std::size_t>(std::clamp(report.perimeter_mm / bucket_mm, 4.0, 1000.0));
    const auto bucket = [&](std::int32_t source) {
        return std::min(buckets - 1,
                        static_cast<std::size_t>(along[static_cast<std::size_t>(source)] /
                                                 report.perimeter_mm * static_cast<double>(buckets)));
    };
    const std::vector<Beside> beside = triangles_beside(mesh, topology, loop, mm_per_unit);
    std::vector<Vec3> own(buckets, Vec3::Zero());
    for (const Beside& b : beside)
        if (b.distance > reference_mm) own[bucket(b.source)] += mesh.normal2(b.triangle);
    std::vector<Vec3> reference(buckets);
    for (std::size_t i = 0; i < buckets; ++i) {
        const Vec3 sum = own[(i + buckets - 1) % buckets] + own[i] + own[(i + 1) % buckets];
        reference[i] = sum.norm() > 0.0 ? Vec3(sum.normalized()) : Vec3(Vec3::Zero());
    }
    std::vector<double> fold_area(buckets, 0.0);
    std::vector<double> fold_end(buckets, 0.0);
    const double mm2 = mm_per_unit * mm_per_unit;
    for (const Beside& b : beside) {
        const Vec3 n = mesh.normal2(b.triangle);
        const std::size_t i = bucket(b.source);
        if (n.dot(reference[i]) >= turned_back * n.norm()) continue;
        fold_area[i] += 0.5 * mm2 * n.norm();
        fold_end[i] = std::max(fold_end[i], b.distance);
    }
    for (std::size_t i = 0; i < buckets; ++i) {
        if (fold_area[i] < least_fold_mm2)
            fold_end[i] = 0.0;
        else
            report.folded_mm += report.perimeter_mm / static_cast<double>(buckets);
    }
    report.folded = report.folded_mm > 0.0;
    const double ragged_band = report.ragged_mm > tolerance::rim_ragged_mm
                                   ? std::min(2.0 * report.ragged_mm, widest_ragged_mm)
                                   : 0.0;
    if (!report.folded && ragged_band == 0.0) return report;
    if (usable.empty()) usable.assign(mesh.triangles.size(), 1);
    for (const Beside& b : beside) {
        if (b.distance > std::max(ragged_band, fold_end[bucket(b.source)]) || !usable[b.triangle]) continue;
        usable[b.triangle] = 0;
        report.excluded_mm2 += mm2 * mesh.area(b.triangle);
    }
    return report;
}

}  // namespace archwright::scan
