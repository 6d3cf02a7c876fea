// How long a program takes on a machine.
#include "engine/mill/arc.hpp"
#include "engine/mill/simulate.hpp"

namespace archwright::mill {

double duration(const std::vector<Operation>& operations, const MachineLimits& machine) {
    constexpr double bend_mm = 0.01;
    const double a = machine.acceleration_mm_s2;
    double seconds = 0.0;
    for (const Operation& operation : operations) {
        const auto& moves = operation.moves;
        const std::size_t n = moves.size();
        if (n < 2) continue;
        // speeds at the joints: what the bend lets pass, then what braking and speeding up let
        std::vector<double> length(n, 0.0), wish(n, 0.0), joint(n + 1, 0.0);
        std::vector<std::array<Vec3, 2>> along(n, {Vec3::Zero(), Vec3::Zero()});
        for (std::size_t i = 1; i < n; ++i) {
            length[i] = way_length(moves[i - 1].to, moves[i]);
            along[i] = directions(moves[i - 1].to, moves[i]);
            wish[i] =
                (moves[i].rapid ? machine.rapid_mm_min : std::min(moves[i].feed, machine.feed_most_mm_min)) /
                60.0;
            if (moves[i].turn != 0)  // what the acceleration lets pass round the arc
                wish[i] = std::min(wish[i], std::sqrt(a * (moves[i].to.head<2>() - moves[i].centre).norm()));
        }
        for (std::size_t i = 1; i + 1 < n; ++i) {
            // a bend by theta, its corner cut by bend_mm, is an arc of radius bend / (1 / cos(theta/2) - 1)
            const double cosine = std::clamp(along[i][1].dot(along[i + 1][0]), -1.0, 1.0);
            const double half = std::sqrt(0.5 * (1.0 + cosine));
            const double radius = half >= 1.0 - 1e-12 ? 1e12 : bend_mm * half / (1.0 - half);
            joint[i] = std::min({wish[i], wish[i + 1], std::sqrt(a * radius)});
        }
        for (std::size_t i = 1; i < n; ++i)
            joint[i] = std::min(joint[i], std::sqrt(joint[i - 1] * joint[i - 1] + 2.0 * a * length[i]));
        for (std::size_t i = n - 1; i-- > 0;)
            joint[i] = std::min(joint[i], std::sqrt(joint[i + 1] * joint[i + 1] + 2.0 * a * length[i + 1]));
        for (std::size_t i = 1; i < n; ++i) {
            if (!(length[i] > 0.0) || !(wish[i] > 0.0)) continue;
            const double v0 = joint[i - 1], v1 = joint[i];
            const double top = std::min(wish[i], std::sqrt(a * length[i] + 0.5 * (v0 * v0 + v1 * v1)));
            const double used = (2.0 * top * top - v0 * v0 - v1 * v1) / (2.0 * a);
            seconds += (2.0 * top - v0 - v1) / a + std::max(0.0, length[i] - used) / top;
        }
    }
    return seconds;
}

}  // namespace archwright::mill
