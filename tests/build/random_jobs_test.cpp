// Random feet, casts and designs: every device is sound; sides and units change nothing they should not.
#include <catch2/catch.hpp>

#include "assets/generator/foot.hpp"
#include "assets/generator/random.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/build/contradiction.hpp"
#include "engine/foot/frame.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_prescription.hpp"

using namespace archwright;

namespace {

constexpr std::size_t cast_triangles = 60'000;

double largest_difference(const TriangleMesh& a, const TriangleMesh& b) {
    REQUIRE(a.points.size() == b.points.size());
    REQUIRE(a.triangles == b.triangles);
    double most = 0.0;
    for (std::size_t i = 0; i < a.points.size(); ++i)
        most = std::max(most, (a.points[i] - b.points[i]).cwiseAbs().maxCoeff());
    return most;
}

}  // namespace

TEST_CASE("every gate holds for random jobs on generated feet") {
    const int count = tests::cases(200, 8, "whole jobs on generated feet");
    int stopped = 0;
    for (int i = 0; i < count; ++i) {
        const auto job =
            tests::random_job(generator::mix(tests::seed() + static_cast<std::uint64_t>(i)), cast_triangles);
        REQUIRE(job.ok());
        INFO(job->words);
        const auto device =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "random"), job->foot, job->side);
        // a cast whose rim is too low for the trim line asked is stopped, naming the place
        if (!device.ok() && device.fault().kind == FaultKind::check && device.fault().where) {
            ++stopped;
            continue;
        }
        if (!device.ok()) FAIL(device.fault().stage << ": " << device.fault().message);
        CHECK(tests::unsound(*device) == "");
        CHECK(device->received->reception.side.value == job->side);  // the shape's own vote is right
    }
    INFO(stopped << " stopped");
    CHECK(tests::share_holds(count - stopped, count, 0.95));
}

TEST_CASE("a mirrored foot gives the mirrored shell", "[unsanitized]") {
    const int count = tests::cases(40, 2, "left against mirrored right");
    for (int i = 0; i < count; ++i) {
        auto job = tests::random_job(generator::mix(tests::seed() + 1000 + static_cast<std::uint64_t>(i)),
                                     cast_triangles);
        REQUIRE(job.ok());
        generator::Random random(tests::seed() + 1000 + static_cast<std::uint64_t>(i), 1);
        if (i % 2 == 1) job->words += tests::prescribe(random, job->foot);
        INFO(job->words);
        TriangleMesh mirrored = job->cast.mesh;
        for (Vec3& p : mirrored.points) p.y() = -p.y();
        mirrored.flip();
        const auto one =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "one"), job->foot, job->side);
        const auto two =
            tests::build_in_memory(tests::cast_in_memory(mirrored, "two"), job->foot, other(job->side));
        if (!one.ok()) FAIL(one.fault().message);
        if (!two.ok()) FAIL(two.fault().message);
        CHECK(largest_difference(one->shelled->mesh.mesh, two->shelled->mesh.mesh) <= tolerance::mirror_mm);
        // and on the way out they are mirror images of one another
        const TriangleMesh out_one = foot::to_export(one->shelled->mesh.mesh, one->side);
        TriangleMesh out_two = foot::to_export(two->shelled->mesh.mesh, two->side);
        for (Vec3& p : out_two.points) p.y() = -p.y();
        out_two.flip();
        CHECK(largest_difference(out_one, out_two) <= tolerance::mirror_mm);
        CHECK(out_one.volume() > 0.0);
        CHECK(one->received->measurements.size() == two->received->measurements.size());
        for (std::size_t k = 0; k < one->received->measurements.size(); ++k)
            CHECK(one->received->measurements[k].value ==
                  Approx(two->received->measurements[k].value).margin(1e-9));
    }
}

TEST_CASE("the unit of the file changes the shell by less than its rounding", "[unsanitized]") {
    const int count = tests::cases(20, 1, "the same cast in four units, as float32");
    for (int i = 0; i < count; ++i) {
        auto job = tests::random_job(generator::mix(tests::seed() + 2000 + static_cast<std::uint64_t>(i)),
                                     cast_triangles);
        REQUIRE(job.ok());
        INFO(job->words);
        std::optional<build::Device> reference;
        for (const LengthUnit unit :
             {LengthUnit::millimetre, LengthUnit::centimetre, LengthUnit::inch, LengthUnit::metre}) {
            TriangleMesh scaled = job->cast.mesh;
            for (Vec3& p : scaled.points) {
                p *= mm_per(job->unit) / mm_per(unit);
                for (int k = 0; k < 3; ++k) p[k] = static_cast<float>(p[k]);  // as a file would hold it
            }
            design::FootDesign foot = job->foot;
            foot.cast.unit.value = unit;
            auto device = tests::build_in_memory(tests::cast_in_memory(scaled, word(unit)), foot, job->side);
            if (!device.ok()) FAIL(device.fault().message);
            if (!reference) {
                reference = std::move(*device);
                continue;
            }
            // every point of one shell lies on the exact surfaces of the other
            const surface::ShellMesh& mesh = device->shelled->mesh;
            const surface::Shell& exact = reference->shelled->shell;
            double apart = 0.0;
            for (std::size_t k = 0; k < mesh.foot_side_points + mesh.underside_points; ++k) {
                Vec2 uv = mesh.uv[k];
                const auto& side = k < mesh.foot_side_points ? exact.foot_side : exact.underside;
                apart = std::max(apart, side.project(mesh.mesh.points[k], uv));
            }
            CHECK(apart <= tolerance::float_file_mm);
            const Box3 box = mesh.mesh.box(), before = reference->shelled->mesh.mesh.box();
            CHECK((box.low - before.low).cwiseAbs().maxCoeff() <= tolerance::float_file_mm);
            CHECK((box.high - before.high).cwiseAbs().maxCoeff() <= tolerance::float_file_mm);
            CHECK(mesh.mesh.volume() == Approx(reference->shelled->mesh.mesh.volume()).epsilon(1e-4));
        }
    }
}

TEST_CASE("a wrong side, once stated, is a stop with its evidence; typed again it stands on record",
          "[unsanitized]") {
    auto job = tests::random_job(generator::mix(tests::seed() + 3000), cast_triangles);
    REQUIRE(job.ok());
    INFO(job->words);
    const auto cast = tests::cast_in_memory(job->cast.mesh, "wrong side");
    const auto stopped = tests::build_in_memory(cast, job->foot, other(job->side));
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.fault().kind == FaultKind::ask);
    CHECK(stopped.fault().message.find("archwright state") != std::string::npos);
    design::FootDesign again = job->foot;
    Progress progress;
    again.side.evidence = "any words";  // words alone are no answer to the contradiction
    CHECK_FALSE(build::receive_stage(cast, again, other(job->side), "job.json", progress).ok());
    again.side.despite = build::against("another cast's hash", word(job->side));
    CHECK_FALSE(build::receive_stage(cast, again, other(job->side), "job.json", progress).ok());
    again.side.despite = build::against(cast->sha256, word(job->side));
    const auto received = build::receive_stage(cast, again, other(job->side), "job.json", progress);
    REQUIRE(received.ok());
    const auto side = std::find_if(received->checks.begin(), received->checks.end(),
                                   [](const Check& check) { return check.id == "receive.side"; });
    REQUIRE(side != received->checks.end());
    CHECK(side->verdict == Verdict::look);
    CHECK(side->message.find("Stated again all the same by TEST") != std::string::npos);
}
