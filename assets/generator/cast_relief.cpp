#include "assets/generator/cast_relief.hpp"

#include <cmath>

#include "assets/generator/smooth.hpp"
#include "engine/base/text.hpp"
#include "engine/base/units.hpp"

namespace archwright::generator {

namespace {

// Streams of the seed, so that one kind of fault does not change another's random numbers.
enum Stream : std::uint64_t { long_waves = 101, rough_first = 1000, vertex_first = 1'000'000 };

constexpr double long_share = 0.3;    // of the noise, in waves of 8 to 25 mm (examine's trial)
constexpr double crease_fade_mm = 4;  // at both ends of a crease
constexpr double gaussian_width = 2.3548200450309493;  // full width at half height over sigma

/// (1 - (r/R)^2)^2 within R.
double dome(double r, double radius) {
    const double s = 1.0 - (r / radius) * (r / radius);
    return s > 0.0 ? s * s : 0.0;
}

Fault off_the_sole(const char* what, const Vec2& at) {
    return Fault{FaultKind::usage,
                 "cast",
                 std::string(what) + " at x " + rounded(at.x(), 1) + ", y " + rounded(at.y(), 1) +
                     " does not lie on the sole",
                 {}};
}

}  // namespace

Relief::Relief(const Foot& foot, const CastSpec& spec)
    : foot_(foot),
      seam_(spec.seam),
      heel_flat_(spec.heel_flat),
      noise_mm_(spec.noise_mm),
      seed_(spec.seed),
      long_waves_(Random(spec.seed, long_waves), 8.0, 25.0, 24) {}

Outcome<Relief> Relief::lay(const Foot& foot, const CastSpec& spec) {
    Relief relief(foot, spec);
    const auto place = [&](const Vec2& at) { return foot.sole(at.x(), at.y()); };
    for (const Dent& d : spec.dents) {
        const auto p = place(d.at);
        if (!p) return off_the_sole("the dent", d.at);
        relief.domes_.push_back({*p, d.radius_mm, -d.depth_mm});
    }
    for (const AirVoid& v : spec.voids) {
        const auto p = place(v.at);
        if (!p) return off_the_sole("the air void", v.at);
        relief.domes_.push_back({*p, v.radius_mm, v.height_mm});
    }
    for (const Crease& c : spec.creases) {
        // a parabola over the chord
        std::vector<Vec2> path;
        const Vec2 chord = c.to - c.from;
        const Vec2 across = Vec2(-chord.y(), chord.x()).normalized();
        for (int i = 0; i <= 16; ++i) {
            const double t = i / 16.0;
            path.push_back(c.from + t * chord + (4.0 * t * (1.0 - t) * c.bow_mm) * across);
        }
        auto line = SoleLine::lay(foot, path, false);
        if (!line) return off_the_sole("the crease from a place", c.from);
        relief.ridges_.push_back({*std::move(line), c.width_mm / gaussian_width, c.height_mm});
    }
    std::uint64_t stream = rough_first;
    for (const Roughness& r : spec.rough) {
        const auto p = place(r.at);
        if (!p) return off_the_sole("the rough patch", r.at);
        relief.patches_.push_back(
            {*p, r.radius_mm, r.rms_mm,
             Waves(Random(spec.seed, stream++), 2.0 * r.grain_mm, 5.0 * r.grain_mm, 48)});
    }
    return relief;
}

double Relief::faults(const Vec3& p) const {
    double h = 0.0;
    for (const Dome& d : domes_) h += d.height * dome((p - d.at).norm(), d.radius);
    for (const Ridge& r : ridges_) {
        const auto near = r.line.nearest(p, 6.0 * r.sigma);
        if (near.distance_mm > 6.0 * r.sigma) continue;
        const double end = std::min(near.along_mm, r.line.length() - near.along_mm);
        h += r.height * std::exp(-0.5 * (near.distance_mm / r.sigma) * (near.distance_mm / r.sigma)) *
             smooth_step(end, 0.0, crease_fade_mm);
    }
    if (seam_) h += seam(p);
    if (heel_flat_) h += heel_flat(p);
    return h;
}

double Relief::seam(const Vec3& p) const {
    const double a = radians(seam_->skew_deg);
    const double behind = (p.x() - seam_->x_mm) * std::cos(a) + p.y() * std::sin(a);
    const double step = smooth_step(behind, -0.5 * seam_->width_mm, 0.5 * seam_->width_mm);
    if (step == 0.0) return 0.0;
    const double on_sole = 1.0 - smooth_step(foot_.normal(p).z(), -0.4, -0.1);
    return seam_->height_mm * step * std::exp(-std::max(behind, 0.0) / seam_->fade_mm) * on_sole;
}

/// As far along the normal as the plane is away: the vertex lands on the plane.
double Relief::heel_flat(const Vec3& p) const {
    const double length = foot_.shape().length_mm;
    if (p.x() > 0.25 * length) return 0.0;
    const Vec3 low = foot_.truth().landmarks.at("heel_lowest");
    const double ax = std::tan(radians(heel_flat_->tilt_about_x_deg)),
                 ay = std::tan(radians(heel_flat_->tilt_about_y_deg));
    const Vec3 up = Vec3(ay, -ax, 1.0).normalized();
    const double below = (low - p).dot(up) + heel_flat_->depth_mm;
    if (below <= 0.0) return 0.0;
    const double slope = foot_.normal(p).dot(up);
    return slope < -0.2 ? below / slope : 0.0;
}

double Relief::noise(const Vec3& p, std::size_t vertex) const {
    double h = 0.0;
    for (const Patch& r : patches_) {
        const double d = (p - r.at).norm();
        if (d < r.radius) h += r.rms * r.waves(p) * (1.0 - smooth_step(d, 0.75 * r.radius, r.radius));
    }
    if (noise_mm_ > 0.0)
        h += noise_mm_ * (Random(seed_, vertex_first + vertex).normal() + long_share * long_waves_(p));
    return h;
}

double fault_height(const Foot& foot, const CastSpec& spec, const Vec3& surface_point) {
    const Outcome<Relief> relief = Relief::lay(foot, spec);
    return relief ? relief->faults(surface_point) : 0.0;
}

}  // namespace archwright::generator
