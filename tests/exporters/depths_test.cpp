// Depths and heights of reliefs and pads, measured back from the STL file against the dressed carpet.
#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>

#include "assets/generator/random.hpp"
#include "engine/foot/frame.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/scan/read.hpp"
#include "exporters/stl.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_prescription.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;

TEST_CASE("reliefs and pads have in the STL file the depth and height the order asks for") {
    const int count = tests::cases(100, 5, "devices measured back from STL");
    int measured = 0;
    for (int i = 0; i < count; ++i) {
        const std::uint64_t seed = generator::mix(tests::seed() + 81'000 + static_cast<std::uint64_t>(i));
        generator::Random random(seed, 5);
        auto job = tests::random_job(seed, 40'000);
        REQUIRE(job.ok());
        const std::string words = tests::prescribe_in_full(random, job->foot);
        // one of each kind in turn, alone, where flanks and fades leave its whole depth room
        feature::Feature one = job->foot.features.front();
        one.kind = static_cast<feature::Feature::Kind>(i % 5);
        one.points = {Vec2{random.between(45.0, 60.0), random.between(-12.0, 0.0)}};
        one.width_mm = one.length_mm = 20.0;
        one.flank_mm = 6.0;
        if (one.kind == feature::Feature::Kind::groove) one.points.push_back(one.points[0] + Vec2(40.0, 2.0));
        if (i % 5 >= 3) {
            one.points.clear();
            one.behind_mm = 22.0;
            one.length_mm = one.width_mm = 26.0;
        }
        job->foot.features = {one};
        job->foot.posts = {};
        INFO(job->words << words << ", " << one.name << " of kind " << i % 5);
        const auto device =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "depths"), job->foot, job->side);
        if (!device.ok()) continue;  // what may stop it is judged elsewhere
        const tests::TemporaryFolder folder;
        const auto path = folder.path() / "shell.stl";
        REQUIRE(
            exporters::write_stl(foot::to_export(device->shelled->mesh.mesh, job->side), "DEMO", path).ok());
        auto reading = scan::read_cast(path);
        REQUIRE(reading.ok());
        const TriangleMesh back = foot::to_export(reading->mesh, job->side);  // its own inverse
        const Bvh bvh(back);
        const surface::SplineSurface& carpet = device->shelled->shell.carpet;
        for (const feature::Figure& f : device->shelled->feature_figures) {
            // where another meets it, or its flanks and fades leave no room, something else is asked
            const bool whole =
                f.overlaps.empty() && f.inside_share > 0.999 && std::abs(f.measured_mm - f.asked_mm) < 0.02;
            if (!whole) continue;
            Vec2 uv(0.5 * carpet.u.length, 0.5 * carpet.v.length);
            double nearest = 1e300;
            for (double u = 0; u < carpet.u.length; u += 5)
                for (double v = 0; v < carpet.v.length; v += 5)
                    if (const double d = (carpet.point({u, v}) - f.where).norm(); d < nearest) {
                        nearest = d;
                        uv = {u, v};
                    }
            carpet.project(f.where, uv, 30);
            const Vec3 p = carpet.point(uv), n = carpet.normal(uv);
            constexpr double above = 12.0;
            const auto hit = bvh.ray(p + above * n, -n, 0.0, 2.0 * above);
            REQUIRE(hit);
            const double height = above - hit->t;
            INFO(f.name << " asked " << f.asked_mm << ", in the file " << height);
            CHECK(std::abs(std::abs(height) - f.asked_mm) < 0.05);
            const bool relief = feature::Feature::is_relief(f.kind);
            CHECK((height < 0.0) == relief);
            ++measured;
        }
    }
    std::cout << "  " << measured << " reliefs and pads measured\n";
    CHECK(tests::share_holds(measured, count, 0.4));
}
