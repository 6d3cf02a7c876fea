#include "engine/surface/fit.hpp"

#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "engine/base/parallel.hpp"
#include "engine/surface/grid_fit.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

double worst_error(const SplineSurface& s, const AnalyticSurface& exact) {
    double worst = 0;
    for (int i = 0; i <= 60; ++i)
        for (int j = 0; j <= 60; ++j) {
            const Vec2 uv(exact.length_u * i / 60, exact.length_v * j / 60);
            worst = std::max(worst, (s.point(uv) - exact.point(uv)).norm());
        }
    return worst;
}

FitPoints scattered(const AnalyticSurface& exact, int count, double noise, std::mt19937_64& random) {
    std::uniform_real_distribution<double> u(0.0, exact.length_u), v(0.0, exact.length_v);
    std::normal_distribution<double> normal(0.0, 1.0);
    FitPoints points;
    for (int k = 0; k < count; ++k) {
        const Vec2 uv(u(random), v(random));
        points.uv.push_back(uv);
        points.position.push_back(exact.point(uv) + noise * normal(random) * exact.normal(uv));
        points.weight.push_back(exact.length_u * exact.length_v / count);
    }
    return points;
}

void remove_disc(FitPoints& points, const Vec2& centre, double radius) {
    for (std::size_t k = 0; k < points.size(); ++k)
        if ((points.uv[k] - centre).norm() < radius) points.weight[k] = 0.0;
}

double rms(const SplineSurface& s, const AnalyticSurface& exact) {
    double sum = 0;
    int count = 0;
    for (int i = 3; i <= 57; ++i)
        for (int j = 3; j <= 57; ++j, ++count) {
            const Vec2 uv(exact.length_u * i / 60, exact.length_v * j / 60);
            sum += (s.point(uv) - exact.point(uv)).squaredNorm();
        }
    return std::sqrt(sum / count);
}

}  // namespace

TEST_CASE("A grid fit gives back the spline it sampled, for any number of samples a span") {
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> any(-5.0, 5.0);
    for (int per_span : {1, 2, 3})
        for (const auto& [nu, nv] : {std::pair{4, 4}, {5, 9}, {23, 14}}) {
            SplineSurface s{{nu, 30.0}, {nv, 20.0}, {}};
            SplineField f{s.u, s.v, {}};
            for (int i = 0; i < nu * nv; ++i) {
                s.control.emplace_back(any(random), any(random), any(random));
                f.control.push_back(any(random));
            }
            const GridFit grid(s.u, s.v, per_span);
            std::vector<Vec3> samples;
            std::vector<double> values;
            for (double u : grid.us())
                for (double v : grid.vs()) {
                    samples.push_back(s.point({u, v}));
                    values.push_back(f.value({u, v}));
                }
            REQUIRE(samples.size() == grid.size());
            const SplineSurface again = grid.fit(samples);
            const SplineField field = grid.fit(values);
            for (std::size_t i = 0; i < s.control.size(); ++i) {
                CHECK((again.control[i] - s.control[i]).norm() < 1e-9);
                CHECK(std::abs(field.control[i] - f.control[i]) < 1e-9);
            }
        }
}

TEST_CASE("Grid fits of sphere, saddle, torus and cylinder converge with the fourth order") {
    for (const AnalyticSurface& exact :
         {sphere(60, 50, 45), saddle(60, 50, 50, -40), torus(60, 50, 60, 40), cylinder(60, 50, 35)}) {
        const double coarse = worst_error(exact.carpet(8, 8), exact),
                     fine = worst_error(exact.carpet(16, 16), exact),
                     finest = worst_error(exact.carpet(32, 32), exact);
        INFO(exact.name << " " << coarse << " " << fine << " " << finest);
        if (finest > 1e-9) {  // a parabolic saddle is a spline itself
            CHECK(std::log2(coarse / fine) > 3.5);
            CHECK(std::log2(fine / finest) > 3.5);
        }
        CHECK(finest < 1e-4);
    }
}

TEST_CASE("The banded solver solves the dense normal equations") {
    std::mt19937_64 random(seed());
    const AnalyticSurface exact = saddle(30, 20, 40, -30);
    FitPoints points = scattered(exact, 150, 0.1, random);
    std::uniform_real_distribution<double> weight(0.1, 3.0);
    for (double& w : points.weight) w = weight(random);
    for (const auto& [nu, nv] : {std::pair{8, 6}, {5, 9}, {4, 4}}) {
        const Basis u{nu, 30.0}, v{nv, 20.0};
        const double fairness = 0.7;
        Eigen::MatrixXd matrix = Eigen::MatrixXd::Zero(nu * nv, nu * nv),
                        right = Eigen::MatrixXd::Zero(nu * nv, 3);
        for (std::size_t k = 0; k < points.size(); ++k) {
            std::array<double, 4> a, b;
            const int i = u.evaluate(points.uv[k].x(), a), j = v.evaluate(points.uv[k].y(), b);
            Eigen::VectorXd row = Eigen::VectorXd::Zero(nu * nv);
            for (int p = 0; p < 4; ++p)
                for (int q = 0; q < 4; ++q) row[(i + p) * nv + j + q] = a[p] * b[q];
            matrix += points.weight[k] * row * row.transpose();
            right += points.weight[k] * row * points.position[k].transpose();
        }
        // the energy by the midpoint rule on a fine grid: exact enough, and by another way
        constexpr int fine = 40;
        const int mu = u.spans() * fine, mv = v.spans() * fine;
        for (int x = 0; x < mu; ++x)
            for (int y = 0; y < mv; ++y) {
                std::array<double, 4> a, a1, a2, b, b1, b2;
                const int i = u.evaluate(30.0 * (x + 0.5) / mu, a, &a1, &a2),
                          j = v.evaluate(20.0 * (y + 0.5) / mv, b, &b1, &b2);
                Eigen::Matrix<double, 16, 3> d;
                for (int p = 0; p < 4; ++p)
                    for (int q = 0; q < 4; ++q)
                        d.row(p * 4 + q) << a2[p] * b[q], std::sqrt(2.0) * a1[p] * b1[q], a[p] * b2[q];
                const Eigen::Matrix<double, 16, 16> e =
                    fairness * (30.0 / mu) * (20.0 / mv) * d * d.transpose();
                for (int p = 0; p < 16; ++p)
                    for (int q = 0; q < 16; ++q)
                        matrix((i + p / 4) * nv + j + p % 4, (i + q / 4) * nv + j + q % 4) += e(p, q);
            }
        const Eigen::MatrixXd dense = matrix.ldlt().solve(right);
        const SplineSurface s = PenalisedFit(u, v, {fairness}).fit(points);
        for (int i = 0; i < nu * nv; ++i)
            CHECK((s.control[i] - Vec3(dense.row(i).transpose())).norm() < 2e-3);
    }
}

TEST_CASE("A plane costs no fairness: it is met exactly, however stiff, and across any hole") {
    std::mt19937_64 random(seed());
    const AnalyticSurface exact = plane(60, 40);
    FitPoints points = scattered(exact, 4000, 0.0, random);
    remove_disc(points, {30, 20}, 12.0);
    for (double fairness : {0.01, 1.0, 100.0})
        CHECK(worst_error(PenalisedFit({24, 60.0}, {18, 40.0}, {fairness}).fit(points), exact) < 1e-8);
}

TEST_CASE("Holes of 8 and 15 mm radius are filled by the fairest surface") {
    std::mt19937_64 random(seed());
    for (const AnalyticSurface& exact : {sphere(80, 60, 60), saddle(80, 60, 80, -60), cylinder(80, 60, 50)})
        for (const auto& [radius, limit] : {std::pair{8.0, 0.14}, {15.0, 0.93}}) {
            FitPoints points = scattered(exact, 20000, 0.02, random);
            remove_disc(points, {40, 30}, radius);
            const SplineSurface s = PenalisedFit({33, 80.0}, {26, 60.0}).fit(points);
            double worst = 0;
            for (double x = -radius; x <= radius; x += 1)
                for (double y = -radius; y <= radius; y += 1) {
                    const Vec2 uv(40 + x, 30 + y);
                    if (x * x + y * y > radius * radius) continue;
                    worst = std::max(worst, std::abs((s.point(uv) - exact.point(uv)).dot(exact.normal(uv))));
                }
            INFO(exact.name << " radius " << radius << " worst " << worst);
            CHECK(worst < limit);
        }
}

TEST_CASE("Robust weights take spikes of 2 mm out of the fit") {
    std::mt19937_64 random(seed());
    const AnalyticSurface exact = sphere(80, 60, 60);
    FitPoints points = scattered(exact, 20000, 0.05, random);
    std::uniform_int_distribution<std::size_t> which(0, points.size() - 1);
    for (int k = 0; k < 400; ++k) {
        const std::size_t i = which(random);
        points.position[i] += (k % 4 == 0 ? -2.0 : 2.0) * exact.normal(points.uv[i]);
    }
    const PenalisedFit fit({33, 80.0}, {26, 60.0});
    const SplineSurface plain = fit.fit(points);
    const std::vector<double> residual = project_all(plain, points.position, points.uv);
    const std::vector<double> factor = robust_factors(residual);
    FitPoints kept = points;
    for (std::size_t i = 0; i < kept.size(); ++i) kept.weight[i] *= factor[i];
    const SplineSurface robust = fit.fit(kept);
    INFO("rms plain " << rms(plain, exact) << " robust " << rms(robust, exact));
    CHECK(rms(robust, exact) < 0.02);
    // worst along the normal: tangential shifts do not count
    const auto worst = [&](const SplineSurface& s) {
        double w = 0;
        for (double u = 4; u < 76; u += 1.5)
            for (double v = 4; v < 56; v += 1.5) {
                Vec2 uv(u, v);
                w = std::max(w, s.project(exact.point(uv), uv));
            }
        return w;
    };
    CHECK(worst(robust) < 0.06);
    CHECK(worst(robust) < 0.5 * worst(plain));
    CHECK(robust_factors({0.0, 0.0, 5.0})[2] == 0.0);
    CHECK(robust_factors({0.0, 0.0, 5.0})[0] == 1.0);
    CHECK(robust_factors({}).empty());
}

TEST_CASE("A fit has the same bytes for any number of threads") {
    std::mt19937_64 random(seed());
    const FitPoints points = scattered(sphere(80, 60, 60), 30000, 0.05, random);
    const PenalisedFit fit({40, 80.0}, {30, 60.0});
    std::vector<SplineSurface> made;
    for (int threads : {1, 2, 8}) {
        set_thread_count(threads);
        made.push_back(fit.fit(points));
    }
    set_thread_count(0);
    for (std::size_t i = 0; i < made[0].control.size(); ++i) {
        CHECK(made[0].control[i] == made[1].control[i]);
        CHECK(made[0].control[i] == made[2].control[i]);
    }
}
