#include "engine/build/ground_check.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/build/part_stage.hpp"
#include "engine/build/post_stage.hpp"
#include "engine/foot/rest.hpp"
#include "engine/surface/post.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::build {

namespace {

// A relief this deep or more bulges.
constexpr double bulge_mm = 0.05;

// How far an inclination lies outside what a rearfoot post lets the device roll through, degrees.
double off_the_post(const feature::RearfootPost& rear, double inclination_deg) {
    return std::max(
        {0.0, inclination_deg - rear.angle_deg, rear.angle_deg - rear.motion_deg - inclination_deg});
}

std::optional<Check> faces(const Received& received, const design::FootDesign& foot) {
    const feature::RearfootPost& rear = foot.posts.rearfoot;
    const auto face = forefoot_face_deg(received, foot);
    if (!face || !rear.on) return std::nullopt;
    // with motion it may come to rest anywhere between its two faces
    const double on_fore = -*face, apart = off_the_post(rear, on_fore);
    Check check = named_check("post.faces", "Faces of the posts");
    check.figure = apart;
    check.limit = tolerance::post_faces_look_deg;
    check.unit = "degrees";
    check.message = "On the rearfoot post the device is " + inclination(rear.angle_deg);
    if (rear.motion_deg > 0.0)
        check.message += ", after its motion " + inclination(rear.angle_deg - rear.motion_deg);
    check.message += ", on the forefoot's face " + inclination(on_fore);
    if (apart > tolerance::post_faces_look_deg) {
        check.verdict = Verdict::look;
        check.message += ": it would rock between them by " + rounded(apart, 1) + " degrees";
    }
    check.message += ".";
    return check;
}

Check rest_check(const design::FootDesign& foot, const std::vector<Vec3>& device, const foot::Rest& rest,
                 const Vec2& load, bool expected) {
    Check check = named_check("ground.rest", "What the device stands on");
    const double stands = -rest.inclination_deg();
    check.figure = stands;
    check.unit = "degrees";
    check.where = rest.contacts.front();
    check.message = "It stands on " + place(rest.contacts[0]) + "; " + place(rest.contacts[1]) + "; " +
                    place(rest.contacts[2]) + ", " + inclination(stands) + ", pitched " +
                    rounded(rest.pitch_deg(), 1) + " degrees";
    const feature::RearfootPost& rear = foot.posts.rearfoot;
    const double motion = rear.on ? rear.motion_deg : 0.0;
    if (rear.on)
        check.message += "; the rearfoot post is ordered " + inclination(rear.angle_deg) +
                         (motion > 0.0 ? " with a motion of " + rounded(motion, 1) + " degrees" : "");
    const double off = rear.on ? off_the_post(rear, stands) : 0.0;
    if (off > tolerance::post_faces_look_deg) {
        check.verdict = Verdict::look;
        check.message += ", which the device does not stand at by " + rounded(off, 1) +
                         " degrees: something else carries it" +
                         (foot.posts.forefoot.on
                              ? ""
                              : ", and in front it has no post: a rearfoot post alone does not hold it");
    }
    double widest = 0.0;
    for (const Vec2& move : {Vec2(foot::wander_along_mm, 0.0), Vec2(-foot::wander_along_mm, 0.0),
                             Vec2(0.0, foot::wander_across_mm), Vec2(0.0, -foot::wander_across_mm)})
        if (const auto other = foot::rest_under(device, load + move))
            widest = std::max(widest, foot::turn_between_deg(rest, *other));
    if (widest > tolerance::rocking_look_deg)
        check.message += "; under a load that wanders it rocks by " + rounded(widest, 2) + " degrees";
    if (expected && widest > motion + tolerance::rocking_look_deg) check.verdict = Verdict::look;
    check.message += ".";
    return check;
}

// The wedge under the forefoot against its inclination, with what the platform has taken of it already.
std::optional<Check> correction(const Received& received, const design::FootDesign& foot) {
    const feature::ForefootPost& post = foot.posts.forefoot;
    const auto& forefoot = received.balance.after.forefoot;
    if (!post.on || !forefoot) return std::nullopt;
    const double intrinsic = received.balance.platform_deg ? foot.balance.intrinsic_deg : 0.0;
    const double f = forefoot->value, both = intrinsic + post.extrinsic_deg;
    Check check = named_check("ground.correction", "Correction of the forefoot in all");
    check.figure = both;
    check.limit = f;
    check.unit = "degrees";
    check.message = "The forefoot lies " + inclination(f) + "; the platform takes " + inclination(intrinsic) +
                    ", the post " + inclination(post.extrinsic_deg) + "; " +
                    rounded(std::abs(foot::remainder_deg(f, intrinsic, post.extrinsic_deg)), 1) +
                    " degrees remain";
    const bool more = std::abs(both) > std::abs(f) + forefoot->uncertainty;
    const bool against = both * f < 0.0 && std::abs(f) > forefoot->uncertainty;
    if (both != 0.0 && (more || against)) {
        check.verdict = Verdict::look;
        check.message += more ? ": more is corrected than there is" : ": the correction goes the other way";
    }
    check.message += ".";
    return check;
}

struct Nearest {
    double height = 1e300;
    Vec3 where = Vec3::Zero();
    std::string what;
    bool relief = false;
    void take(double height_mm, const Vec3& at, const std::string& name, bool bulge) {
        if (height_mm >= height) return;
        height = height_mm;
        where = at;
        what = name;
        relief = bulge;
    }
};

// Of the underside outside the posts: what lies nearest to the ground and is not meant to touch it.
Nearest nearest(const Surfaced& surfaced, const design::FootDesign& foot, const Shelled& shelled,
                const foot::Rest& rest) {
    const double middle = 0.5 * (surfaced.rule.heel_centre.x() + surfaced.rule.first_head.x());
    const bool heel_up = foot.posts.rearfoot.on || foot.posts.flat_contact.on,
               front_up = foot.posts.forefoot.on;
    std::vector<surface::TrimRegion> loops;
    for (const surface::Post& post : posts_under(shelled)) loops.emplace_back(surface::Outline(post.curve));
    // the wall of a post begins on the underside: what lies beside it is as far from the ground as the post
    // is high there, which the order has said
    constexpr double beside_mm = 2.0;
    std::vector<const feature::FeatureMap::Laid*> bulges;
    for (const feature::FeatureMap::Laid& laid : shelled.features.laid())
        if (laid.feature.relief() && laid.feature.underside == feature::Feature::Underside::follows)
            bulges.push_back(&laid);
    Nearest least;
    const surface::ShellMesh& mesh = shelled.mesh;
    const std::size_t first = mesh.foot_side_points, end = first + mesh.underside_points;
    for (std::size_t k = first; k < end; ++k) {
        const Vec3& p = mesh.mesh.points[k];
        const double height = p.z() - rest.height_at(p.x(), p.y());
        if (height >= least.height) continue;
        const Vec2& uv = mesh.uv[k];
        const auto within = [&](double mm) {
            return std::any_of(loops.begin(), loops.end(), [&](const surface::TrimRegion& loop) {
                return loop.inside(uv) || (mm > 0.0 && loop.distance(uv, mm) < mm);
            });
        };
        if (within(0.0)) continue;  // of the post that stands there
        const Vec3 above = shelled.shell.carpet.point(uv);
        for (const auto* laid : bulges)
            if (laid->shape.at(uv, above) < -bulge_mm)
                least.take(height, p, "the bulge under \"" + laid->feature.name + "\"", true);
        if ((p.x() < middle ? heel_up : front_up) && !within(beside_mm))
            least.take(height, p,
                       p.x() < middle ? "the underside beside the post of the heel"
                                      : "the underside beside the forefoot post",
                       false);
    }
    return least;
}

std::optional<Check> clearance(const Nearest& least) {
    if (least.height > 1e200) return std::nullopt;
    Check check = named_check("ground.clearance", "Clearance over the ground");
    check.figure = least.height;
    check.limit = tolerance::ground_clearance_mm;
    check.unit = "mm";
    check.where = least.where;
    check.message = "Of what is not meant to touch the ground " + least.what + " is nearest, " +
                    rounded(std::max(0.0, least.height), 2) + " mm above it at " + place(least.where);
    if (least.height < tolerance::ground_clearance_mm) {
        check.verdict = Verdict::look;
        check.message += ": a device that touches there rocks, or loses wall when it is ground flat. ";
        check.message += least.relief ? "Let the underside stay there (the relief thins the wall), make the "
                                        "relief shallower, or raise the device on a post"
                                      : "Make that post higher (height_mm), or lay it elsewhere";
    }
    check.message += ".";
    return check;
}

std::optional<Check> flat_contact(const design::FootDesign& foot, const Shelled& shelled) {
    if (foot.posts.rearfoot.on) return std::nullopt;
    const auto& posts = shelled.shell.posts;
    const auto post = std::find_if(posts.begin(), posts.end(),
                                   [](const surface::Post& p) { return p.name == flat_contact_post; });
    if (post == posts.end()) return std::nullopt;
    double least = 1e300, most = 0.0;
    const surface::Outline outline(post->curve);
    for (const Vec2& uv : outline.points()) {
        const double height = surface::height_above_floor(*post, shelled.shell.underside.point(uv));
        least = std::min(least, height);
        most = std::max(most, height);
    }
    Check check = named_check("post.flat_contact", "Flat built up under the heel");
    check.figure = most;
    check.unit = "mm";
    check.message =
        "The flat of " + rounded(foot.posts.flat_contact.diameter_mm, 0) + " mm stands " + rounded(least, 2) +
        " to " + rounded(most, 2) +
        " mm off the underside round its edge; ground into the heel instead it would take up to " +
        rounded(most - tolerance::flat_contact_mm, 2) + " mm of the wall.";
    return check;
}

// A relief under a post takes its bulge into the post, whose floor lies that much deeper.
std::optional<Check> lift(const Shelled& shelled) {
    double most = 0.0;
    Vec3 where = Vec3::Zero();
    std::string which;
    for (const surface::Post& post : posts_under(shelled)) {
        const surface::TrimRegion inside{surface::Outline(post.curve)};
        for (std::size_t k = 0; k < shelled.mesh.foot_side_points; ++k) {
            const Vec2& uv = shelled.mesh.uv[k];
            if (!inside.inside(uv)) continue;
            if (const double deep = -shelled.features.followed(uv); deep > most) {
                most = deep;
                where = shelled.mesh.mesh.points[k];
                which = post.name;
            }
        }
    }
    if (most < bulge_mm) return std::nullopt;
    Check check = named_check("ground.lift", "Reliefs over a post");
    check.verdict = Verdict::look;
    check.figure = most;
    check.unit = "mm";
    check.where = where;
    check.message =
        "A relief over the " + which + " bulges up to " + rounded(most, 1) + " mm into it, at " +
        place(where) +
        ": its height is taken from the bulge, so the device may stand that much higher there. Let "
        "the underside stay (the relief thins the wall), or lower the post by as much.";
    return check;
}

Vec2 load_of(const Surfaced& surfaced) {
    const Vec2 heel = surfaced.rule.heel_centre.head<2>();
    const Vec2 heads = 0.5 * (surfaced.rule.first_head + surfaced.rule.fifth_head).head<2>();
    return heel + foot::load_share * (heads - heel);
}

}  // namespace

std::optional<foot::Rest> ground_under(const Surfaced& surfaced, const Shelled& shelled) {
    return foot::rest_under(whole_mesh(shelled).points, load_of(surfaced));
}

std::vector<Check> check_ground(const Received& received, const Surfaced& surfaced,
                                const design::FootDesign& foot, const Shelled& shelled) {
    std::vector<Check> checks;
    if (auto check = faces(received, foot)) checks.push_back(std::move(*check));
    if (auto check = flat_contact(foot, shelled)) checks.push_back(std::move(*check));
    if (auto check = correction(received, foot)) checks.push_back(std::move(*check));
    if (auto check = lift(shelled)) checks.push_back(std::move(*check));
    const Vec2 load = load_of(surfaced);
    const std::vector<Vec3> device = whole_mesh(shelled).points;
    const auto rest = foot::rest_under(device, load);
    if (!rest) return checks;
    const Nearest least = nearest(surfaced, foot, shelled, *rest);
    const bool posted = foot.posts.rearfoot.on || foot.posts.forefoot.on || foot.posts.flat_contact.on;
    const bool expected = posted || least.height < 1e200;
    checks.push_back(rest_check(foot, device, *rest, load, expected));
    if (auto check = clearance(least)) checks.push_back(std::move(*check));
    return checks;
}

}  // namespace archwright::build
