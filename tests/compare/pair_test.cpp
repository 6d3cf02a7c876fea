// Two casts of feet whose measures are known: what was changed is found where it was changed.
#include "engine/compare/pair.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>

#include "assets/generator/foot.hpp"
#include "engine/base/units.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::compare;

namespace {

build::Received received_of(const generator::FootShape& shape, Side side, double turned_deg = 0.0) {
    TriangleMesh mesh = generator::Foot::make(shape).value().mesh_of(24'000).value();
    const Mat3 r = (Eigen::AngleAxisd(radians(turned_deg), Vec3::UnitZ()) *
                    Eigen::AngleAxisd(radians(0.3 * turned_deg), Vec3::UnitX()))
                       .toRotationMatrix();
    for (Vec3& p : mesh.points) {
        p = r * p + Vec3(20.0, 5.0, -3.0);
        if (side == Side::left) p.y() = -p.y();
    }
    if (side == Side::left) mesh.flip();
    Progress progress;
    auto received = build::first_look(tests::cast_in_memory(mesh, "cast"),
                                      {LengthUnit::millimetre, side, {}, {}, {}}, progress);
    REQUIRE(received.ok());
    return std::move(*received);
}

CastPair pair_of(const build::Received& first, const build::Received& second, bool left_right = false) {
    Progress progress;
    auto pair = compare_casts(first, second, {left_right, 0.0}, progress);
    REQUIRE(pair.ok());
    return std::move(*pair);
}

const RegionFigures& of(const CastPair& pair, Region region) {
    return pair.regions[static_cast<std::size_t>(region)];
}

const build::Received& plain() {
    static const build::Received received = received_of({}, Side::right);
    return received;
}

}  // namespace

TEST_CASE("pair: the same foot cast again lies on itself, whichever way it was scanned") {
    const CastPair pair = pair_of(plain(), received_of({}, Side::right, 7.0));
    INFO(pair.registration.words);
    REQUIRE(pair.registration.ok());
    CHECK_FALSE(pair.mirrored);
    for (const RegionFigures& r : pair.regions) {
        CHECK(r.mm2 > 500.0);
        CHECK(r.within_mm < 0.02);
    }
    for (const MeasuredBoth& m : pair.measured) {
        INFO(m.id);
        CHECK_FALSE(m.beyond_doubt());
    }
    REQUIRE(pair.forefoot_known);
    CHECK(std::abs(pair.forefoot_turn_deg) < 0.1);
    CHECK(pair.forefoot_shift_mm.norm() < 0.3);
}

TEST_CASE("pair: an arch 2 mm higher is found at the arch, with its sign") {
    generator::FootShape higher;
    higher.arch_height_mm += 2.0;
    const CastPair pair = pair_of(plain(), received_of(higher, Side::right));
    REQUIRE(pair.registration.ok());
    // a higher arch is less of the foot
    CHECK(of(pair, Region::arch).mean_mm < -0.3);
    CHECK(of(pair, Region::arch).most_taken_mm == Approx(2.0).margin(0.7));
    CHECK(of(pair, Region::heel).within_mm < 0.6 * of(pair, Region::arch).within_mm);
    const auto arch = std::find_if(pair.measured.begin(), pair.measured.end(),
                                   [](const MeasuredBoth& m) { return m.id == "arch_height"; });
    REQUIRE(arch != pair.measured.end());
    CHECK(arch->difference() == Approx(2.0).margin(0.3));
}

TEST_CASE("pair: a forefoot turned against the heel shows as that turn") {
    generator::FootShape turned;
    turned.forefoot_to_rearfoot_deg = 4.0;  // inverted
    const CastPair pair = pair_of(plain(), received_of(turned, Side::right));
    INFO(pair.registration.words);
    REQUIRE(pair.registration.ok());
    REQUIRE(pair.forefoot_known);
    std::cout << "forefoot turned by 4 degrees: found " << pair.forefoot_turn_deg << "\n";
    CHECK(pair.forefoot_turn_deg == Approx(4.0).margin(1.5));
    const CastPair back = pair_of(received_of(turned, Side::right), plain());
    REQUIRE(back.forefoot_known);
    CHECK(back.forefoot_turn_deg == Approx(-4.0).margin(1.5));
}

TEST_CASE("pair: a left foot against a right one only when asked for, and then as its mirror image") {
    const build::Received left = received_of({}, Side::left, 5.0);
    const CastPair refused = pair_of(plain(), left);
    CHECK(refused.registration.trouble == registration::Trouble::wrong_side);
    CHECK(refused.registration.words.find("left") != std::string::npos);
    const CastPair asked = pair_of(plain(), left, true);
    REQUIRE(asked.registration.ok());
    CHECK(asked.mirrored);
    for (const RegionFigures& r : asked.regions) CHECK(r.within_mm < 0.02);
}

TEST_CASE("pair: a cast whose side was stated wrongly is found by its shape") {
    // a left foot's cast called right: the design frame sees it in the mirror
    TriangleMesh mesh = generator::Foot::make({}).value().mesh_of(24'000).value();
    for (Vec3& p : mesh.points) p.y() = -p.y();
    mesh.flip();
    Progress progress;
    auto wrong = build::first_look(tests::cast_in_memory(mesh, "cast"),
                                   {LengthUnit::millimetre, Side::right, {}, {}, {}}, progress);
    REQUIRE(wrong.ok());
    const CastPair pair = pair_of(plain(), *wrong);
    INFO(pair.registration.words);
    CHECK(pair.registration.trouble == registration::Trouble::wrong_side);
}

TEST_CASE("pair: regions are where their names say") {
    const double length = 250.0;
    const Vec3 down = -Vec3::UnitZ();
    CHECK(region_of(Vec3(0, 0, 0), down, length) == Region::heel);
    CHECK(region_of(Vec3(80, 10, 15), down, length) == Region::arch);
    CHECK(region_of(Vec3(140, 10, 2), down, length) == Region::forefoot);
    CHECK(region_of(Vec3(80, 40, 20), Vec3::UnitY(), length) == Region::medial_border);
    CHECK(region_of(Vec3(80, -40, 10), -Vec3::UnitY(), length) == Region::lateral_border);
    CHECK_FALSE(region_of(Vec3(200, 0, 2), down, length));    // the toes
    CHECK_FALSE(region_of(Vec3(80, 0, 60), down, length));    // too high
    CHECK_FALSE(region_of(Vec3(140, 0, 30), -down, length));  // the dorsum
}
