// Shells with apertures and posts as files: every writer reads back what it wrote before it lets it stand.
#include <catch2/catch.hpp>

#include "engine/foot/frame.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "exporters/step.hpp"
#include "exporters/stl.hpp"
#include "exporters/three_mf.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/analytic_shells.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using surface::Rim;

TEST_CASE("A shell with an aperture and a post is written as STL, 3MF and STEP, left and right") {
    const auto rim = GENERATE(Rim::Kind::square, Rim::Kind::bevelled, Rim::Kind::rounded);
    const Side side = GENERATE(Side::left, Side::right);
    surface::Shell shell = tests::plate(rim).shell;
    shell.apertures.push_back({"met", tests::uv_circle({85, 45}, 9), {rim, 0.5}});
    shell.posts.push_back({"rearfoot", tests::rounded_rectangle({40, 38}, {40, 34}, 9, 6), 3.0,
                           Vec3(0, 0, -8), Vec3(0.0, 0.08, -1.0)});
    const auto mesh = surface::mesh_shell(shell);
    auto solid = solid::build_solid(shell);
    REQUIRE((mesh.ok() && solid.ok()));
    if (side == Side::left) solid = solid::mirrored(*solid);
    REQUIRE(solid.ok());
    const TriangleMesh out = foot::to_export(mesh->mesh, side);
    const tests::TemporaryFolder folder;
    for (const Outcome<Done>& written :
         {exporters::write_stl(out, "DEMO-01", folder.path() / "a.stl"),
          exporters::write_three_mf({{"DEMO-01 shell", out}}, {"DEMO-01", "2026-03-04"},
                                    folder.path() / "a.3mf"),
          exporters::write_step(*solid, solid::examine(*solid), {"DEMO-01"}, folder.path() / "a.step")}) {
        INFO((written ? std::string() : written.fault().message));
        CHECK(written.ok());
    }
}
