#include "engine/mill/arc.hpp"

#include <numbers>
#include <optional>

namespace archwright::mill {

namespace {

constexpr double full_turn = 2.0 * std::numbers::pi;
constexpr double most_turn = 175.0 / 180.0 * std::numbers::pi;
constexpr double least_radius_mm = 0.3, most_radius_mm = 300.0;
constexpr std::size_t least_lines = 3, most_lines = 120;
constexpr double most_chords = 2000.0;

double cross(const Vec2& a, const Vec2& b) {
    return a.x() * b.y() - a.y() * b.x();
}

/// From the direction a to b, the way round that `turn` says, 0 to a full turn.
double angle_between(const Vec2& a, const Vec2& b, int turn) {
    const double angle = turn * std::atan2(cross(a, b), a.dot(b));
    return angle > 0.0 ? angle : angle + full_turn;
}

/// The arc from point `i` to point `j` of a curve, if it stays by the curve.
std::optional<Move> arc_over(const std::vector<Vec3>& p, std::size_t i, std::size_t j, double within) {
    const Vec2 a = p[i].head<2>(), m = p[(i + j) / 2].head<2>(), b = p[j].head<2>();
    const Vec2 am = m - a, ab = b - a;
    const double twice = 2.0 * cross(am, ab);
    if (!(std::abs(twice) > 1e-12)) return {};
    const Vec2 off(ab.y() * am.squaredNorm() - am.y() * ab.squaredNorm(),
                   am.x() * ab.squaredNorm() - ab.x() * am.squaredNorm());
    Move arc;
    arc.to = p[j];
    arc.turn = twice > 0.0 ? 1 : -1;
    arc.centre = a + off / twice;
    const double radius = (a - arc.centre).norm();
    if (!(radius >= least_radius_mm && radius <= most_radius_mm)) return {};
    const Vec2 begin = a - arc.centre;
    const double whole = angle_between(begin, b - arc.centre, arc.turn);
    const double rise = p[j].z() - p[i].z();
    if (whole > most_turn || std::abs(rise) > 0.5 * radius * whole) return {};
    double before = 0.0;
    for (std::size_t k = i + 1; k <= j; ++k) {
        const Vec2 to = p[k].head<2>() - arc.centre;
        const Vec2 middle = 0.5 * (p[k] + p[k - 1]).head<2>() - arc.centre;
        if (std::abs(to.norm() - radius) > within || std::abs(middle.norm() - radius) > within) return {};
        const double here = k == j ? whole : angle_between(begin, to, arc.turn);
        if (!(here > before && here <= whole)) return {};
        if (std::abs(p[i].z() + rise * here / whole - p[k].z()) > within) return {};
        before = here;
    }
    return arc;
}

}  // namespace

double turned_by(const Vec3& from, const Move& move) {
    if (move.turn == 0) return 0.0;
    return angle_between(from.head<2>() - move.centre, move.to.head<2>() - move.centre, move.turn);
}

double way_length(const Vec3& from, const Move& move) {
    if (move.turn == 0) return (move.to - from).norm();
    const double r0 = (from.head<2>() - move.centre).norm(), r1 = (move.to.head<2>() - move.centre).norm();
    return std::hypot(0.5 * (r0 + r1) * turned_by(from, move), r1 - r0, move.to.z() - from.z());
}

std::array<Vec3, 2> directions(const Vec3& from, const Move& move) {
    const double length = way_length(from, move);
    if (!(length > 0.0)) return {Vec3::Zero(), Vec3::Zero()};
    if (move.turn == 0) return {(move.to - from) / length, (move.to - from) / length};
    const auto along = [&](const Vec3& p) {
        const Vec2 out = (p.head<2>() - move.centre).normalized();
        const double up = (move.to.z() - from.z()) / length, level = std::sqrt(std::max(0.0, 1.0 - up * up));
        return Vec3(-move.turn * level * out.y(), move.turn * level * out.x(), up);
    };
    return {along(from), along(move.to)};
}

void walk(Vec3 from, const Move& move, double within, std::vector<Vec3>& out) {
    if (move.turn != 0) {
        const Vec2 begin = from.head<2>() - move.centre;
        const double r0 = begin.norm(), r1 = (move.to.head<2>() - move.centre).norm();
        const double whole = turned_by(from, move), radius = std::max({r0, r1, 1e-9});
        // a chord over the angle d lies r (1 - cos(d / 2)) within its arc
        const double step = 2.0 * std::acos(std::max(0.0, 1.0 - within / radius));
        const int chords = static_cast<int>(std::min(most_chords, std::ceil(whole / std::max(step, 1e-6))));
        const double first = std::atan2(begin.y(), begin.x());
        for (int i = 1; i < chords; ++i) {
            const double share = static_cast<double>(i) / chords, angle = first + move.turn * share * whole;
            const double r = r0 + share * (r1 - r0);
            out.emplace_back(move.centre.x() + r * std::cos(angle), move.centre.y() + r * std::sin(angle),
                             from.z() + share * (move.to.z() - from.z()));
        }
    }
    out.push_back(move.to);
}

std::vector<Move> with_arcs(const std::vector<Vec3>& points, double feed, double within) {
    std::vector<Move> moves;
    for (std::size_t i = 0; i + 1 < points.size();) {
        std::optional<Move> arc;
        std::size_t end = i + 1;
        for (std::size_t j = i + least_lines; j < std::min(points.size(), i + most_lines); ++j) {
            const auto longer = arc_over(points, i, j, within);
            if (!longer) break;
            arc = longer;
            end = j;
        }
        Move move;
        if (arc) move = *arc;
        move.to = points[end];
        move.feed = feed;
        moves.push_back(move);
        i = end;
    }
    return moves;
}

}  // namespace archwright::mill
