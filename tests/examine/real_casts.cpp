// Faults laid on real feet.
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "assets/generator/random.hpp"
#include "engine/foot/survey.hpp"
#include "engine/scan/receive_as.hpp"
#include "tests/examine/faulty_casts.hpp"
#include "tests/support/real_feet.hpp"

namespace archwright::tests {

namespace {

using examine::Finding;
using generator::Random;

// Every triangle in four; the new points bulge as the normals of their edge's ends say (the edge curves of
// A. Vlachos et al., Curved PN triangles, 2001).
TriangleMesh divided(const TriangleMesh& mesh) {
    const std::vector<Vec3> normals = mesh.point_normals();
    TriangleMesh out;
    out.points = mesh.points;
    std::map<std::pair<std::int32_t, std::int32_t>, std::int32_t> middle;
    const auto half = [&](std::int32_t a, std::int32_t b) {
        const auto [at, fresh] = middle.try_emplace({std::min(a, b), std::max(a, b)},
                                                    static_cast<std::int32_t>(out.points.size()));
        if (fresh) {
            const Vec3 &p = mesh.points[static_cast<std::size_t>(a)],
                       &q = mesh.points[static_cast<std::size_t>(b)],
                       &n = normals[static_cast<std::size_t>(a)], &m = normals[static_cast<std::size_t>(b)];
            const Vec3 one = (2.0 * p + q - (q - p).dot(n) * n) / 3.0,
                       two = (2.0 * q + p - (p - q).dot(m) * m) / 3.0;
            out.points.push_back((p + 3.0 * one + 3.0 * two + q) / 8.0);
        }
        return at->second;
    };
    for (const Triangle& t : mesh.triangles) {
        const std::int32_t a = half(t[0], t[1]), b = half(t[1], t[2]), c = half(t[2], t[0]);
        out.triangles.insert(out.triangles.end(), {{t[0], a, c}, {a, t[1], b}, {c, b, t[2]}, {a, b, c}});
    }
    return out;
}

double edge_of(const TriangleMesh& mesh) {
    return std::sqrt(mesh.area() / static_cast<double>(mesh.triangles.size()) * 4.0 / std::sqrt(3.0));
}

// Lays faults along the normals of a mesh.
struct Layer {
    TriangleMesh& mesh;
    std::vector<Vec3> normals, points;
    std::vector<double> height;
    Random& random;
    double length, breadth;
    std::vector<std::pair<Vec2, double>> taken{};

    Layer(TriangleMesh& mesh_, Random& random_, double length_, double breadth_)
        : mesh(mesh_),
          normals(mesh_.point_normals()),
          points(mesh_.points),
          height(mesh_.points.size(), 0.0),
          random(random_),
          length(length_),
          breadth(breadth_) {}

    struct Place {
        Vec3 p, n;
    };
    std::optional<Place> sole(const Vec2& at) const {
        double best = 1e300;
        Place found{};
        for (std::size_t k = 0; k < points.size(); ++k) {
            if (normals[k].z() > -0.3) continue;
            const double d = (points[k].head<2>() - at).squaredNorm();
            if (d < best) {
                best = d;
                found = {points[k], normals[k]};
            }
        }
        if (!(best < 4.0)) return std::nullopt;
        return found;
    }
    bool flat(const Vec2& at, double radius) const {
        for (int i = 0; i <= 8; ++i) {
            const double a = 2.0 * std::numbers::pi * i / 8.0, r = i == 8 ? 0.0 : radius;
            const auto p = sole(at + r * Vec2(std::cos(a), std::sin(a)));
            if (!p || p->n.z() > -0.6) return false;
        }
        return true;
    }
    bool take(const Vec2& at, double radius) {
        for (const auto& [other, r] : taken)
            if ((at - other).norm() < radius + r + 5.0) return false;
        taken.emplace_back(at, radius);
        return true;
    }
    std::optional<Vec2> next(double radius) {
        for (int i = 0; i < 60; ++i) {
            const Vec2 at{length * random.between(-0.05, 0.46), breadth * random.between(-0.42, 0.38)};
            if (flat(at, radius) && take(at, radius)) return at;
        }
        return std::nullopt;
    }
    double one_of(std::initializer_list<double> all) {
        return *(all.begin() +
                 static_cast<std::ptrdiff_t>(random.uniform() * static_cast<double>(all.size())));
    }

    void dome(std::vector<TrueFault>& faults, bool away) {
        const double radius = random.between(6.0, 11.0),
                     size = one_of({0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0}) * (away ? 1.0 : -1.0);
        const auto at = next(radius);
        if (!at) return;
        const Place place = *sole(*at);
        const double stretch = random.between(0.85, 1.18), turn = random.between(0.0, std::numbers::pi);
        const Vec3 a = place.n.cross(Vec3(std::cos(turn), std::sin(turn), 0.0)).normalized(),
                   b = place.n.cross(a);
        for (std::size_t k = 0; k < points.size(); ++k) {
            const Vec3 d = points[k] - place.p;
            if (d.squaredNorm() > 400.0 || normals[k].dot(place.n) < 0.0) continue;
            const double r = std::hypot(d.dot(a) * stretch, d.dot(b) / stretch) / radius;
            if (r < 1.0) height[k] += size * 0.5 * (1.0 + std::cos(std::numbers::pi * r));
        }
        faults.push_back({away ? Finding::Kind::bump : Finding::Kind::dent,
                          place.p + size * place.n,
                          size,
                          radius,
                          {},
                          {}});
    }
    void crease(std::vector<TrueFault>& faults) {
        const double half = random.between(10.0, 32.0), width = random.between(1.2, 3.5),
                     bow = random.between(-4.0, 4.0), a = random.between(0.0, std::numbers::pi),
                     size = one_of({0.5, 0.75, 1.0, 1.5, 2.0}) * (random.uniform() < 0.5 ? -1.0 : 1.0);
        const Vec2 along(std::cos(a), std::sin(a)), across(-std::sin(a), std::cos(a));
        for (int t = 0; t < 60; ++t) {
            const Vec2 middle{length * random.between(0.0, 0.42), breadth * random.between(-0.4, 0.35)};
            bool good = true;
            for (int k = -2; k <= 2; ++k) good = good && flat(middle + 0.5 * k * half * along, 4.0);
            if (!good || !take(middle, half)) continue;
            // in plan: the sole is flat enough there
            TrueFault f{Finding::Kind::crease, Vec3::Zero(), size, width, {}, {}};
            const double scale = width / 1.7627471740390859;  // sech^2: full width at half height over it
            for (std::size_t k = 0; k < points.size(); ++k) {
                if (normals[k].z() > -0.3) continue;
                const Vec2 d = points[k].head<2>() - middle;
                const double s = d.dot(along) / half;
                if (std::abs(s) > 1.0) continue;
                const double off =
                    (d.dot(across) - bow * (1.0 - s * s)) / std::hypot(1.0, 2.0 * bow * s / half) / scale;
                const double end = std::clamp((1.0 - std::abs(s)) * half / 4.0, 0.0, 1.0);
                const double c = std::cosh(std::clamp(off, -30.0, 30.0));
                height[k] += size * end * end * (3.0 - 2.0 * end) / (c * c);
            }
            for (int k = -40; k <= 40; ++k) {
                const double s = k / 40.0;
                if (const auto p = sole(middle + s * half * along + bow * (1.0 - s * s) * across)) {
                    Vec3 exact = p->p + size * p->n;  // the nearest point stands a little beside the line
                    exact.head<2>() =
                        middle + s * half * along + bow * (1.0 - s * s) * across + size * p->n.head<2>();
                    f.line.push_back(exact);
                    f.normals.push_back(p->n);
                }
            }
            f.place = f.line[f.line.size() / 2];
            faults.push_back(std::move(f));
            return;
        }
    }
    void seam(std::vector<TrueFault>& faults) {
        const double x = length * random.between(0.12, 0.42), skew = random.between(-0.4, 0.4),
                     width = random.between(0.6, 2.5), fade = random.between(15.0, 60.0),
                     size = one_of({0.3, 0.5, 0.75, 1.0, 1.5, 2.0}),
                     sense = random.uniform() < 0.5 ? -1.0 : 1.0;
        TrueFault f{Finding::Kind::seam, Vec3::Zero(), size, width, {}, {}};
        for (std::size_t k = 0; k < points.size(); ++k) {
            const double behind =
                sense * ((points[k].x() - x) * std::cos(skew) + points[k].y() * std::sin(skew));
            if (behind < -0.5 * width) continue;
            const double t = std::clamp(behind / width + 0.5, 0.0, 1.0);
            const double on = std::clamp((-0.1 - normals[k].z()) / 0.3, 0.0, 1.0);
            height[k] += size * t * t * (3.0 - 2.0 * t) * std::exp(-std::max(0.0, behind) / fade) * on;
        }
        for (double y = -60.0; y <= 60.0; y += 0.5) {
            const Vec2 at(x - y * std::tan(skew), y);
            if (const auto p = sole(at); p && p->n.z() < -0.4) {
                f.line.push_back(p->p);
                f.line.back().head<2>() = at;
                f.normals.push_back(p->n);
            }
        }
        for (int k = -3; k <= 3; ++k) taken.emplace_back(Vec2(x - 14.0 * k * std::tan(skew), 14.0 * k), 7.0);
        if (f.line.empty()) return;
        f.place = f.line[f.line.size() / 2];
        faults.push_back(std::move(f));
    }
    void heel(std::vector<TrueFault>& faults, const Vec3& lowest) {
        const double depth = one_of({0.5, 1.0, 1.5, 2.0, 3.0});
        const Vec3 up = Vec3{random.between(-0.07, 0.07), random.between(-0.07, 0.07), 1.0}.normalized();
        for (std::size_t k = 0; k < points.size(); ++k) {
            if (points[k].x() > 0.1 * length) continue;
            const double below = (lowest - points[k]).dot(up) + depth, slope = normals[k].dot(up);
            if (below > 0.0 && slope < -0.2) height[k] += below / slope;
        }
        taken.emplace_back(lowest.head<2>(), 24.0);
        faults.push_back({Finding::Kind::flat_heel, lowest + Vec3(0, 0, depth), -depth, 0.0, {}, {}});
    }
    void finish(double noise) {
        for (std::size_t k = 0; k < points.size(); ++k)
            mesh.points[k] = points[k] + (height[k] + noise * random.normal()) * normals[k];
    }
};

}  // namespace

std::optional<foot::Standing> real_standing(std::size_t index) {
    const RealFoot& real = real_feet()[index];
    const TriangleMesh mesh = real_foot(real);
    if (mesh.triangles.empty()) return std::nullopt;
    scan::Stated stated;
    stated.unit = real.unit;
    stated.side = real.side;
    const auto reception = scan::receive_as(real.side, mesh, real.unit, stated);
    if (!reception) return std::nullopt;
    auto standing = foot::stand(mesh, *reception, real.side, real.unit, {});
    if (!standing) return std::nullopt;
    return *std::move(standing);
}

FaultyCast with_faults(const foot::Standing& real, const std::string& name, std::uint64_t seed,
                       Faults faults) {
    FaultyCast made{name + " " + std::to_string(seed), real, {}, 0.0};
    TriangleMesh& mesh = made.standing.mesh;
    while (edge_of(mesh) > 1.2) mesh = divided(mesh);
    using enum foot::LandmarkId;
    const auto at = [&](foot::LandmarkId id) { return real.landmarks.at(id).position; };
    Random random(seed, 8102);
    Layer layer(mesh, random, real.foot_length_mm, at(first_head_border).y() - at(fifth_head_border).y());
    made.noise_mm = layer.one_of({0.05, 0.1, 0.2, 0.3});
    if (faults == Faults::marks) {
        layer.dome(made.faults, false);
        layer.dome(made.faults, false);
        layer.dome(made.faults, true);
        layer.crease(made.faults);
        layer.crease(made.faults);
    } else if (faults == Faults::seam) {
        layer.seam(made.faults);
        layer.dome(made.faults, false);
    } else if (faults == Faults::heel) {
        layer.heel(made.faults, real.heel_lowest);
        layer.dome(made.faults, false);
        layer.crease(made.faults);
    }
    layer.finish(made.noise_mm);
    return made;
}

}  // namespace archwright::tests
