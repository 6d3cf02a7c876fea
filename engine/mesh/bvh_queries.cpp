#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "engine/mesh/bvh.hpp"
#include "engine/mesh/bvh_boxes.hpp"

namespace archwright {

using namespace bvh;

// --- nearest --------------------------------------------------------------------------------------

Vec3 nearest_on_triangle(const Vec3& p, const Vec3& a, const Vec3& b, const Vec3& c) {
    const auto on_segment = [&p](const Vec3& from, const Vec3& to) -> Vec3 {
        const Vec3 along = to - from;
        const double length2 = along.squaredNorm();
        if (!(length2 > 0.0)) return from;
        const double t = (p - from).dot(along) / length2;
        return t <= 0.0 ? from : t >= 1.0 ? to : Vec3(from + t * along);
    };
    // Inside the prism over the triangle: the foot of the perpendicular. Else the nearest of three segments.
    const Vec3 n = (b - a).cross(c - a);
    const double n2 = n.squaredNorm();
    if (n2 > 0.0) {
        const double u = (c - b).cross(p - b).dot(n);
        const double v = (a - c).cross(p - c).dot(n);
        const double w = (b - a).cross(p - a).dot(n);
        if (u >= 0.0 && v >= 0.0 && w >= 0.0) return p - ((p - a).dot(n) / n2) * n;
    }
    Vec3 best = on_segment(a, b);
    for (const Vec3& q : {on_segment(b, c), on_segment(c, a)})
        if ((q - p).squaredNorm() < (best - p).squaredNorm()) best = q;
    return best;
}

std::optional<Near> Bvh::nearest(const Vec3& p, double within) const {
    if (nodes_.empty() || !(within >= 0.0)) return std::nullopt;
    const auto distance2 = [&p](const Node& node) {
        double sum = 0.0;
        for (Index k = 0; k < 3; ++k) {
            const double below = static_cast<double>(node.low[k]) - p[k];
            const double above = p[k] - static_cast<double>(node.high[k]);
            const double d = std::max({below, above, 0.0});
            sum += d * d;
        }
        return sum;
    };
    double best2 = within * within;
    Near best;
    std::array<std::pair<Index, double>, stack_size> stack;
    std::size_t top = 0;
    stack[top++] = {0, distance2(nodes_[0])};
    while (top > 0) {
        const auto [index, reach] = stack[--top];
        if (reach > best2) continue;
        const Node& node = nodes_[static_cast<std::size_t>(index)];
        if (node.count > 0) {
            for (Index i = node.first; i < node.first + node.count; ++i) {
                const Index triangle = order_[static_cast<std::size_t>(i)];
                const Triangle& t = mesh_.triangles[static_cast<std::size_t>(triangle)];
                const Vec3 q =
                    nearest_on_triangle(p, mesh_.points[t[0]], mesh_.points[t[1]], mesh_.points[t[2]]);
                const double d2 = (q - p).squaredNorm();
                if (d2 < best2 || (d2 == best2 && (best.triangle < 0 || triangle < best.triangle))) {
                    best2 = d2;
                    best.triangle = triangle;
                    best.point = q;
                }
            }
            continue;
        }
        const double left = distance2(nodes_[static_cast<std::size_t>(node.first)]);
        const double right = distance2(nodes_[static_cast<std::size_t>(node.first) + 1]);
        const bool left_first = left <= right;
        stack[top++] = {node.first + (left_first ? 1 : 0), left_first ? right : left};
        stack[top++] = {node.first + (left_first ? 0 : 1), left_first ? left : right};
    }
    if (best.triangle < 0) return std::nullopt;
    best.distance = std::sqrt(best2);
    return best;
}

// --- rays -----------------------------------------------------------------------------------------

/// The ray turned so that it runs along the last axis (S. Woop, C. Benthin, I. Wald, Journal of Computer
/// Graphics Techniques 2(1), 2013): two triangles that share an edge compute the very same number for it, so
/// no ray slips through.
struct Bvh::RayFrame {
    Vec3 origin, direction, inverse;
    Index kx, ky, kz;
    double sx, sy, sz;

    RayFrame(const Vec3& o, const Vec3& d) : origin(o), direction(d) {
        d.cwiseAbs().maxCoeff(&kz);
        kx = (kz + 1) % 3;
        ky = (kx + 1) % 3;
        sx = d[kx] / d[kz];
        sy = d[ky] / d[kz];
        sz = 1.0 / d[kz];
        for (Index k = 0; k < 3; ++k) inverse[k] = 1.0 / d[k];
    }

    std::optional<double> meet(const Vec3& pa, const Vec3& pb, const Vec3& pc) const {
        const Vec3 a = pa - origin, b = pb - origin, c = pc - origin;
        const double ax = a[kx] - sx * a[kz], ay = a[ky] - sy * a[kz];
        const double bx = b[kx] - sx * b[kz], by = b[ky] - sy * b[kz];
        const double cx = c[kx] - sx * c[kz], cy = c[ky] - sy * c[kz];
        const double u = cx * by - cy * bx;
        const double v = ax * cy - ay * cx;
        const double w = bx * ay - by * ax;
        if ((u < 0.0 || v < 0.0 || w < 0.0) && (u > 0.0 || v > 0.0 || w > 0.0)) return std::nullopt;
        const double sum = u + v + w;
        if (sum == 0.0) return std::nullopt;
        return sz * (u * a[kz] + v * b[kz] + w * c[kz]) / sum;
    }

    /// Smallest t of the box's part of the ray, or infinity. Rounding is covered by a widened far end (the
    /// factor of T. Ize, same journal 2(2), 2013).
    double enter(const Node& node, double t_low, double t_high) const {
        constexpr double widen = 1.0 + 4.0 * std::numeric_limits<double>::epsilon();
        double near = t_low;
        double far = t_high;
        for (Index k = 0; k < 3; ++k) {
            const double low = static_cast<double>(node.low[k]);
            const double high = static_cast<double>(node.high[k]);
            if (direction[k] == 0.0) {
                if (origin[k] < low || origin[k] > high) return std::numeric_limits<double>::infinity();
                continue;
            }
            double t0 = (low - origin[k]) * inverse[k];
            double t1 = (high - origin[k]) * inverse[k];
            if (t0 > t1) std::swap(t0, t1);
            near = std::max(near, t0 > 0.0 ? t0 / widen : t0 * widen);
            far = std::min(far, t1 > 0.0 ? t1 * widen : t1 / widen);
        }
        return near <= far ? near : std::numeric_limits<double>::infinity();
    }
};

template <class Visit>
void Bvh::along(const RayFrame& ray, double t_low, double& t_high, Visit&& visit) const {
    if (nodes_.empty() || !(ray.direction.squaredNorm() > 0.0)) return;
    std::array<std::pair<Index, double>, stack_size> stack;
    std::size_t top = 0;
    const double infinity = std::numeric_limits<double>::infinity();
    const auto push = [&](Index index, double t) {
        if (t < infinity) stack[top++] = {index, t};
    };
    push(0, ray.enter(nodes_[0], t_low, t_high));
    while (top > 0) {
        const auto [index, t_enter] = stack[--top];
        if (t_enter > t_high) continue;
        const Node& node = nodes_[static_cast<std::size_t>(index)];
        if (node.count > 0) {
            for (Index i = node.first; i < node.first + node.count; ++i) {
                const Index triangle = order_[static_cast<std::size_t>(i)];
                const Triangle& t = mesh_.triangles[static_cast<std::size_t>(triangle)];
                const auto hit = ray.meet(mesh_.points[t[0]], mesh_.points[t[1]], mesh_.points[t[2]]);
                if (hit && *hit >= t_low && *hit <= t_high) visit(*hit, triangle);
            }
            continue;
        }
        const double left = ray.enter(nodes_[static_cast<std::size_t>(node.first)], t_low, t_high);
        const double right = ray.enter(nodes_[static_cast<std::size_t>(node.first) + 1], t_low, t_high);
        if (left <= right) {
            push(node.first + 1, right);
            push(node.first, left);
        } else {
            push(node.first, left);
            push(node.first + 1, right);
        }
    }
}

std::optional<Hit> Bvh::ray(const Vec3& origin, const Vec3& direction, double t_low, double t_high) const {
    Hit best;
    along(RayFrame(origin, direction), t_low, t_high, [&](double t, Index triangle) {
        if (best.triangle < 0 || t < best.t || (t == best.t && triangle < best.triangle))
            best = {t, triangle};
        t_high = best.t;
    });
    return best.triangle < 0 ? std::nullopt : std::optional<Hit>(best);
}

std::vector<Hit> Bvh::ray_all(const Vec3& origin, const Vec3& direction, double t_low, double t_high) const {
    std::vector<Hit> hits;
    along(RayFrame(origin, direction), t_low, t_high, [&](double t, Index triangle) {
        hits.push_back({t, triangle});
    });
    std::sort(hits.begin(), hits.end(),
              [](const Hit& a, const Hit& b) { return a.t != b.t ? a.t < b.t : a.triangle < b.triangle; });
    return hits;
}

// --- boxes ----------------------------------------------------------------------------------------

std::vector<Index> Bvh::touching(const Box3& box) const {
    std::vector<Index> found;
    if (nodes_.empty() || box.empty()) return found;
    Node probe{};
    for (Index k = 0; k < 3; ++k) {
        probe.low[k] = round_down(box.low[k]);
        probe.high[k] = round_up(box.high[k]);
    }
    std::array<Index, stack_size> stack;
    std::size_t top = 0;
    stack[top++] = 0;
    while (top > 0) {
        const Node& node = nodes_[static_cast<std::size_t>(stack[--top])];
        if (!boxes_touch(node, probe)) continue;
        if (node.count > 0) {
            for (Index i = node.first; i < node.first + node.count; ++i) {
                const Index triangle = order_[static_cast<std::size_t>(i)];
                if (boxes_touch(triangle_box(mesh_, triangle), box)) found.push_back(triangle);
            }
        } else {
            stack[top++] = node.first;
            stack[top++] = node.first + 1;
        }
    }
    std::sort(found.begin(), found.end());
    return found;
}

}  // namespace archwright
