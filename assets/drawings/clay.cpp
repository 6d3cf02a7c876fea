#include "assets/drawings/clay.hpp"

#include <algorithm>
#include <cmath>

#include "engine/picture/renderer.hpp"

namespace archwright::drawings {

namespace {

constexpr double tones = 32.0;
/// Light from everywhere, so that lines and words read on the dark side too.
constexpr double ambient = 0.45;

void place(Page& page, const picture::Box& box, const picture::Axes& axes, const picture::Scene& scene,
           picture::Camera camera) {
    picture::Canvas& canvas = page.canvas();
    const double s = canvas.scale();
    picture::Image part = canvas.take(box);
    if (part.width == 0 || part.height == 0) return;
    camera.pin(Vec3::Zero(), s * axes.origin - Vec2(std::round(box.x * s), std::round(box.y * s)),
               s * axes.scale);
    picture::render(scene, camera, part);
    canvas.place(part, box);
}

}  // namespace

void clay_from_behind(Page& page, const picture::Box& box, const picture::Axes& axes, Side side,
                      const TriangleMesh& mesh, double x, double z) {
    TriangleMesh rear;
    rear.points = mesh.points;
    for (const Triangle& t : mesh.triangles)
        if (std::max({mesh.points[t[0]].x(), mesh.points[t[1]].x(), mesh.points[t[2]].x()}) < x)
            rear.triangles.push_back(t);
    const picture::Camera camera(side, Vec3::UnitX(), Vec3::UnitZ(), 0.0);
    const picture::Light light(camera);
    const picture::Colour clay = picture::mix(page.theme().cast, picture::Colour::hex(0xFFFFFF), 0.35);
    picture::Body body;
    body.mesh = &rear;
    body.shader = [&](const picture::Fragment& f) {
        return clay * (std::round((ambient + (1.0 - ambient) * light.on(f)) * tones) / tones);
    };
    picture::Box below = box;
    below.cut_top(std::max(0.0, axes.at(0.0, z).y() - box.y));
    place(page, below, axes, {{body}, {}, nullptr}, camera);
}

void flat_from_above(Page& page, const picture::Box& box, const picture::Axes& axes, Side side,
                     const TriangleMesh& mesh, const std::vector<double>& values,
                     const std::function<picture::Colour(double)>& colour) {
    const picture::Camera camera(side, -Vec3::UnitZ(), Vec3::UnitX(), 0.0);
    picture::Body body;
    body.mesh = &mesh;
    body.values = &values;
    body.shader = [&](const picture::Fragment& f) { return colour(f.value); };
    place(page, box, axes, {{body}, {}, nullptr}, camera);
}

}  // namespace archwright::drawings
