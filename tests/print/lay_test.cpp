// Bodies laid for printing: overhang, flats, height and room in closed form; what is proposed.
#include <catch2/catch.hpp>
#include <random>

#include "engine/print/lay.hpp"
#include "tests/print/bodies.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/real_feet.hpp"

using namespace archwright;
using namespace archwright::print;

namespace {

constexpr double degree = std::numbers::pi / 180.0;

Printer roomy() {
    Printer printer;
    printer.build_x_mm = printer.build_y_mm = printer.build_z_mm = 400.0;
    printer.overhang_deg.value = 45.0;
    printer.flat_mm2.value = 2500.0;
    return printer;
}

}  // namespace

TEST_CASE("the cap of a ball overhangs: 2 pi R^2 (1 - cos)") {
    const double radius = 20.0;
    const TriangleMesh mesh = tests::ball_of(radius, 180);
    const Skin skin(mesh);
    for (const double limit : {20.0, 45.0, 70.0}) {
        const Laid laid = skin.laid(Vec3::UnitZ(), limit);
        const double cap = 2.0 * std::numbers::pi * radius * radius * (1.0 - std::cos(limit * degree));
        // a circle of facets counts or not: a degree of latitude
        const double ring = 2.0 * std::numbers::pi * radius * radius * std::sin(limit * degree) * degree;
        CHECK(laid.overhang_mm2 + laid.plate_mm2 == Approx(cap).margin(ring));
        CHECK(laid.height_mm == Approx(2.0 * radius).epsilon(1e-6));
    }
    // flats: the cap within 10 degrees of the layers' plane, of either pole the same
    const double flat = 2.0 * std::numbers::pi * radius * radius * (1.0 - std::cos(10.0 * degree));
    CHECK(skin.laid(Vec3::UnitZ(), 45.0).flat_mm2 == Approx(flat).epsilon(0.12));
    // nothing overhangs where powder carries
    CHECK(skin.laid(Vec3::UnitX(), 0.0).overhang_mm2 == 0.0);
}

TEST_CASE("a box on its face, on its edge, on its corner") {
    const Vec3 size(60.0, 40.0, 5.0);
    const TriangleMesh mesh = tests::box_of(size);
    const Skin skin(mesh);
    const Laid face = skin.laid(Vec3::UnitZ(), 45.0);
    CHECK(face.height_mm == Approx(5.0));
    CHECK(face.overhang_mm2 == 0.0);  // it lies on the plate
    CHECK(face.plate_mm2 == Approx(2400.0));
    CHECK(face.flat_mm2 == Approx(2400.0));
    // tilted about y: its large lower face is flatter than the limit until the tilt passes it
    for (const double tilt : {5.0, 20.0, 44.0, 46.0, 80.0}) {
        const Vec3 up(std::sin(tilt * degree), 0.0, std::cos(tilt * degree));
        const Laid laid = skin.laid(up, 45.0);
        const double large = tilt < 45.0 ? 2400.0 : 0.0, end = 90.0 - tilt < 45.0 ? 200.0 : 0.0;
        INFO(tilt);
        CHECK(laid.overhang_mm2 == Approx(large + end));
        CHECK(laid.height_mm == Approx(60.0 * std::sin(tilt * degree) + 5.0 * std::cos(tilt * degree)));
        CHECK(laid.flat_mm2 == Approx(tilt < 10.0 ? 2400.0 : tilt > 80.0 - 1e-9 ? 200.0 : 0.0));
    }
    const Vec3 corner = Vec3(1.0, 1.0, 1.0).normalized();
    CHECK(skin.laid(corner, 45.0).height_mm == Approx((60.0 + 40.0 + 5.0) / std::sqrt(3.0)));
}

TEST_CASE(
    "supports under a table are its shadow down to the plate, and down to the body where that is nearer") {
    // a T: a stem 10 x 30 on the plate, 20 high, under a slab 50 x 30
    TriangleMesh mesh;
    const std::vector<Vec2> ring{{20, 0}, {30, 0}, {30, 20}, {50, 20}, {50, 26}, {0, 26}, {0, 20}, {20, 20}};
    for (const double y : {0.0, 30.0})
        for (const Vec2& p : ring) mesh.points.emplace_back(p.x(), y, p.y());
    // faces as fans by hand: two boxes' worth of triangles
    const std::vector<Triangle> front{{0, 1, 2}, {0, 2, 7}, {2, 3, 4}, {7, 2, 4}, {7, 4, 5}, {7, 5, 6}};
    for (const Triangle& t : front) {
        mesh.triangles.push_back(t);
        mesh.triangles.push_back({t[0] + 8, t[2] + 8, t[1] + 8});
    }
    for (int k = 0; k < 8; ++k) {
        const int n = (k + 1) % 8;
        mesh.triangles.push_back({k, k + 8, n});
        mesh.triangles.push_back({n, k + 8, n + 8});
    }
    REQUIRE(mesh.volume() == Approx(10.0 * 30.0 * 20.0 + 50.0 * 30.0 * 6.0));
    const Skin skin(mesh);
    const Laid laid = skin.laid(Vec3::UnitZ(), 45.0);
    CHECK(laid.overhang_mm2 == Approx(40.0 * 30.0));
    CHECK(laid.plate_mm2 == Approx(300.0));
    CHECK(skin.supports(Vec3::UnitZ(), 45.0) == Approx(40.0 * 30.0 * 20.0).epsilon(1e-9));
    CHECK(laid.columns_mm3 == Approx(40.0 * 30.0 * 20.0).epsilon(1e-9));
    CHECK(skin.supports(-Vec3::UnitZ(), 45.0) == 0.0);
    CHECK(skin.laid(-Vec3::UnitZ(), 45.0).plate_mm2 == Approx(1500.0));
    // on its side the stem's flank hangs over the slab's
    CHECK(skin.supports(Vec3::UnitX(), 45.0) > 0.0);
}

TEST_CASE("turned together with the way up, a body comes out the same") {
    const int count = tests::cases(60, 10, "turned lays");
    std::mt19937_64 random(tests::seed() + 11);
    for (int i = 0; i < count; ++i) {
        const TriangleMesh mesh = tests::blind_hole(14.0, 5.0, 20.0, 12.0, 36);
        const Mat3 turn = tests::random_rotation(random());
        const Mat3 way = tests::random_rotation(random());
        const Vec3 up = way * Vec3::UnitZ();
        const TriangleMesh other = tests::moved(mesh, turn, Vec3(5, 6, -70));
        const Skin a(mesh), b(other);
        const Laid here = a.laid(up, 45.0), there = b.laid(turn * up, 45.0);
        CHECK(there.height_mm == Approx(here.height_mm).margin(1e-9));
        CHECK(there.overhang_mm2 == Approx(here.overhang_mm2).margin(1e-6));
        CHECK(there.flat_mm2 == Approx(here.flat_mm2).margin(1e-6));
        CHECK(there.plate_mm2 == Approx(here.plate_mm2).margin(1e-6));
        CHECK(b.supports(turn * up, 45.0) == Approx(a.supports(up, 45.0)).epsilon(1e-6));
        // put on the plate it stands above it, about the middle, and keeps its shape
        const Placed placed = place_on(b, turn * up, Vec3(100, 100, 100));
        const TriangleMesh down = placed.of(other);
        const Box3 box = down.box();
        CHECK(box.low.z() == Approx(0.0).margin(1e-9));
        CHECK(box.centre().head<2>().norm() < 1e-9);
        CHECK(box.size().z() == Approx(here.height_mm).margin(1e-9));
        CHECK(down.volume() == Approx(mesh.volume()));
        CHECK((placed.turn * (turn * up) - Vec3::UnitZ()).norm() < 1e-9);
    }
}

TEST_CASE("a long bar fits across the corner of a build volume or not at all") {
    const TriangleMesh mesh = tests::box_of({130.0, 4.0, 4.0});
    const Skin skin(mesh);
    // 100 x 100 has a diagonal of 141 mm: a bar of 130 x 4 lies along it (134 / sqrt 2 = 94.8 each way)
    const Placed across = place_on(skin, Vec3::UnitZ(), Vec3(100, 100, 10));
    CHECK(across.fits);
    CHECK(across.size.x() == Approx(134.0 / std::sqrt(2.0)).epsilon(1e-3));
    CHECK_FALSE(place_on(skin, Vec3::UnitZ(), Vec3(90, 90, 10)).fits);
    Printer printer = roomy();
    printer.build_x_mm = printer.build_y_mm = printer.build_z_mm = 82.0;
    // 82 mm: lying, a diagonal of 116 mm; only along the diagonal of the room, 142 mm, the bar fits
    const auto tight = propose(skin, printer, {}, nullptr);
    REQUIRE(tight.ok());
    CHECK(tight->fits);
    CHECK(tight->placed.fits);
    CHECK_FALSE(tight->standing.fits);
    printer.build_z_mm = 20.0;
    const auto none = propose(skin, printer, {}, nullptr);
    REQUIRE(none.ok());
    CHECK_FALSE(none->fits);
    CHECK_FALSE(none->placed.fits);
}

TEST_CASE("what is proposed is no worse than any other way, by the weights alone") {
    const TriangleMesh mesh = tests::box_of({80.0, 50.0, 6.0});
    const Skin skin(mesh);
    Printer printer = roomy();
    printer.weights = {1.0, 0.0, 0.0, 0.0};
    const auto flat = propose(skin, printer, {}, nullptr);
    REQUIRE(flat.ok());
    CHECK(flat->laid.height_mm == Approx(6.0));  // height alone: it lies down
    printer.weights = {0.0, 0.0, 1.0, 0.0};
    const auto steep = propose(skin, printer, {}, nullptr);
    REQUIRE(steep.ok());
    CHECK(steep->laid.flat_mm2 == 0.0);  // flats alone: it stands askew
    printer.weights = {0.0, 0.0, 0.0, 1.0};
    const Pull along{Mat3(Vec3(0.9, 0.1, 0.0).asDiagonal())};
    const auto lying = propose(skin, printer, along, nullptr);
    REQUIRE(lying.ok());
    CHECK(std::abs(lying->laid.up.z()) == Approx(1.0).margin(1e-6));  // layers along the pull
    CHECK(lying->laid.across == Approx(0.0).margin(1e-6));
    CHECK(along.across(Vec3::UnitX()) == Approx(0.9));
    printer.weights = {1.0, 1.0, 1.0, 1.0};
    const auto mixed = propose(skin, printer, along, nullptr);
    REQUIRE(mixed.ok());
    std::mt19937_64 random(tests::seed() + 17);
    const int count = tests::cases(3000, 400, "other ways up");
    for (int i = 0; i < count; ++i) {
        const Mat3 way = tests::random_rotation(random());
        const Laid other = skin.laid(way * Vec3::UnitZ(), printer.overhang_deg.value);
        const double score = other.height_mm / printer.build_z_mm + other.columns_mm3 / skin.volume() +
                             std::min(2.0, other.flat_mm2 / printer.flat_mm2.value) + along.across(other.up);
        // refined down to a quarter of a degree
        CHECK(score >= mixed->laid.score - 0.02);
    }
    CHECK(mixed->laid.score <= mixed->as_it_stands.score);
}

TEST_CASE("a way up has its words") {
    const auto tilted = [](double pitch, double roll) {
        return Vec3(std::sin(pitch * degree), std::cos(pitch * degree) * std::sin(roll * degree),
                    std::cos(pitch * degree) * std::cos(roll * degree));
    };
    CHECK(words_of_up(Vec3::UnitZ()) == "as it stands");
    CHECK(words_of_up(-Vec3::UnitZ()) == "underside up");
    CHECK(words_of_up(tilted(62.0, 0.0)) == "toes up by 62 degrees");
    CHECK(words_of_up(tilted(-62.0, 10.0)) == "heel up by 62 degrees, medial border up by 10 degrees");
    CHECK(words_of_up(tilted(0.0, -90.0)) == "lateral border up by 90 degrees");
    CHECK(words_of_up(Vec3::UnitX()) == "toes up by 90 degrees");
    CHECK(words_of_up(tilted(20.0, 180.0)) == "underside up, toes up by 20 degrees");
}
