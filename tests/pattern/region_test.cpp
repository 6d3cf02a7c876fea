// Flat regions against closed forms and the laws of sets.
#include "engine/pattern/region.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::pattern;

namespace {

double area_of(const Region& region) {
    double sum = 0.0;
    for (const Ring& ring : region.rings()) sum += signed_area(ring);
    return sum;
}

Ring rectangle(double x, double y, double w, double h) {
    return {{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}};
}

}  // namespace

TEST_CASE("region: a rectangle grown and shrunk has its closed-form area", "[region]") {
    const Region r(rectangle(-10, 5, 40, 25));
    CHECK(area_of(r) == Approx(1000.0).margin(1e-6));
    // Steiner: A + L m + pi m^2
    CHECK(area_of(r.grown(3)) == Approx(1000.0 + 130.0 * 3 + std::numbers::pi * 9).margin(0.1));
    CHECK(area_of(r.grown(-3)) == Approx(34.0 * 19.0).margin(1e-3));
    CHECK(r.grown(-12.6).empty());
    CHECK(r.grown(-12.6).largest().empty());
    // corners outward rounded with the radius: each loses (1 - pi / 4) r^2
    CHECK(area_of(r.opened(4)) == Approx(1000.0 - (4.0 - std::numbers::pi) * 16).margin(0.1));
    CHECK(area_of(r.closed(4)) == Approx(1000.0).margin(0.01));
}

TEST_CASE("region: a notch narrower than twice the radius is filled, a wider one rounded", "[region]") {
    const Region block(rectangle(0, 0, 60, 30));
    // a disc of the radius dips into the mouth of the notch: a segment over its breadth stays open
    const double dip = 9.0 * std::asin(2.5 / 3.0) - 2.5 * std::sqrt(9.0 - 2.5 * 2.5);
    CHECK(area_of(block.without(Region(rectangle(20, 20, 5, 10))).closed(3)) ==
          Approx(1800.0 - dip).margin(0.05));
    const Region wide = block.without(Region(rectangle(20, 20, 12, 10)));
    CHECK(area_of(wide.closed(3)) == Approx(1800.0 - 120.0 + (2.0 - std::numbers::pi / 2) * 9).margin(0.1));
}

TEST_CASE("region: the clockwise polygon and its reverse are the same region", "[region]") {
    Ring ring = rectangle(0, 0, 3, 4);
    std::reverse(ring.begin(), ring.end());
    CHECK(signed_area(ring) == Approx(-12.0));
    CHECK(area_of(Region(ring)) == Approx(12.0));
    CHECK(perimeter(ring) == Approx(14.0));
}

TEST_CASE("region: union and intersection have together what both have", "[region]") {
    std::mt19937_64 random(tests::seed());
    for (int i = tests::cases(2000, 100, "pairs of random regions"); i > 0; --i) {
        const auto blob = [&] {
            const Vec2 at{tests::uniform(random, -20, 20), tests::uniform(random, -20, 20)};
            Ring ring;
            for (int k = 0; k < 40; ++k) {
                const double angle = 2 * std::numbers::pi * k / 40;
                ring.push_back(at + tests::uniform(random, 10, 25) * Vec2(std::cos(angle), std::sin(angle)));
            }
            return Region(ring);
        };
        const Region a = blob(), b = blob();
        CHECK(area_of(a.joined(b)) + area_of(a.common(b)) == Approx(area_of(a) + area_of(b)).margin(1e-2));
        CHECK(area_of(a.without(b)) + area_of(a.common(b)) == Approx(area_of(a)).margin(1e-2));
        CHECK(area_of(a.common(b)) <= std::min(area_of(a), area_of(b)) + 1e-2);
        CHECK(signed_area(a.joined(b).largest()) > 0.0);
    }
}
