#include "tests/mark/inked_foot.hpp"

#include <cmath>
#include <numbers>

#include "assets/generator/random.hpp"
#include "engine/scan/clean.hpp"
#include "engine/scan/receive_as.hpp"

namespace archwright::tests {

using generator::CastSpec;
using generator::Foot;
using generator::Random;

namespace {

constexpr double apart_mm = 9.0;

std::vector<Vec2> dense(const std::vector<Vec2>& path, bool closed, double step) {
    std::vector<Vec2> all;
    for (std::size_t i = 0; i + (closed ? 0 : 1) < path.size(); ++i) {
        const Vec2 &a = path[i], &b = path[(i + 1) % path.size()];
        const int n = std::max(1, static_cast<int>((b - a).norm() / step));
        for (int k = 0; k < n; ++k) all.push_back(a + (static_cast<double>(k) / n) * (b - a));
    }
    if (!closed && !path.empty()) all.push_back(path.back());
    return all;
}

/// Where ink may be drawn: on the sole behind the clefts of the toes, not up its walls.
bool drawable(const Foot& foot, const Vec2& p) {
    constexpr double toes = 0.68;
    if (p.x() > toes * foot.truth().length_mm) return false;
    const auto at = foot.sole(p.x(), p.y());
    if (!at) return false;
    constexpr double round_mm = 6.0;
    for (int k = 0; k < 8; ++k) {
        const double a = std::numbers::pi * k / 4.0;
        const auto beside = foot.sole(p.x() + round_mm * std::cos(a), p.y() + round_mm * std::sin(a));
        if (!beside || std::abs(beside->z() - at->z()) > round_mm) return false;
    }
    return true;
}

}  // namespace

std::optional<InkedFoot> standing_of(const Foot& foot, const CastSpec& spec) {
    const auto cast = generator::take_cast(foot, spec);
    if (!cast) return std::nullopt;
    const auto cleaned = scan::clean(cast->mesh);
    scan::Stated stated;
    stated.side = cast->truth.side;
    stated.unit = spec.unit;
    const auto reception = scan::receive_as(cast->truth.side, cleaned.mesh, std::nullopt, stated, nullptr);
    if (!reception) return std::nullopt;
    auto standing = foot::stand(cleaned.mesh, *reception, cast->truth.side, spec.unit, {});
    if (!standing) return std::nullopt;
    InkedFoot inked;
    const auto placed = [&](const Vec3& p) {
        return standing->frame.to_design(generator::in_file(foot, spec, p));
    };
    for (const generator::InkLine& line : spec.colours->lines) {
        Drawn one;
        one.closed = line.closed;
        one.size_mm = line.width_mm;
        for (const Vec2& at : dense(line.path, line.closed, 0.5))
            if (const auto p = foot.sole(at.x(), at.y())) one.line.push_back(placed(*p));
        inked.drawn.push_back(std::move(one));
    }
    for (const generator::InkSpot& spot : spec.colours->spots) {
        Drawn one;
        one.size_mm = spot.radius_mm;
        if (spot.on_lateral_border)
            one.centre = placed(foot.truth().landmarks.at("fifth_base"));
        else if (const auto p = foot.sole(spot.at.x(), spot.at.y()))
            one.centre = placed(*p);
        inked.drawn.push_back(std::move(one));
    }
    inked.standing = std::move(*standing);
    return inked;
}

std::optional<InkedFoot> inked_foot(std::uint64_t seed, const InkAsked& asked) {
    const auto foot = Foot::make(generator::under_plaster(generator::random_foot(seed)));
    if (!foot) return std::nullopt;
    Random random(seed, 77);
    const double length = foot->truth().length_mm;
    std::vector<Vec2> taken;
    const auto free = [&](const std::vector<Vec2>& points, double room) {
        for (const Vec2& p : points) {
            if (!drawable(*foot, p)) return false;
            for (const Vec2& q : taken)
                if ((p - q).norm() < room) return false;
        }
        return true;
    };
    const auto somewhere = [&] {
        return Vec2{random.between(-0.08, 0.68) * length, random.between(-0.2, 0.2) * length};
    };
    generator::Colours colours;
    constexpr TriangleMesh::Colour inks[] = {{52, 48, 120}, {40, 40, 44}, {150, 30, 48}, {96, 40, 110}};
    colours.ink = inks[random.next() % 4];
    colours.uneven_light = random.between(0.3, 0.5);
    colours.grain = random.between(0.008, 0.02);
    constexpr int tries = 400;
    for (int k = 0; k < asked.lines; ++k)
        for (int t = 0; t < tries; ++t) {
            const Vec2 middle = somewhere();
            const double turn = random.between(0.0, std::numbers::pi), long_mm = random.between(30.0, 90.0),
                         bow = random.between(-8.0, 8.0);
            const Vec2 way(std::cos(turn), std::sin(turn)), side(-way.y(), way.x());
            std::vector<Vec2> path;
            for (int i = 0; i <= 20; ++i) {
                const double s = i / 20.0;
                path.push_back(middle + (s - 0.5) * long_mm * way + 4.0 * s * (1.0 - s) * bow * side);
            }
            if (!free(dense(path, false, 2.0), apart_mm)) continue;
            generator::InkLine line;
            line.path = path;
            line.width_mm = random.between(1.0, 2.5);
            line.contrast = random.between(asked.least_contrast, asked.most_contrast);
            colours.lines.push_back(line);
            for (const Vec2& p : dense(path, false, 2.0)) taken.push_back(p);
            break;
        }
    for (int k = 0; k < asked.rings; ++k)
        for (int t = 0; t < tries; ++t) {
            const Vec2 middle = somewhere();
            const double a = random.between(5.0, 12.0), b = a * random.between(0.6, 1.0),
                         turn = random.between(0.0, std::numbers::pi);
            std::vector<Vec2> path;
            for (int i = 0; i < 36; ++i) {
                const double s = 2.0 * std::numbers::pi * i / 36.0;
                path.push_back(middle + Eigen::Rotation2Dd(turn) * Vec2(a * std::cos(s), b * std::sin(s)));
            }
            if (!free(dense(path, true, 2.0), apart_mm) || !free({middle}, apart_mm + a)) continue;
            generator::InkLine ring;
            ring.path = path;
            ring.closed = true;
            ring.width_mm = random.between(1.0, 2.0);
            ring.contrast = random.between(asked.least_contrast, asked.most_contrast);
            colours.lines.push_back(ring);
            for (const Vec2& p : dense(path, true, 2.0)) taken.push_back(p);
            taken.push_back(middle);
            break;
        }
    for (int k = 0; k < asked.spots; ++k)
        for (int t = 0; t < tries; ++t) {
            const Vec2 at = somewhere();
            if (!free({at}, apart_mm + 4.0)) continue;
            generator::InkSpot spot;
            spot.at = at;
            spot.radius_mm = random.between(1.5, 4.0);
            spot.contrast = random.between(asked.least_contrast, asked.most_contrast);
            colours.spots.push_back(spot);
            taken.push_back(at);
            break;
        }
    CastSpec spec;
    spec.kind = CastSpec::Kind::plaster_negative;
    spec.noise_mm = asked.noise_mm;
    spec.triangles = asked.triangles;
    spec.seed = seed;
    spec.rotation = Eigen::AngleAxisd(random.between(0.0, 6.28), Vec3::UnitZ()).toRotationMatrix();
    spec.colours = colours;
    return standing_of(*foot, spec);
}

}  // namespace archwright::tests
