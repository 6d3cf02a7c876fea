// Random devices, laid as a printer is proposed to print them, in prusa-slicer's hands.
#include <catch2/catch.hpp>
#include <fstream>

#include "engine/base/text.hpp"
#include "engine/design/material.hpp"
#include "engine/foot/frame.hpp"
#include "engine/print/lay.hpp"
#include "exporters/stl.hpp"
#include "exporters/three_mf.hpp"
#include "tests/outside/programs.hpp"
#include "tests/outside/sliced.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;

TEST_CASE("prusa-slicer slices random devices as they are laid, STL and 3MF, without mending anything") {
    if (!tests::installed("prusa-slicer")) return;
    const auto printers = print::load_printers(design::assets_folder());
    REQUIRE(printers.ok());
    const int count = tests::cases(12, 1, "random devices sliced");
    for (int i = 0, made = 0; made < count && i < 4 * count + 8; ++i) {
        const auto job = tests::random_job(tests::seed() + 9000 + static_cast<std::uint64_t>(i), 30'000);
        REQUIRE(job.ok());
        const auto device =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "cast"), job->foot, job->side);
        if (!device.ok() || !tests::unsound(*device).empty()) continue;  // of them tests/build tells
        ++made;
        const print::Printer& printer = printers->at(i % 2 ? "powder_bed" : "filament_large");
        const print::Skin skin(device->made().mesh);
        const auto laid = print::propose(skin, printer, {}, nullptr);
        REQUIRE(laid.ok());
        const TriangleMesh mesh = foot::to_export(laid->placed.of(device->made().mesh), job->side);
        const tests::TemporaryFolder folder;
        REQUIRE(exporters::write_stl(mesh, "as printed", folder.path() / "f.stl").ok());
        REQUIRE(
            exporters::write_three_mf({{"shell", mesh}}, {"as printed", ""}, folder.path() / "f.3mf").ok());
        for (const char* const file : {"f.stl", "f.3mf"}) {
            INFO(job->words);
            CHECK(tests::slicing_trouble(folder.path(), file, mesh) == "");
        }
        // a mesh with a hole is not let pass
        TriangleMesh open = mesh;
        open.triangles.resize(open.triangles.size() - 20);
        std::string facets = "solid f\n";
        for (const Triangle& t : open.triangles) {
            facets += "facet normal 0 0 0\nouter loop\n";
            for (const std::int32_t p : t)
                facets += "vertex " + exact(open.points[p].x()) + " " + exact(open.points[p].y()) + " " +
                          exact(open.points[p].z()) + "\n";
            facets += "endloop\nendfacet\n";
        }
        std::ofstream(folder.path() / "open.stl") << facets << "endsolid f\n";
        CHECK(tests::slicing_trouble(folder.path(), "open.stl", mesh) != "");
    }
}
