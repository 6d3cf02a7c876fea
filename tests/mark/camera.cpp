#include "tests/mark/camera.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/mesh/bvh.hpp"

namespace archwright::tests {

using generator::Random;
using mark::Match;
using mark::View;

View random_camera(Random& random, const foot::Standing& standing, std::size_t width, std::size_t height) {
    const Vec3 target = mark::to_view(standing, Vec3(0.33 * standing.foot_length_mm, 0.0, 0.0));
    const Vec3 up =
        (mark::to_view(standing, Vec3(0, 0, 1)) - mark::to_view(standing, Vec3::Zero())).normalized();
    const Vec3 toes =
        (mark::to_view(standing, Vec3(1, 0, 0)) - mark::to_view(standing, Vec3::Zero())).normalized();
    const auto tilt = [&] { return random.between(-0.25, 0.25); };
    const Vec3 z = (up + tilt() * toes + tilt() * up.cross(toes)).normalized();
    Vec3 x = (toes - toes.dot(z) * z).normalized();
    const double roll = random.between(-0.3, 0.3);
    x = (std::cos(roll) * x + std::sin(roll) * z.cross(x)).eval();
    View view;
    view.model = View::Model::distorted;
    view.rotation.row(0) = x.transpose();
    view.rotation.row(1) = z.cross(x).transpose();
    view.rotation.row(2) = z.transpose();
    const double away = random.between(380.0, 600.0);
    view.focal_px = 0.8 * static_cast<double>(width) * random.between(0.9, 1.15);
    view.radial = random.between(-0.08, 0.05);
    view.middle = 0.5 * Vec2(static_cast<double>(width), static_cast<double>(height));
    view.translation = Vec3(0, 0, away) - view.rotation * target;
    return view;
}

std::vector<Match> clicked(const foot::Standing& standing, const View& camera, int count, double doubt_mm,
                           Random& random, double doubt_px) {
    std::vector<Match> matches;
    const double length = standing.foot_length_mm;
    const Bvh bvh(standing.mesh);
    for (int k = 0; k < count; ++k) {
        // round the sole and one in its middle
        const double angle = 2.0 * std::numbers::pi * k / std::max(1, count - 1);
        const Vec2 at = k + 1 == count
                            ? Vec2(0.3 * length, 0.0)
                            : Vec2((0.3 + 0.33 * std::cos(angle)) * length, 0.11 * length * std::sin(angle));
        const auto hit = bvh.ray(Vec3(at.x(), at.y(), -50.0), Vec3::UnitZ(), 0.0, 200.0);
        if (!hit) continue;
        Vec3 p(at.x(), at.y(), -50.0 + hit->t);
        const auto pixel = camera.seen(mark::to_view(standing, p));
        if (!pixel) continue;
        p += doubt_mm * Vec3{random.normal(), random.normal(), 0.0};
        matches.push_back(
            {*pixel + doubt_px * Vec2{random.normal(), random.normal()}, mark::to_view(standing, p)});
    }
    return matches;
}

}  // namespace archwright::tests
