#include "engine/surface/post.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/base/units.hpp"

namespace archwright::surface {

namespace {

constexpr int border_samples_per_span = 24;
constexpr double inside_spacing_mm =
    0.5;                          // between the places where the floor is compared with the underside
constexpr int inside_most = 400;  // of them along each side of the loop's box

Fault post_fault(std::string message, std::optional<Vec3> where = std::nullopt) {
    return {FaultKind::check, "posts", std::move(message), where};
}

// A point of the loop on the underside with the direction of its wall; towards the foot, `normal`.
struct WallFoot {
    Vec3 point, normal, down;
};

WallFoot foot_of(const SurfacePoint& at, const Vec2& tangent, double draft_deg) {
    const Vec3 along = at.su * tangent.x() + at.sv * tangent.y();
    // counter-clockwise seen from the foot: the post lies on the left
    const Vec3 inward = Vec3(-along.y(), along.x(), 0.0).normalized();
    return {at.s, at.normal(), -Vec3::UnitZ() + std::tan(radians(draft_deg)) * inward};
}

Outcome<Done> check_numbers(const Border& border) {
    const Post& post = *border.post;
    if (!post.floor_point.allFinite() || !post.floor_normal.allFinite() || !std::isfinite(post.draft_deg))
        return post_fault(border.title() + " has a floor or a draft that is not a number.");
    if (std::abs(post.draft_deg) > Post::most_draft_deg)
        return post_fault(border.title() + " has walls at " + rounded(post.draft_deg, 1) +
                          " degrees; up to " + rounded(Post::most_draft_deg, 0) + " either way can be made.");
    if (const auto& hinge = post.hinge;
        hinge && !(hinge->point.allFinite() && std::abs(hinge->beyond.norm() - 1.0) < 1e-9 &&
                   hinge->rise >= 0.0 && hinge->rise <= Post::most_rise))
        return post_fault("The second face of " + border.name + " rises by " + exact(hinge->rise) +
                          " mm a mm across its hinge; 0 to " + rounded(Post::most_rise, 1) + " can be made.");
    const double size = post.floor_normal.norm();
    const double tilt =
        size > 0.0 ? degrees(std::acos(std::clamp(-post.floor_normal.z() / size, -1.0, 1.0))) : 180.0;
    if (tilt > Post::most_tilt_deg)
        return post_fault("The floor of " + border.name + " is tilted by " + rounded(tilt, 1) +
                          " degrees; up to " + rounded(Post::most_tilt_deg, 0) + " can be made.");
    return Done{};
}

Outcome<Done> check_height(const Border& border, const std::vector<Vec3>& edge) {
    double least = 1e300;
    Vec3 where = Vec3::Zero();
    const auto look = [&](const Vec3& place) {
        const double height = height_above_floor(*border.post, place);
        if (height < least) {
            least = height;
            where = place;
        }
    };
    for (const Vec3& p : edge) look(p);
    const Outline outline(border.curve);
    Vec2 low = outline.points().front(), high = low;
    for (const Vec2& p : outline.points()) {
        low = low.cwiseMin(p);
        high = high.cwiseMax(p);
    }
    const auto steps = [](double length) {
        return std::clamp(static_cast<int>(std::ceil(length / inside_spacing_mm)), 1, inside_most);
    };
    const int nu = steps(high.x() - low.x()), nv = steps(high.y() - low.y());
    for (int i = 0; i <= nu; ++i)
        for (int j = 0; j <= nv; ++j) {
            const Vec2 uv(low.x() + (high.x() - low.x()) * i / nu, low.y() + (high.y() - low.y()) * j / nv);
            if (outline.inside(uv)) look(border.shell->underside.point(uv));
        }
    if (least >= tolerance::post_least_mm) return Done{};
    return post_fault("The floor of " + border.name + " lies " + rounded(std::abs(least), 2) + " mm " +
                          (least < 0.0 ? "above" : "below") + " the underside at " + place(where) +
                          "; it must lie at least " + rounded(tolerance::post_least_mm, 1) +
                          " mm below. Lower the floor or draw the post smaller.",
                      where);
}

Outcome<Done> check_steepness(const Border& border, const std::vector<WallFoot>& feet) {
    for (const bool upright : {true, false}) {
        const auto cosine = [upright](const WallFoot& f) {
            return upright ? f.normal.z() : -f.down.normalized().dot(f.normal);
        };
        const auto& worst =
            *std::min_element(feet.begin(), feet.end(),
                              [&](const WallFoot& a, const WallFoot& b) { return cosine(a) < cosine(b); });
        if (cosine(worst) >= tolerance::post_cosine) continue;
        const std::string at = " at " + place(worst.point);
        return post_fault(upright ? "The underside is too steep for the wall of " + border.name + at +
                                        " (normal . z " + rounded(worst.normal.z(), 2) + ", least " +
                                        rounded(tolerance::post_cosine, 1) + "). Draw the post smaller there."
                                  : "With " + rounded(border.post->draft_deg, 1) +
                                        " degrees of draft the wall of " + border.name +
                                        " runs along the underside or into it" + at +
                                        ". Choose less draft or draw the post smaller there.",
                          worst.point);
    }
    return Done{};
}

// Where the draft takes the wall further than the loop is round, the floor's outline runs backwards.
Outcome<Done> check_folds(const Border& border, const std::vector<WallFoot>& feet,
                          const std::vector<Vec3>& floor) {
    const auto folds = [&](const Vec3& where) {
        return post_fault("The walls of " + border.name + " fold at " + place(where) + ": " +
                              rounded(border.post->draft_deg, 1) +
                              " degrees of draft take them further than the loop is round there. Choose less "
                              "draft or round the loop.",
                          where);
    };
    const std::size_t n = feet.size();
    for (std::size_t k = 0; k < n; ++k) {
        const Vec2 along = (feet[(k + 1) % n].point - feet[k].point).head<2>();
        const Vec2 below = (floor[(k + 1) % n] - floor[k]).head<2>();
        if (!(below.dot(along) > (1.0 - tolerance::fold_limit) * along.squaredNorm()))
            return folds(feet[k].point);
    }
    std::vector<Vec2> outline;
    outline.reserve(n);
    for (const Vec3& p : floor) outline.push_back(p.head<2>());
    const auto crossing = Outline(std::move(outline)).first_self_crossing();
    if (crossing) return folds(feet[*crossing].point);
    return Done{};
}

}  // namespace

double rise_of_floor(const Post& post, const Vec2& plan) {
    if (!post.hinge) return 0.0;
    const Post::Hinge& hinge = *post.hinge;
    const double half = Post::Hinge::half_breadth_mm, beyond = (plan - hinge.point).dot(hinge.beyond);
    if (beyond <= -half) return 0.0;
    if (beyond >= half) return hinge.rise * beyond;
    return hinge.rise * (beyond + half) * (beyond + half) / (4.0 * half);
}

Vec3 floor_point(const Post& post, const Vec2& plan) {
    const Vec3 over(plan.x(), plan.y(), 0.0);
    return over - height_above_floor(post, over) * Vec3::UnitZ();
}

double height_above_floor(const Post& post, const Vec3& place) {
    return (place - post.floor_point).dot(post.floor_normal) / post.floor_normal.z() -
           rise_of_floor(post, place.head<2>());
}

RimRows post_rows(const SplineSurface& underside, const PeriodicCurve& curve, const Post& post, double s) {
    return post_rows(underside.first(curve.point(s)), curve.tangent(s), post);
}

RimRows post_rows(const SurfacePoint& underside, const Vec2& tangent, const Post& post) {
    const WallFoot foot = foot_of(underside, tangent, post.draft_deg);
    const double fall =
        foot.down.dot(post.floor_normal) / -post.floor_normal.z();  // of the height, a mm down
    double down = height_above_floor(post, foot.point) / fall;
    // to a second face: the rise changes by less than half of what a step goes down, so this halves the error
    constexpr int most_steps = 60;
    for (int k = 0; post.hinge && k < most_steps; ++k) {
        const double left = height_above_floor(post, foot.point + down * foot.down);
        down += left / fall;
        if (std::abs(left) < 1e-13) break;
    }
    return {1, {foot.point, foot.point + down * foot.down}};
}

std::vector<Vec2> floor_points(const Post& post, const std::vector<Vec2>& outline) {
    std::vector<Vec2> points;
    if (!post.hinge || outline.empty()) return points;
    const Post::Hinge& hinge = *post.hinge;
    const Vec2 along(-hinge.beyond.y(), hinge.beyond.x());
    double low = 1e300, high = -1e300;
    for (const Vec2& p : outline) {
        low = std::min(low, (p - hinge.point).dot(along));
        high = std::max(high, (p - hinge.point).dot(along));
    }
    // a parabola of second derivative rise / (2 half): its chord over h errs by rise h^2 / (16 half)
    constexpr int rows = 8;
    constexpr double half = Post::Hinge::half_breadth_mm, step_mm = 2.0 * half / rows,
                     apart_mm = 0.5 * step_mm;
    const Outline within(outline);
    for (int row = 0; row <= rows; ++row)
        for (double at = low; at <= high; at += step_mm) {
            const Vec2 p = hinge.point + at * along + (row * step_mm - half) * hinge.beyond;
            if (within.inside(p) && within.distance(p) >= apart_mm) points.push_back(p);
        }
    return points;
}

Outcome<Done> check_post(const Border& border) {
    if (auto numbers = check_numbers(border); !numbers) return numbers.fault();
    const std::size_t n = border.curve.control.size() * border_samples_per_span;
    std::vector<WallFoot> feet(n);
    std::vector<Vec3> edge(n), floor(n);
    parallel_for(n, 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const double s = static_cast<double>(k) / border_samples_per_span;
            feet[k] = foot_of(border.shell->underside.first(border.curve.point(s)), border.curve.tangent(s),
                              border.post->draft_deg);
            edge[k] = feet[k].point;
            floor[k] = border.rows(s).rows.back();
        }
    });
    if (auto steep = check_steepness(border, feet); !steep) return steep.fault();
    if (auto height = check_height(border, edge); !height) return height.fault();
    return check_folds(border, feet, floor);
}

}  // namespace archwright::surface
