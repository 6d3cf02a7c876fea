#include "engine/foot/angles.hpp"

#include <array>
#include <cmath>

#include "engine/base/units.hpp"

namespace archwright::foot {
namespace {

/// atan2 of a difference of two points whose coordinates err independently: the error across the line of
/// length r is sqrt(sd1^2 + sd2^2), so that of its direction is that over r.
Figure direction(double opposite, double adjacent, double sd_one, double sd_other) {
    const double r = std::hypot(opposite, adjacent);
    return {degrees(std::atan2(opposite, adjacent)),
            r > 0.0 ? written_sigmas * degrees(std::hypot(sd_one, sd_other) / r) : 180.0};
}

double beta(const Vec3& lower, const Vec3& upper) {
    return std::atan2(lower.y() - upper.y(), upper.z() - lower.z());
}
double phi(const Vec3& medial, const Vec3& fifth) {
    return std::atan2(medial.z() - fifth.z(), medial.y() - fifth.y());
}

double wrapped(double angle) {
    return std::remainder(angle, 2.0 * std::numbers::pi);
}

/// FFRF in radians after the pitch that levels heel and heads.
double levelled_ffrf(const std::array<Vec3, 4>& p, const Vec3& heel) {
    const Vec3 heads = 0.5 * (p[2] + p[3]);
    const double pitch = std::atan2(heads.z() - heel.z(), heads.x() - heel.x());
    std::array<Vec3, 4> q;
    for (std::size_t i = 0; i < 4; ++i)
        q[i] = Vec3(std::cos(pitch) * p[i].x() + std::sin(pitch) * p[i].z(), p[i].y(),
                    -std::sin(pitch) * p[i].x() + std::cos(pitch) * p[i].z());
    return wrapped(phi(q[2], q[3]) - beta(q[0], q[1]));
}

}  // namespace

std::optional<Marked> marked(const Landmarks& landmarks, LandmarkId id) {
    const auto found = landmarks.find(id);
    if (found == landmarks.end()) return std::nullopt;
    return Marked{found->second.position, found->second.sd_mm};
}

Figure heel_bisection(const Marked& lower, const Marked& upper) {
    return direction(lower.position.y() - upper.position.y(), upper.position.z() - lower.position.z(),
                     lower.sd_mm, upper.sd_mm);
}

Figure metatarsal_plane(const Marked& medial_head, const Marked& fifth_head) {
    return direction(medial_head.position.z() - fifth_head.position.z(),
                     medial_head.position.y() - fifth_head.position.y(), medial_head.sd_mm, fifth_head.sd_mm);
}

Figure forefoot_to_rearfoot(const Marked& bisection_lower, const Marked& bisection_upper,
                            const Marked& first_head, const Marked& fifth_head, const Vec3& heel_lowest) {
    const std::array<Vec3, 4> points{bisection_lower.position, bisection_upper.position, first_head.position,
                                     fifth_head.position};
    const std::array<double, 4> sd{bisection_lower.sd_mm, bisection_upper.sd_mm, first_head.sd_mm,
                                   fifth_head.sd_mm};
    // Central differences: their error, of the order of the step squared, is far below any landmark's sd.
    constexpr double step_mm = 1e-3;
    double variance = 0.0;
    for (std::size_t i = 0; i < 4; ++i)
        for (int c = 0; c < 3; ++c) {
            std::array<Vec3, 4> more = points;
            std::array<Vec3, 4> less = points;
            more[i][c] += step_mm;
            less[i][c] -= step_mm;
            const double slope =
                wrapped(levelled_ffrf(more, heel_lowest) - levelled_ffrf(less, heel_lowest)) /
                (2.0 * step_mm);
            variance += slope * slope * sd[i] * sd[i];
        }
    return {degrees(levelled_ffrf(points, heel_lowest)), written_sigmas * degrees(std::sqrt(variance))};
}

Figure malleolar_line(const Marked& lateral, const Marked& medial) {
    return direction(medial.position.z() - lateral.position.z(), medial.position.y() - lateral.position.y(),
                     medial.sd_mm, lateral.sd_mm);
}

}  // namespace archwright::foot
