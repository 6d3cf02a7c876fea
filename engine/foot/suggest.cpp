#include "engine/foot/suggest.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/foot/heel.hpp"
#include "engine/foot/survey.hpp"

namespace archwright::foot {
namespace {

constexpr double second_ahead = 0.01;  // share of the length

/// Collects what is suggested, with its reason.
class Suggesting {
  public:
    explicit Suggesting(Suggestions& into) : into_(into) {}

    void add(LandmarkId id, const Vec3& position, double confidence, const std::string& reason) {
        Landmark landmark;
        landmark.position = position;
        landmark.confidence = std::clamp(confidence, 0.0, 1.0);
        landmark.sd_mm = tolerance::suggested_landmark_sd_mm;
        into_.landmarks[id] = landmark;
        into_.reasons[id] = reason;
    }
    void leave(LandmarkId id, const std::string& reason) { into_.reasons[id] = reason; }

  private:
    Suggestions& into_;
};

/// The lowest point of the mesh near a place in plan.
std::optional<Vec3> lowest_near(const TriangleMesh& mesh, const Vec2& at, double half_x, double half_y,
                                double below) {
    std::optional<Vec3> lowest;
    for (const Vec3& p : mesh.points)
        if (std::abs(p.x() - at.x()) < half_x && std::abs(p.y() - at.y()) < half_y && p.z() < below &&
            (!lowest || p.z() < lowest->z()))
            lowest = p;
    return lowest;
}

/// Confidence of an extreme found in a window: low where it lies at the window's edge, and so may only be
/// the beginning of something beyond.
double away_from_edge(double t, double from, double to) {
    const double off = std::min(t - from, to - t) / (to - from);
    return 0.4 + 0.5 * std::min(1.0, off / 0.15);
}

/// The most lateral or medial point in a box of shares of the length: along x, and in height.
struct Bulge {
    Vec3 at = Vec3::Zero();
    double prominence = 0.0;  ///< mm beyond the straight line between the window's upper and lower end
};
std::optional<Bulge> bulge(const TriangleMesh& mesh, const Profile& profile, double side, double x_from,
                           double x_to, double z_from, double z_to) {
    // Greatest reach to that side in slices of height.
    constexpr int slices = 12;
    std::array<std::optional<Vec3>, slices> reach;
    for (const Vec3& p : mesh.points) {
        const double t = profile.share_at(p.x());
        const double h = (p.z() / profile.length - z_from) / (z_to - z_from);
        if (t < x_from || t > x_to || h < 0.0 || h >= 1.0) continue;
        std::optional<Vec3>& best = reach[static_cast<std::size_t>(h * slices)];
        if (!best || side * p.y() > side * best->y()) best = p;
    }
    for (const auto& r : reach)
        if (!r) return std::nullopt;
    const Vec3& low = *reach.front();
    const Vec3& high = *reach.back();
    Bulge found;
    for (const auto& r : reach) {
        const double s = (r->z() - low.z()) / (high.z() - low.z());
        const double beyond = side * (r->y() - (low.y() + s * (high.y() - low.y())));
        if (beyond > found.prominence) {
            found.prominence = beyond;
            found.at = *r;
        }
    }
    return found;
}

void suggest_fifth_base(const TriangleMesh& mesh, const Survey& s, Suggesting& to) {
    // The styloid process stands out from the line between heel and 5th head.
    constexpr double from = 0.30, until = 0.46, usual = 0.38;
    const Profile& profile = s.profile;
    const Vec2 heel(s.heel_centre.x(), profile.lateral_at(s.heel_centre.x()).value_or(0.0));
    const Vec2 head(s.fifth_border.x(), s.fifth_border.y());
    double most = -1e300;
    double at = profile.rear + usual * profile.length;
    for (int k = 0; k <= Profile::stations; ++k) {
        const double t = static_cast<double>(k) / Profile::stations;
        if (t < from || t > until || !profile.has(k)) continue;
        const double line =
            heel.y() + (head.y() - heel.y()) * (profile.x(k) - heel.x()) / (head.x() - heel.x());
        // bent towards the usual place, so that a straight border gives that
        const double beyond =
            line - profile.lateral[static_cast<std::size_t>(k)] - 400.0 * (t - usual) * (t - usual);
        if (beyond > most) {
            most = beyond;
            at = profile.x(k);
        }
    }
    std::optional<Vec3> border;
    for (const Vec3& p : mesh.points)
        if (std::abs(p.x() - at) < 0.01 * profile.length && p.z() < border_height(profile.length) &&
            (!border || p.y() < border->y()))
            border = p;
    if (!border) {
        to.leave(LandmarkId::fifth_base, "the lateral border is not there");
        return;
    }
    to.add(LandmarkId::fifth_base, *border, 0.4,
           "most lateral point near 0.38 of the length, where the border stands out");
}

void suggest_navicular(const TriangleMesh& mesh, const Survey& s, Suggesting& to) {
    constexpr double usual_x = 0.42, usual_z = 0.165, prominent_mm = 1.0;
    if (const auto found = bulge(mesh, s.profile, 1.0, usual_x - 0.05, usual_x + 0.05, 0.11, 0.22);
        found && found->prominence > prominent_mm) {
        to.add(LandmarkId::navicular, found->at, 0.3 + 0.05 * std::min(4.0, found->prominence),
               "most prominent point above the arch, by " + rounded(found->prominence, 1) + " mm");
        return;
    }
    const Vec2 usual(s.profile.rear + usual_x * s.profile.length, usual_z * s.profile.length);
    const Vec3* nearest = nullptr;
    double least = 0.02 * s.profile.length;
    for (const Vec3& p : mesh.points) {
        const double off = (Vec2(p.x(), p.z()) - usual).norm();
        if (p.y() < 0.04 * s.profile.length || off > least) continue;
        least = off;
        nearest = &p;
    }
    if (nearest == nullptr)
        to.leave(LandmarkId::navicular, "the cast does not reach high enough above the arch");
    else
        to.add(LandmarkId::navicular, *nearest, 0.25,
               "no prominence seen: the usual place, 0.42 of the length and 0.165 of it high");
}

void suggest_malleoli(const TriangleMesh& mesh, const Survey& s, Suggesting& to) {
    constexpr double least_mm = 1.0;
    const struct {
        LandmarkId id;
        double side, x_from, x_to, z_from, z_to;
    } windows[] = {{LandmarkId::lateral_malleolus, -1.0, 0.10, 0.30, 0.19, 0.36},
                   {LandmarkId::medial_malleolus, 1.0, 0.12, 0.34, 0.22, 0.42}};
    for (const auto& w : windows) {
        const auto found = bulge(mesh, s.profile, w.side, w.x_from, w.x_to, w.z_from, w.z_to);
        if (!found || found->prominence < least_mm)
            to.leave(w.id, "not seen on this scan");
        else
            to.add(w.id, found->at, 0.3 + 0.1 * std::min(4.0, found->prominence),
                   "stands out by " + rounded(found->prominence, 1) + " mm");
    }
}

}  // namespace

Suggestions suggest(const TriangleMesh& standing, bool toes_cut) {
    Suggestions found;
    Suggesting to(found);
    const std::optional<Survey> surveyed = survey(standing, toes_cut);
    if (!surveyed) return found;
    const Survey& s = *surveyed;
    const Profile& profile = s.profile;
    const double length = profile.length;
    found.foot_length_mm = length;
    found.length_estimated = s.length_estimated;
    const double trust = s.length_estimated ? 0.7 : 1.0;  // every window hangs on the length

    if (const auto z = sole_height(standing, s.heel_centre.x(), s.heel_centre.y()))
        to.add(LandmarkId::heel_centre, Vec3(s.heel_centre.x(), s.heel_centre.y(), *z), 0.9 * trust,
               "middle of the width at 0.16 of the length");
    std::optional<Vec3> rear;
    for (const Vec3& p : standing.points)
        if (p.z() < s.heel_low.z() + heel_height(length) && (!rear || p.x() < rear->x())) rear = p;
    if (rear) to.add(LandmarkId::posterior_heel, *rear, 0.9, "rearmost point of the heel");

    if (const auto line = heel_midline(standing, s)) {
        const std::string reason = "middle of the heel's width over " + std::to_string(line->heights) +
                                   " heights, rms " + rounded(line->rms_mm, 2) +
                                   " mm; the bones are not seen by it";
        const double confidence = 0.6 - 0.15 * std::min(2.0, line->rms_mm);
        to.add(LandmarkId::bisection_lower, line->lower, confidence, reason);
        to.add(LandmarkId::bisection_upper, line->upper, confidence, reason);
    } else {
        to.leave(LandmarkId::bisection_lower, "the back of the heel is not high enough");
        to.leave(LandmarkId::bisection_upper, "the back of the heel is not high enough");
    }

    const double first_t = profile.share_at(s.first_border.x());
    const double fifth_t = profile.share_at(s.fifth_border.x());
    to.add(LandmarkId::first_head_border, s.first_border,
           trust * away_from_edge(first_t, share::first_head_from, share::first_head_to),
           "most medial point, at " + rounded(first_t, 2) + " of the length");
    to.add(LandmarkId::fifth_head_border, s.fifth_border,
           trust * away_from_edge(fifth_t, share::fifth_head_from, share::fifth_head_to),
           "most lateral point, at " + rounded(fifth_t, 2) + " of the length");
    to.add(LandmarkId::first_head_plantar, s.first_low, 0.8 * trust,
           "lowest point of the sole under the 1st head");
    to.add(LandmarkId::fifth_head_plantar, s.fifth_low, 0.8 * trust,
           "lowest point of the sole under the 5th head");
    // On the axis, and a little ahead of the 1st head: the 2nd metatarsal is the longest.
    const Vec2 way = s.first_border.head<2>() + share::axis_way * (s.fifth_border - s.first_border).head<2>();
    const double ahead = s.first_border.x() + second_ahead * length;
    const Vec2 second_at =
        s.heel_centre + (ahead - s.heel_centre.x()) / (way.x() - s.heel_centre.x()) * (way - s.heel_centre);
    if (const auto second =
            lowest_near(standing, second_at, 0.025 * length, 0.015 * length, border_height(length)))
        to.add(LandmarkId::second_head_plantar, *second, 0.5 * trust,
               "lowest point of the sole on the axis, just ahead of the 1st head");
    suggest_fifth_base(standing, s, to);
    suggest_navicular(standing, s, to);
    suggest_malleoli(standing, s, to);
    return found;
}

}  // namespace archwright::foot
