#include "tests/support/analytic.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "engine/surface/grid_fit.hpp"

namespace archwright::tests {

using surface::PeriodicCurve;
using surface::SurfacePoint;

namespace {

// Derivatives of a closed form by central differences of fifth order: good to 1e-9 at this step.
SurfacePoint differentiate(const std::function<Vec3(double, double)>& s, const Vec2& uv) {
    const double h = 1e-2;
    const auto d = [h](const auto& f) {
        return Vec3((8.0 * (f(h) - f(-h)) - (f(2 * h) - f(-2 * h))) / (12.0 * h));
    };
    const auto dd = [h](const auto& f) {
        return Vec3((16.0 * (f(h) + f(-h)) - (f(2 * h) + f(-2 * h)) - 30.0 * f(0.0)) / (12.0 * h * h));
    };
    const double u = uv.x(), v = uv.y();
    SurfacePoint at;
    at.s = s(u, v);
    at.su = d([&](double x) { return s(u + x, v); });
    at.sv = d([&](double x) { return s(u, v + x); });
    at.suu = dd([&](double x) { return s(u + x, v); });
    at.svv = dd([&](double x) { return s(u, v + x); });
    at.suv = d([&](double x) { return d([&](double y) { return s(u + x, v + y); }); });
    return at;
}

AnalyticSurface from(std::string name, double lu, double lv, std::function<Vec3(double, double)> s) {
    return {std::move(name), lu, lv, [s = std::move(s)](const Vec2& uv) { return differentiate(s, uv); }};
}

// Nodes and weights of 16-point Gauss-Legendre, by Newton on the Legendre recurrence.
struct Gauss {
    std::array<double, 16> x, w;
    Gauss() {
        constexpr int n = 16;
        for (int k = 0; k < n; ++k) {
            double z = std::cos(std::numbers::pi * (k + 0.75) / (n + 0.5)), slope = 1.0;
            for (int it = 0; it < 50; ++it) {
                double p0 = 1.0, p1 = z;
                for (int j = 2; j <= n; ++j) {
                    const double p2 = ((2 * j - 1) * z * p1 - (j - 1) * p0) / j;
                    p0 = p1;
                    p1 = p2;
                }
                slope = n * (z * p1 - p0) / (z * z - 1.0);
                z -= p1 / slope;
            }
            x[static_cast<std::size_t>(k)] = z;
            w[static_cast<std::size_t>(k)] = 2.0 / ((1.0 - z * z) * slope * slope);
        }
    }
};

}  // namespace

surface::SplineSurface AnalyticSurface::carpet(int spans_u, int spans_v) const {
    const surface::GridFit grid({spans_u + 3, length_u}, {spans_v + 3, length_v}, 2);
    std::vector<Vec3> samples;
    samples.reserve(grid.size());
    for (double u : grid.us())
        for (double v : grid.vs()) samples.push_back(at({u, v}).s);
    return grid.fit(samples);
}

AnalyticSurface plane(double lu, double lv) {
    return from("plane", lu, lv, [](double u, double v) { return Vec3(u, v, 0.0); });
}

AnalyticSurface cylinder(double lu, double lv, double radius) {
    return from("cylinder", lu, lv, [=](double u, double v) {
        const double a = (v - lv / 2) / radius;
        return Vec3(u, radius * std::sin(a), radius * (1.0 - std::cos(a)));
    });
}

AnalyticSurface sphere(double lu, double lv, double radius) {
    return from("sphere", lu, lv, [=](double u, double v) {
        const double a = (u - lu / 2) / radius, b = (v - lv / 2) / radius;
        return Vec3(radius * std::sin(a), radius * std::cos(a) * std::sin(b),
                    radius * (1.0 - std::cos(a) * std::cos(b)));
    });
}

AnalyticSurface saddle(double lu, double lv, double radius_u, double radius_v) {
    return from("saddle", lu, lv, [=](double u, double v) {
        const double x = u - lu / 2, y = v - lv / 2;
        return Vec3(x, y, 0.5 * (x * x / radius_u + y * y / radius_v));
    });
}

AnalyticSurface torus(double lu, double lv, double ring, double tube) {
    return from("torus", lu, lv, [=](double u, double v) {
        const double a = (u - lu / 2) / (ring + tube), b = (v - lv / 2) / tube;
        const double out = ring + tube * std::cos(b);
        return Vec3(out * std::sin(a), tube * std::sin(b), ring + tube - out * std::cos(a));
    });
}

AnalyticSurface foot_like() {
    const double lu = 250.0, lv = 120.0;
    // profile: slope angle over arc length, 0 on the sole, climbing to 80 degrees over the walls
    const auto profile = [](double v) {
        const double side = std::abs(v), sign = v < 0 ? -1.0 : 1.0;
        // sole half-width 22, then a bend of radius 26 eased in and out over arc length w = 36
        const double flat = 22.0, w = 36.0, top = 80.0 * std::numbers::pi / 180.0;
        const int steps = 40;
        double y = std::min(side, flat), z = 0.0;
        const double s1 = std::max(0.0, side - flat);
        // angle = top * smootherstep(s / w); Simpson along the bend
        const auto angle = [&](double s) {
            const double t = std::clamp(s / w, 0.0, 1.0);
            return top * t * t * t * (t * (6 * t - 15) + 10);
        };
        for (int k = 0; k < steps; ++k) {
            const double a = s1 * k / steps, b = s1 * (k + 1) / steps, m = 0.5 * (a + b);
            y += (b - a) / 6 * (std::cos(angle(a)) + 4 * std::cos(angle(m)) + std::cos(angle(b)));
            z += (b - a) / 6 * (std::sin(angle(a)) + 4 * std::sin(angle(m)) + std::sin(angle(b)));
        }
        return Vec2(sign * y, z);
    };
    return from("foot-like", lu, lv, [=](double u, double v) {
        const Vec2 yz = profile(v - lv / 2);
        // the heel curls up on a radius of 60; the arch is a long low hill on the medial side
        const double curl = std::max(0.0, 50.0 - u), arch = 9.0 * std::exp(-std::pow((u - 110.0) / 35.0, 2)) *
                                                            std::exp(-std::pow((yz.x() - 18.0) / 22.0, 2));
        const double bend = std::pow(curl, 3) / (6.0 * 60.0 * 50.0) * 2.0;
        return Vec3(u, yz.x(), yz.y() + arch + bend);
    });
}

PeriodicCurve uv_circle(const Vec2& centre, double radius, int points) {
    std::vector<Vec2> q;
    for (int k = 0; k < points; ++k) {
        const double a = 2.0 * std::numbers::pi * k / points;
        q.push_back(centre + radius * Vec2(std::cos(a), std::sin(a)));
    }
    return PeriodicCurve::through(q);
}

PeriodicCurve sphere_circle(const AnalyticSurface& sphere, double radius, double alpha, int points) {
    std::vector<Vec2> q;
    for (int k = 0; k < points; ++k) {
        const double p = 2.0 * std::numbers::pi * k / points;
        const double x = std::sin(alpha) * std::cos(p), y = std::sin(alpha) * std::sin(p),
                     z = std::cos(alpha);
        q.emplace_back(sphere.length_u / 2 + radius * std::asin(x),
                       sphere.length_v / 2 + radius * std::atan2(y, z));
    }
    return PeriodicCurve::through(q);
}

PeriodicCurve foot_trim(const AnalyticSurface& surface, double inset) {
    const double a = surface.length_u / 2 - inset, b = surface.length_v / 2 - inset;
    std::vector<Vec2> q;
    constexpr int points = 28;
    for (int k = 0; k < points; ++k) {
        const double p = 2.0 * std::numbers::pi * k / points, c = std::cos(p), s = std::sin(p);
        const auto power = [](double x) {
            return std::copysign(std::pow(std::abs(x), 0.6), x);
        };  // superellipse
        const double waist = s < 0 ? 1.0 - 0.25 * std::exp(-16.0 * c * c) : 1.0;
        q.emplace_back(surface.length_u / 2 + a * power(c), surface.length_v / 2 + b * waist * power(s));
    }
    return PeriodicCurve::through(q);
}

double integrate(const PeriodicCurve& curve, const std::function<double(const Vec2&)>& f) {
    static const Gauss gauss;
    double u0 = 1e300;
    for (const Vec2& p : curve.control) u0 = std::min(u0, p.x());
    double sum = 0.0;
    for (std::size_t span = 0; span < curve.control.size(); ++span)
        for (std::size_t g = 0; g < gauss.x.size(); ++g) {
            const double s = static_cast<double>(span) + 0.5 * (1.0 + gauss.x[g]);
            const Vec2 p = curve.point(s);
            double line = 0.0;
            const double half = 0.5 * (p.x() - u0);
            for (std::size_t k = 0; k < gauss.x.size(); ++k)
                line += gauss.w[k] * f({u0 + half * (1.0 + gauss.x[k]), p.y()});
            sum += 0.5 * gauss.w[g] * line * half * curve.tangent(s).y();
        }
    return sum;
}

OffsetSolid offset_solid(const AnalyticSurface& surface, const PeriodicCurve& trim, double t) {
    const auto element = [&](const Vec2& uv) { return surface.at(uv).su.cross(surface.at(uv).sv).norm(); };
    const auto k = [&](const Vec2& uv) { return surface::curvatures_of(surface.at(uv)); };
    return {integrate(trim,
                      [&](const Vec2& uv) {
                          const auto c = k(uv);
                          return element(uv) *
                                 (t + 0.5 * (c.k1 + c.k2) * t * t + c.k1 * c.k2 * t * t * t / 3.0);
                      }),
            integrate(trim, element), integrate(trim, [&](const Vec2& uv) {
                const auto c = k(uv);
                return element(uv) * (1.0 + t * c.k1) * (1.0 + t * c.k2);
            })};
}

double brute_exit(const AnalyticSurface& surface, const std::vector<surface::BallLayer>& layers,
                  const Vec2& uv, double reach) {
    const Vec3 s = surface.point(uv), n = surface.normal(uv);
    double best = -1e300;
    for (const auto& layer : layers) {
        const auto exit = [&](const Vec2& at) {
            if (at.x() < 0 || at.y() < 0 || at.x() > surface.length_u || at.y() > surface.length_v)
                return -1e300;
            const SurfacePoint p = surface.at(at);
            const Vec3 q = p.s + (layer.height ? layer.height(at) : 0.0) * p.normal();
            const double t = layer.radius(at, p.s);
            const double beta = -n.dot(q - s), h2 = (q - s).squaredNorm() - beta * beta;
            return h2 <= t * t ? beta + std::sqrt(t * t - h2) : -1e300;
        };
        struct Seen {
            double value;
            Vec2 at;
        };
        std::vector<Seen> seen;
        const double coarse = 0.2;
        for (double a = -reach; a <= reach; a += coarse)
            for (double b = -reach; b <= reach; b += coarse) {
                const Vec2 at = uv + Vec2(a, b);
                seen.push_back({exit(at), at});
            }
        std::stable_sort(seen.begin(), seen.end(),
                         [](const Seen& a, const Seen& b) { return a.value > b.value; });
        for (std::size_t k = 0; k < std::min<std::size_t>(seen.size(), 20); ++k) {
            Seen top = seen[k];
            for (double step = 0.5 * coarse; step > 1e-6; step *= 0.5)
                for (bool moved = true; moved;) {
                    moved = false;
                    for (const Vec2& d : {Vec2(1, 0), Vec2(-1, 0), Vec2(0, 1), Vec2(0, -1), Vec2(1, 1),
                                          Vec2(-1, -1), Vec2(1, -1), Vec2(-1, 1)}) {
                        const double value = exit(top.at + step * d);
                        if (value > top.value) {
                            top = {value, top.at + step * d};
                            moved = true;
                        }
                    }
                }
            best = std::max(best, top.value);
        }
    }
    return best;
}

}  // namespace archwright::tests
