#include "engine/mark/centre.hpp"

#include <algorithm>
#include <cmath>

#include "engine/mark/polyline.hpp"

namespace archwright::mark {

namespace {

constexpr double smooth_mm = 2.5;  // of a stroke: a hand draws no sharper bow

/// Unit vector along a line at a point.
Vec3 along_at(const std::vector<Vec3>& line, std::size_t i, bool closed) {
    const std::size_t n = line.size();
    const Vec3& before = closed ? line[(i + n - 1) % n] : line[i == 0 ? 0 : i - 1];
    const Vec3& after = closed ? line[(i + 1) % n] : line[i + 1 == n ? i : i + 1];
    return (after - before).normalized();
}

}  // namespace

std::vector<Vec3> centred(std::vector<Vec3> line, bool closed, const Ink& ink, double half_mm,
                          double along_mm, int rounds) {
    if (line.size() < 3) return line;
    std::vector<double> weight;
    weight.reserve(ink.points.size());
    for (const std::int32_t p : ink.points) weight.push_back(ink.weight(p));
    for (int round = 0; round < rounds; ++round) {
        std::vector<Vec3> moved = line;
        for (std::size_t i = 0; i < line.size(); ++i) {
            const Vec3 t = along_at(line, i, closed);
            Vec3 normal = Vec3::Zero();
            struct Near {
                Vec3 d;
                double s, w;
            };
            std::vector<Near> near;
            for (std::size_t k = 0; k < ink.points.size(); ++k) {
                const Vec3 d = ink.skin.place(ink.points[k]) - line[i];
                if (d.squaredNorm() > half_mm * half_mm + along_mm * along_mm) continue;
                const double s = std::abs(d.dot(t));
                if (s > along_mm) continue;
                normal += ink.skin.area(ink.points[k]) * ink.skin.normal(ink.points[k]);
                near.push_back({d, s, weight[k]});
            }
            const Vec3 across = normal.cross(t).normalized();
            if (!across.allFinite()) continue;
            double sum = 0.0, moment = 0.0;
            for (const Near& one : near) {
                const double c = one.d.dot(across);
                if (std::abs(c) > half_mm) continue;
                const double w = one.w * (1.0 - one.s / along_mm);
                sum += w;
                moment += w * c;
            }
            if (!(sum > 0.0)) continue;
            moved[i] = line[i] + std::clamp(moment / sum, -half_mm, half_mm) * across;
        }
        line = resampled(smoothed(moved, smooth_mm, closed), 1.0, closed);
        if (line.size() < 3) return line;
    }
    return line;
}

double breadth(const std::vector<Vec3>& line, bool closed, const Ink& ink, double full, double half_mm) {
    double sum = 0.0;
    for (const std::int32_t p : ink.points)
        if (distance(line, closed, ink.skin.place(p)) <= half_mm) sum += ink.skin.area(p) * ink.share(p);
    const double whole = length(line, closed);
    return full > 0.0 && whole > 0.0 ? std::max(0.0, sum / full / whole) : 0.0;
}

double contrast(const std::vector<Vec3>& line, bool closed, const Ink& ink, double half_mm) {
    std::vector<double> shares;
    for (const std::int32_t p : ink.points)
        if (distance(line, closed, ink.skin.place(p)) <= half_mm) shares.push_back(ink.share(p));
    if (shares.empty()) return 0.0;
    constexpr double most = 0.9;
    const auto at =
        shares.begin() + static_cast<std::ptrdiff_t>(most * static_cast<double>(shares.size() - 1));
    std::nth_element(shares.begin(), at, shares.end());
    return *at;
}

}  // namespace archwright::mark
