#include "engine/build/post_stage.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/base/units.hpp"
#include "engine/build/post_outline.hpp"
#include "engine/foot/rest.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/plan_loop.hpp"

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

// The highest plane z = slope_x x + slope_y y + c that lies `height` below all the points.
double plane_below(const std::vector<Vec3>& points, double slope_x, double slope_y, double height) {
    double least = 1e300;
    for (const Vec3& p : points) least = std::min(least, p.z() - slope_x * p.x() - slope_y * p.y());
    return least - height;
}

surface::Post post_on(const char* name, Below at, double flare, double slope_x, double slope_y,
                      double height) {
    const double c = plane_below(at.points, slope_x, slope_y, height);
    surface::Post post;
    post.name = name;
    post.curve = std::move(at.curve);
    post.draft_deg = -flare;
    post.floor_point = Vec3(0.0, 0.0, c);
    post.floor_normal = Vec3(slope_x, slope_y, -1.0).normalized();
    return post;
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
    std::vector<surface::Post> posts;
    if (!rear.on && !fore.on) return posts;
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
        const double rear_c = plane_below(heel->points, slope_x, rear_y, rear.on ? rear.height_mm : 0.0),
                     fore_c = plane_below(front->points, slope_x, fore_y, fore.on ? fore.height_mm : 0.0);
        const double rear_z = rear_c + slope_x * rear_at.x() + rear_y * rear_at.y(),
                     fore_z = fore_c + slope_x * fore_at.x() + fore_y * fore_at.y();
        slope_x = (fore_z - rear_z) / (fore_at.x() - rear_at.x());
    }
    if (rear.on)
        posts.push_back(
            post_on("rearfoot post", std::move(*heel), rear.flare_deg, slope_x, rear_slope, rear.height_mm));
    if (fore.on)
        posts.push_back(
            post_on("forefoot post", std::move(*front), fore.flare_deg, slope_x, fore_slope, fore.height_mm));
    return posts;
}

std::vector<Check> check_posts(const Received& received, const Surfaced& surfaced,
                               const design::FootDesign& foot, const TriangleMesh& device) {
    std::vector<Check> checks;
    const feature::RearfootPost& rear = foot.posts.rearfoot;
    const feature::ForefootPost& fore = foot.posts.forefoot;
    if (!rear.on && !fore.on) return checks;
    if (const auto face = forefoot_face_deg(received, foot); face && rear.on) {
        const double apart = std::abs(-*face - rear.angle_deg);
        Check faces = named_check("post.faces", "Faces of the posts");
        faces.figure = apart;
        faces.limit = tolerance::post_faces_look_deg;
        faces.unit = "degrees";
        faces.message = "On the rearfoot post the device is " + inclination(rear.angle_deg) +
                        ", on the forefoot's face " + inclination(-*face);
        if (apart > tolerance::post_faces_look_deg) {
            faces.verdict = Verdict::look;
            faces.message += ": it would rock between them by " + rounded(apart, 1) + " degrees";
        }
        faces.message += ".";
        checks.push_back(faces);
    }
    const Vec2 heel = surfaced.rule.heel_centre.head<2>();
    const Vec2 heads = 0.5 * (surfaced.rule.first_head + surfaced.rule.fifth_head).head<2>();
    const Vec2 load = heel + foot::load_share * (heads - heel);
    const auto rest = foot::rest_under(device.points, load);
    if (!rest) return checks;
    Check stands = named_check("post.rest", "What the device stands on");
    stands.figure = rest->inclination_deg();
    stands.unit = "degrees";
    stands.where = rest->contacts.front();
    stands.message = "It stands on " + place(rest->contacts[0]) + "; " + place(rest->contacts[1]) + "; " +
                     place(rest->contacts[2]) + ", " + inclination(-rest->inclination_deg()) + ", pitched " +
                     rounded(rest->pitch_deg(), 1) + " degrees";
    double widest = 0.0;
    for (const Vec2& move : {Vec2(foot::wander_along_mm, 0.0), Vec2(-foot::wander_along_mm, 0.0),
                             Vec2(0.0, foot::wander_across_mm), Vec2(0.0, -foot::wander_across_mm)})
        if (const auto other = foot::rest_under(device.points, load + move))
            widest = std::max(widest, foot::turn_between_deg(*rest, *other));
    if (widest > tolerance::rocking_look_deg) {
        stands.verdict = Verdict::look;
        stands.message += "; under a load that wanders it rocks by " + rounded(widest, 1) + " degrees";
    }
    stands.message += ".";
    checks.push_back(stands);
    return checks;
}

}  // namespace archwright::build
