#include "engine/registration/settle.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>

#include "engine/base/parallel.hpp"

namespace archwright::registration {

namespace {

using Vec6 = Eigen::Matrix<double, 6, 1>;

constexpr double tukey = 4.685;   ///< 95 % efficient on a normal distribution
constexpr double to_sd = 1.4826;  ///< median of distances to standard deviation, normal distribution
/// Below this nothing is noise: a thousandth of what a 0.1 mm printer layer shows.
constexpr double least_sd_mm = 1e-4;
constexpr double facing = 0.5;           ///< cosine of 60 degrees
constexpr double least_reach_mm = 4.0;   ///< dents and noise of a cast stay within
constexpr double reach_of_median = 6.0;  ///< what lies further off than so many medians is elsewhere
constexpr double greatest_turn = 0.3;  ///< of one round, radians: the linear turn still points the right way
constexpr double settled_turn = 1e-8;  ///< radians: far below 1e-5 mm over a foot
constexpr double settled_shift_mm = 1e-6;
constexpr double not_held = 1e-10;  ///< a motion held less is left alone

struct Match {
    Vec3 p = Vec3::Zero(), n = Vec3::Zero();
    double r = 0.0, distance = 0.0;
    bool there = false, counts = false;
};

double median(std::vector<double>& values) {
    if (values.empty()) return 0.0;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

void match_all(const Fixed& fixed, const Samples& moving, const Motion& motion, double reach,
               std::vector<Match>& matches) {
    parallel_for(moving.points.size(), 256, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            Match& m = matches[i];
            m = Match{};
            m.p = motion(moving.points[i]);
            const auto foot = fixed.nearest(m.p, reach);
            if (!foot) continue;
            m.distance = foot->distance;
            if (foot->on_border || (motion.turn * moving.normals[i]).dot(foot->normal) < facing) continue;
            m.there = true;
            m.n = foot->normal;
            m.r = m.n.dot(m.p - foot->point);
        }
    });
}

struct System {
    Mat6 information = Mat6::Zero();  ///< turns times L
    Vec6 right = Vec6::Zero();
    Vec3 centre = Vec3::Zero();
    double radius = 1.0, weight = 0.0, squares = 0.0;
};

System system_of(const std::vector<Match>& matches, double limit) {
    System s;
    double count = 0.0;
    for (const Match& m : matches)
        if (m.there) {
            s.centre += m.p;
            count += 1.0;
        }
    if (count < 1.0) return s;
    s.centre /= count;
    double spread = 0.0;
    for (const Match& m : matches)
        if (m.there) spread += (m.p - s.centre).squaredNorm();
    s.radius = std::max(std::sqrt(spread / count), 1e-6);
    for (const Match& m : matches) {
        if (!m.there || std::abs(m.r) >= limit) continue;
        const double x = m.r / limit, w = (1.0 - x * x) * (1.0 - x * x);
        Vec6 j;
        j << (m.p - s.centre).cross(m.n) / s.radius, m.n;
        s.information += w * j * j.transpose();
        s.right -= w * m.r * j;
        s.weight += w;
        s.squares += w * m.r * m.r;
    }
    return s;
}

}  // namespace

Fit settle(const Fixed& fixed, const Samples& moving, const Motion& start, const Course& course) {
    Fit fit;
    fit.motion = start;
    fit.score_mm2 = score_limit_mm * score_limit_mm;
    const std::size_t count = moving.points.size();
    std::vector<Match> matches(count);
    double reach = course.reach_mm;
    for (int round = 0; round <= course.most_rounds; ++round) {
        match_all(fixed, moving, fit.motion, reach, matches);
        std::vector<double> sizes, distances;
        for (const Match& m : matches)
            if (m.there) {
                sizes.push_back(std::abs(m.r));
                distances.push_back(m.distance);
            }
        fit.rounds = round;
        fit.overlap = count > 0 ? static_cast<double>(sizes.size()) / static_cast<double>(count) : 0.0;
        if (sizes.size() < 12) {
            fit.settled = false;
            fit.used = 0.0;
            return fit;
        }
        fit.median_mm = median(sizes);
        const double limit = tukey * std::max(to_sd * fit.median_mm, least_sd_mm);
        const System s = system_of(matches, limit);
        const Eigen::SelfAdjointEigenSolver<Mat6> eigen(s.information);
        const Vec6 held = eigen.eigenvalues() / std::max(s.weight, 1e-300);
        fit.least_held = std::max(held[0], 0.0);
        fit.most_held = held[5];
        fit.weak_turn = eigen.eigenvectors().col(0).head<3>();
        fit.weak_shift = eigen.eigenvectors().col(0).tail<3>();
        fit.centre = s.centre;
        fit.used = s.weight / static_cast<double>(count);
        fit.rms_mm = std::sqrt(s.squares / std::max(s.weight, 1e-300));
        Vec6 step = Vec6::Zero();
        Mat6 inverse = Mat6::Zero();
        for (int k = 0; k < 6; ++k) {
            if (!(held[k] > not_held)) continue;
            const Vec6 way = eigen.eigenvectors().col(k);
            step += way * (way.dot(s.right) / eigen.eigenvalues()[k]);
            inverse += way * way.transpose() / eigen.eigenvalues()[k];
        }
        Mat6 unscale = Mat6::Identity();
        unscale.topLeftCorner<3, 3>() /= s.radius;
        fit.covariance = unscale * inverse * unscale * (s.squares / std::max(s.weight - 6.0, 1.0));
        Vec3 turn = step.head<3>() / s.radius, shift = step.tail<3>();
        if (turn.norm() > greatest_turn) turn *= greatest_turn / turn.norm();
        const bool still = turn.norm() < settled_turn && shift.norm() < settled_shift_mm;
        const double next = std::max(least_reach_mm, std::min(reach, reach_of_median * median(distances)));
        if (round == course.most_rounds || (still && next >= reach)) {
            fit.settled = still;
            break;
        }
        reach = next;
        fit.motion = fit.motion.then(small_motion(turn, s.centre, shift));
    }
    double score = 0.0;
    for (const Match& m : matches) {
        const double d = m.there ? std::min(m.distance, score_limit_mm) : score_limit_mm;
        score += d * d;
    }
    fit.score_mm2 = score / static_cast<double>(count);
    return fit;
}

}  // namespace archwright::registration
