#include "assets/generator/cast_edge.hpp"

#include <algorithm>
#include <cmath>

#include "assets/generator/smooth.hpp"
#include "engine/base/text.hpp"
#include "engine/base/units.hpp"

namespace archwright::generator {

namespace {

constexpr std::uint64_t rim_stream = 201, hole_stream = 202;
constexpr double curl_mm = 2.5;       // radius of the fold
constexpr double rear_share = 0.21;   // heights of the rim where the spec leaves them, shares of the length:
constexpr double front_share = 0.10;  // below the malleoli; below the dorsum, so that the foot comes out
constexpr double sole_share = 0.06;   // what lies below is missing when the sole is

double azimuth(const Vec3& p, double length) {
    return std::atan2(p.y(), p.x() - 0.15 * length);
}
/// Difference of two azimuths, -pi to pi.
double turn(double a, double b) {
    return std::remainder(a - b, 2.0 * std::numbers::pi);
}

}  // namespace

Extent::Extent(const Foot& foot, const CastSpec& spec)
    : kind_(spec.kind),
      rim_(spec.rim),
      length_(foot.shape().length_mm),
      rear_(spec.rim.height_mm.value_or(rear_share * length_)),
      front_(spec.rim.front_height_mm.value_or(front_share * length_)),
      toe_cut_x_(spec.toe_cut_x_mm),
      sole_missing_(spec.sole_missing),
      waves_(Random(spec.seed, hole_stream), 3.0, 8.0, 16) {
    Random random(spec.seed, rim_stream);
    for (int i = 0; i < 12; ++i) ragged_phase_.push_back(random.between(0.0, 2.0 * std::numbers::pi));
    for (int i = 0; i < rim_.tears; ++i) {
        const double at = random.between(-std::numbers::pi, std::numbers::pi);
        tears_.push_back({at, random.between(0.025, 0.06)});
    }
}

Outcome<Extent> Extent::lay(const Foot& foot, const CastSpec& spec) {
    Extent extent(foot, spec);
    for (const Hole& h : spec.holes) {
        const auto p = foot.sole(h.at.x(), h.at.y());
        if (!p)
            return Fault{FaultKind::usage,
                         "cast",
                         "the hole at x " + rounded(h.at.x(), 1) + ", y " + rounded(h.at.y(), 1) +
                             " does not lie on the sole",
                         {}};
        extent.holes_.push_back({*p, h.radius_mm});
    }
    return extent;
}

double Extent::rim_height(const Vec3& p) const {
    if (kind_ != CastSpec::Kind::plaster_negative) return 1e9;
    double h = rear_ + (front_ - rear_) * smooth_step(p.x(), 0.24 * length_, 0.60 * length_);
    const double a = azimuth(p, length_);
    for (std::size_t i = 0; i < ragged_phase_.size(); ++i) {
        const double order = 2.0 + 3.0 * static_cast<double>(i);
        h += rim_.raggedness_mm * 0.45 * std::sin(order * a + ragged_phase_[i]) /
             std::sqrt(1.0 + 0.15 * order);
    }
    for (const Tear& t : tears_)
        h -= rim_.tear_depth_mm * std::max(0.0, 1.0 - std::abs(turn(a, t.azimuth)) / t.half_width);
    return h;
}

double Extent::level(const Vec3& p) const {
    double level = p.z() - rim_height(p);
    if (toe_cut_x_) level = std::max(level, p.x() - *toe_cut_x_);
    if (sole_missing_) level = std::max(level, sole_share * length_ - p.z());
    for (const Round& h : holes_)
        level = std::max(level, h.radius * (1.0 + 0.12 * waves_(p)) - (p - h.at).norm());
    return level;
}

/// The last fold_mm below the rim roll over a small radius towards the inside and hang down.
Vec3 Extent::folded(const Vec3& p, const Vec3& outward) const {
    if (!(rim_.fold_mm > 0.0)) return p;
    const double away = std::abs(turn(azimuth(p, length_), radians(rim_.fold_at_deg)));
    const double half = 0.5 * radians(rim_.fold_span_deg);
    const double share = 1.0 - smooth_step(away, 0.6 * half, half);
    const double crest = rim_height(p) - rim_.fold_mm;
    const double over = p.z() - crest;
    if (share <= 0.0 || over <= 0.0) return p;
    const Vec3 inward = -Vec3(outward.x(), outward.y(), 0.0).normalized();
    const double angle = std::min(over / curl_mm, std::numbers::pi);
    const double hanging = over - angle * curl_mm;
    Vec3 q = p + inward * (curl_mm * (1.0 - std::cos(angle)));
    q.z() = crest + curl_mm * std::sin(angle) - hanging;
    return p + share * (q - p);
}

Cut cut(const std::vector<Triangle>& triangles, const std::vector<double>& level, double snap) {
    Cut out;
    std::vector<std::int32_t> name(level.size(), -1);
    const auto side = [&](std::int32_t v) {
        return std::abs(level[v]) <= snap ? 0 : level[v] < 0.0 ? -1 : 1;
    };

    // crossed edges, each once, in sorted order
    using Edge = std::pair<std::int32_t, std::int32_t>;
    std::vector<Edge> edges;
    for (const Triangle& t : triangles)
        for (int i = 0; i < 3; ++i) {
            const std::int32_t a = t[i], b = t[(i + 1) % 3];
            if (side(a) * side(b) < 0) edges.emplace_back(std::min(a, b), std::max(a, b));
        }
    std::sort(edges.begin(), edges.end());
    edges.erase(std::unique(edges.begin(), edges.end()), edges.end());
    std::vector<std::int32_t> edge_name(edges.size(), -1);

    const auto old_point = [&](std::int32_t v) {
        if (name[v] < 0) {
            name[v] = static_cast<std::int32_t>(out.points.size());
            out.points.push_back({v, v, 0.0});
        }
        return name[v];
    };
    const auto new_point = [&](std::int32_t a, std::int32_t b) {
        const Edge e(std::min(a, b), std::max(a, b));
        const auto i = std::lower_bound(edges.begin(), edges.end(), e) - edges.begin();
        if (edge_name[i] < 0) {
            edge_name[i] = static_cast<std::int32_t>(out.points.size());
            out.points.push_back({e.first, e.second, level[e.first] / (level[e.first] - level[e.second])});
        }
        return edge_name[i];
    };

    for (const Triangle& t : triangles) {
        if (side(t[0]) >= 0 && side(t[1]) >= 0 && side(t[2]) >= 0) continue;
        // walk round the triangle, keeping what is inside and the crossings
        std::array<std::int32_t, 4> polygon;
        int n = 0;
        for (int i = 0; i < 3; ++i) {
            const std::int32_t a = t[i], b = t[(i + 1) % 3];
            if (side(a) <= 0) polygon[n++] = old_point(a);
            if (side(a) * side(b) < 0) polygon[n++] = new_point(a, b);
        }
        for (int i = 2; i < n; ++i) out.triangles.push_back({polygon[0], polygon[i - 1], polygon[i]});
    }
    return out;
}

std::vector<std::pair<std::int32_t, std::int32_t>> open_edges(const std::vector<Triangle>& triangles) {
    using Edge = std::pair<std::int32_t, std::int32_t>;
    std::vector<Edge> all;
    for (const Triangle& t : triangles)
        for (int i = 0; i < 3; ++i)
            all.emplace_back(std::min(t[i], t[(i + 1) % 3]), std::max(t[i], t[(i + 1) % 3]));
    std::sort(all.begin(), all.end());
    std::vector<Edge> open;
    for (const Triangle& t : triangles)
        for (int i = 0; i < 3; ++i) {
            const Edge e(std::min(t[i], t[(i + 1) % 3]), std::max(t[i], t[(i + 1) % 3]));
            const auto range = std::equal_range(all.begin(), all.end(), e);
            if (range.second - range.first == 1) open.emplace_back(t[i], t[(i + 1) % 3]);
        }
    return open;
}

}  // namespace archwright::generator
