#include "engine/picture/ground.hpp"

#include <algorithm>
#include <cmath>

namespace archwright::picture {

namespace {

/// Height over which a contact shadow loses all but a third of its depth, mm.
constexpr double shadow_height_mm = 11.0;
constexpr double shadow_depth = 0.34;

/// One blur by the mean of three along rows, then columns.
void blur(std::vector<double>& map, int n) {
    std::vector<double> next(map.size());
    for (const int stride : {1, n}) {
        for (int i = 0; i < n * n; ++i) {
            const int along = stride == 1 ? i % n : i / n;
            const double before = along > 0 ? map[static_cast<std::size_t>(i - stride)] : 0.0;
            const double after = along < n - 1 ? map[static_cast<std::size_t>(i + stride)] : 0.0;
            next[static_cast<std::size_t>(i)] =
                (before + 2.0 * map[static_cast<std::size_t>(i)] + after) / 4.0;
        }
        map.swap(next);
    }
}

/// How much of a pixel of this width a line at whole multiples of `step` covers.
double line_cover(double coordinate, double width, double step) {
    if (!(width > 0.0)) return 0.0;
    const double away = std::abs(coordinate / step - std::round(coordinate / step)) * step / width;
    const double crowded = std::clamp(1.6 - 4.0 * width / step, 0.0, 1.0);  // too dense to tell apart
    return std::clamp(1.0 - away, 0.0, 1.0) * crowded;
}

}  // namespace

GroundShader::GroundShader(const Ground& ground, const std::vector<Body>& bodies, const Camera& camera)
    : ground_(ground), camera_(camera), shadow_(static_cast<std::size_t>(cells_ * cells_), 0.0) {
    Box3 box;
    for (const Body& body : bodies) box.add(body.mesh->box());
    if (box.empty()) return;
    const double margin = 40.0;
    const double size = std::max(box.size().x(), box.size().y()) + 2.0 * margin;
    cell_mm_ = size / cells_;
    centre_ = box.centre().head<2>();
    low_ = centre_ - Vec2::Constant(0.5 * size);
    reach_ = 0.42 * size;
    for (const Body& body : bodies) {
        const std::size_t last = std::min(body.last, body.mesh->triangles.size());
        for (std::size_t i = body.first; i < last; ++i) {
            // points and middles are enough: triangles are hardly larger than a cell
            const Triangle& t = body.mesh->triangles[i];
            const Vec3 &a = body.mesh->points[t[0]], &b = body.mesh->points[t[1]],
                       &c = body.mesh->points[t[2]];
            for (const Vec3& p : {a, Vec3((a + b + c) / 3.0), Vec3(0.5 * (a + b)), Vec3(0.5 * (b + c))}) {
                const double x = (p.x() - low_.x()) / cell_mm_, y = (p.y() - low_.y()) / cell_mm_;
                if (!(x >= 0.0 && x < cells_ && y >= 0.0 && y < cells_)) continue;
                double& cell = shadow_[static_cast<std::size_t>(y) * cells_ + static_cast<std::size_t>(x)];
                cell = std::max(cell, std::exp(-std::max(0.0, p.z() - ground.height) / shadow_height_mm));
            }
        }
    }
    for (int pass = 0; pass < 6; ++pass) blur(shadow_, cells_);
}

double GroundShader::shadow(const Vec3& p) const {
    const double x = (p.x() - low_.x()) / cell_mm_ - 0.5, y = (p.y() - low_.y()) / cell_mm_ - 0.5;
    if (!(x >= 0.0 && y >= 0.0 && x < cells_ - 1 && y < cells_ - 1)) return 0.0;
    const auto i = static_cast<std::size_t>(x), j = static_cast<std::size_t>(y);
    const double s = x - static_cast<double>(i), t = y - static_cast<double>(j);
    const auto cell = [&](std::size_t a, std::size_t b) { return shadow_[b * cells_ + a]; };
    return (1 - t) * ((1 - s) * cell(i, j) + s * cell(i + 1, j)) +
           t * ((1 - s) * cell(i, j + 1) + s * cell(i + 1, j + 1));
}

Colour GroundShader::at(const Vec2& pixel, const Colour& behind) const {
    Vec3 p, across, down;
    if (!camera_.ground_point(pixel, ground_.height, p)) return behind;
    if (!camera_.ground_point(pixel + Vec2(1, 0), ground_.height, across)) return behind;
    if (!camera_.ground_point(pixel + Vec2(0, 1), ground_.height, down)) return behind;
    const double away = (p.head<2>() - centre_).norm();
    const double present = std::clamp(1.0 - (away - reach_) / reach_, 0.0, 1.0);
    const Vec2 width = ((across - p).cwiseAbs() + (down - p).cwiseAbs()).head<2>();
    Colour out = behind;
    for (const auto& [step, colour] : {std::pair(10.0, ground_.grid_10), std::pair(50.0, ground_.grid_50)}) {
        const double cover = std::max(line_cover(p.x(), width.x(), step), line_cover(p.y(), width.y(), step));
        out = mix(out, colour, cover * present);
    }
    return mix(out, ground_.shadow, shadow_depth * std::min(1.0, shadow(p)));
}

}  // namespace archwright::picture
