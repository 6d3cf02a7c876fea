#include "editor/view/measure.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "engine/base/units.hpp"

namespace archwright::editor::view {

using picture::Chain;
using picture::SectionCut;

namespace {

/// Where a curve passes nearest to a place.
struct Passing {
    double distance = 1e300;
    double along = 0;  ///< from the curve's first point
};

Passing passing(const Chain& chain, const Vec3& p) {
    Passing best;
    double travelled = 0;
    const std::size_t n = chain.points.size();
    for (std::size_t i = 0; i + (chain.closed ? 0 : 1) < n; ++i) {
        const Vec3 &a = chain.points[i], step = chain.points[(i + 1) % n] - a;
        const double length = step.norm();
        const double t = length > 0 ? std::clamp((p - a).dot(step) / (length * length), 0.0, 1.0) : 0.0;
        const double away = (a + t * step - p).norm();
        if (away < best.distance) best = {away, travelled + t * length};
        travelled += length;
    }
    return best;
}

double whole(const Chain& chain) {
    double sum = 0;
    const std::size_t n = chain.points.size();
    for (std::size_t i = 0; i + (chain.closed ? 0 : 1) < n; ++i)
        sum += (chain.points[(i + 1) % n] - chain.points[i]).norm();
    return sum;
}

}  // namespace

std::optional<double> angle_at(const Vec3& a, const Vec3& b, const Vec3& c) {
    const Vec3 to_a = a - b, to_c = c - b;
    if (!(to_a.norm() > 0) || !(to_c.norm() > 0)) return {};
    return degrees(std::atan2(to_a.cross(to_c).norm(), to_a.dot(to_c)));
}

std::optional<double> radius_through(const Vec3& a, const Vec3& b, const Vec3& c) {
    const double area2 = (b - a).cross(c - a).norm();
    const double sides = (b - a).norm() * (c - b).norm() * (a - c).norm();
    // flatter than a tenth of a micrometre over the longest side is a line
    const double longest = std::max({(b - a).norm(), (c - b).norm(), (a - c).norm()});
    if (!(area2 > 1e-4 * longest)) return {};
    return sides / (2.0 * area2);
}

SectionCut upright_cut(const Vec3& a, const Vec3& b) {
    SectionCut cut;
    cut.axis = 2;
    cut.line = {a.head<2>(), b.head<2>()};
    if ((b - a).head<2>().norm() < 1e-6) {
        cut.axis = 0;
        cut.at = a.x();
    }
    return cut;
}

std::optional<double> along_surface(const TriangleMesh& surface, const Vec3& a, const Vec3& b, double near) {
    std::optional<double> best;
    for (const Chain& chain : picture::cut_section(surface, upright_cut(a, b))) {
        const Passing from = passing(chain, a), to = passing(chain, b);
        if (from.distance > near || to.distance > near) continue;
        double length = std::abs(to.along - from.along);
        if (chain.closed) length = std::min(length, whole(chain) - length);
        if (!best || length < *best) best = length;
    }
    return best;
}

std::optional<Bend> bend_at(const std::vector<Chain>& section, const SectionCut& cut, const Vec3& place,
                            const Vec3& out, double reach, double straight) {
    const Chain* curve = nullptr;
    Passing at;
    for (const Chain& chain : section)
        if (const Passing here = passing(chain, place); here.distance < at.distance) {
            at = here;
            curve = &chain;
        }
    if (curve == nullptr) return {};
    // the stretch in the plane of the cut, in even steps, from the place outwards
    const double length = whole(*curve);
    const auto point_at = [&](double s) {
        if (curve->closed) s = s - length * std::floor(s / length);
        const std::size_t n = curve->points.size();
        for (std::size_t i = 0; i + (curve->closed ? 0 : 1) < n; ++i) {
            const Vec3 &a = curve->points[i], &b = curve->points[(i + 1) % n];
            const double step = (b - a).norm();
            if (s <= step && step > 0) return Vec3(a + (s / step) * (b - a));
            s -= step;
        }
        return curve->points.back();
    };
    std::vector<Vec2> points;
    constexpr int half = 12;
    for (int k = -half; k <= half; ++k) {
        const double s = at.along + reach * k / half;
        if (!curve->closed && (s < 0 || s > length)) continue;
        const Vec3 p = point_at(s);
        points.emplace_back(cut.across(p) - cut.across(place), p.z() - place.z());
    }
    if (points.size() < 7) return {};
    // as flat as an arc of the greatest radius: straight
    const Vec2 chord = points.back() - points.front();
    double rise = 0;
    for (const Vec2& p : points) {
        const Vec2 away = p - points.front();
        rise = std::max(rise, std::abs(chord.x() * away.y() - chord.y() * away.x()) / chord.norm());
    }
    if (!(rise > chord.squaredNorm() / (8.0 * straight))) return {};
    // x^2 + y^2 + d x + e y + f = 0
    Eigen::MatrixXd left(static_cast<Eigen::Index>(points.size()), 3);
    Eigen::VectorXd right(static_cast<Eigen::Index>(points.size()));
    for (std::size_t i = 0; i < points.size(); ++i) {
        const auto row = static_cast<Eigen::Index>(i);
        left.row(row) << points[i].x(), points[i].y(), 1.0;
        right[row] = -points[i].squaredNorm();
    }
    const Eigen::Vector3d fit = left.colPivHouseholderQr().solve(right);
    const Vec2 middle(-0.5 * fit[0], -0.5 * fit[1]);
    const double square = middle.squaredNorm() - fit[2];
    if (!std::isfinite(square) || !(square > 0) || square > straight * straight) return {};
    const Vec2 way(cut.across(place + out) - cut.across(place), out.z());
    return Bend{std::sqrt(square), middle.dot(way) > 0};
}

}  // namespace archwright::editor::view
