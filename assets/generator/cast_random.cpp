#include "assets/generator/cast_random.hpp"

#include <algorithm>
#include <cmath>

#include "assets/generator/random.hpp"

namespace archwright::generator {

namespace {

constexpr std::uint64_t fault_stream = 501, tilt_stream = 502;
constexpr int most_tries = 200;  // for a free place; a crowded sole gets fewer faults

/// Hands out places of the sole that keep a distance from each other and from the border.
class Places {
  public:
    Places(const Foot& foot, Random& random) : foot_(foot), random_(random) {}

    std::optional<Vec2> next(double from_share, double to_share, double radius) {
        const double l = foot_.shape().length_mm, b = foot_.shape().forefoot_breadth_mm;
        for (int i = 0; i < most_tries; ++i) {
            const Vec2 at{l * random_.between(from_share, to_share), b * random_.between(-0.45, 0.35)};
            if (lies_flat(at, radius) && take(at, radius)) return at;
        }
        return std::nullopt;
    }
    /// On the sole and facing down at the place and round it.
    bool lies_flat(const Vec2& at, double radius) const {
        for (int i = 0; i <= 8; ++i) {
            const double a = 2.0 * std::numbers::pi * i / 8.0, r = i == 8 ? 0.0 : radius;
            const auto p = foot_.sole(at.x() + r * std::cos(a), at.y() + r * std::sin(a));
            if (!p || foot_.normal(*p).z() > -0.6) return false;
        }
        return true;
    }
    bool take(const Vec2& at, double radius) {
        for (const auto& [other, r] : taken_)
            if ((at - other).norm() < radius + r + 3.0) return false;
        taken_.emplace_back(at, radius);
        return true;
    }

  private:
    const Foot& foot_;
    Random& random_;
    std::vector<std::pair<Vec2, double>> taken_;
};

}  // namespace

FootShape scaled(FootShape s, double factor) {
    for (double* length : {&s.length_mm, &s.ball_length_mm, &s.forefoot_breadth_mm, &s.heel_breadth_mm,
                           &s.arch_height_mm, &s.instep_height_mm, &s.second_toe_mm, &s.ankle_height_mm})
        *length *= factor;
    return s;
}

void place_faults(CastSpec& spec, const Foot& foot, int dents, int creases, int holes) {
    Random random(spec.seed, fault_stream);
    Places places(foot, random);
    for (int i = 0; i < dents; ++i) {
        Dent d;
        d.radius_mm = random.between(6.0, 11.0);
        d.depth_mm = random.between(1.0, 3.0);
        std::optional<Vec2> at;
        if (i % 3 < 2) {
            const Vec3 head =
                foot.truth().landmarks.at(i % 3 == 0 ? "fifth_head_plantar" : "fourth_head_plantar");
            const double across = random.between(1, 8), along = random.between(-14, -4);
            const Vec2 beside = head.head<2>() + Vec2(along, across);
            if (places.lies_flat(beside, 3.0) && places.take(beside, d.radius_mm)) at = beside;
        }
        if (!at) at = places.next(0.0, 0.46, d.radius_mm);
        if (!at) continue;
        d.at = *at;
        spec.dents.push_back(d);
    }
    for (int i = 0; i < creases; ++i) {
        Crease c;
        const double half = random.between(10.0, 30.0), a = random.between(0.0, std::numbers::pi);
        c.width_mm = random.between(1.2, 3.5);
        c.height_mm = random.between(0.7, 1.8) * (random.uniform() < 0.5 ? -1.0 : 1.0);
        c.bow_mm = random.between(-4.0, 4.0);
        const auto middle = places.next(0.02, 0.42, half);
        if (!middle) continue;
        c.from = *middle - half * Vec2(std::cos(a), std::sin(a));
        c.to = *middle + half * Vec2(std::cos(a), std::sin(a));
        spec.creases.push_back(c);
    }
    for (int i = 0; i < holes; ++i) {
        Hole h;
        h.radius_mm = random.between(3.0, 7.0);
        const auto at = places.next(-0.05, 0.50, h.radius_mm);
        if (!at) continue;
        h.at = *at;
        spec.holes.push_back(h);
    }
}

Colours usual_ink(const Foot& foot) {
    const double l = foot.shape().length_mm, b = foot.shape().forefoot_breadth_mm;
    Colours colours;
    InkLine fascia;
    for (int i = 0; i <= 6; ++i) {
        const double t = i / 6.0;
        fascia.path.emplace_back(l * (0.12 + 0.29 * t), b * (0.03 + 0.11 * t));
    }
    fascia.contrast = 0.6;
    colours.lines = {fascia};
    InkSpot base;
    base.on_lateral_border = true;
    base.contrast = 0.6;
    colours.spots = {base};
    return colours;
}

Mat3 random_tilt(std::uint64_t seed) {
    Random random(seed, tilt_stream);
    const double u = random.uniform(), v = 2.0 * std::numbers::pi * random.uniform(),
                 w = 2.0 * std::numbers::pi * random.uniform();
    const double a = std::sqrt(1.0 - u), b = std::sqrt(u);
    return Eigen::Quaterniond(b * std::cos(w), a * std::sin(v), a * std::cos(v), b * std::sin(w))
        .normalized()
        .toRotationMatrix();
}

}  // namespace archwright::generator
