#include "tests/examine/faulty_casts.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "assets/generator/cast.hpp"
#include "assets/generator/random.hpp"
#include "engine/base/units.hpp"
#include "engine/scan/clean.hpp"
#include "engine/scan/receive_as.hpp"

namespace archwright::tests {

namespace {

using examine::Finding;
using generator::CastSpec;
using generator::Foot;
using generator::Random;

// Places of the sole that keep apart, so that each fault can be told from the others.
struct Places {
    const Foot& foot;
    Random& random;
    std::vector<std::pair<Vec2, double>> taken{};

    bool lies_flat(const Vec2& at, double radius) const {
        for (int i = 0; i <= 8; ++i) {
            const double a = 2.0 * std::numbers::pi * i / 8.0, r = i == 8 ? 0.0 : radius;
            const auto p = foot.sole(at.x() + r * std::cos(a), at.y() + r * std::sin(a));
            if (!p || foot.normal(*p).z() > -0.6) return false;
        }
        return true;
    }
    bool take(const Vec2& at, double radius) {
        for (const auto& [other, r] : taken)
            if ((at - other).norm() < radius + r + 5.0) return false;
        taken.emplace_back(at, radius);
        return true;
    }
    std::optional<Vec2> next(double from_share, double to_share, double radius) {
        const double l = foot.shape().length_mm, b = foot.shape().forefoot_breadth_mm;
        for (int i = 0; i < 200; ++i) {
            const Vec2 at{l * random.between(from_share, to_share), b * random.between(-0.45, 0.4)};
            if (lies_flat(at, radius) && take(at, radius)) return at;
        }
        return std::nullopt;
    }
};

double one_of(Random& random, std::initializer_list<double> all) {
    return *(all.begin() + static_cast<std::ptrdiff_t>(random.uniform() * static_cast<double>(all.size())));
}

void add_dents(CastSpec& spec, Places& places, int count) {
    Random& random = places.random;
    for (int i = 0; i < count; ++i) {
        generator::Dent d;
        d.radius_mm = random.between(6.0, 11.0);
        d.depth_mm = one_of(random, {0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0});
        std::optional<Vec2> at;
        if (i == 0) {  // where fingers hold the foot
            const char* head = random.uniform() < 0.5 ? "fifth_head_plantar" : "fourth_head_plantar";
            const Vec2 beside = places.foot.truth().landmarks.at(head).head<2>() +
                                Vec2{random.between(-14, -4), random.between(1, 8)};
            if (places.lies_flat(beside, 3.0) && places.take(beside, d.radius_mm)) at = beside;
        }
        if (!at) at = places.next(-0.05, 0.5, d.radius_mm);
        if (!at) continue;
        d.at = *at;
        spec.dents.push_back(d);
    }
}

void add_creases(CastSpec& spec, Places& places, int count) {
    Random& random = places.random;
    for (int i = 0; i < count; ++i) {
        generator::Crease c;
        const double half = random.between(10.0, 32.0), a = random.between(0.0, std::numbers::pi);
        c.width_mm = random.between(1.2, 3.5);
        c.height_mm = one_of(random, {0.5, 0.75, 1.0, 1.5, 2.0}) * (random.uniform() < 0.5 ? -1.0 : 1.0);
        c.bow_mm = random.between(-4.0, 4.0);
        for (int t = 0; t < 200; ++t) {
            const double l = places.foot.shape().length_mm, b = places.foot.shape().forefoot_breadth_mm;
            const Vec2 middle{l * random.between(0.0, 0.46), b * random.between(-0.4, 0.35)};
            const Vec2 along(std::cos(a), std::sin(a));
            bool flat = true;
            for (int k = -2; k <= 2; ++k)
                flat = flat && places.lies_flat(middle + 0.5 * k * half * along, 4.0);
            if (!flat || !places.take(middle, half)) continue;
            c.from = middle - half * along;
            c.to = middle + half * along;
            spec.creases.push_back(c);
            break;
        }
    }
}

void add_void(CastSpec& spec, Places& places) {
    Random& random = places.random;
    generator::AirVoid v;
    v.radius_mm = random.between(7.0, 12.0);
    v.height_mm = one_of(random, {0.5, 1.0, 1.5, 2.0, 3.0});
    std::optional<Vec2> at;
    if (random.uniform() < 0.5) {  // where air is caught: under the heads
        const char* head = random.uniform() < 0.6 ? "first_head_plantar" : "third_head_plantar";
        const Vec2 under = places.foot.truth().landmarks.at(head).head<2>() +
                           Vec2{random.between(-6, 4), random.between(-4, 4)};
        if (places.lies_flat(under, 4.0) && places.take(under, v.radius_mm)) at = under;
    }
    if (!at) at = places.next(-0.05, 0.48, v.radius_mm);
    if (!at) return;
    v.at = *at;
    spec.voids.push_back(v);
}

CastSpec random_spec(const Foot& foot, Random& random, Faults faults, std::uint64_t seed) {
    CastSpec spec;
    spec.seed = seed;
    spec.kind = random.uniform() < 0.4 ? CastSpec::Kind::plaster_negative : CastSpec::Kind::foot_surface;
    spec.triangles = random.uniform() < 0.5 ? 150'000 : 300'000;
    spec.noise_mm = one_of(random, {0.05, 0.1, 0.2, 0.3});
    Places places{foot, random};
    const double l = foot.shape().length_mm;
    switch (faults) {
        case Faults::none:
            break;
        case Faults::marks:
            add_dents(spec, places, 2);
            add_void(spec, places);
            add_creases(spec, places, 2);
            break;
        case Faults::seam: {
            generator::Seam s;
            s.x_mm = l * random.between(0.12, 0.42);
            s.skew_deg = random.between(-25.0, 25.0);
            s.width_mm = random.between(0.6, 2.5);
            s.height_mm = one_of(random, {0.3, 0.5, 0.75, 1.0, 1.5, 2.0});
            s.fade_mm = random.between(15.0, 60.0);
            spec.seam = s;
            for (int k = -3; k <= 3; ++k)
                places.taken.emplace_back(Vec2(s.x_mm - 14.0 * k * std::tan(radians(s.skew_deg)), 14.0 * k),
                                          7.0);
            if (random.uniform() < 0.5) {
                generator::Roughness r;
                r.rms_mm = one_of(random, {0.15, 0.3, 0.5});
                r.grain_mm = random.between(1.0, 1.8);
                if (const auto at = places.next(0.0, 0.46, r.radius_mm)) {
                    r.at = *at;
                    spec.rough.push_back(r);
                }
            }
            add_dents(spec, places, 1);
            break;
        }
        case Faults::heel: {
            generator::HeelFlat h;
            h.depth_mm = one_of(random, {0.5, 1.0, 1.5, 2.0, 3.0});
            h.tilt_about_x_deg = random.between(-4.0, 4.0);
            h.tilt_about_y_deg = random.between(-4.0, 4.0);
            spec.heel_flat = h;
            places.taken.emplace_back(foot.truth().landmarks.at("heel_lowest").head<2>(), 24.0);
            add_dents(spec, places, 1);
            add_creases(spec, places, 1);
            break;
        }
    }
    return spec;
}

// The faults of a spec where they lie on the standing cast.
std::vector<TrueFault> truth_of(const Foot& foot, const CastSpec& spec, const foot::Frame& frame) {
    using enum Finding::Kind;
    const auto stood = [&](const Vec3& p) { return frame.to_design(generator::in_file(foot, spec, p)); };
    const auto turned = [&](const Vec3& p) { return (stood(p + foot.normal(p)) - stood(p)).normalized(); };
    const auto on_cast = [&](const Vec2& at, double height) {
        const Vec3 p = foot.sole(at.x(), at.y()).value();
        return stood(p + height * foot.normal(p));
    };
    std::vector<TrueFault> all;
    for (const auto& d : spec.dents)
        all.push_back({dent, on_cast(d.at, -d.depth_mm), -d.depth_mm, d.radius_mm, {}, {}});
    for (const auto& v : spec.voids)
        all.push_back({bump, on_cast(v.at, v.height_mm), v.height_mm, v.radius_mm, {}, {}});
    for (const auto& c : spec.creases) {
        TrueFault f{crease, Vec3::Zero(), c.height_mm, c.width_mm, {}, {}};
        const Vec2 chord = c.to - c.from, across = Vec2(-chord.y(), chord.x()).normalized();
        for (int i = 0; i <= 80; ++i) {
            const double t = i / 80.0;
            const Vec2 at = c.from + t * chord + (4.0 * t * (1.0 - t) * c.bow_mm) * across;
            if (const auto p = foot.sole(at.x(), at.y())) {
                f.line.push_back(on_cast(at, c.height_mm));
                f.normals.push_back(turned(*p));
            }
        }
        f.place = f.line[f.line.size() / 2];
        all.push_back(std::move(f));
    }
    if (spec.seam) {
        TrueFault f{seam, Vec3::Zero(), spec.seam->height_mm, spec.seam->width_mm, {}, {}};
        for (double y = -70.0; y <= 70.0; y += 0.5) {
            const Vec2 at(spec.seam->x_mm - y * std::tan(radians(spec.seam->skew_deg)), y);
            const auto p = foot.sole(at.x(), at.y());
            if (p && foot.normal(*p).z() < -0.4) {
                f.line.push_back(stood(*p));
                f.normals.push_back(turned(*p));
            }
        }
        f.place = f.line[f.line.size() / 2];
        all.push_back(std::move(f));
    }
    if (spec.heel_flat) {
        const Vec3 low = foot.truth().landmarks.at("heel_lowest");
        all.push_back({flat_heel,
                       stood(low + Vec3(0, 0, spec.heel_flat->depth_mm)),
                       -spec.heel_flat->depth_mm,
                       0.0,
                       {},
                       {}});
    }
    for (const auto& r : spec.rough)
        all.push_back({rough, on_cast(r.at, 0.0), r.rms_mm, r.radius_mm, {}, {}});
    return all;
}

std::optional<foot::Standing> stood(const TriangleMesh& raw, Side side, LengthUnit unit) {
    TriangleMesh mesh = scan::clean(raw).mesh;
    scan::Stated stated;
    stated.unit = unit;
    stated.side = side;
    const auto reception = scan::receive_as(side, mesh, unit, stated);
    if (!reception) return std::nullopt;
    auto standing = foot::stand(mesh, *reception, side, unit, {});
    if (!standing) return std::nullopt;
    return *std::move(standing);
}

}  // namespace

Faults faults_of(std::uint64_t seed) {
    constexpr std::array<Faults, 8> turn{Faults::marks, Faults::none,  Faults::seam, Faults::marks,
                                         Faults::heel,  Faults::marks, Faults::none, Faults::seam};
    return turn[seed % turn.size()];
}

std::optional<FaultyCast> generated_cast(std::uint64_t seed, Faults faults) {
    const auto foot = Foot::random(seed);
    if (!foot) return std::nullopt;
    Random random(seed, 8101);
    const CastSpec spec = random_spec(*foot, random, faults, seed);
    const auto cast = generator::take_cast(*foot, spec);
    if (!cast) return std::nullopt;
    auto standing = stood(cast->mesh, foot->shape().side, spec.unit);
    if (!standing) return std::nullopt;
    FaultyCast made{"generated " + std::to_string(seed), *std::move(standing), {}, spec.noise_mm};
    made.faults = truth_of(*foot, spec, made.standing.frame);
    return made;
}

}  // namespace archwright::tests
