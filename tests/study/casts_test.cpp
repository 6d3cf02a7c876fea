// Casts of a study: measured, laid on one another, and the wrong ones named.
#include "engine/study/casts.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>

#include "assets/generator/cast_file.hpp"
#include "assets/generator/foot.hpp"
#include "engine/study/analysis.hpp"
#include "engine/study/mean_surface.hpp"
#include "tests/statistic/normal.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::study;

namespace {

constexpr std::size_t cast_triangles = 20'000;

/// A foot of this arch, somewhere in its file, with noise; seen in the mirror or made larger where asked.
void put(const std::filesystem::path& path, const generator::FootShape& shape, std::uint64_t seed,
         bool mirror = false, double factor = 1.0) {
    TriangleMesh mesh = generator::Foot::make(shape).value().mesh_of(cast_triangles).value();
    std::mt19937_64 random(seed);
    const std::vector<Vec3> normals = mesh.point_normals();
    const double turn = tests::uniform(random, -0.2, 0.2);
    const Mat3 r = Eigen::AngleAxisd(turn, Vec3::UnitZ()).toRotationMatrix();
    for (std::size_t i = 0; i < mesh.points.size(); ++i) {
        Vec3& p = mesh.points[i];
        p = factor * (r * (p + 0.05 * tests::polar_normal(random) * normals[i]) + Vec3(30.0, -12.0, 8.0));
        if (mirror) p.y() = -p.y();
    }
    if (mirror) mesh.flip();
    REQUIRE(generator::write_cast(path, mesh, generator::CastFormat::stl_binary, "cast").ok());
}

generator::FootShape shape_of(double arch, double length = 246.0) {
    generator::FootShape shape;
    shape.arch_height_mm = arch;
    const double by = length / shape.length_mm;
    shape.length_mm = length;
    shape.ball_length_mm *= by;
    return shape;
}

const Mistake* mistake_of_row(const Casts& casts, int row) {
    for (const Mistake& m : casts.mistakes)
        if (m.row == row) return &m;
    return nullptr;
}

}  // namespace

TEST_CASE(
    "casts of a study are measured; a wrong unit, side, mirror image and foot are named with their row") {
    const tests::TemporaryFolder folder;
    // two feet, two casters, two repeats; caster B leaves the arch 1.5 mm lower
    put(folder.path() / "a1.stl", shape_of(17.0), 1);
    put(folder.path() / "a2.stl", shape_of(17.2), 2);
    put(folder.path() / "b1.stl", shape_of(15.5), 3);
    put(folder.path() / "c1.stl", shape_of(21.0, 252.0), 4);
    put(folder.path() / "c2.stl", shape_of(21.2, 252.0), 5);
    put(folder.path() / "d1.stl", shape_of(19.5, 252.0), 6);
    put(folder.path() / "mirror.stl", shape_of(17.1), 7, true);
    put(folder.path() / "inch.stl", shape_of(17.1), 8, false, 1.0 / 25.4);
    put(folder.path() / "other.stl", shape_of(12.0, 270.0), 9);
    const std::string text =
        "cast,foot,side,unit,caster,repeat\n"
        "a1.stl,F1,right,mm,A,1\na2.stl,F1,right,mm,A,2\nb1.stl,F1,right,mm,B,1\n"  // rows 2 to 4
        "c1.stl,F2,right,mm,A,1\nc2.stl,F2,right,mm,A,2\nd1.stl,F2,right,mm,B,1\n"  // 5 to 7
        "mirror.stl,F1,right,mm,B,2\ninch.stl,F1,right,mm,B,3\nother.stl,F1,right,mm,B,4\ngone.stl,F2,right,"
        "mm,B,2\n";
    const auto table = parse_table(text, "study.csv");
    REQUIRE(table.ok());
    CastSetting setting;
    setting.folder = folder.path();
    Progress progress;
    const auto casts = measure_casts(*table, setting, progress);
    INFO((casts.ok() ? "" : casts.fault().message));
    REQUIRE(casts.ok());
    for (const Mistake& m : casts->mistakes)
        UNSCOPED_INFO("row " << m.row << " " << key(m.kind) << ": " << m.words);
    REQUIRE(casts->good.size() == 6);
    REQUIRE(casts->mistakes.size() == 4);
    const Mistake *mirror = mistake_of_row(*casts, 8), *inch = mistake_of_row(*casts, 9),
                  *other = mistake_of_row(*casts, 10), *gone = mistake_of_row(*casts, 11);
    REQUIRE(mirror != nullptr);
    CHECK((mirror->kind == Mistake::Kind::side || mirror->kind == Mistake::Kind::mirrored));
    REQUIRE(inch != nullptr);
    CHECK(inch->kind == Mistake::Kind::unit);
    REQUIRE(other != nullptr);
    CHECK(other->kind == Mistake::Kind::not_the_same);
    CHECK(other->words.find("row 2") != std::string::npos);
    REQUIRE(gone != nullptr);
    CHECK(gone->kind == Mistake::Kind::unreadable);
    CHECK(gone->words.find("gone.stl") != std::string::npos);

    // the arch is measured, and who casts is where most of it comes from
    const Analysis analysis = analyse(figures_of(*table, *casts));
    const auto arch = std::find_if(analysis.findings.begin(), analysis.findings.end(),
                                   [](const Finding& f) { return f.quantity.id == "arch_height"; });
    REQUIRE(arch != analysis.findings.end());
    CHECK(arch->values == 6);
    REQUIRE(arch->greatest() != nullptr);
    CHECK(arch->greatest()->kind == Origin::Kind::caster);
    for (const Finding::Point& p : arch->points) {
        const double asked =
            (p.foot == "F1" ? 17.0 : 21.0) + (p.repeat == 2 ? 0.2 : 0.0) - (p.caster == "B" ? 1.5 : 0.0);
        CHECK(p.value == Approx(asked).margin(0.4));
    }

    // the surfaces part most under the arch and little at the heel
    const auto surfaces = mean_surfaces(*table, *casts, progress);
    REQUIRE(surfaces.ok());
    REQUIRE(surfaces->size() == 2);
    for (const MeanSurface& s : *surfaces) {
        CHECK(s.casts == 3);
        double heel = 0.0, arch_sd = 0.0, heels = 0.0, arches = 0.0;
        for (std::size_t i = 0; i < s.mesh.points.size(); ++i) {
            if (!std::isfinite(s.sd_mm[i])) continue;
            const Vec3& p = s.mesh.points[i];
            if (std::abs(p.x()) < 20.0 && std::abs(p.y()) < 15.0) {
                heel += s.sd_mm[i];
                heels += 1.0;
            }
            if (p.x() > 55.0 && p.x() < 80.0 && p.y() > 8.0 && p.y() < 22.0) {
                arch_sd += s.sd_mm[i];
                arches += 1.0;
            }
        }
        REQUIRE(heels > 50.0);
        REQUIRE(arches > 50.0);
        CHECK(heel / heels < 0.35);
        CHECK(arch_sd / arches > 0.5);
        CHECK(arch_sd / arches < 1.2);  // three casts of 17.0, 17.2 and 15.5: 0.9 at the apex
    }
    const DeviationPlan plan = deviation_plan(*surfaces);
    CHECK(std::count_if(plan.sd_mm.begin(), plan.sd_mm.end(), [](double sd) { return std::isfinite(sd); }) >
          500);
}

TEST_CASE("casts whose side nobody stated are held against the others of their foot") {
    const tests::TemporaryFolder folder;
    put(folder.path() / "a1.stl", shape_of(18.0), 1);
    put(folder.path() / "a2.stl", shape_of(18.1), 2);
    put(folder.path() / "a3.stl", shape_of(18.2), 3, true);
    put(folder.path() / "b1.stl", shape_of(21.0, 254.0), 4);
    put(folder.path() / "b2.stl", shape_of(21.0, 254.0), 5);
    const auto table = parse_table(
        "cast,foot,repeat\na1.stl,F1,1\na2.stl,F1,2\na3.stl,F1,3\nb1.stl,F2,1\nb2.stl,F2,2\n", "study.csv");
    REQUIRE(table.ok());
    CastSetting setting;
    setting.folder = folder.path();
    Progress progress;
    const auto casts = measure_casts(*table, setting, progress);
    REQUIRE(casts.ok());
    for (const Mistake& m : casts->mistakes)
        UNSCOPED_INFO("row " << m.row << " " << key(m.kind) << ": " << m.words);
    REQUIRE(casts->mistakes.size() == 1);
    CHECK(casts->mistakes[0].row == 4);
    CHECK(casts->mistakes[0].kind == Mistake::Kind::mirrored);
    CHECK(casts->mistakes[0].words.find("left") != std::string::npos);
}
