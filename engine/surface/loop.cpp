#include "engine/surface/loop.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/surface/cross.hpp"

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

PeriodicCurve PeriodicCurve::reversed() const {
    PeriodicCurve other;
    const std::size_t n = control.size();
    other.control.reserve(n);
    for (std::size_t i = 0; i < n; ++i) other.control.push_back(control[(n - i) % n]);
    return other;
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
    for (int k = 0; k < count; ++k) points_.push_back(curve.point(static_cast<double>(k) / per_span));
    index();
}

Outline::Outline(std::vector<Vec2> polygon) : points_(std::move(polygon)) {
    index();
}

int Outline::row_of(double y) const {
    return std::clamp(static_cast<int>((y - low_.y()) / cell_), 0, rows_ - 1);
}

int Outline::column_of(double x) const {
    return std::clamp(static_cast<int>((x - low_.x()) / cell_), 0, columns_ - 1);
}

void Outline::index() {
    low_ = Vec2::Constant(1e300);
    high_ = Vec2::Constant(-1e300);
    for (const Vec2& p : points_) {
        low_ = low_.cwiseMin(p);
        high_ = high_.cwiseMax(p);
    }
    if (points_.empty()) return;
    // about as many cells along the longer side as there are edges along it
    constexpr double most_cells = 256.0;
    const double longest = (high_ - low_).maxCoeff();
    const double aim = std::clamp(static_cast<double>(points_.size()) / 8.0, 1.0, most_cells);
    cell_ = longest > 0.0 ? longest / aim : 1.0;
    columns_ = static_cast<int>((high_.x() - low_.x()) / cell_) + 1;
    rows_ = static_cast<int>((high_.y() - low_.y()) / cell_) + 1;

    const auto fill = [&](bool by_cell, std::vector<int>& begin, std::vector<int>& edges) {
        const auto each = [&](const auto& visit) {
            for (std::size_t e = 0; e < points_.size(); ++e) {
                const Vec2 a = points_[e].cwiseMin(edge_end(e)), b = points_[e].cwiseMax(edge_end(e));
                for (int r = row_of(a.y()); r <= row_of(b.y()); ++r) {
                    if (!by_cell) {
                        visit(static_cast<std::size_t>(r), static_cast<int>(e));
                        continue;
                    }
                    for (int c = column_of(a.x()); c <= column_of(b.x()); ++c)
                        visit(static_cast<std::size_t>(r) * columns_ + c, static_cast<int>(e));
                }
            }
        };
        const std::size_t bins = static_cast<std::size_t>(rows_) * (by_cell ? columns_ : 1);
        begin.assign(bins + 1, 0);
        each([&](std::size_t bin, int) { ++begin[bin + 1]; });
        for (std::size_t k = 0; k < bins; ++k) begin[k + 1] += begin[k];
        edges.resize(static_cast<std::size_t>(begin[bins]));
        std::vector<int> next(begin.begin(), begin.end() - 1);
        each([&](std::size_t bin, int e) { edges[static_cast<std::size_t>(next[bin]++)] = e; });
    };
    fill(false, row_begin_, row_edges_);
    fill(true, cell_begin_, cell_edges_);
}

bool Outline::inside(const Vec2& p) const {
    if (!(p.x() >= low_.x() && p.x() <= high_.x() && p.y() >= low_.y() && p.y() <= high_.y())) return false;
    const std::size_t row = static_cast<std::size_t>(row_of(p.y()));
    bool in = false;
    for (int k = row_begin_[row]; k < row_begin_[row + 1]; ++k) {
        const std::size_t e = static_cast<std::size_t>(row_edges_[static_cast<std::size_t>(k)]);
        const Vec2 &b = points_[e], a = edge_end(e);
        if ((a.y() > p.y()) != (b.y() > p.y()) &&
            p.x() < (b.x() - a.x()) * (p.y() - a.y()) / (b.y() - a.y()) + a.x())
            in = !in;
    }
    return in;
}

double Outline::distance(const Vec2& p) const {
    if (points_.empty()) return 1e300;
    double best = 1e300;
    const auto look_at = [&](int row, int column) {
        const std::size_t cell = static_cast<std::size_t>(row) * columns_ + column;
        for (int k = cell_begin_[cell]; k < cell_begin_[cell + 1]; ++k) {
            const std::size_t at = static_cast<std::size_t>(cell_edges_[static_cast<std::size_t>(k)]);
            const Vec2 e = edge_end(at) - points_[at];
            const double length2 = e.squaredNorm();
            const double t = length2 > 0.0 ? std::clamp((p - points_[at]).dot(e) / length2, 0.0, 1.0) : 0.0;
            best = std::min(best, (p - points_[at] - t * e).squaredNorm());
        }
    };
    // Rings of cells round the nearest cell c. With q the point of the box nearest to p, everything in ring k
    // is at least (k - 1) cells from q, and (obtuse angle at q) its distance to p obeys Pythagoras.
    const Vec2 q = p.cwiseMax(low_).cwiseMin(high_);
    const double outside2 = (p - q).squaredNorm();
    const int row = row_of(q.y()), column = column_of(q.x());
    for (int ring = 0; ring < std::max(rows_, columns_); ++ring) {
        const double clear = std::max(0, ring - 1) * cell_;
        if (best <= outside2 + clear * clear) break;
        for (int r = std::max(0, row - ring); r <= std::min(rows_ - 1, row + ring); ++r) {
            const bool edge_row = std::abs(r - row) == ring;
            for (int c = column - ring; c <= column + ring; c += edge_row ? 1 : std::max(1, 2 * ring))
                if (c >= 0 && c < columns_) look_at(r, c);
        }
    }
    return std::sqrt(best);
}

std::vector<std::pair<int, int>> Outline::crossing_edges() const {
    const auto turn = [](const Vec2& p, const Vec2& q, const Vec2& r) { return cross(q - p, r - p); };
    const int n = static_cast<int>(points_.size());
    std::vector<std::pair<int, int>> pairs;
    for (std::size_t cell = 0; cell + 1 < cell_begin_.size(); ++cell)
        for (int k = cell_begin_[cell]; k < cell_begin_[cell + 1]; ++k)
            for (int l = k + 1; l < cell_begin_[cell + 1]; ++l) {
                const int i = cell_edges_[static_cast<std::size_t>(k)],
                          j = cell_edges_[static_cast<std::size_t>(l)];
                if (j - i < 2 || (i == 0 && j + 1 == n)) continue;  // neighbours share a point
                const Vec2 &a = points_[static_cast<std::size_t>(i)],
                           b = edge_end(static_cast<std::size_t>(i));
                const Vec2 &c = points_[static_cast<std::size_t>(j)],
                           d = edge_end(static_cast<std::size_t>(j));
                if (turn(a, b, c) * turn(a, b, d) < 0.0 && turn(c, d, a) * turn(c, d, b) < 0.0)
                    pairs.emplace_back(i, j);
            }
    std::sort(pairs.begin(), pairs.end());
    pairs.erase(std::unique(pairs.begin(), pairs.end()), pairs.end());
    return pairs;
}

int Outline::self_crossings() const {
    return static_cast<int>(crossing_edges().size());
}

std::optional<std::size_t> Outline::first_self_crossing() const {
    const auto pairs = crossing_edges();
    if (pairs.empty()) return std::nullopt;
    return static_cast<std::size_t>(pairs.front().first);
}

}  // namespace archwright::surface
