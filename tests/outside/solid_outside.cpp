// What other programs find in our files: gmsh in the STEP, prusa-slicer in the STL and the 3MF, CGAL in the
// mesh.
#include <catch2/catch.hpp>

#include "engine/mesh/soundness.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "exporters/step.hpp"
#include "exporters/stl.hpp"
#include "exporters/three_mf.hpp"
#include "tests/outside/cgal_check.hpp"
#include "tests/outside/programs.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/analytic_shells.hpp"
#include "tests/support/temporary_folder.hpp"
#include "tests/support/thin_shapes.hpp"

using namespace archwright;
using surface::Rim;

namespace {

/// Shaped and bent like a foot orthosis, wall 3.2, with any rim.
surface::Shell foot_like_shell(Rim::Kind rim) {
    const tests::AnalyticSurface form = tests::foot_like();
    surface::Shell shell;
    shell.carpet = shell.foot_side = form.carpet(57, 29);
    shell.underside = tests::interpolating(shell.carpet.u, shell.carpet.v, [&](double u, double v) {
        const Vec2 uv(u, v);
        return Vec3(shell.carpet.point(uv) - 3.2 * shell.carpet.normal(uv));
    });
    shell.trim = tests::foot_trim(form, 10.0);
    shell.rim.kind = rim;
    return shell;
}

TriangleMesh mesh_of(const surface::Shell& shell) {
    auto mesh = surface::mesh_shell(shell);
    INFO((mesh ? std::string() : mesh.fault().message));
    REQUIRE(mesh.ok());
    return std::move(mesh->mesh);
}

/// The same with a hole in front and a tilted, slightly narrowing block under the heel.
surface::Shell looped_shell(Rim::Kind rim) {
    surface::Shell shell = foot_like_shell(rim);
    const Vec2 size(shell.carpet.u.length, shell.carpet.v.length);
    const Vec2 heel(0.22 * size.x(), 0.5 * size.y()), front(0.7 * size.x(), 0.48 * size.y());
    shell.apertures.push_back({"met", tests::uv_circle(front, 8.0), {rim, 0.5}});
    const Box3 box = mesh_of(shell).box();
    shell.posts.push_back(
        {"rearfoot", tests::rounded_rectangle(heel, {30.0, 26.0}, 7.0, 6), 4.0,
         Vec3(shell.underside.point(heel).x(), shell.underside.point(heel).y(), box.low.z() - 3.0),
         Vec3(0.0, 0.07, -1.0)});
    return shell;
}

}  // namespace

TEST_CASE("gmsh finds one volume of our size in the STEP file") {
    if (!tests::installed("gmsh")) return;
    const auto rim = GENERATE(Rim::Kind::square, Rim::Kind::bevelled, Rim::Kind::rounded);
    const auto schema = GENERATE(solid::StepSchema::ap242, solid::StepSchema::ap214);
    const bool looped = GENERATE(false, true);
    if (looped && schema == solid::StepSchema::ap242) return;  // half a minute each, and one schema tells
    const tests::TemporaryFolder folder;
    auto built = solid::build_solid(looped ? looped_shell(rim) : foot_like_shell(rim));
    REQUIRE(built.ok());
    if (schema == solid::StepSchema::ap214) built = solid::mirrored(*built);
    REQUIRE(built.ok());
    const solid::SolidReport report = solid::examine(*built);
    const auto written =
        exporters::write_step(*built, report, {"DEMO-01 left"}, folder.path() / "f.step", schema);
    INFO((written ? std::string() : written.fault().message));
    REQUIRE(written.ok());
    // Meshing in space is the proof that the faces close: gmsh says the volume of its tetrahedra. Edges of
    // 1.5 mm: fine beside a rim of 3.2.
    const std::string text =
        tests::output_of("gmsh f.step -3 -clmax 1.5 -format msh2 -o f.msh -v 4", folder.path());
    INFO(text);
    CHECK(text.find("Found volume 1") != std::string::npos);
    CHECK(text.find("Found volume 2") == std::string::npos);
    CHECK(text.find("Error") == std::string::npos);
    const auto volume = tests::number_after(text, "(volume = ");
    REQUIRE(volume.has_value());
    // Flat elements cut off a round: 1.35 % at edges of 3 mm, 0.36 % at 1.5 (second order), next to nothing
    // where the rim is made of flats.
    CHECK(*volume == Approx(report.volume_mm3).epsilon(rim == Rim::Kind::rounded ? 5e-3 : 1e-3));
}

TEST_CASE("prusa-slicer calls the STL and the 3MF manifold, with our volume") {
    if (!tests::installed("prusa-slicer")) return;
    const auto rim = GENERATE(Rim::Kind::square, Rim::Kind::bevelled, Rim::Kind::rounded);
    const bool looped = GENERATE(false, true);
    const tests::TemporaryFolder folder;
    const TriangleMesh mesh = mesh_of(looped ? looped_shell(rim) : foot_like_shell(rim));
    REQUIRE(exporters::write_stl(mesh, "DEMO-01 right, mm", folder.path() / "f.stl").ok());
    REQUIRE(exporters::write_three_mf({{"DEMO-01 right shell", mesh}}, {"DEMO-01 right", "2026-03-04"},
                                      folder.path() / "f.3mf")
                .ok());
    for (const char* const file : {"f.stl", "f.3mf"}) {
        const std::string text = tests::output_of(std::string("prusa-slicer --info ") + file, folder.path());
        INFO(text);
        CHECK(text.find("manifold = yes") != std::string::npos);
        CHECK(text.find("open_edges") == std::string::npos);
        CHECK(text.find("facets_reversed") == std::string::npos);
        CHECK(text.find("facets_removed") == std::string::npos);
        const auto volume = tests::number_after(text, "volume");
        REQUIRE(volume.has_value());
        CHECK(*volume == Approx(mesh.volume()).epsilon(1e-5));
        CHECK(tests::number_after(text, "number_of_parts").value_or(0.0) == 1.0);
    }
}

TEST_CASE("CGAL and our own test agree on self-intersection") {
    const auto rim = GENERATE(Rim::Kind::square, Rim::Kind::bevelled, Rim::Kind::rounded);
    const surface::Shell shell = GENERATE(false, true) ? looped_shell(rim) : foot_like_shell(rim);
    const TriangleMesh sound = mesh_of(shell);
    CHECK(tests::cgal_self_intersections(sound) == 0);
    CHECK(self_intersections(sound, 1).empty());
    // The mesh and the exact solid of one shell, by two routes.
    const auto built = solid::build_solid(shell);
    REQUIRE(built.ok());
    CHECK(sound.volume() == Approx(solid::examine(*built).volume_mm3).epsilon(5e-4));
}

TEST_CASE("CGAL and our own test count the same crossings") {
    TriangleMesh mesh = tests::ball(10.0, 16);
    const double apart = GENERATE(5.0, 15.0, 19.5, 25.0);
    const TriangleMesh other = tests::ball(10.0, 18, Vec3(apart, 0.3, 0.2));
    const auto base = static_cast<std::int32_t>(mesh.points.size());
    mesh.points.insert(mesh.points.end(), other.points.begin(), other.points.end());
    for (const Triangle& t : other.triangles)
        mesh.triangles.push_back({t[0] + base, t[1] + base, t[2] + base});
    const std::size_t theirs = tests::cgal_self_intersections(mesh);
    CHECK((theirs > 0) == (apart < 20.0));
    CHECK(self_intersections(mesh, mesh.triangles.size() * 100).size() == theirs);
}
