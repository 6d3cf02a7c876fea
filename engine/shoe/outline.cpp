#include "engine/shoe/outline.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::shoe {

namespace {

constexpr double largest_mm = 1e6;
// Where an arc ends and the next line begins differs by what sine and cosine round off.
constexpr double same_point_mm = 1e-6;

double cross(const Vec2& a, const Vec2& b) {
    return a.x() * b.y() - a.y() * b.x();
}

double twice_area(const std::vector<Vec2>& points) {
    double sum = 0.0;
    // about the first point: far from the origin the products would eat the digits
    for (std::size_t i = 1; i + 1 < points.size(); ++i)
        sum += cross(points[i] - points[0], points[i + 1] - points[0]);
    return sum;
}

// -1, 0 or 1: on which side of the line a-b the point lies.
int side_of(const Vec2& a, const Vec2& b, const Vec2& p) {
    const double turn = cross(b - a, p - a);
    return turn > 0.0 ? 1 : turn < 0.0 ? -1 : 0;
}

bool between(const Vec2& a, const Vec2& b, const Vec2& p) {
    return p.x() >= std::min(a.x(), b.x()) && p.x() <= std::max(a.x(), b.x()) &&
           p.y() >= std::min(a.y(), b.y()) && p.y() <= std::max(a.y(), b.y());
}

// Whether two segments have a point in common, ends included.
bool meet(const Vec2& a, const Vec2& b, const Vec2& c, const Vec2& d) {
    const int c_side = side_of(a, b, c), d_side = side_of(a, b, d);
    const int a_side = side_of(c, d, a), b_side = side_of(c, d, b);
    if (c_side * d_side < 0 && a_side * b_side < 0) return true;
    return (c_side == 0 && between(a, b, c)) || (d_side == 0 && between(a, b, d)) ||
           (a_side == 0 && between(c, d, a)) || (b_side == 0 && between(c, d, b));
}

// A place where the closed polygon has a point in common with itself other than neighbours' ends.
std::optional<Vec2> meets_itself(const std::vector<Vec2>& points) {
    const std::size_t n = points.size();
    const auto at = [&](std::size_t i) -> const Vec2& { return points[i % n]; };
    for (std::size_t i = 0; i < n; ++i) {  // neighbours lie on each other only when the line turns back
        const Vec2 in = at(i + 1) - at(i), out = at(i + 2) - at(i + 1);
        if (cross(in, out) == 0.0 && in.dot(out) < 0.0) return at(i + 1);
    }
    std::vector<std::size_t> order(n);
    std::iota(order.begin(), order.end(), std::size_t{0});
    const auto low = [&](std::size_t i) { return std::min(at(i).x(), at(i + 1).x()); };
    const auto high = [&](std::size_t i) { return std::max(at(i).x(), at(i + 1).x()); };
    std::sort(order.begin(), order.end(),
              [&](std::size_t a, std::size_t b) { return low(a) != low(b) ? low(a) < low(b) : a < b; });
    std::vector<std::size_t> under;  // segments over the present x
    for (const std::size_t i : order) {
        const double x = low(i);
        std::erase_if(under, [&](std::size_t j) { return high(j) < x; });
        const double bottom = std::min(at(i).y(), at(i + 1).y()), top = std::max(at(i).y(), at(i + 1).y());
        for (const std::size_t j : under) {
            if (std::max(at(j).y(), at(j + 1).y()) < bottom || std::min(at(j).y(), at(j + 1).y()) > top)
                continue;
            if ((i + 1) % n == j || (j + 1) % n == i) continue;
            if (meet(at(i), at(i + 1), at(j), at(j + 1))) return 0.5 * (at(i) + at(i + 1));
        }
        under.push_back(i);
    }
    return std::nullopt;
}

}  // namespace

Outcome<Outline> Outline::of(std::vector<Vec2> points, const std::string& name) {
    const auto wrong = [&](const std::string& what) {
        return Fault{FaultKind::input, "shoe", name + ": " + what, {}};
    };
    for (const Vec2& p : points)
        if (!p.allFinite() || p.cwiseAbs().maxCoeff() > largest_mm)
            return wrong("a point of the outline lies more than " + rounded(largest_mm / 1e6, 0) +
                         " km away. Draw the insole in its own size, near the origin.");
    const auto one = [](const Vec2& a, const Vec2& b) { return (a - b).norm() < same_point_mm; };
    points.erase(std::unique(points.begin(), points.end(), one), points.end());
    while (points.size() > 1 && one(points.front(), points.back())) points.pop_back();
    if (points.size() > most_outline_points)
        return wrong("the outline has more than " + std::to_string(most_outline_points) +
                     " points. Simplify the line and save it again.");
    if (points.size() < 3)
        return wrong("the outline has fewer than three points. Draw the insole's edge as one closed line.");
    if (const auto where = meets_itself(points))
        return wrong("the outline crosses or touches itself near x " + rounded(where->x(), 1) + ", y " +
                     rounded(where->y(), 1) +
                     " mm (y up). Draw the insole's edge as one closed line without loops.");
    Outline outline;
    outline.points_ = std::move(points);
    const double area = 0.5 * twice_area(outline.points_);
    if (area < 0.0) std::reverse(outline.points_.begin(), outline.points_.end());
    if (!(std::abs(area) > tolerance::degenerate))
        return wrong("the outline encloses no area. Draw the insole's edge as one closed line.");
    return outline;
}

double Outline::area() const {
    return 0.5 * twice_area(points_);
}

Vec2 Outline::centre() const {
    const Vec2 base = points_.front();
    Vec2 sum = Vec2::Zero();
    double twice = 0.0;
    for (std::size_t i = 1; i + 1 < points_.size(); ++i) {
        const Vec2 a = points_[i] - base, b = points_[i + 1] - base;
        const double weight = cross(a, b);
        sum += weight * (a + b) / 3.0;
        twice += weight;
    }
    return base + sum / twice;
}

Vec3 Outline::moments() const {
    const Vec2 middle = centre();
    Vec3 sum = Vec3::Zero();
    for (std::size_t i = 0; i < points_.size(); ++i) {
        const Vec2 a = points_[i] - middle, b = points_[(i + 1) % points_.size()] - middle;
        const double weight = cross(a, b);
        sum += weight / 24.0 *
               Vec3(2.0 * (a.x() * a.x() + a.x() * b.x() + b.x() * b.x()),
                    2.0 * a.x() * a.y() + a.x() * b.y() + b.x() * a.y() + 2.0 * b.x() * b.y(),
                    2.0 * (a.y() * a.y() + a.y() * b.y() + b.y() * b.y()));
    }
    return sum;
}

Outline::Section Outline::section(double x) const {
    Section section;
    for (std::size_t i = 0; i < points_.size(); ++i) {
        const Vec2 &a = points_[i], &b = points_[(i + 1) % points_.size()];
        if (std::min(a.x(), b.x()) > x || std::max(a.x(), b.x()) < x) continue;
        const double share = a.x() == b.x() ? 0.0 : (x - a.x()) / (b.x() - a.x());
        for (const double y :
             {a.y() + share * (b.y() - a.y()), a.x() == b.x() ? b.y() : a.y() + share * (b.y() - a.y())}) {
            section.low = section.empty ? y : std::min(section.low, y);
            section.high = section.empty ? y : std::max(section.high, y);
            section.empty = false;
        }
    }
    return section;
}

Outline Outline::moved(const Eigen::Matrix2d& turn, const Vec2& shift) const {
    Outline moved;
    moved.points_.reserve(points_.size());
    for (const Vec2& p : points_) moved.points_.push_back(turn * p + shift);
    if (turn.determinant() < 0.0) std::reverse(moved.points_.begin(), moved.points_.end());
    return moved;
}

}  // namespace archwright::shoe
