// What the order leaves alone is the cast: the exported STEP, meshed by gmsh, laid back on the scan.
#include <catch2/catch.hpp>
#include <iostream>

#include "engine/base/text.hpp"
#include "engine/mesh/bvh.hpp"
#include "exporters/step.hpp"
#include "tests/outside/programs.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;

TEST_CASE("undressed zones of the exported STEP lie on the cast within 0.05 mm") {
    if (!tests::installed("gmsh")) return;
    constexpr double most_mm = 0.05, on_face_mm = 0.002, untouched_mm = 1e-4;
    const int count = tests::cases(10, 2, "dressed shells laid back on their casts");
    for (int i = 0; i < count; ++i) {
        const auto foot = generator::Foot::random(tests::seed() + 600 + static_cast<std::uint64_t>(i));
        REQUIRE(foot.ok());
        generator::CastSpec spec;  // without noise: the cast is the truth
        spec.triangles = 150'000;
        const auto cast = generator::take_cast(*foot, spec);
        REQUIRE(cast.ok());
        design::FootDesign design = tests::stated_foot(LengthUnit::millimetre);
        design.balance.method = foot::Balance::Method::heel_bisection;
        design.dress.arch_fill_mm = 4.0;
        design.dress.medial_skive.depth_mm = 3.0;
        design.dress.heel_expansion_lateral_mm = 2.0;
        const Side side = foot->shape().side;
        const auto device = tests::build_in_memory(tests::cast_in_memory(cast->mesh, "clean"), design, side);
        if (!device.ok()) FAIL(device.fault().message);

        const tests::TemporaryFolder folder;
        solid::Solid out = device->proved->solid;
        solid::SolidReport report = device->proved->solid_report;
        if (side == Side::left) {
            report = solid::mirrored(report);
            out = solid::mirrored(out).value();
        }
        REQUIRE(exporters::write_step(out, report, {"UNDRESSED"}, folder.path() / "shell.step").ok());
        const std::string text =
            tests::output_of("gmsh shell.step -2 -clmax 2 -format stl -o shell.stl -v 3", folder.path());
        const auto meshed = scan::read_cast(folder.path() / "shell.stl");
        INFO(text);
        REQUIRE(meshed.ok());

        const surface::Dressed& dressed = device->surfaced->dressed;
        REQUIRE(dressed.steps.size() == 3);
        const surface::SplineSurface &before = dressed.steps.front().before, &after = dressed.surface;
        const surface::SplineSurface& foot_side = device->shelled->shell.foot_side;
        const foot::Frame& frame = device->received->standing.frame;
        const Bvh tree(cast->mesh);
        double worst = 0.0;
        std::size_t compared = 0;
        for (Vec3 p : meshed->mesh.points) {
            if (side == Side::left) p.y() = -p.y();
            Vec2 uv(0.5 * foot_side.u.length, 0.5 * foot_side.v.length);
            double least = 1e300;  // start of the projection: the nearest of a coarse lattice
            for (int a = 1; a < 40; ++a)
                for (int b = 1; b < 20; ++b) {
                    const Vec2 at(foot_side.u.length * a / 40.0, foot_side.v.length * b / 20.0);
                    const double d = (foot_side.point(at) - p).squaredNorm();
                    if (d < least) {
                        least = d;
                        uv = at;
                    }
                }
            if (foot_side.project(p, uv) > on_face_mm) continue;
            if ((before.point(uv) - after.point(uv)).norm() > untouched_mm) continue;
            const auto near = tree.nearest(frame.to_scan(p), 5.0);
            REQUIRE(near);
            worst = std::max(worst, near->distance);
            ++compared;
        }
        std::cout << "  " << word(side) << " foot: " << compared << " places of undressed surface, worst "
                  << rounded(worst, 4) << " mm\n";
        CHECK(compared > 300);
        CHECK(worst <= most_mm);
    }
}
