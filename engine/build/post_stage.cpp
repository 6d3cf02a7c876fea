#include "engine/build/post_stage.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/tolerances.hpp"
#include "engine/base/units.hpp"
#include "engine/build/post_outline.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/plan_loop.hpp"
#include "engine/surface/post.hpp"

namespace archwright::build {

namespace {

struct Below {
    surface::PeriodicCurve curve;
    std::vector<Vec3> points;  // of the underside inside it
};

Outcome<Below> below(const surface::SplineSurface& underside, const std::vector<Vec2>& plan) {
    auto curve = surface::plan_loop(underside, plan);
    if (!curve) return curve.fault();
    Below b{std::move(*curve), {}};
    const surface::TrimRegion inside{surface::Outline(b.curve)};
    const surface::Lattice lattice = surface::Lattice::spaced(underside.u, underside.v, 1.0);
    const std::vector<Vec3> points = surface::sample_points(underside, lattice);
    for (std::size_t k = 0; k < points.size(); ++k)
        if (inside.inside(lattice.uv(k))) b.points.push_back(points[k]);
    for (double s = 0.0; s < b.curve.period(); s += 0.25)
        b.points.push_back(underside.point(b.curve.point(s)));
    return b;
}

// A floor but for its height: z = slope_x x + slope_y y + what the second face rises.
surface::Post floor_at(double slope_x, double slope_y,
                       const std::optional<surface::Post::Hinge>& hinge = std::nullopt) {
    surface::Post post;
    post.floor_normal = Vec3(slope_x, slope_y, -1.0).normalized();
    post.hinge = hinge;
    return post;
}

// The height over the origin of the highest such floor that lies `height` below all the points.
double floor_below(const std::vector<Vec3>& points, const surface::Post& floor, double height) {
    double least = 1e300;
    for (const Vec3& p : points) least = std::min(least, surface::height_above_floor(floor, p));
    return least - height;
}

surface::Post post_on(const char* name, Below at, double flare, surface::Post floor, double height) {
    floor.floor_point.z() = floor_below(at.points, floor, height);
    floor.name = name;
    floor.curve = std::move(at.curve);
    floor.draft_deg = -flare;
    return floor;
}

std::optional<surface::Post::Hinge> hinge_of(const feature::RearfootPost& rear,
                                             const surface::TrimRule& rule) {
    if (!(rear.motion_deg > 0.0)) return std::nullopt;
    surface::Post::Hinge hinge;
    hinge.point = rule.heel_centre.head<2>() + Vec2(0.0, rear.hinge_mm);
    hinge.rise = std::tan(radians(rear.angle_deg)) - std::tan(radians(rear.angle_deg - rear.motion_deg));
    return hinge;
}

// A disc round the lowest place of the heel when the device stands pitched by slope_x.
std::vector<Vec2> flat_outline(const std::vector<Vec3>& heel, double slope_x, double diameter_mm) {
    const Vec3& lowest = *std::min_element(heel.begin(), heel.end(), [&](const Vec3& a, const Vec3& b) {
        return a.z() - slope_x * a.x() < b.z() - slope_x * b.x();
    });
    constexpr int count = 24;
    std::vector<Vec2> disc;
    for (int k = 0; k < count; ++k) {
        const double t = 2.0 * std::numbers::pi * k / count;
        disc.push_back(lowest.head<2>() + 0.5 * diameter_mm * Vec2(std::cos(t), std::sin(t)));
    }
    return disc;
}

}  // namespace

std::optional<double> forefoot_face_deg(const Received& received, const design::FootDesign& foot) {
    const feature::ForefootPost& post = foot.posts.forefoot;
    if (!post.on) return std::nullopt;
    if (received.balance.platform_deg) return *received.balance.platform_deg - post.extrinsic_deg;
    if (!received.balance.after.forefoot) return std::nullopt;
    return received.balance.after.forefoot->value - post.extrinsic_deg;
}

Outcome<std::vector<surface::Post>> lay_posts(const Received& received, const Surfaced& surfaced,
                                              const surface::SplineSurface& underside,
                                              const design::FootDesign& foot) {
    const feature::RearfootPost& rear = foot.posts.rearfoot;
    const feature::ForefootPost& fore = foot.posts.forefoot;
    const feature::FlatContact& flat = foot.posts.flat_contact;
    std::vector<surface::Post> posts;
    if (!rear.on && !fore.on && !flat.on) return posts;
    const surface::TrimRule& rule = surfaced.rule;
    auto heel = below(underside, rearfoot_outline(rear, rule));
    if (!heel) return heel.fault();
    const auto across = forefoot_outline(fore, surfaced, underside);
    if (!across && fore.on) return across.fault();
    // without a post the front stands on the distal edge; where nothing there is flat the floor stays level
    auto front = across ? below(underside, *across) : Outcome<Below>(Below{});
    if (!front) return front.fault();
    const auto face = forefoot_face_deg(received, foot);
    if (fore.on && !face)
        return Fault{
            FaultKind::ask,
            "posts",
            "A forefoot post takes its angle from the forefoot's inclination, which is not known: set "
            "the heel bisection's points and the plantar heads.",
            {}};
    // standing on a face tilted by s about +x the device is turned back by s
    const double rear_slope = -std::tan(radians(rear.angle_deg)),
                 fore_slope = face ? std::tan(radians(*face)) : 0.0;
    const auto hinge = hinge_of(rear, rule);
    const auto middle = [](const std::vector<Vec3>& points) {
        Vec3 sum = Vec3::Zero();
        for (const Vec3& p : points) sum += p;
        return Vec3(sum / static_cast<double>(points.size()));
    };
    const Vec3 rear_at = middle(heel->points), fore_at = across ? middle(front->points) : rear_at;
    double slope_x = 0.0;
    constexpr int settle = 4;  // the planes' heights move a little with their pitch
    for (int k = 0; k < settle && across; ++k) {
        const double rear_y = rear.on ? rear_slope : 0.0, fore_y = fore.on ? fore_slope : 0.0;
        const double rear_c =
                         rear.on ? floor_below(heel->points, floor_at(slope_x, rear_y, hinge), rear.height_mm)
                                 : floor_below(heel->points, floor_at(slope_x, 0.0),
                                               flat.on ? tolerance::flat_contact_mm : 0.0),
                     fore_c = floor_below(front->points, floor_at(slope_x, fore_y),
                                          fore.on ? fore.height_mm : 0.0);
        const double rear_z = rear_c + slope_x * rear_at.x() + rear_y * rear_at.y(),
                     fore_z = fore_c + slope_x * fore_at.x() + fore_y * fore_at.y();
        slope_x = (fore_z - rear_z) / (fore_at.x() - rear_at.x());
    }
    if (rear.on) {
        posts.push_back(post_on(rearfoot_post, std::move(*heel), rear.flare_deg,
                                floor_at(slope_x, rear_slope, hinge), rear.height_mm));
    } else if (flat.on) {
        auto disc = below(underside, flat_outline(heel->points, slope_x, flat.diameter_mm));
        if (!disc) return disc.fault();
        posts.push_back(post_on(flat_contact_post, std::move(*disc), 0.0, floor_at(slope_x, 0.0),
                                tolerance::flat_contact_mm));
    }
    if (fore.on)
        posts.push_back(post_on(forefoot_post, std::move(*front), fore.flare_deg,
                                floor_at(slope_x, fore_slope), fore.height_mm));
    return posts;
}

}  // namespace archwright::build
