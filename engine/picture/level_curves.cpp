#include "engine/picture/level_curves.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <utility>

namespace archwright::picture {

double Chain::length() const {
    double sum = 0.0;
    for (std::size_t i = 1; i < points.size(); ++i) sum += (points[i] - points[i - 1]).norm();
    if (closed && points.size() > 1) sum += (points.front() - points.back()).norm();
    return sum;
}

namespace {

using Edge = std::pair<std::int32_t, std::int32_t>;  ///< ascending

struct Segment {
    Edge from, to;
    Vec3 a, b;
};

/// How fast the linear value rises over a triangle, per mm.
double slope(const Vec3& p, const Vec3& q, const Vec3& r, double vp, double vq, double vr) {
    const Vec3 e = q - p, f = r - p;
    const Vec3 n = e.cross(f);
    const double n2 = n.squaredNorm();
    if (!(n2 > 0.0)) return 0.0;
    return (((vq - vp) * f - (vr - vp) * e).cross(n) / n2).norm();
}

template <class Value>
std::vector<Chain> curves(const TriangleMesh& mesh, Value&& value, const FaceRange& range,
                          double least_slope) {
    std::vector<Segment> segments;
    const std::size_t last = std::min(range.last, mesh.triangles.size());
    for (std::size_t i = range.first; i < last; ++i) {
        const Triangle& t = mesh.triangles[i];
        const double v[3] = {value(t[0]), value(t[1]), value(t[2])};
        const bool above[3] = {v[0] >= 0.0, v[1] >= 0.0, v[2] >= 0.0};
        if (above[0] == above[1] && above[1] == above[2]) continue;
        const Vec3* p[3] = {&mesh.points[t[0]], &mesh.points[t[1]], &mesh.points[t[2]]};
        if (least_slope > 0.0 && slope(*p[0], *p[1], *p[2], v[0], v[1], v[2]) < least_slope) continue;
        Segment segment;
        for (int k = 0; k < 3; ++k) {
            const int m = (k + 1) % 3;
            if (above[k] == above[m]) continue;
            // always from the lower index, so that both triangles of an edge find the same point
            const bool turn = t[m] < t[k];
            const int lo = turn ? m : k, hi = turn ? k : m;
            const double s = v[lo] / (v[lo] - v[hi]);
            const Vec3 at = *p[lo] + s * (*p[hi] - *p[lo]);
            const Edge edge{t[lo], t[hi]};
            if (above[k]) {  // leaving what is above: the curve starts here, with the higher side on its left
                segment.from = edge;
                segment.a = at;
            } else {
                segment.to = edge;
                segment.b = at;
            }
        }
        segments.push_back(segment);
    }

    std::vector<std::size_t> by_start(segments.size());
    for (std::size_t i = 0; i < by_start.size(); ++i) by_start[i] = i;
    std::stable_sort(by_start.begin(), by_start.end(),
                     [&](std::size_t a, std::size_t b) { return segments[a].from < segments[b].from; });
    std::vector<Edge> ends;
    ends.reserve(segments.size());
    for (const Segment& s : segments) ends.push_back(s.to);
    std::sort(ends.begin(), ends.end());

    std::vector<char> used(segments.size(), 0);
    const auto next = [&](const Edge& edge) -> std::size_t {
        auto it = std::lower_bound(by_start.begin(), by_start.end(), edge,
                                   [&](std::size_t a, const Edge& e) { return segments[a].from < e; });
        for (; it != by_start.end() && segments[*it].from == edge; ++it)
            if (!used[*it]) return *it;
        return segments.size();
    };
    std::vector<Chain> chains;
    const auto follow = [&](std::size_t start) {
        Chain chain;
        chain.points.push_back(segments[start].a);
        std::size_t at = start;
        while (at < segments.size()) {
            used[at] = 1;
            chain.points.push_back(segments[at].b);
            if (segments[at].to == segments[start].from) {
                chain.closed = true;
                chain.points.pop_back();
                break;
            }
            at = next(segments[at].to);
        }
        if (chain.points.size() > 1) chains.push_back(std::move(chain));
    };
    for (std::size_t i = 0; i < segments.size(); ++i)
        if (!used[i] && !std::binary_search(ends.begin(), ends.end(), segments[i].from)) follow(i);
    for (std::size_t i = 0; i < segments.size(); ++i)
        if (!used[i]) follow(i);
    return chains;
}

}  // namespace

std::vector<Chain> level_curves(const TriangleMesh& mesh, const std::vector<double>& values, double level,
                                const FaceRange& range, double least_slope) {
    return curves(
        mesh, [&](std::int32_t i) { return values[static_cast<std::size_t>(i)] - level; }, range,
        least_slope);
}

std::vector<Chain> plane_section(const TriangleMesh& mesh, int axis, double at, const FaceRange& range) {
    return curves(
        mesh, [&](std::int32_t i) { return mesh.points[static_cast<std::size_t>(i)][axis] - at; }, range,
        0.0);
}

}  // namespace archwright::picture
