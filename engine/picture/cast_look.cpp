#include "engine/picture/cast_look.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace archwright::picture {

namespace {

struct Side5 {
    Vec3 from;  ///< towards the eye, design frame
    Vec3 up;
    const char* words;
};
const std::array<Side5, 5>& sides() {
    static const std::array<Side5, 5> all{{{Vec3::UnitY(), Vec3::UnitZ(), "from medial"},
                                           {-Vec3::UnitY(), Vec3::UnitZ(), "from lateral"},
                                           {-Vec3::UnitX(), Vec3::UnitZ(), "from behind"},
                                           {Vec3::UnitX(), Vec3::UnitZ(), "from the toes"},
                                           {Vec3::UnitZ(), Vec3::UnitX(), "from above"}}};
    return all;
}

const Side5& side_facing(const Vec3& normal) {
    return *std::max_element(sides().begin(), sides().end(), [&](const Side5& a, const Side5& b) {
        return a.from.dot(normal) < b.from.dot(normal);
    });
}

Camera camera_from(Side side, const Side5& one) {
    const Vec3 forward(-one.from.x(), -handed(side) * one.from.y(), -one.from.z());
    return Camera(side, forward, one.up, 0.0);
}

/// Stripes of this many pixels beyond a scale's ends, and how much of the paper shows in them.
constexpr double stripe_px = 5.0, stripe_share = 0.35;

}  // namespace

CastLook CastLook::sole(Side side, const Axes& axes) {
    CastLook look(Camera(other(side), Vec3::UnitZ(), Vec3::UnitX(), 0.0), "from above, as its print");
    look.place(Vec3::Zero(), axes.origin, axes.scale);
    return look;
}

CastLook CastLook::facing(Side side, const Vec3& normal, const Vec3& middle, const Vec2& at, double scale) {
    const Side5& one = side_facing(normal);
    CastLook look(camera_from(side, one), one.words);
    look.place(middle, at, scale);
    return look;
}

void CastLook::place(const Vec3& middle, const Vec2& at, double scale) {
    middle_ = middle;
    camera_.pin(middle, at, scale);
}

Vec3 CastLook::sun() const {
    return (-0.62 * camera_.right() + 0.62 * camera_.up() - 0.62 * camera_.forward()).normalized();
}

Shader CastLook::plaster(const Theme& theme) const {
    return [colour = theme.cast, sun = sun()](const Fragment& f) {
        return colour * std::clamp(0.55 + 0.5 * f.normal.dot(sun), 0.4, 1.1);
    };
}

Shader CastLook::map(const Theme& theme, const MapScale& scale) const {
    const Shader bare = plaster(theme);
    return [bare, scale, sun = sun(), right = camera_.right(), up = camera_.up()](const Fragment& f) {
        if (!std::isfinite(f.value)) return bare(f);
        Colour colour = scale.colour(f.value);
        if (f.value < scale.low || f.value > scale.high) {
            // fixed to the foot and as wide on every page; y is across the page in every look but two
            const double along = (f.position.dot(up) + f.position.dot(right)) / (stripe_px * f.mm_per_pixel);
            if (along - std::floor(along) < 0.3) colour = mix(colour, Colour::hex(0xFFFFFF), stripe_share);
        }
        return colour * std::clamp(0.66 + 0.5 * f.normal.dot(sun), 0.6, 1.12);
    };
}

void CastLook::draw(Canvas& canvas, const Box& box, std::vector<Body> bodies) const {
    Image part = canvas.take(box);
    if (part.width == 0 || part.height == 0) return;
    const double s = canvas.scale();
    Camera camera = camera_;
    camera.pin(middle_, s * at(middle_) - Vec2(std::round(box.x * s), std::round(box.y * s)), s * scale());
    render({std::move(bodies), {}, nullptr}, camera, part);
    canvas.place(part, box);
}

}  // namespace archwright::picture
