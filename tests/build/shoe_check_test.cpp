// The device on the insole: closed forms, brute force, and the file the order names.
#include "engine/build/shoe_check.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <numbers>

#include "assets/generator/random.hpp"
#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/base/units.hpp"
#include "engine/build/workbench.hpp"
#include "engine/design/job_file.hpp"
#include "engine/shoe/clearance.hpp"
#include "exporters/report.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using Catch::Contains;

namespace {

constexpr double pi = std::numbers::pi;

std::vector<Vec2> circle(double radius, int corners = 2000) {
    std::vector<Vec2> points;
    for (int i = 0; i < corners; ++i)
        points.emplace_back(radius * std::cos(2.0 * pi * i / corners),
                            radius * std::sin(2.0 * pi * i / corners));
    return points;
}

shoe::Outline polygon(std::vector<Vec2> points) {
    auto outline = shoe::Outline::of(std::move(points), "polygon");
    if (!outline) FAIL(outline.fault().message);
    return std::move(*outline);
}

// A closed solid between a polygon at z = 0 and another of as many corners at z = height, both star-shaped
// about the origin.
TriangleMesh solid_between(const std::vector<Vec2>& below, const std::vector<Vec2>& above, double height) {
    TriangleMesh mesh;
    const auto n = static_cast<std::int32_t>(below.size());
    for (const Vec2& p : below) mesh.points.emplace_back(p.x(), p.y(), 0.0);
    for (const Vec2& p : above) mesh.points.emplace_back(p.x(), p.y(), height);
    for (std::int32_t i = 0; i < n; ++i) {
        const std::int32_t next = (i + 1) % n;
        mesh.triangles.push_back({i, next, n + next});
        mesh.triangles.push_back({i, n + next, n + i});
        if (i > 0 && next > 0) {
            mesh.triangles.push_back({0, next, i});
            mesh.triangles.push_back({n, n + i, n + next});
        }
    }
    return mesh;
}

// Not posed: a disc has no heel. Its rear lies on the origin, as an insole's does.
shoe::Insole disc_insole(double radius) {
    std::vector<Vec2> points = circle(radius, 8000);
    for (Vec2& p : points) p.x() += radius;
    shoe::Insole insole;
    insole.outline = polygon(std::move(points));
    insole.length_mm = 2.0 * radius;
    return insole;
}

shoe::Insole sized(double length, double ball, double heel) {
    auto insole = shoe::Insole::of_sizes(length, ball, heel);
    if (!insole) FAIL(insole.fault().message);
    return std::move(*insole);
}

// The outline of an insole, less a margin by its own sizes, bent a little, about the origin.
std::vector<Vec2> device_like(double length, double ball, double heel, double bend) {
    std::vector<Vec2> points;
    const shoe::Insole insole = sized(length, ball, heel);
    for (const Vec2& p : insole.outline.points())
        points.emplace_back(p.x() - 0.3 * length, p.y() + bend * std::sin(pi * p.x() / length));
    return points;
}

TriangleMesh moved(TriangleMesh mesh, double turn_deg, const Vec3& shift) {
    const Eigen::Matrix3d turn = Eigen::AngleAxisd(radians(turn_deg), Vec3::UnitZ()).toRotationMatrix();
    for (Vec3& p : mesh.points) p = turn * p + shift;
    return mesh;
}

}  // namespace

TEST_CASE("shoe check: a disc in a disc overlaps by twice the difference of their radii, in front") {
    generator::Random random(tests::seed() + 81);
    for (int i = tests::cases(60, 4, "discs in discs"); i > 0; --i) {
        const double insole_radius = random.between(60, 120), clearance = random.between(0, 4);
        const double line = insole_radius - clearance;  // the line is a disc as well
        const double radius = line + random.between(0.3, 6.0);
        const auto points = circle(radius);
        const build::ShoeLaid laid =
            build::lay_in_shoe(solid_between(points, points, 3.0), disc_insole(insole_radius), clearance);
        INFO(radius << " in " << line);
        CHECK(laid.footprint.overlap_mm == Approx(2.0 * (radius - line)).margin(0.01));
        CHECK(laid.footprint.zone == "in front of the toes");
        CHECK(laid.rim.overlap_mm == Approx(laid.footprint.overlap_mm).margin(1e-9));
        CHECK(laid.footprint.where.head<2>().norm() == Approx(radius));
        // its rear touches the line's rear
        CHECK(laid.forward_mm == Approx(clearance + radius).margin(0.01));
        CHECK(std::abs(laid.shift_mm) < 0.05);
    }
}

TEST_CASE("shoe check: a smaller disc keeps the clearance of its geometry") {
    generator::Random random(tests::seed() + 82);
    for (int i = tests::cases(60, 4, "smaller discs"); i > 0; --i) {
        const double insole_radius = random.between(60, 120), clearance = random.between(0, 4);
        const double line = insole_radius - clearance, radius = line - random.between(1.0, 12.0);
        const auto points = circle(radius);
        const build::ShoeLaid laid =
            build::lay_in_shoe(solid_between(points, points, 3.0), disc_insole(insole_radius), clearance);
        // Touching at the rear, its point seen from the insole's middle at the angle a from the rear lies
        // d cos a + sqrt(r^2 - d^2 sin^2 a) away; the heel end of a disc ends where 1 - cos a = 2 * 0.16.
        const double d = line - radius, c = 1.0 - 2.0 * shoe::heel_share;
        const double reach = d * c + std::sqrt(radius * radius - d * d * (1.0 - c * c));
        INFO(radius << " in " << line);
        CHECK(laid.footprint.overlap_mm < 0.0);
        CHECK(laid.footprint.overlap_mm == Approx(reach - line).margin(0.05));
    }
}

TEST_CASE("shoe check: the footprint is what lies within 5 mm of the ground, wherever the ground is") {
    // a truncated cone from radius 50 at the ground to 62 at 15 mm: 54 at 5 mm
    const TriangleMesh cone = solid_between(circle(50), circle(62), 15.0);
    for (const double ground : {0.0, -7.0, 30.0}) {
        const build::ShoeLaid laid =
            build::lay_in_shoe(moved(cone, 0.0, Vec3(3, -8, ground)), disc_insole(52), 1.0);
        // laid by the rim's rear: its middle 1 + 62 mm in front of the insole's rear, the line's front at 103
        CHECK(laid.footprint.overlap_mm == Approx(63.0 + 54.0 - 103.0).margin(0.01));
        CHECK(laid.footprint.where.z() == Approx(ground + 5.0));
        CHECK(laid.rim.overlap_mm == Approx(63.0 + 62.0 - 103.0).margin(0.01));
        CHECK(laid.rim.where.z() == Approx(ground + 15.0));
        CHECK(laid.shift_mm == Approx(8.0).margin(0.3));
    }
}

TEST_CASE("shoe check: turn and shift of a device are found and taken back") {
    const shoe::Insole insole = sized(260, 96, 66);
    const auto points = device_like(256, 92, 62, 0.0);  // 2 mm smaller all round, about
    const TriangleMesh device = solid_between(points, points, 3.0);
    const build::ShoeLaid straight = build::lay_in_shoe(device, insole, 0.5);
    CHECK(straight.footprint.overlap_mm < -0.8);
    CHECK(straight.turn_deg == Approx(0.0).margin(0.02));
    generator::Random random(tests::seed() + 83);
    for (int i = tests::cases(60, 10, "turned devices"); i > 0; --i) {
        const double turn = random.between(-2.9, 2.9);
        const Vec3 shift{random.between(-40, 40), random.between(-40, 40), random.between(-9, 9)};
        const build::ShoeLaid laid = build::lay_in_shoe(moved(device, turn, shift), insole, 0.5);
        INFO(turn << " degrees, " << shift.transpose());
        CHECK(laid.footprint.overlap_mm == Approx(straight.footprint.overlap_mm).margin(0.02));
        CHECK(laid.turn_deg == Approx(-turn).margin(0.1));
        // the insole is told to lie under the device as it was before the device was moved
        const auto under = laid.insole_under(insole), before = straight.insole_under(insole);
        const Eigen::Matrix2d back = Eigen::Rotation2Dd(radians(turn)).toRotationMatrix();
        for (std::size_t k = 0; k < under.size(); k += 17)
            CHECK((under[k] - (back * before[k] + shift.head<2>())).norm() < 0.5);
    }
}

TEST_CASE("shoe check: no other shift and turn does better, and none was claimed that is not so") {
    generator::Random random(tests::seed() + 84);
    for (int i = tests::cases(100, 12, "devices against brute force"); i > 0; --i) {
        const double length = random.between(180, 300), ball = random.between(0.3, 0.42) * length;
        const shoe::Insole insole = sized(length, ball, random.between(0.6, 0.9) * ball);
        const double clearance = random.between(0, 2);
        const double share = random.between(0.6, 0.98);
        const double wide = random.between(0.8, 1.05) * ball, narrow = random.between(0.5, 0.75) * ball;
        const auto points = device_like(share * length, wide, narrow, random.between(-6, 6));
        const build::ShoeLaid laid =
            build::lay_in_shoe(solid_between(points, points, 3.0), insole, clearance);
        const shoe::Edge edge(insole.outline);
        // the greatest overlap by every corner, at one turn and shift; heel end as documented
        const auto worst = [&](double turn_deg, double forward, double shift) {
            const Eigen::Matrix2d turn = Eigen::Rotation2Dd(radians(turn_deg)).toRotationMatrix();
            double most = -1e9;
            for (const Vec2& p : points) {
                const shoe::Past past = edge.past(turn * p + Vec2(forward, shift));
                const bool heel_end =
                    past.nearest.x() < shoe::heel_share * length && past.outward.x() < -0.17;
                if (heel_end && past.mm + clearance <= tolerance::shoe_touch_mm) continue;
                most = std::max(most, past.mm + clearance);
            }
            return most;
        };
        INFO("length " << length << ", ball " << ball << ", turn " << laid.turn_deg << ", shift "
                       << laid.shift_mm);
        CHECK(worst(laid.turn_deg, laid.forward_mm, laid.shift_mm) ==
              Approx(laid.footprint.overlap_mm).margin(0.03));
        double best = 1e9;
        for (double turn = -3.0; turn <= 3.0; turn += 0.25) {
            const Eigen::Matrix2d r = Eigen::Rotation2Dd(radians(turn)).toRotationMatrix();
            double rear = 1e9;
            for (const Vec2& p : points) rear = std::min(rear, (r * p).x());
            for (double shift = -12.0; shift <= 12.0; shift += 0.5)
                best = std::min(best, worst(turn, clearance - rear, laid.shift_mm + shift));
        }
        CHECK(laid.footprint.overlap_mm < best + 0.03);
    }
}

TEST_CASE("shoe check: sizes that are missing are named, and nothing is looked at without any") {
    const auto points = circle(40);
    const TriangleMesh mesh = solid_between(points, points, 3.0);
    design::Order order;
    CHECK_FALSE(build::names_insole(order));
    order.insole_length_mm = 250;
    CHECK(build::names_insole(order));
    const auto some = build::shoe_stage(mesh, order, {});
    REQUIRE(some.ok());
    REQUIRE(some->checks.size() == 1);
    CHECK(some->checks[0].id == "shoe.sizes");
    CHECK(some->checks[0].verdict == Verdict::look);
    CHECK_THAT(some->checks[0].message, Contains("insole_ball_mm") && Contains("insole_heel_mm") &&
                                            !Contains("not order.insole_length_mm"));
    CHECK_FALSE(some->laid);
    order.insole_ball_mm = 94;
    order.insole_heel_mm = 64;
    const auto all = build::shoe_stage(mesh, order, {});
    REQUIRE(all.ok());
    REQUIRE(all->checks.size() == 2);
    CHECK(all->checks[0].id == "shoe.footprint");
    CHECK(all->checks[0].verdict == (all->laid->footprint.overlap_mm > 0.0 ? Verdict::look : Verdict::pass));
    CHECK(all->checks[1].id == "shoe.rim");
    order.insole_heel_mm = 110;
    const auto wrong = build::shoe_stage(mesh, order, {});
    REQUIRE_FALSE(wrong.ok());
    CHECK_THAT(wrong.fault().message, Contains("insole_heel_mm"));
}

TEST_CASE("shoe check: a device and its mirror image lie alike, and a changed file is noticed",
          "[unsanitized]") {
    const tests::TemporaryFolder folder;
    tests::put_cast(folder.path() / "cast.ply");
    const auto cast = FileBytes::read(folder.path() / "cast.ply");
    REQUIRE(cast.ok());
    design::Job job;
    job.case_code = "SHOE";
    job.left = tests::stated_foot(LengthUnit::inch);
    job.left->cast.path = "cast.ply";
    job.left->cast.sha256 = sha256(cast->bytes());
    build::Setting setting;
    setting.job_path = folder.path() / "job.json";
    auto materials = design::load_materials(design::assets_folder() / "materials");
    REQUIRE(materials.ok());
    setting.materials = std::make_shared<const design::Materials>(std::move(*materials));
    build::Workbench bench(setting);
    Progress progress;
    const auto built = [&] {
        auto device = bench.build(job, Side::left, progress);
        if (!device) FAIL(device.fault().message);
        return std::move(*device);
    };
    // the insole of the sizes, as a drawing: of a right shoe, or mirrored and of a left one
    const auto draw = [&](double wider, bool mirrored) {
        std::string d = "M";
        const shoe::Insole insole = sized(262, 92 + wider, 66 + wider);
        for (const Vec2& p : insole.outline.points()) {
            const double bent = p.y() + 5.0 * std::sin(pi * p.x() / 262.0);  // medial up, y of SVG down
            d += " " + exact(20.0 + p.x()) + " " + exact(150.0 + (mirrored ? bent : -bent));
        }
        const std::string text =
            "<svg width='300mm' height='300mm' viewBox='0 0 300 300'><path d='" + d + "Z'/></svg>";
        REQUIRE(write_file(folder.path() / "insole.svg", text).ok());
    };
    CHECK_FALSE(built().shoe);
    job.order.insole_outline = "insole.svg";
    const auto absent = bench.build(job, Side::left, progress);
    REQUIRE_FALSE(absent.ok());
    CHECK_THAT(absent.fault().message, Contains("insole.svg"));
    draw(0.0, false);
    const build::Device first = built();
    REQUIRE(first.shoe);
    REQUIRE(first.shoe->laid);
    CHECK(built().shoe == first.shoe);  // kept
    draw(8.0, false);
    const build::Device wider = built();
    REQUIRE(wider.shoe->laid);
    CHECK(wider.shelled == first.shelled);  // the shell does not hang on it
    CHECK(wider.shoe->sha256 != first.shoe->sha256);
    CHECK(wider.shoe->laid->footprint.overlap_mm < first.shoe->laid->footprint.overlap_mm - 2.0);
    draw(0.0, true);
    job.order.insole_side = Side::left;
    const build::Device mirrored = built();
    const build::ShoeLaid &a = *first.shoe->laid, &b = *mirrored.shoe->laid;
    CHECK(std::abs(a.footprint.overlap_mm - b.footprint.overlap_mm) < tolerance::mirror_mm);
    CHECK(std::abs(a.rim.overlap_mm - b.rim.overlap_mm) < tolerance::mirror_mm);
    CHECK(std::abs(a.shift_mm - b.shift_mm) < tolerance::mirror_mm);
    CHECK(std::abs(a.turn_deg - b.turn_deg) < tolerance::mirror_mm);
    // a larger clearance leaves less room
    job.order.insole_clearance_mm = 3.0;
    const build::Device tighter = built();
    CHECK(tighter.shoe->laid->forward_mm > b.forward_mm + 1.5);
    CHECK(tighter.shoe->laid->rim.overlap_mm > b.rim.overlap_mm + 0.5);
    // both reports tell of it
    const std::string text = exporters::report_text(job, mirrored, {});
    CHECK_THAT(text,
               Contains("Shoe\n----") && Contains("insole.svg (SVG") && Contains(mirrored.shoe->sha256));
    CHECK_THAT(exporters::report_json(job, mirrored, {}), Contains("\"shoe\"") && Contains("\"footprint\""));
    // and a file outside the job's folder needs leave
    job.order.insole_outline = "../insole.svg";
    const auto outside = bench.build(job, Side::left, progress);
    REQUIRE_FALSE(outside.ok());
    CHECK(outside.fault().kind == FaultKind::usage);
}
