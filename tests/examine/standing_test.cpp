// A heel set down while the plaster was soft is not a foot scanned standing: its other faults stay certain.
#include <algorithm>
#include <catch2/catch.hpp>

#include "assets/generator/cast.hpp"
#include "assets/generator/random.hpp"
#include "engine/examine/examine.hpp"
#include "engine/scan/receive_as.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using examine::Finding;

TEST_CASE("A deep dent stays certain beside a flattened heel") {
    const int count = tests::cases(40, 4, "casts with a flattened heel and a dent in the arch");
    int dents = 0, heels = 0;
    for (int c = 0; c < count; ++c) {
        generator::Random random(tests::seed() + 31, static_cast<std::uint64_t>(c));
        const auto foot = generator::Foot::random(random.next());
        REQUIRE(foot);
        generator::CastSpec spec;
        spec.triangles = 150'000;
        spec.noise_mm = random.between(0.05, 0.15);
        spec.seed = random.next();
        spec.heel_flat = generator::HeelFlat{random.between(1.6, 3.0), 0.0, 0.0};
        const Vec2 at(0.3 * foot->truth().ball_length_mm, -4.0);
        spec.dents = {{at, 9.0, 2.5}};
        const auto cast = generator::take_cast(*foot, spec);
        REQUIRE(cast);
        const Side side = foot->shape().side;
        scan::Stated stated;
        stated.unit = spec.unit;
        stated.side = side;
        const auto received = scan::receive_as(side, cast->mesh, {}, stated);
        REQUIRE(received);
        const auto standing = foot::stand(cast->mesh, *received, side, spec.unit, {});
        REQUIRE(standing);
        const auto found = examine::examine(*standing, {});
        REQUIRE(found);
        const auto certain = [&](Finding::Kind kind) {
            return std::any_of(found->findings.begin(), found->findings.end(), [&](const Finding& f) {
                return f.kind == kind && f.certainty == Finding::Certainty::certain;
            });
        };
        dents += certain(Finding::Kind::dent);
        heels += certain(Finding::Kind::flat_heel);
    }
    INFO(dents << " dents and " << heels << " heels of " << count);
    CHECK(tests::share_holds(dents, count, 0.95));
    CHECK(tests::share_holds(heels, count, 0.90));
}
