#include "engine/registration/registration.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <array>
#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::registration {

namespace {

constexpr std::size_t coarse_samples = 500;
constexpr int coarse_rounds = 25;
/// Ratios of two units of length: mm, cm, inch, metre.
constexpr std::array<double, 7> unit_ratios{1.0, 2.54, 10.0, 25.4, 100.0 / 2.54, 100.0, 1000.0};
/// A length may differ by this, as a logarithm, and still be that unit: part of a foot, or another foot.
constexpr double same_unit = 0.35;
/// The mirror image fits when its median is below this share of the other's, and the other is no fit by
/// itself; a surface that is its own mirror image gives about 1 (our choice, docs/comparing.md).
constexpr double mirror_share = 0.6;
constexpr double mirror_least_mm = 0.25;

struct Axes {
    Vec3 centre = Vec3::Zero();
    Mat3 ways = Mat3::Identity();  ///< columns, the longest first, right-handed
    double length = 0.0;           ///< along the longest
};

Axes axes_of(const Samples& samples) {
    Axes axes;
    axes.centre = samples.centre();
    Mat3 spread = Mat3::Zero();
    for (const Vec3& p : samples.points) spread += (p - axes.centre) * (p - axes.centre).transpose();
    const Eigen::SelfAdjointEigenSolver<Mat3> eigen(spread);
    axes.ways.col(0) = eigen.eigenvectors().col(2);
    axes.ways.col(1) = eigen.eigenvectors().col(1);
    axes.ways.col(2) = axes.ways.col(0).cross(axes.ways.col(1));
    double low = 1e300, high = -1e300;
    for (const Vec3& p : samples.points) {
        const double x = axes.ways.col(0).dot(p - axes.centre);
        low = std::min(low, x);
        high = std::max(high, x);
    }
    axes.length = std::max(high - low, 0.0);
    return axes;
}

Fit best_of(const Fixed& fixed, const Samples& moving, const std::vector<Motion>& starts, double length) {
    Fit best;
    best.score_mm2 = 1e300;
    const Course course{std::max(20.0, 0.25 * length), coarse_rounds};
    for (const Motion& start : starts) {
        const Fit fit = settle(fixed, moving, start, course);
        if (fit.score_mm2 < best.score_mm2) best = fit;
    }
    return best;
}

std::string ratio_words(double factor) {
    return factor >= 1.0 ? rounded(factor, factor < 30.0 ? 2 : 0) + " times too small"
                         : rounded(1.0 / factor, 1.0 / factor < 30.0 ? 2 : 0) + " times too large";
}

std::string way_words(const Fit& fit) {
    const bool turns = fit.weak_turn.norm() > fit.weak_shift.norm();
    const Vec3 way = (turns ? fit.weak_turn : fit.weak_shift).normalized();
    return std::string(turns ? "turns freely about " : "slides freely along ") + "the direction x " +
           rounded(way.x(), 2) + ", y " + rounded(way.y(), 2) + ", z " + rounded(way.z(), 2);
}

std::string percent_words(double share) {
    return rounded(100.0 * share, 0) + " %";
}

Registration with(Registration registration, Trouble trouble, std::string words) {
    registration.trouble = trouble;
    registration.words = std::move(words);
    return registration;
}

/// After the surfaces were settled as they are: is that a fit?
Registration judged(Registration found, const Settings& settings, double own, double mirrored) {
    const Fit& fit = found.fit;
    if (mirrored > 0.0 && own > mirror_least_mm && mirrored < mirror_share * own)
        return with(std::move(found), Trouble::wrong_side,
                    "The mirror image lies on the other surface (half of it within " + rounded(mirrored, 2) +
                        " mm, as it stands within " + rounded(own, 2) +
                        " mm): one of the two has the wrong side, or one was mirrored on its way. State the "
                        "sides again, or ask for left against right.");
    if (fit.overlap < settings.least_overlap)
        return with(std::move(found), Trouble::too_little_overlap,
                    "Only " + percent_words(fit.overlap) + " of the surface has a counterpart; " +
                        percent_words(settings.least_overlap) +
                        " are needed. Take a scan that shows more of it.");
    if (!(fit.median_mm <= settings.same_mm))
        return with(std::move(found), Trouble::not_the_same,
                    "Half of the surface lies " + rounded(fit.median_mm, 2) +
                        " mm or more from the other; more than " + rounded(settings.same_mm, 2) +
                        " mm is another foot or another device. Look whether these two belong together.");
    if (fit.least_held < settings.least_held)
        return with(std::move(found), Trouble::slides,
                    "The surface " + way_words(fit) + " (held by " + rounded(100.0 * fit.least_held, 2) +
                        " %, " + rounded(100.0 * settings.least_held, 2) +
                        " % are needed): its place is not known. Take a scan that shows more than one smooth "
                        "patch.");
    if (!fit.settled)
        return with(std::move(found), Trouble::unsettled,
                    "The two surfaces came to no rest on one another in " + std::to_string(fit.rounds) +
                        " rounds; half lies within " + rounded(fit.median_mm, 2) + " mm.");
    return found;
}

}  // namespace

const char* key(Trouble trouble) {
    constexpr std::array<const char*, 8> words{"none",       "nothing_there",      "wrong_unit",
                                               "wrong_side", "too_little_overlap", "not_the_same",
                                               "slides",     "unsettled"};
    return words[static_cast<std::size_t>(trouble)];
}

std::vector<Motion> by_axes(const Samples& moving, const Samples& fixed) {
    const Axes from = axes_of(moving), to = axes_of(fixed);
    std::vector<Motion> motions;
    for (const double x : {1.0, -1.0})
        for (const double y : {1.0, -1.0}) {
            Motion motion;
            motion.turn = to.ways * Vec3(x, y, x * y).asDiagonal() * from.ways.transpose();
            motion.shift = to.centre - motion.turn * from.centre;
            motions.push_back(motion);
        }
    return motions;
}

Outcome<Registration> register_surfaces(const TriangleMesh& moving, const Fixed& fixed,
                                        const Settings& settings, Progress& progress) {
    const Fault cancelled{FaultKind::cancelled, "register", "Cancelled.", {}};
    Registration found;
    const Samples all = samples_of(moving, settings.samples);
    const Samples samples = settings.agrees ? samples_of(moving, settings.samples, settings.agrees) : all;
    constexpr std::size_t least_samples = 50;
    if (samples.points.size() < least_samples || fixed.samples().points.size() < least_samples)
        return with(std::move(found), Trouble::nothing_there,
                    "There is no surface where the two should agree: fewer than " +
                        std::to_string(least_samples) + " triangles.");
    const double length = axes_of(fixed.samples()).length, own_length = axes_of(all).length;
    if (!progress.report("Registering", 0.0)) return cancelled;

    const Samples coarse = samples.thinned(coarse_samples);
    if (settings.check_unit && own_length > 0.0) {
        const double ratio = length / own_length;
        double nearest = 1.0;
        for (const double unit : unit_ratios)
            for (const double factor : {unit, 1.0 / unit})
                if (std::abs(std::log(ratio / factor)) < std::abs(std::log(ratio / nearest)))
                    nearest = factor;
        if (nearest != 1.0 && std::abs(std::log(ratio / nearest)) < same_unit) {
            // part of a foot is short too: only what fits once it is scaled had another unit
            const Samples scaled = coarse.scaled(nearest);
            std::vector<Motion> starts = by_axes(all.scaled(nearest), fixed.samples());
            const Fit fit = best_of(fixed, scaled, starts, length);
            Samples mirror = scaled.mirrored();
            const Fit turned =
                best_of(fixed, mirror, by_axes(all.scaled(nearest).mirrored(), fixed.samples()), length);
            const double median = std::min(fit.median_mm, turned.median_mm);
            constexpr double unit_fits = 3.0;  // of what is the same; another foot of this unit, not a speck
            if (median < unit_fits * settings.same_mm) {
                found.fit = fit;
                found.factor = nearest;
                return with(std::move(found), Trouble::wrong_unit,
                            "The surface is " + ratio_words(nearest) + " (its length is " +
                                rounded(own_length, 1) + " mm, the other's " + rounded(length, 1) +
                                " mm): its unit is wrong. State the unit again.");
            }
        }
    }

    std::vector<Motion> starts = settings.starts;
    if (const auto motion = motion_of(settings.landmarks)) starts.push_back(*motion);
    const std::vector<Motion> axes = by_axes(all, fixed.samples());
    if (starts.empty()) starts = axes;
    Fit first = best_of(fixed, coarse, starts, length);
    // a start that leads nowhere: landmarks of another surface, a frame that is not the same
    if (starts.size() < axes.size() &&
        (first.median_mm > settings.same_mm || first.overlap < settings.least_overlap)) {
        const Fit other = best_of(fixed, coarse, axes, length);
        if (other.score_mm2 < first.score_mm2) first = other;
    }
    if (!progress.report("Registering", 0.4)) return cancelled;
    double mirrored = 0.0;
    if (settings.check_side && first.median_mm > mirror_least_mm) {
        std::vector<Motion> mirror_starts = by_axes(all.mirrored(), fixed.samples());
        mirror_starts.insert(mirror_starts.end(), settings.starts.begin(), settings.starts.end());
        const Fit fit = best_of(fixed, coarse.mirrored(), mirror_starts, length);
        if (fit.overlap > 0.8 * first.overlap) mirrored = fit.median_mm;
    }
    found.mirrored_median_mm = mirrored;
    if (!progress.report("Registering", 0.7)) return cancelled;
    const double near = std::max(4.0, 8.0 * first.median_mm);
    found.fit = settle(fixed, samples, first.motion, {near, 120});
    if (!progress.report("Registering", 1.0)) return cancelled;
    return judged(std::move(found), settings, first.median_mm, mirrored);
}

}  // namespace archwright::registration
