#include "engine/foot/heel.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace archwright::foot {
namespace {

// Shares of the foot's length.
constexpr double first_height = 0.04;
constexpr double last_height = 0.17;
constexpr double lower_height = 0.05;
constexpr double upper_height = 0.15;
constexpr int heights = 14;
constexpr double ahead_of_rear = 0.06;
constexpr double heel_end = 0.30;
constexpr int least_heights = 5;

using Segment = std::array<Vec2, 2>;  // (x, y)

std::vector<Segment> section(const TriangleMesh& mesh, const std::vector<std::int32_t>& heel, double z) {
    std::vector<Segment> segments;
    for (const std::int32_t i : heel) {
        const Triangle& t = mesh.triangles[i];
        Segment cut;
        std::size_t n = 0;
        for (std::size_t e = 0; e < 3; ++e) {
            const Vec3& a = mesh.points[t[e]];
            const Vec3& b = mesh.points[t[(e + 1) % 3]];
            if ((a.z() <= z) == (b.z() <= z)) continue;
            const double s = (z - a.z()) / (b.z() - a.z());
            cut[n++] = Vec2(a.x() + s * (b.x() - a.x()), a.y() + s * (b.y() - a.y()));
        }
        if (n == 2) segments.push_back(cut);
    }
    return segments;
}

/// Range of the other coordinate where segments cross the line (coordinate `axis`) = value.
struct Range {
    double low = 1e300;
    double high = -1e300;
};
Range across(const std::vector<Segment>& segments, int axis, double value) {
    Range range;
    for (const Segment& s : segments) {
        if ((s[0][axis] <= value) == (s[1][axis] <= value)) continue;
        const double w = (value - s[0][axis]) / (s[1][axis] - s[0][axis]);
        const double other = s[0][1 - axis] + w * (s[1][1 - axis] - s[0][1 - axis]);
        range.low = std::min(range.low, other);
        range.high = std::max(range.high, other);
    }
    return range;
}

}  // namespace

std::optional<HeelMidline> heel_midline(const TriangleMesh& mesh, const Survey& survey) {
    const double length = survey.profile.length;
    const double ground = survey.heel_low.z();
    std::vector<std::int32_t> heel;
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
        const Triangle& t = mesh.triangles[i];
        const Vec3& p = mesh.points[t[0]];
        if (p.x() < survey.profile.rear + heel_end * length && p.z() < ground + 0.25 * length)
            heel.push_back(static_cast<std::int32_t>(i));
    }
    std::vector<Vec2> middles;  // (z, y)
    for (int k = 0; k < heights; ++k) {
        const double z = ground + length * (first_height + (last_height - first_height) * k / (heights - 1));
        const std::vector<Segment> cut = section(mesh, heel, z);
        double rear = 1e300;
        for (const Segment& s : cut) rear = std::min({rear, s[0].x(), s[1].x()});
        const Range sides = across(cut, 0, rear + ahead_of_rear * length);
        if (sides.high - sides.low < 0.1 * length) continue;
        middles.emplace_back(z, 0.5 * (sides.low + sides.high));
    }
    if (static_cast<int>(middles.size()) < least_heights) return std::nullopt;
    Vec2 mean = Vec2::Zero();
    for (const Vec2& m : middles) mean += m;
    mean /= static_cast<double>(middles.size());
    double zz = 0.0, zy = 0.0;
    for (const Vec2& m : middles) {
        zz += (m.x() - mean.x()) * (m.x() - mean.x());
        zy += (m.x() - mean.x()) * (m.y() - mean.y());
    }
    const double slope = zy / zz;
    const auto y_at = [&](double z) { return mean.y() + slope * (z - mean.x()); };
    HeelMidline line;
    line.heights = static_cast<int>(middles.size());
    for (const Vec2& m : middles) line.rms_mm += std::pow(m.y() - y_at(m.x()), 2);
    line.rms_mm = std::sqrt(line.rms_mm / line.heights);
    const auto on_back = [&](double z) {
        const Range range = across(section(mesh, heel, z), 1, y_at(z));
        return Vec3(range.low < 1e299 ? range.low : survey.profile.rear, y_at(z), z);
    };
    line.lower = on_back(ground + lower_height * length);
    line.upper = on_back(std::min(ground + upper_height * length, middles.back().x()));
    return line;
}

}  // namespace archwright::foot
