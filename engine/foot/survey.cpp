#include "engine/foot/survey.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <mutex>

#include "engine/base/parallel.hpp"

namespace archwright::foot {
namespace {

constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t grain = 1 << 14;
// Regions of the resting points (shares of the length; shares of the width from the middle line).
constexpr double heel_from = 0.03, heel_to = 0.27;
constexpr double first_low_from = 0.61, first_low_to = 0.76;
constexpr double fifth_low_from = 0.54, fifth_low_to = 0.70;
constexpr double first_off_from = 0.20, first_off_to = 0.45;
constexpr double fifth_off_from = -0.46, fifth_off_to = -0.24;

/// Lowest z of the whole, and the x range of what lies near it.
struct Extent {
    double lowest = 1e300;
    double rear = 1e300;
    double front = -1e300;
};

Extent extent_of(std::span<const Vec3> points) {
    Extent extent;
    Box3 box;
    for (const Vec3& p : points) box.add(p);
    extent.lowest = box.low.z();
    // The height limit follows from the length, the length from what lies below it: twice is enough, since
    // only a calf behind the heel can make a difference.
    double length = box.size().x();
    for (int pass = 0; pass < 2; ++pass) {
        extent.rear = 1e300;
        extent.front = -1e300;
        const double limit = extent.lowest + heel_height(length);
        for (const Vec3& p : points) {
            if (p.z() > limit) continue;
            extent.rear = std::min(extent.rear, p.x());
            extent.front = std::max(extent.front, p.x());
        }
        length = extent.front - extent.rear;
    }
    return extent;
}

void find_borders(std::span<const Vec3> points, std::span<const Triangle> triangles, double z_limit,
                  Profile& profile) {
    profile.medial.fill(-1e300);
    profile.lateral.fill(1e300);
    const Profile empty = profile;  // pieces begin with it while others are joined already
    std::mutex join;                // greatest and least do not depend on the order
    parallel_for(triangles.size(), grain, [&](std::size_t begin, std::size_t end) {
        Profile own = empty;
        const double step = profile.length / Profile::stations;
        for (std::size_t i = begin; i < end; ++i) {
            const Triangle& t = triangles[i];
            const std::array<const Vec3*, 3> c{&points[t[0]], &points[t[1]], &points[t[2]]};
            const double x_low = std::min({c[0]->x(), c[1]->x(), c[2]->x()});
            const double x_high = std::max({c[0]->x(), c[1]->x(), c[2]->x()});
            if (std::min({c[0]->z(), c[1]->z(), c[2]->z()}) > z_limit) continue;
            const int k_low = std::max(0, static_cast<int>(std::ceil((x_low - profile.rear) / step)));
            const int k_high =
                std::min(Profile::stations, static_cast<int>(std::floor((x_high - profile.rear) / step)));
            for (int k = k_low; k <= k_high; ++k) {
                const double x = profile.x(k);
                std::array<Vec2, 3> cut;  // (y, z)
                std::size_t n = 0;
                for (std::size_t e = 0; e < 3; ++e) {
                    const Vec3& a = *c[e];
                    const Vec3& b = *c[(e + 1) % 3];
                    if ((a.x() <= x) == (b.x() <= x)) continue;
                    const double s = (x - a.x()) / (b.x() - a.x());
                    cut[n++] = Vec2(a.y() + s * (b.y() - a.y()), a.z() + s * (b.z() - a.z()));
                }
                if (n != 2) continue;
                if (cut[0].y() > cut[1].y()) std::swap(cut[0], cut[1]);
                if (cut[0].y() > z_limit) continue;
                if (cut[1].y() > z_limit) {
                    const double s = (z_limit - cut[0].y()) / (cut[1].y() - cut[0].y());
                    cut[1] = cut[0] + s * (cut[1] - cut[0]);
                }
                const auto slot = static_cast<std::size_t>(k);
                for (std::size_t e = 0; e < 2; ++e) {
                    own.medial[slot] = std::max(own.medial[slot], cut[e].x());
                    own.lateral[slot] = std::min(own.lateral[slot], cut[e].x());
                }
            }
        }
        const std::lock_guard lock(join);
        for (std::size_t k = 0; k < own.medial.size(); ++k) {
            profile.medial[k] = std::max(profile.medial[k], own.medial[k]);
            profile.lateral[k] = std::min(profile.lateral[k], own.lateral[k]);
        }
    });
    for (std::size_t k = 0; k < profile.medial.size(); ++k)
        if (!(profile.medial[k] > profile.lateral[k])) profile.medial[k] = profile.lateral[k] = nothing;
}

std::optional<double> interpolated(const Profile& profile,
                                   const std::array<double, Profile::stations + 1>& of, double x) {
    const double at = Profile::stations * profile.share_at(x);
    if (!(at >= 0.0) || at > Profile::stations) return std::nullopt;
    const auto k = std::min<std::size_t>(Profile::stations - 1, static_cast<std::size_t>(at));
    const double s = at - static_cast<double>(k);
    const double value = s == 0.0 ? of[k] : of[k] + s * (of[k + 1] - of[k]);
    if (std::isnan(value)) return std::nullopt;
    return value;
}

/// The ball's place along the scan where its length is not known: the farther of the two widest places.
double widest_medial(const Profile& profile) {
    double most = -1e300;
    double at = 0.0;
    for (int k = Profile::stations * 45 / 100; k <= Profile::stations; ++k)
        if (profile.has(k) && profile.medial[static_cast<std::size_t>(k)] > most) {
            most = profile.medial[static_cast<std::size_t>(k)];
            at = profile.x(k);
        }
    return at;
}

}  // namespace

bool Profile::has(int station) const {
    return !std::isnan(medial[static_cast<std::size_t>(station)]);
}
std::optional<double> Profile::medial_at(double x_) const {
    return interpolated(*this, medial, x_);
}
std::optional<double> Profile::lateral_at(double x_) const {
    return interpolated(*this, lateral, x_);
}
std::optional<double> Profile::middle_at(double x_) const {
    const auto m = medial_at(x_);
    const auto l = lateral_at(x_);
    if (!m || !l) return std::nullopt;
    return 0.5 * (*m + *l);
}

double border_height(double length) {
    return 35.0 / 260.0 * length;
}
double heel_height(double length) {
    return 60.0 / 260.0 * length;
}

std::optional<double> sole_height(const TriangleMesh& mesh, double x, double y) {
    double lowest = 1e300;
    for (const Triangle& t : mesh.triangles) {
        const Vec3& a = mesh.points[t[0]];
        const Vec3& b = mesh.points[t[1]];
        const Vec3& c = mesh.points[t[2]];
        if (std::max({a.x(), b.x(), c.x()}) < x || std::min({a.x(), b.x(), c.x()}) > x) continue;
        if (std::max({a.y(), b.y(), c.y()}) < y || std::min({a.y(), b.y(), c.y()}) > y) continue;
        const double area = (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x());
        if (area == 0.0) continue;
        const double v = ((x - a.x()) * (c.y() - a.y()) - (y - a.y()) * (c.x() - a.x())) / area;
        const double w = ((b.x() - a.x()) * (y - a.y()) - (b.y() - a.y()) * (x - a.x())) / area;
        if (v < 0.0 || w < 0.0 || v + w > 1.0) continue;
        lowest = std::min(lowest, a.z() + v * (b.z() - a.z()) + w * (c.z() - a.z()));
    }
    if (lowest > 1e299) return std::nullopt;
    return lowest;
}

std::optional<Survey> survey(const TriangleMesh& mesh, bool toes_cut) {
    return survey(mesh.points, mesh.triangles, toes_cut);
}

std::optional<Survey> survey(std::span<const Vec3> points, std::span<const Triangle> triangles,
                             bool toes_cut) {
    if (points.empty()) return std::nullopt;
    Survey s;
    const Extent extent = extent_of(points);
    Profile& profile = s.profile;
    profile.rear = extent.rear;
    profile.length = extent.front - extent.rear;
    if (!(profile.length > 0.0)) return std::nullopt;
    find_borders(points, triangles, extent.lowest + border_height(profile.length), profile);
    if (toes_cut) {
        const double estimate = (widest_medial(profile) - profile.rear) / share::ball;
        if (estimate > profile.length) {
            profile.length = estimate;
            find_borders(points, triangles, extent.lowest + border_height(profile.length), profile);
        }
        s.length_estimated = true;
    }
    constexpr auto heel_station = static_cast<std::size_t>(share::heel_centre * Profile::stations + 0.5);
    if (!profile.has(static_cast<int>(heel_station))) return std::nullopt;
    s.heel_centre = Vec2(profile.x(static_cast<int>(heel_station)),
                         0.5 * (profile.medial[heel_station] + profile.lateral[heel_station]));

    const double z_limit = extent.lowest + border_height(profile.length);
    const Vec3* heel = nullptr;
    const Vec3* first = nullptr;
    const Vec3* fifth = nullptr;
    const Vec3* medial = nullptr;
    const Vec3* lateral = nullptr;
    s.lowest = 1e300;
    s.lowest_toe = 1e300;
    for (const Vec3& p : points) {
        if (p.z() > z_limit) continue;
        const double t = profile.share_at(p.x());
        if (t > share::toe_roots)
            s.lowest_toe = std::min(s.lowest_toe, p.z());
        else
            s.lowest = std::min(s.lowest, p.z());
        if (t > heel_from && t < heel_to && (heel == nullptr || p.z() < heel->z())) heel = &p;
        if (t > share::first_head_from && t < share::first_head_to &&
            (medial == nullptr || p.y() > medial->y()))
            medial = &p;
        if (t > share::fifth_head_from && t < share::fifth_head_to &&
            (lateral == nullptr || p.y() < lateral->y()))
            lateral = &p;
        const bool lowest_first = first == nullptr || p.z() < first->z();
        const bool lowest_fifth = fifth == nullptr || p.z() < fifth->z();
        if (!lowest_first && !lowest_fifth) continue;
        if (t < fifth_low_from || t > first_low_to) continue;
        const auto m = profile.medial_at(p.x());
        const auto l = profile.lateral_at(p.x());
        if (!m || !l) continue;
        const double off = (p.y() - 0.5 * (*m + *l)) / (*m - *l);
        if (lowest_first && off > first_off_from && off < first_off_to && t > first_low_from) first = &p;
        if (lowest_fifth && off > fifth_off_from && off < fifth_off_to && t < fifth_low_to) fifth = &p;
    }
    if (!heel || !first || !fifth || !medial || !lateral) return std::nullopt;
    if (s.lowest_toe > 1e299) s.lowest_toe = s.lowest;
    s.heel_low = *heel;
    s.first_low = *first;
    s.fifth_low = *fifth;
    s.first_border = *medial;
    s.fifth_border = *lateral;
    return s;
}

}  // namespace archwright::foot
