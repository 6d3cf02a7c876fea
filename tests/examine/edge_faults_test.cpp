// What a cast covers: holes, tears, splay, a cast that ends too soon, toes in the way.
#include "engine/examine/edge_faults.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "assets/generator/cast.hpp"
#include "assets/generator/cast_random.hpp"
#include "assets/generator/random.hpp"
#include "engine/base/units.hpp"
#include "engine/foot/stand.hpp"
#include "engine/scan/receive_as.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using examine::Finding;
using generator::CastSpec;
using generator::Foot;

namespace {

foot::Standing standing_of(const Foot& foot, const CastSpec& spec) {
    const auto cast = generator::take_cast(foot, spec);
    if (!cast) FAIL(cast.fault().message);
    scan::Stated stated;
    stated.unit = spec.unit;
    stated.side = foot.shape().side;
    const auto received = scan::receive_as(foot.shape().side, cast->mesh, {}, stated);
    if (!received) FAIL(received.fault().message);
    auto standing = foot::stand(cast->mesh, *received, foot.shape().side, spec.unit, {});
    if (!standing) FAIL(standing.fault().message);
    return std::move(*standing);
}

std::vector<Finding> of(const std::vector<Finding>& all, Finding::Kind kind) {
    std::vector<Finding> some;
    std::copy_if(all.begin(), all.end(), std::back_inserter(some),
                 [&](const Finding& f) { return f.kind == kind; });
    return some;
}

/// A slipper cast with an edge of even height.
CastSpec even_cast() {
    CastSpec spec;
    spec.kind = CastSpec::Kind::plaster_negative;
    spec.triangles = 80'000;
    spec.rim.tears = 0;
    spec.rim.raggedness_mm = 1.0;
    return spec;
}

/// Walls above a height opened by an angle, as by pulling the cast off.
void splay(foot::Standing& standing, double from_mm, double degrees_each) {
    for (Vec3& p : standing.mesh.points)
        if (p.z() > from_mm && p.x() < 60.0)
            p.y() += std::copysign((p.z() - from_mm) * std::tan(radians(degrees_each)), p.y());
}

}  // namespace

TEST_CASE("A sound slipper cast and a sound foot have nothing wrong with their extent") {
    const int count = tests::cases(60, 6, "sound casts, their extent examined");
    for (int c = 0; c < count; ++c) {
        generator::Random random(tests::seed() + 11, static_cast<std::uint64_t>(c));
        const auto foot = Foot::random(random.next());
        REQUIRE(foot);
        CastSpec spec = even_cast();
        if (c % 2 == 1) spec.kind = CastSpec::Kind::foot_surface;
        spec.seed = random.next();
        spec.noise_mm = random.between(0.05, 0.2);
        for (const Finding& f : examine::edge_faults(standing_of(*foot, spec))) {
            INFO("cast " << c << ": " << f.sentence);
            CHECK(f.certainty == Finding::Certainty::question);
        }
    }
}

TEST_CASE("Holes are found where they are, with their size") {
    const int count = tests::cases(60, 5, "casts with a hole in the sole");
    for (int c = 0; c < count; ++c) {
        generator::Random random(tests::seed() + 12, static_cast<std::uint64_t>(c));
        const auto foot = Foot::random(random.next());
        REQUIRE(foot);
        CastSpec spec;
        spec.triangles = 120'000;
        spec.seed = random.next();
        const double radius = random.between(2.5, 8.0);
        const Vec2 at{random.between(0.0, 90.0), random.between(-10.0, 10.0)};
        spec.holes = {{at, radius}};
        const auto standing = standing_of(*foot, spec);
        const auto holes = of(examine::edge_faults(standing), Finding::Kind::hole);
        REQUIRE(holes.size() == 1);
        CHECK(holes[0].breadth_mm == Approx(2.0 * radius).margin(1.2));
        CHECK(holes[0].certainty == Finding::Certainty::certain);
        const Vec3 truly =
            standing.frame.to_design(generator::in_file(*foot, spec, *foot->sole(at.x(), at.y())));
        // the middle of a rim lies below the dome that the hole was cut from: r^2 / 2 R
        constexpr double least_radius_of_sole_mm = 25.0;
        CHECK((holes[0].place - truly).norm() < 0.5 + radius * radius / (2.0 * least_radius_of_sole_mm));
    }
}

TEST_CASE("A deep tear is found, a waving edge is not one") {
    const auto foot = Foot::make({});
    REQUIRE(foot);
    CastSpec torn = even_cast();
    torn.rim.tears = 3;
    torn.rim.tear_depth_mm = 16;
    const auto tears = of(examine::edge_faults(standing_of(*foot, torn)), Finding::Kind::tear);
    CHECK(tears.size() >= 1);
    for (const Finding& f : tears) CHECK(f.length_mm < 18.0);
}

TEST_CASE("Walls opened by twenty degrees are called splayed; as they came off the foot they are not") {
    const auto foot = Foot::make({});
    REQUIRE(foot);
    CastSpec spec = even_cast();
    foot::Standing standing = standing_of(*foot, spec);
    CHECK(of(examine::edge_faults(standing), Finding::Kind::splay).empty());
    splay(standing, 20.0, 24.0);
    const auto found = of(examine::edge_faults(standing), Finding::Kind::splay);
    REQUIRE(found.size() == 1);
    CHECK_THAT(found[0].sentence, Catch::Contains("lean outward"));
}

TEST_CASE("A heel cut too low is told with the height it has") {
    const auto foot = Foot::make({});
    REQUIRE(foot);
    CastSpec spec = even_cast();
    spec.rim.height_mm = 16.0;
    const auto found = of(examine::edge_faults(standing_of(*foot, spec)), Finding::Kind::short_cast);
    REQUIRE(found.size() == 1);
    CHECK(found[0].length_mm < 17.0);
    CHECK(found[0].advice == Finding::Advice::take_again);
}

TEST_CASE("Toes bent up by forty degrees are told; toes at rest are not") {
    const auto foot = Foot::make({});
    REQUIRE(foot);
    CastSpec spec;
    spec.triangles = 60'000;
    foot::Standing standing = standing_of(*foot, spec);
    CHECK(of(examine::edge_faults(standing), Finding::Kind::toes).empty());
    const double root = standing.landmarks.at(foot::LandmarkId::first_head_plantar).position.x() + 12.0;
    for (Vec3& p : standing.mesh.points)
        if (p.x() > root) p.z() += (p.x() - root) * std::tan(radians(48.0));
    const auto toes = of(examine::edge_faults(standing), Finding::Kind::toes);
    REQUIRE_FALSE(toes.empty());
    CHECK(toes[0].certainty == Finding::Certainty::certain);
    CHECK_THAT(toes[0].advice_words, Catch::Contains("arch"));
}
