#include "engine/surface/trim_curve.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/surface/bspline.hpp"
#include "engine/surface/cross.hpp"

namespace archwright::surface {

namespace {

std::vector<double> chord_lengths(const std::vector<Vec2>& points) {
    std::vector<double> s(points.size(), 0.0);
    for (std::size_t i = 1; i < points.size(); ++i) s[i] = s[i - 1] + (points[i] - points[i - 1]).norm();
    return s;
}

Vec2 at_length(const std::vector<Vec2>& points, const std::vector<double>& s, double t) {
    const auto it = std::upper_bound(s.begin(), s.end(), t);
    const std::size_t j = std::clamp<std::size_t>(static_cast<std::size_t>(it - s.begin()), 1, s.size() - 1);
    const double h = s[j] - s[j - 1];
    const double r = h > 0.0 ? (t - s[j - 1]) / h : 0.0;
    return points[j - 1] + r * (points[j] - points[j - 1]);
}

struct Nearest {
    double distance = 1e300;
    std::size_t edge = 0;
    Vec2 point = Vec2::Zero();
};

Nearest nearest_on(const std::vector<Vec2>& row, const Vec2& p, std::size_t begin, std::size_t end) {
    Nearest best;
    for (std::size_t i = begin; i + 1 < end; ++i) {
        const Vec2 e = row[i + 1] - row[i];
        const double length2 = e.squaredNorm();
        const double t = length2 > 0.0 ? std::clamp((p - row[i]).dot(e) / length2, 0.0, 1.0) : 0.0;
        const Vec2 q = row[i] + t * e;
        const double d = (p - q).norm();
        if (d < best.distance) best = {d, i, q};
    }
    return best;
}

// A circle of the given radius on the left of `distal` that touches both it and the row, sought from the
// middle of `distal` towards one end.
struct Corner {
    Vec2 centre, on_row, on_distal;
    std::size_t row_edge = 0;
    double distal_length = 0.0;
};

std::optional<Corner> find_corner(const std::vector<Vec2>& row, std::size_t begin, std::size_t end,
                                  const std::vector<Vec2>& distal, const std::vector<double>& s, bool forward,
                                  double radius) {
    const double middle = 0.5 * s.back(), step = 0.25;
    const auto centre_at = [&](double t) {
        const double h = 0.5;
        const Vec2 along =
            (at_length(distal, s, std::min(t + h, s.back())) - at_length(distal, s, std::max(t - h, 0.0)))
                .normalized();
        return Vec2(at_length(distal, s, t) + radius * Vec2(-along.y(), along.x()));
    };
    double good = middle;
    if (nearest_on(row, centre_at(good), begin, end).distance < radius) return std::nullopt;
    for (double t = middle;; t += forward ? step : -step) {
        if (t < 0.0 || t > s.back()) return std::nullopt;
        if (nearest_on(row, centre_at(t), begin, end).distance < radius) {
            double bad = t;
            for (int k = 0; k < 40; ++k) {
                const double half = 0.5 * (good + bad);
                (nearest_on(row, centre_at(half), begin, end).distance < radius ? bad : good) = half;
            }
            break;
        }
        good = t;
    }
    Corner corner;
    corner.centre = centre_at(good);
    const Nearest foot = nearest_on(row, corner.centre, begin, end);
    corner.on_row = foot.point;
    corner.row_edge = foot.edge;
    corner.on_distal = at_length(distal, s, good);
    corner.distal_length = good;
    return corner;
}

// Points strictly between two points of a circle, counter-clockwise.
void append_arc(std::vector<Vec2>& out, const Vec2& centre, const Vec2& from, const Vec2& to, double sample) {
    const Vec2 a = from - centre, b = to - centre;
    double turn = std::atan2(cross(a, b), a.dot(b));
    if (turn < 0.0) turn += 2.0 * std::numbers::pi;
    const int pieces = std::max(2, static_cast<int>(turn * a.norm() / sample));
    for (int k = 1; k < pieces; ++k) {
        const double t = turn * k / pieces, c = std::cos(t), s = std::sin(t);
        out.push_back(centre + Vec2(c * a.x() - s * a.y(), s * a.x() + c * a.y()));
    }
}

}  // namespace

std::vector<Vec2> smooth_row(const std::vector<Vec2>& points, double wave_mm, double sample_mm,
                             const std::vector<double>& firm) {
    const std::vector<double> s = chord_lengths(points);
    const double length = s.back();
    const Basis basis{std::max(6, static_cast<int>(static_cast<double>(points.size()) * 0.8)) + 3, length};
    const Eigen::Index n = basis.count;
    // each point stands for the length halfway to its neighbours
    const auto each_point = [&](const auto& visit) {
        for (std::size_t k = 0; k < points.size(); ++k) {
            std::array<double, 4> b;
            const int first = basis.evaluate(s[k], b);
            visit(k, first, b, 0.5 * (s[std::min(k + 1, points.size() - 1)] - s[k == 0 ? 0 : k - 1]));
        }
    };
    using Four = std::array<double, 4>;
    Eigen::MatrixXd matrix = Eigen::MatrixXd::Zero(n, n);
    each_point([&](std::size_t, int first, const Four& b, double w) {
        for (int p = 0; p < 4; ++p)
            for (int q = 0; q < 4; ++q) matrix(first + p, first + q) += w * b[p] * b[q];
    });
    // third derivative: constant in a span, the difference of the second at its ends
    const double weight = std::pow(wave_mm / (2.0 * std::numbers::pi), 6.0), h = basis.span();
    for (int span = 0; span < basis.spans(); ++span) {
        std::array<double, 4> b, d1, low, high;
        const double inset = 1e-9 * h;  // both ends seen from inside the span
        const int first = basis.evaluate(span * h + inset, b, &d1, &low);
        basis.evaluate((span + 1) * h - inset, b, &d1, &high);
        for (int p = 0; p < 4; ++p)
            for (int q = 0; q < 4; ++q)
                matrix(first + p, first + q) += weight * (high[p] - low[p]) * (high[q] - low[q]) / h;
    }
    const Eigen::LDLT<Eigen::MatrixXd> factor(matrix);
    const auto fit = [&](const std::vector<Vec2>& to) {
        Eigen::MatrixXd right = Eigen::MatrixXd::Zero(n, 2);
        each_point([&](std::size_t k, int first, const Four& b, double w) {
            for (int p = 0; p < 4; ++p) right.row(first + p) += w * b[p] * to[k].transpose();
        });
        return Eigen::MatrixXd(factor.solve(right));
    };
    Eigen::MatrixXd control = fit(points);
    if (!firm.empty()) {
        std::vector<Vec2> taken(points.size());
        each_point([&](std::size_t k, int first, const Four& b, double) {
            Vec2 q = Vec2::Zero();
            for (int p = 0; p < 4; ++p) q += b[p] * control.row(first + p).transpose();
            taken[k] = firm[k] * (points[k] - q);
        });
        control += fit(taken);
    }
    const int samples = std::max(2, static_cast<int>(std::ceil(length / sample_mm)));
    std::vector<Vec2> row;
    row.reserve(static_cast<std::size_t>(samples) + 1);
    for (int k = 0; k <= samples; ++k) {
        std::array<double, 4> b;
        const int first = basis.evaluate(length * k / samples, b);
        Vec2 q = Vec2::Zero();
        for (int p = 0; p < 4; ++p) q += b[p] * control.row(first + p).transpose();
        row.push_back(q);
    }
    return row;
}

std::optional<std::vector<Vec2>> round_corners(const std::vector<Vec2>& row, const std::vector<Vec2>& distal,
                                               double radius_at_start, double radius_at_end) {
    if (row.size() < 4 || distal.size() < 2) return std::nullopt;
    const std::vector<double> s = chord_lengths(distal);
    const auto at_end = find_corner(row, row.size() / 2, row.size(), distal, s, false, radius_at_end);
    const auto at_start = find_corner(row, 0, row.size() / 2 + 1, distal, s, true, radius_at_start);
    if (!at_end || !at_start || !(at_end->distal_length < at_start->distal_length)) return std::nullopt;
    constexpr double sample = 0.5;
    std::vector<Vec2> closed;
    closed.push_back(at_start->on_row);
    for (std::size_t i = at_start->row_edge + 1; i <= at_end->row_edge; ++i) closed.push_back(row[i]);
    closed.push_back(at_end->on_row);
    append_arc(closed, at_end->centre, at_end->on_row, at_end->on_distal, sample);
    closed.push_back(at_end->on_distal);
    for (std::size_t i = 0; i < distal.size(); ++i)
        if (s[i] > at_end->distal_length && s[i] < at_start->distal_length) closed.push_back(distal[i]);
    closed.push_back(at_start->on_distal);
    append_arc(closed, at_start->centre, at_start->on_distal, at_start->on_row, sample);
    return closed;
}

PeriodicCurve closed_curve(const std::vector<Vec2>& polygon, int count) {
    std::vector<Vec2> ring = polygon;
    ring.push_back(polygon.front());
    const std::vector<double> s = chord_lengths(ring);
    constexpr int per_span = 8;
    const Eigen::Index n = count;
    Eigen::MatrixXd matrix = Eigen::MatrixXd::Zero(n, n), right = Eigen::MatrixXd::Zero(n, 2);
    for (int k = 0; k < count * per_span; ++k) {
        const double t = static_cast<double>(k % per_span) / per_span, r = 1.0 - t;
        const std::array<double, 4> b = {r * r * r / 6.0, (3.0 * t * t * t - 6.0 * t * t + 4.0) / 6.0,
                                         (-3.0 * t * t * t + 3.0 * t * t + 3.0 * t + 1.0) / 6.0,
                                         t * t * t / 6.0};
        const Vec2 q = at_length(ring, s, s.back() * k / (count * per_span));
        for (int i = 0; i < 4; ++i) {
            const int row = (k / per_span + i - 1 + count) % count;
            right.row(row) += b[i] * q.transpose();
            for (int j = 0; j < 4; ++j) matrix(row, (k / per_span + j - 1 + count) % count) += b[i] * b[j];
        }
    }
    const Eigen::MatrixXd control = matrix.ldlt().solve(right);
    PeriodicCurve curve;
    for (Eigen::Index i = 0; i < n; ++i) curve.control.push_back(control.row(i).transpose());
    return curve;
}

LeastRadius least_radius(const PeriodicCurve& curve, const std::function<bool(const Vec2&)>& of_interest) {
    LeastRadius least{1e300, 0.0};
    constexpr int per_span = 8;
    const int count = static_cast<int>(curve.control.size()) * per_span;
    for (int k = 0; k < count; ++k) {
        const double s = static_cast<double>(k) / per_span;
        const Vec2 d1 = curve.tangent(s), d2 = curve.second(s);
        const double bend = std::abs(cross(d1, d2)), speed = d1.norm();
        const double radius = bend > 0.0 ? speed * speed * speed / bend : 1e300;
        if (radius < least.radius && of_interest(curve.point(s))) least = {radius, s};
    }
    return least;
}

}  // namespace archwright::surface
