#include "engine/surface/loop.hpp"

#include <algorithm>
#include <cmath>

namespace archwright::surface {

namespace {

struct Span {
    std::size_t i;  // control points i-1 .. i+2, cyclic
    double t;       // 0..1 inside the span
};

Span span_of(double s, std::size_t n) {
    const double period = static_cast<double>(n);
    s -= period * std::floor(s / period);
    const std::size_t i = std::min(static_cast<std::size_t>(s), n - 1);
    return {i, s - static_cast<double>(i)};
}

Vec2 combine(const std::vector<Vec2>& c, std::size_t i, double a, double b, double d, double e) {
    const std::size_t n = c.size();
    return a * c[(i + n - 1) % n] + b * c[i] + d * c[(i + 1) % n] + e * c[(i + 2) % n];
}

double cross(const Vec2& a, const Vec2& b) {
    return a.x() * b.y() - a.y() * b.x();
}

}  // namespace

Vec2 PeriodicCurve::point(double s) const {
    const auto [i, t] = span_of(s, control.size());
    const double r = 1.0 - t;
    return combine(control, i, r * r * r / 6.0, (3.0 * t * t * t - 6.0 * t * t + 4.0) / 6.0,
                   (-3.0 * t * t * t + 3.0 * t * t + 3.0 * t + 1.0) / 6.0, t * t * t / 6.0);
}

Vec2 PeriodicCurve::tangent(double s) const {
    const auto [i, t] = span_of(s, control.size());
    const double r = 1.0 - t;
    return combine(control, i, -r * r / 2.0, (3.0 * t * t - 4.0 * t) / 2.0,
                   (-3.0 * t * t + 2.0 * t + 1.0) / 2.0, t * t / 2.0);
}

Vec2 PeriodicCurve::second(double s) const {
    const auto [i, t] = span_of(s, control.size());
    return combine(control, i, 1.0 - t, 3.0 * t - 2.0, 1.0 - 3.0 * t, t);
}

PeriodicCurve PeriodicCurve::through(const std::vector<Vec2>& points) {
    // Cyclic system (c[i-1] + 4 c[i] + c[i+1]) / 6 = q[i]; Sherman-Morrison on the Thomas algorithm.
    const std::size_t n = points.size();
    PeriodicCurve curve;
    if (n < 3) {
        curve.control = points;
        return curve;
    }
    // Split off the corners: A = T + w w' with w = (1, 0, ..., 0, 1), so T has 3 at both ends of its
    // diagonal.
    const auto solve = [n](const std::vector<Vec2>& rhs) {
        std::vector<double> c(n);
        std::vector<Vec2> x(n);
        const auto diagonal = [n](std::size_t i) { return i == 0 || i + 1 == n ? 3.0 : 4.0; };
        c[0] = 1.0 / diagonal(0);
        x[0] = rhs[0] / diagonal(0);
        for (std::size_t i = 1; i < n; ++i) {
            const double m = 1.0 / (diagonal(i) - c[i - 1]);
            c[i] = m;
            x[i] = (rhs[i] - x[i - 1]) * m;
        }
        for (std::size_t i = n - 1; i-- > 0;) x[i] -= c[i] * x[i + 1];
        return x;
    };
    std::vector<Vec2> q(n), w(n, Vec2::Zero());
    for (std::size_t i = 0; i < n; ++i) q[i] = 6.0 * points[i];
    w.front() = w.back() = Vec2(1.0, 1.0);
    std::vector<Vec2> y = solve(q);
    const std::vector<Vec2> z = solve(w);
    const double z_sum = z.front().x() + z.back().x();
    const Vec2 factor = (y.front() + y.back()) / (1.0 + z_sum);
    for (std::size_t i = 0; i < n; ++i) y[i] -= z[i].cwiseProduct(factor);
    curve.control = std::move(y);
    return curve;
}

double PeriodicCurve::signed_area() const {
    double sum = 0.0;
    constexpr int per_span = 16;
    const int count = static_cast<int>(control.size()) * per_span;
    for (int k = 0; k < count; ++k)
        sum += cross(point(static_cast<double>(k) / per_span), point(static_cast<double>(k + 1) / per_span));
    return sum / 2.0;
}

Outline::Outline(const PeriodicCurve& curve, int per_span) {
    const int count = static_cast<int>(curve.control.size()) * per_span;
    points_.reserve(static_cast<std::size_t>(count));
    low_ = Vec2::Constant(1e300);
    high_ = Vec2::Constant(-1e300);
    for (int k = 0; k < count; ++k) {
        points_.push_back(curve.point(static_cast<double>(k) / per_span));
        low_ = low_.cwiseMin(points_.back());
        high_ = high_.cwiseMax(points_.back());
    }
}

bool Outline::inside(const Vec2& p) const {
    if (!(p.x() >= low_.x() && p.x() <= high_.x() && p.y() >= low_.y() && p.y() <= high_.y())) return false;
    bool in = false;
    for (std::size_t i = 0, j = points_.size() - 1; i < points_.size(); j = i++) {
        const Vec2 &a = points_[i], &b = points_[j];
        if ((a.y() > p.y()) != (b.y() > p.y()) &&
            p.x() < (b.x() - a.x()) * (p.y() - a.y()) / (b.y() - a.y()) + a.x())
            in = !in;
    }
    return in;
}

double Outline::distance(const Vec2& p) const {
    double best = 1e300;
    for (std::size_t i = 0, j = points_.size() - 1; i < points_.size(); j = i++) {
        const Vec2 e = points_[i] - points_[j];
        const double length2 = e.squaredNorm();
        const double t = length2 > 0.0 ? std::clamp((p - points_[j]).dot(e) / length2, 0.0, 1.0) : 0.0;
        best = std::min(best, (p - points_[j] - t * e).squaredNorm());
    }
    return std::sqrt(best);
}

int Outline::self_crossings() const {
    const std::size_t n = points_.size();
    int count = 0;
    for (std::size_t i = 0; i < n; ++i) {
        const Vec2 &a = points_[i], &b = points_[(i + 1) % n];
        const Vec2 low = a.cwiseMin(b), high = a.cwiseMax(b);
        for (std::size_t j = i + 2; j < n; ++j) {
            if (i == 0 && j + 1 == n) continue;
            const Vec2 &c = points_[j], &d = points_[(j + 1) % n];
            if (std::max(c.x(), d.x()) < low.x() || std::min(c.x(), d.x()) > high.x() ||
                std::max(c.y(), d.y()) < low.y() || std::min(c.y(), d.y()) > high.y())
                continue;
            const auto turn = [](const Vec2& p, const Vec2& q, const Vec2& r) { return cross(q - p, r - p); };
            if (turn(a, b, c) * turn(a, b, d) < 0.0 && turn(c, d, a) * turn(c, d, b) < 0.0) ++count;
        }
    }
    return count;
}

}  // namespace archwright::surface
