// Signs against whole-number arithmetic that cannot round.
#include "engine/mesh/predicates.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "tests/support/random_cases.hpp"

using namespace archwright;

namespace {

__extension__ using Wide = __int128;
using Whole = std::int64_t;

int sign(Wide value) {
    return value > 0 ? 1 : value < 0 ? -1 : 0;
}

// All coordinates below 2^58 in magnitude.
int sign2(const std::array<std::array<Whole, 2>, 3>& p) {
    const Wide ax = p[0][0] - p[2][0], ay = p[0][1] - p[2][1];
    const Wide bx = p[1][0] - p[2][0], by = p[1][1] - p[2][1];
    return sign(ax * by - ay * bx);
}

// d * (b x c) of 59-bit differences needs 180 bits: the 120-bit minors are multiplied in two halves.
int sign3(const std::array<std::array<Whole, 3>, 4>& p) {
    std::array<std::array<Wide, 3>, 3> m;
    for (std::size_t i = 0; i < 3; ++i)
        for (std::size_t k = 0; k < 3; ++k) m[i][k] = p[i + 1][k] - p[0][k];
    Wide high = 0, low = 0;
    for (std::size_t k = 0; k < 3; ++k) {
        const std::size_t i = (k + 1) % 3, j = (k + 2) % 3;
        const Wide minor = m[0][i] * m[1][j] - m[0][j] * m[1][i];
        high += (minor >> 64) * m[2][k];
        low += static_cast<Wide>(static_cast<std::uint64_t>(minor)) * m[2][k];
    }
    high += low >> 64;
    const auto rest = static_cast<std::uint64_t>(low);
    return high < 0 ? -1 : high == 0 && rest == 0 ? 0 : 1;
}

Whole as_double_holds(Whole value) {
    return static_cast<Whole>(static_cast<double>(value));
}

}  // namespace

TEST_CASE("orientation has the sign the docstring states") {
    CHECK(orient2d({0, 0}, {1, 0}, {0, 1}) == 1);
    CHECK(orient2d({0, 0}, {0, 1}, {1, 0}) == -1);
    CHECK(orient2d({0, 0}, {1, 1}, {3, 3}) == 0);
    CHECK(orient3d({0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}) == 1);
    CHECK(orient3d({0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, -1}) == -1);
    CHECK(orient3d({0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {7, 5, 0}) == 0);
}

TEST_CASE("orientation of nearly degenerate points is exact") {
    std::mt19937_64 random(tests::seed());
    const int count = tests::cases(1000000, 100000, "nearly degenerate orientations");
    int zero2 = 0, zero3 = 0, wrong2 = 0, wrong3 = 0, naive_wrong = 0;
    for (int n = 0; n < count; ++n) {
        // magnitudes of mixed size, so that differences do not fit a double either
        const auto coordinate = [&](int bits) {
            return as_double_holds(static_cast<Whole>(random() >> (64 - bits)) - (Whole{1} << (bits - 1)));
        };
        const auto small = [&] { return static_cast<Whole>(random() % 3) - 1; };
        std::array<std::array<Whole, 2>, 3> p{};
        std::array<std::array<Whole, 3>, 4> q{};
        const int kind = static_cast<int>(random() % 3);
        for (std::size_t i = 0; i < 3; ++i) {
            const int bits = kind == 0 ? 30 : kind == 1 ? 52 : 10 + static_cast<int>(random() % 46);
            for (std::size_t k = 0; k < 3; ++k) {
                q[i][k] = coordinate(bits);
                if (k < 2) p[i][k] = coordinate(bits);
            }
        }
        const Whole f = small(), g = small();
        const Whole nudge = random() % 2 == 0 ? 0 : 1;
        for (std::size_t k = 0; k < 3; ++k) {
            q[3][k] = as_double_holds(q[0][k] + f * (q[1][k] - q[0][k]) + g * (q[2][k] - q[0][k]) +
                                      nudge * small());
            if (k < 2) p[2][k] = as_double_holds(p[0][k] + 2 * f * (p[1][k] - p[0][k]) / 2 + nudge * small());
        }
        const auto d2 = [&](std::size_t i) {
            return Vec2(static_cast<double>(p[i][0]), static_cast<double>(p[i][1]));
        };
        const auto d3 = [&](std::size_t i) {
            return Vec3(static_cast<double>(q[i][0]), static_cast<double>(q[i][1]),
                        static_cast<double>(q[i][2]));
        };
        const int true2 = sign2(p), true3 = sign3(q);
        zero2 += true2 == 0;
        zero3 += true3 == 0;
        wrong2 += orient2d(d2(0), d2(1), d2(2)) != true2;
        wrong3 += orient3d(d3(0), d3(1), d3(2), d3(3)) != true3;
        const double naive = (d3(1) - d3(0)).cross(d3(2) - d3(0)).dot(d3(3) - d3(0));
        naive_wrong += (naive > 0) - (naive < 0) != true3;
        // exchanging two points turns the sign, exactly
        if (orient3d(d3(1), d3(0), d3(2), d3(3)) != -true3) ++wrong3;
    }
    INFO("exactly collinear " << zero2 << ", coplanar " << zero3 << ", plain arithmetic wrong "
                              << naive_wrong);
    CHECK(wrong2 == 0);
    CHECK(wrong3 == 0);
    // the cases are hard ones
    CHECK(zero3 > count / 20);
    CHECK(naive_wrong > count / 100);
}

TEST_CASE("orientation survives scaling by any power of two") {
    const Vec3 a(0.1, 0.2, 0.3), b(0.7, 0.1, 0.4), c(0.2, 0.9, 0.5);
    const Vec3 d = (a + b + c) / 3.0;
    const int answer = orient3d(a, b, c, d);
    for (int power = -200; power <= 200; power += 20) {
        const double s = std::ldexp(1.0, power);
        CHECK(orient3d(s * a, s * b, s * c, s * d) == answer);
    }
}
