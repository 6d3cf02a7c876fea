#include "engine/picture/plan_print.hpp"

#include <algorithm>
#include <cmath>

#include "engine/picture/renderer.hpp"

namespace archwright::picture {

namespace {

/// How much of a pixel a contour line of this width (pixels) covers at a height, given the slope of the
/// surface and the size of a pixel; fades out where contours crowd together.
double contour(double height, double step, double width, double slope, double mm_per_pixel) {
    const double rise = std::max(slope * mm_per_pixel, 1e-6);  // mm of height a pixel
    const double away = std::abs(height / step - std::round(height / step)) * step / rise;
    const double crowded = std::clamp(1.5 - 3.0 * rise / step, 0.0, 1.0);
    // a plateau at a contour's height is no line
    const double flat = std::clamp((slope - 0.004) / 0.012, 0.0, 1.0);
    return std::clamp(0.5 * width + 0.5 - away, 0.0, 1.0) * crowded * flat;
}

double slope_of(const Vec3& normal) {
    const double flat = std::hypot(normal.x(), normal.y());
    return flat / std::max(std::abs(normal.z()), 1e-3);
}

/// Renders bodies over what the canvas holds in a box.
void print(Canvas& canvas, const Box& box, const Scene& scene, Camera camera, const Axes& axes) {
    const double s = canvas.scale();
    Image part = canvas.take(box);
    if (part.width == 0 || part.height == 0) return;
    const Vec2 corner(std::round(box.x * s), std::round(box.y * s));
    camera.pin(Vec3::Zero(), s * axes.origin - corner, s * axes.scale);
    render(scene, camera, part);
    canvas.place(part, box);
}

}  // namespace

Box3 sole_box(const Subject& subject) {
    Box3 box;
    const double limit = subject.cast().box().low.z() + sole_height_mm;
    for (const Vec3& p : subject.cast().points)
        if (p.z() < limit) box.add(p);
    return box;
}

void print_sole(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject, const Axes& axes,
                const MapScale* heights) {
    // seen from below as the other foot, which is the print read from above
    const Camera camera(other(subject.side()), Vec3::UnitZ(), Vec3::UnitX(), 0.0);
    const double ground = subject.cast().box().low.z();
    const double line_width = canvas.scale();
    // the triangles of the sole alone: what is above would only be hidden or cut
    TriangleMesh sole;
    sole.points = subject.cast().points;
    for (const Triangle& t : subject.cast().triangles) {
        const double lowest = std::min({sole.points[t[0]].z(), sole.points[t[1]].z(), sole.points[t[2]].z()});
        if (lowest < ground + sole_height_mm) sole.triangles.push_back(t);
    }
    // hill shading: the light stands in the upper left of the page
    const Vec3 sun = (-0.62 * camera.right() + 0.62 * camera.up() - 0.62 * camera.forward()).normalized();
    Body body;
    body.mesh = &sole;
    body.shader = [&, sun](const Fragment& f) {
        const double height = f.position.z() - ground;
        const double slope = slope_of(f.normal);
        const double lit = std::clamp(f.normal.dot(sun), 0.0, 1.0);
        Colour colour;
        if (heights != nullptr) {
            colour = heights->colour(height) * std::clamp(0.72 + 0.46 * lit, 0.78, 1.12);
        } else {
            const double shade = 0.50 + 0.58 * lit;
            colour = theme.cast * std::min(shade * (0.86 + 0.14 * std::min(1.0, f.facing / 0.4)), 1.12);
        }
        const Colour line = heights != nullptr && height < 0.45 * heights->high ? Colour::hex(0xFFFFFF)
                                                                                : Colour::hex(0x14202A);
        const double fine = contour(height, 2.0, 0.7 * line_width, slope, f.mm_per_pixel);
        const double strong = contour(height, 10.0, 1.3 * line_width, slope, f.mm_per_pixel);
        return mix(colour, line, std::max(0.22 * fine, 0.50 * strong));
    };
    print(canvas, box, {{body}, {}, nullptr}, camera, axes);
}

void print_foot_side(Canvas& canvas, const Box& box, const Subject& subject, const Axes& axes,
                     const std::vector<double>& values, const MapScale& scale) {
    const Camera camera(subject.side(), -Vec3::UnitZ(), Vec3::UnitX(), 0.0);
    const Light light(camera);
    Body shell;
    shell.mesh = &subject.shell();
    shell.values = &values;
    shell.last = subject.foot_side().last;
    shell.shader = [&](const Fragment& f) { return scale.colour(f.value) * light.on_map(f); };
    Body rest = shell;
    rest.first = shell.last;
    rest.last = subject.shell().triangles.size();
    rest.values = nullptr;
    rest.shader = [&](const Fragment& f) { return Colour::hex(0x8E979B) * light.on_map(f); };
    print(canvas, box, {{shell, rest}, {}, nullptr}, camera, axes);
}

}  // namespace archwright::picture
