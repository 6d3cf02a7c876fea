#include "assets/generator/sole_line.hpp"

#include <algorithm>
#include <cmath>

namespace archwright::generator {

std::optional<SoleLine> SoleLine::lay(const Foot& foot, const std::vector<Vec2>& corners, bool closed) {
    SoleLine line;
    std::vector<Vec2> round = corners;
    if (closed && !round.empty()) round.push_back(round.front());
    for (std::size_t i = 0; i + 1 < round.size(); ++i) {
        const int steps = std::max(1, static_cast<int>(std::ceil((round[i + 1] - round[i]).norm())));
        for (int k = i == 0 ? 0 : 1; k <= steps; ++k) {
            const Vec2 q = round[i] + (round[i + 1] - round[i]) * (static_cast<double>(k) / steps);
            const std::optional<Vec3> p = foot.sole(q.x(), q.y());
            if (!p) return std::nullopt;
            line.along_.push_back(
                line.points_.empty() ? 0.0 : line.along_.back() + (*p - line.points_.back()).norm());
            line.points_.push_back(*p);
            line.box_.add(*p);
        }
    }
    if (line.points_.size() < 2) return std::nullopt;
    return line;
}

SoleLine::Nearest SoleLine::nearest(const Vec3& p, double reach) const {
    Nearest best{1e9, 0.0};
    const Vec3 out = (box_.low - p).cwiseMax(p - box_.high).cwiseMax(0.0);
    if (out.norm() >= reach) return best;
    for (std::size_t i = 0; i + 1 < points_.size(); ++i) {
        const Vec3 e = points_[i + 1] - points_[i];
        const double l2 = e.squaredNorm();
        const double t = l2 > 0.0 ? std::clamp((p - points_[i]).dot(e) / l2, 0.0, 1.0) : 0.0;
        const double d = (p - points_[i] - t * e).norm();
        if (d < best.distance_mm) best = {d, along_[i] + t * std::sqrt(l2)};
    }
    return best.distance_mm < reach ? best : Nearest{1e9, 0.0};
}

}  // namespace archwright::generator
