#include "engine/surface/trim_region.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace archwright::surface {

namespace {

constexpr std::size_t most_cells = 256;  // along each side: past that the tables cost more than they save

std::pair<std::size_t, std::size_t> ordered(std::size_t a, std::size_t b) {
    return a < b ? std::pair{a, b} : std::pair{b, a};
}

double squared_distance(const Vec2& p, const Vec2& a, const Vec2& b) {
    const Vec2 e = b - a;
    const double length2 = e.squaredNorm();
    const double t = length2 > 0.0 ? std::clamp((p - a).dot(e) / length2, 0.0, 1.0) : 0.0;
    return (p - a - t * e).squaredNorm();
}

// Turns (cell, item) pairs that come in order of the items into one table of runs.
template <class ForEach>
void tabulate(std::size_t cells, const ForEach& for_each, std::vector<std::uint32_t>& start,
              std::vector<std::uint32_t>& items) {
    start.assign(cells + 1, 0);
    for_each([&](std::size_t cell, std::uint32_t) { ++start[cell + 1]; });
    for (std::size_t c = 0; c < cells; ++c) start[c + 1] += start[c];
    items.resize(start.back());
    std::vector<std::uint32_t> next(start.begin(), start.end() - 1);
    for_each([&](std::size_t cell, std::uint32_t item) { items[next[cell]++] = item; });
}

}  // namespace

TrimRegion::TrimRegion(const Outline& outline)
    : TrimRegion(std::vector<std::vector<Vec2>>{outline.points()}) {}

TrimRegion::TrimRegion(std::vector<std::vector<Vec2>> polygons) {
    for (const auto& polygon : polygons)
        for (std::size_t i = 0; i < polygon.size(); ++i)
            edges_.push_back({polygon[i], polygon[(i + 1) % polygon.size()]});
    build();
}

void TrimRegion::build() {
    if (edges_.empty()) {
        band_start_ = cell_start_ = {0, 0};
        return;
    }
    low_ = high_ = edges_.front().a;
    for (const Edge& e : edges_) {
        low_ = low_.cwiseMin(e.a);
        high_ = high_.cwiseMax(e.a);
    }
    const Vec2 size = high_ - low_;
    // about as many cells along a side as a quarter of the edges
    const double wanted =
        std::clamp(static_cast<double>(edges_.size()) / 4.0, 1.0, static_cast<double>(most_cells));
    cell_ = std::max(size.maxCoeff() / wanted, 1e-300);
    columns_ = std::min(static_cast<std::size_t>(size.x() / cell_) + 1, most_cells + 1);
    rows_ = std::min(static_cast<std::size_t>(size.y() / cell_) + 1, most_cells + 1);
    const auto count = static_cast<std::uint32_t>(edges_.size());
    tabulate(
        rows_,
        [&](const auto& put) {
            for (std::uint32_t k = 0; k < count; ++k) {
                const auto [first, last] = ordered(row(edges_[k].a.y()), row(edges_[k].b.y()));
                for (std::size_t r = first; r <= last; ++r) put(r, k);
            }
        },
        band_start_, band_edges_);
    tabulate(
        rows_ * columns_,
        [&](const auto& put) {
            for (std::uint32_t k = 0; k < count; ++k) {
                const auto [top, bottom] = ordered(row(edges_[k].a.y()), row(edges_[k].b.y()));
                const auto [first, last] = ordered(column(edges_[k].a.x()), column(edges_[k].b.x()));
                for (std::size_t r = top; r <= bottom; ++r)
                    for (std::size_t c = first; c <= last; ++c) put(r * columns_ + c, k);
            }
        },
        cell_start_, cell_edges_);
}

std::size_t TrimRegion::column(double x) const {
    return static_cast<std::size_t>(
        std::clamp((x - low_.x()) / cell_, 0.0, static_cast<double>(columns_ - 1)));
}

std::size_t TrimRegion::row(double y) const {
    return static_cast<std::size_t>(std::clamp((y - low_.y()) / cell_, 0.0, static_cast<double>(rows_ - 1)));
}

std::span<const std::uint32_t> TrimRegion::of(const std::vector<std::uint32_t>& start,
                                              const std::vector<std::uint32_t>& items,
                                              std::size_t cell) const {
    return {items.data() + start[cell], items.data() + start[cell + 1]};
}

bool TrimRegion::inside(const Vec2& p) const {
    if (!(p.x() >= low_.x() && p.x() <= high_.x() && p.y() >= low_.y() && p.y() <= high_.y())) return false;
    bool in = false;
    for (std::uint32_t k : of(band_start_, band_edges_, row(p.y()))) {
        const Vec2 &a = edges_[k].a, &b = edges_[k].b;
        if ((a.y() > p.y()) != (b.y() > p.y()) &&
            p.x() < (b.x() - a.x()) * (p.y() - a.y()) / (b.y() - a.y()) + a.x())
            in = !in;
    }
    return in;
}

double TrimRegion::distance(const Vec2& p, double limit) const {
    if (!p.allFinite()) return limit;
    double best = limit * limit;
    const std::size_t top = row(p.y() - limit), bottom = row(p.y() + limit);
    const std::size_t first = column(p.x() - limit), last = column(p.x() + limit);
    for (std::size_t r = top; r <= bottom; ++r)
        for (std::size_t c = first; c <= last; ++c)
            for (std::uint32_t k : of(cell_start_, cell_edges_, r * columns_ + c))
                best = std::min(best, squared_distance(p, edges_[k].a, edges_[k].b));
    return std::sqrt(best);
}

}  // namespace archwright::surface
