#include "engine/shoe/clearance.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/tolerances.hpp"

namespace archwright::shoe {

namespace {

constexpr double column_mm = 2.0;
constexpr double most_columns = 4096.0;

// The corners that are needed: every one left out lies within `within` of the side that passes it (Douglas
// and Peucker 1973). The two ends of the whole are kept, and so is the corner furthest from the first.
std::vector<Vec2> needed(const std::vector<Vec2>& points, double within) {
    const std::size_t n = points.size();
    std::vector<bool> kept(n, false);
    std::size_t furthest = 0;
    for (std::size_t i = 1; i < n; ++i)
        if ((points[i] - points[0]).norm() > (points[furthest] - points[0]).norm()) furthest = i;
    kept[0] = kept[furthest] = true;
    std::vector<std::pair<std::size_t, std::size_t>> open = {{0, furthest}, {furthest, n}};
    while (!open.empty()) {
        const auto [from, to] = open.back();
        open.pop_back();
        const Vec2 &a = points[from], along = points[to % n] - a;
        double most = within;
        std::size_t at = 0;
        for (std::size_t i = from + 1; i < to; ++i) {
            const double t = std::clamp((points[i] - a).dot(along) / along.squaredNorm(), 0.0, 1.0);
            const double off = (points[i] - a - t * along).norm();
            if (off <= most) continue;
            most = off;
            at = i;
        }
        if (at == 0) continue;
        kept[at] = true;
        open.emplace_back(from, at);
        open.emplace_back(at, to);
    }
    std::vector<Vec2> left;
    for (std::size_t i = 0; i < n; ++i)
        if (kept[i]) left.push_back(points[i]);
    return left;
}

}  // namespace

Edge::Edge(const Outline& outline) {
    const std::vector<Vec2> points = needed(outline.points(), 0.1 * tolerance::outline_chord_mm);
    double high = points.front().x();
    low_ = high;
    for (std::size_t i = 0; i < points.size(); ++i) {
        segments_.push_back({points[i], points[(i + 1) % points.size()]});
        low_ = std::min(low_, points[i].x());
        high = std::max(high, points[i].x());
    }
    const double count = std::clamp(std::ceil((high - low_) / column_mm), 1.0, most_columns);
    width_ = (high - low_) / count;
    columns_.resize(static_cast<std::size_t>(count));
    for (std::size_t i = 0; i < segments_.size(); ++i) {
        const auto [a, b] = std::minmax(segments_[i].from.x(), segments_[i].to.x());
        for (std::size_t c = column(a); c <= column(b); ++c)
            columns_[c].push_back(static_cast<std::uint32_t>(i));
    }
}

std::size_t Edge::column(double x) const {
    const double at = std::floor((x - low_) / width_);
    return static_cast<std::size_t>(std::clamp(at, 0.0, static_cast<double>(columns_.size() - 1)));
}

Past Edge::past(const Vec2& p) const {
    Past past;
    double best = std::numeric_limits<double>::infinity();
    const Segment* nearest = nullptr;
    const auto search = [&](std::size_t c) {
        for (const std::uint32_t i : columns_[c]) {
            const Segment& s = segments_[i];
            const Vec2 along = s.to - s.from;
            const double t = std::clamp((p - s.from).dot(along) / along.squaredNorm(), 0.0, 1.0);
            const Vec2 foot = s.from + t * along;
            const double distance = (p - foot).squaredNorm();
            if (distance >= best) continue;
            best = distance;
            past.nearest = foot;
            nearest = &s;
        }
    };
    // columns outward from the point's own, until none left can hold anything nearer
    const auto home = static_cast<std::ptrdiff_t>(column(p.x()));
    const auto count = static_cast<std::ptrdiff_t>(columns_.size());
    const auto reach = [&](std::ptrdiff_t c, bool right) {
        const double gap = right ? low_ + width_ * static_cast<double>(c) - p.x()
                                 : p.x() - (low_ + width_ * static_cast<double>(c + 1));
        return gap <= 0.0 || gap * gap < best;
    };
    search(static_cast<std::size_t>(home));
    for (std::ptrdiff_t right = home + 1; right < count && reach(right, true); ++right)
        search(static_cast<std::size_t>(right));
    for (std::ptrdiff_t left = home - 1; left >= 0 && reach(left, false); --left)
        search(static_cast<std::size_t>(left));

    // inside where a ray along +y crosses the edge an odd number of times
    bool inside = false;
    if (p.x() >= low_ && p.x() <= low_ + width_ * static_cast<double>(columns_.size()))
        for (const std::uint32_t i : columns_[static_cast<std::size_t>(home)]) {
            const Segment& s = segments_[i];
            if ((s.from.x() > p.x()) == (s.to.x() > p.x())) continue;
            const double y =
                s.from.y() + (p.x() - s.from.x()) / (s.to.x() - s.from.x()) * (s.to.y() - s.from.y());
            if (y > p.y()) inside = !inside;
        }
    const double distance = std::sqrt(best);
    past.mm = inside ? -distance : distance;
    const Vec2 across = inside ? Vec2(past.nearest - p) : Vec2(p - past.nearest);
    const Vec2 along = nearest->to - nearest->from;
    // on the edge itself the difference has no direction: the segment's own normal, to its right
    past.outward = distance > 1e-9 ? Vec2(across / distance) : Vec2(along.y(), -along.x()).normalized();
    return past;
}

}  // namespace archwright::shoe
