#include "engine/mill/follow.hpp"

namespace archwright::mill {

namespace {

constexpr double first_step_mm = 0.5;    // bends of a shell are wider
constexpr double least_step_mm = 0.004;  // a change within less is a step
constexpr int most_thinned = 60;         // points left out in a row

struct Follower {
    const DropGrid& drop;
    double chord;
    std::vector<Vec3>& out;
    mutable DropGrid::Near near{};

    Vec3 at(const Vec3& p, const Vec3& q, double share) const {
        Vec3 m = p + share * (q - p);
        m.z() = drop.z(m.x(), m.y(), m.z(), &near);
        return m;
    }
    /// `low` are the places of the line itself, `p` and `q` of the tip over them.
    void between(const Vec3& low_p, const Vec3& p, const Vec3& low_q, const Vec3& q) const {
        const double length = std::hypot(q.x() - p.x(), q.y() - p.y());
        if (length < least_step_mm) {
            if (q.z() < p.z() - chord) out.emplace_back(q.x(), q.y(), p.z());
            if (q.z() > p.z() + chord) out.emplace_back(p.x(), p.y(), q.z());
            out.push_back(q);
            return;
        }
        const Vec3 low = 0.5 * (low_p + low_q), m = at(low_p, low_q, 0.5);
        const double bend = std::abs(m.z() - 0.5 * (p.z() + q.z()));
        // a bend in one half only would not show in the middle
        const bool straight =
            bend <= 0.5 * chord &&
            (length < 0.1 ||
             (std::abs(at(low_p, low_q, 0.25).z() - 0.75 * p.z() - 0.25 * q.z()) <= 0.5 * chord &&
              std::abs(at(low_p, low_q, 0.75).z() - 0.25 * p.z() - 0.75 * q.z()) <= 0.5 * chord));
        if (straight) {
            out.push_back(q);
            return;
        }
        between(low_p, p, low, m);
        between(low, m, low_q, q);
    }
};

}  // namespace

void follow(const DropGrid& drop, const Vec3& from, const Vec3& to, double chord, std::vector<Vec3>& out) {
    const Follower follower{drop, chord, out};
    const double length = std::hypot(to.x() - from.x(), to.y() - from.y());
    const int steps = std::max(1, static_cast<int>(std::ceil(length / first_step_mm)));
    Vec3 low = from, tip = follower.at(from, to, 0.0);
    for (int i = 1; i <= steps; ++i) {
        const double share = static_cast<double>(i) / steps;
        const Vec3 next_low = from + share * (to - from), next = follower.at(from, to, share);
        follower.between(low, tip, next_low, next);
        low = next_low;
        tip = next;
    }
}

void thin_out(std::vector<Vec3>& points, double within) {
    if (points.size() < 3) return;
    std::vector<Vec3> kept{points.front()};
    std::size_t anchor = 0;
    for (std::size_t i = 2; i < points.size(); ++i) {
        const Vec3 a = points[anchor], d = points[i] - a;
        const double length = d.norm();
        bool near = length > 0.0 && i - anchor < most_thinned;
        for (std::size_t k = anchor + 1; k < i && near; ++k) {
            const Vec3 to = points[k] - a;
            const double along = to.dot(d) / length;
            near = along >= 0.0 && along <= length && (to - d * (along / length)).norm() <= within;
        }
        if (near) continue;
        kept.push_back(points[i - 1]);
        anchor = i - 1;
    }
    kept.push_back(points.back());
    points = std::move(kept);
}

}  // namespace archwright::mill
