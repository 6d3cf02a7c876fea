// Letters by the command line, measured on the files that were written.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "engine/mesh/bvh.hpp"
#include "engine/scan/read.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::content, tests::put_case, tests::Run, tests::run;
namespace fs = std::filesystem;

TEST_CASE("letters: in STL and 3MF at their depth, not in STEP, told in the report") {
    const tests::TemporaryFolder folder;
    put_case(folder.path(), "wren-1");
    REQUIRE(run(folder.path(), {"make", "case.json", "-o", "plain"}).code == 0);

    const Run small = run(folder.path(), {"set", "case.json", "lettering.on=true", "lettering.text=Wren"});
    CHECK(small.code == 2);
    CHECK(small.error.find("small letters") != std::string::npos);
    REQUIRE(run(folder.path(),
                {"set", "case.json", "lettering.on=true", "lettering.text=W/3", "lettering.depth_mm=0.35"})
                .code == 0);
    const Run made = run(folder.path(), {"make", "case.json", "-o", "out"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    const auto report = nlohmann::json::parse(content(folder.path() / "out" / "wren-1-left-A.report.json"));
    const auto& letters = report["lettering"];
    CHECK(letters["lines"] == nlohmann::json{"WREN-1 L A W/3"});
    CHECK(letters["in_files"] == nlohmann::json{"STL", "3MF"});
    CHECK(letters["depth_least_mm"].get<double>() == Approx(0.35).margin(0.05));
    CHECK(letters["depth_greatest_mm"].get<double>() == Approx(0.35).margin(0.05));
    const std::string text = content(folder.path() / "out" / "wren-1-left-A.report.txt");
    CHECK(text.find("WREN-1 L A W/3") != std::string::npos);
    CHECK(text.find("STEP file is the plain shell") != std::string::npos);

    CHECK(content(folder.path() / "out" / "wren-1-left-A.step") ==
          content(folder.path() / "plain" / "wren-1-left-A.step"));
    const auto plain = scan::read_cast(folder.path() / "plain" / "wren-1-left-A.stl");
    REQUIRE(plain.ok());
    const Bvh tree(plain->mesh);
    for (const char* name : {"wren-1-left-A.stl", "wren-1-left-A.3mf"}) {
        const auto back = scan::read_cast(folder.path() / "out" / name);
        REQUIRE(back.ok());
        double deepest = 0.0;
        for (const Vec3& p : back->mesh.points) deepest = std::max(deepest, tree.nearest(p, 5.0)->distance);
        INFO(name);
        CHECK(deepest == Approx(0.35).margin(0.05));
        CHECK(back->mesh.volume() == Approx(report["shell"]["mesh_volume_mm3"].get<double>()).epsilon(1e-5));
    }

    // by another locale and number of threads: the same bytes
    REQUIRE(run(folder.path(), {"--threads", "1", "make", "case.json", "-o", "again", "--format", "stl"},
                {"LC_ALL=de_DE.utf8", "TZ=Pacific/Chatham"})
                .code == 0);
    CHECK(content(folder.path() / "again" / "wren-1-left-A.stl") ==
          content(folder.path() / "out" / "wren-1-left-A.stl"));

    // no room: nothing is written, and what to do is said
    REQUIRE(
        run(folder.path(), {"set", "case.json", "lettering.forward_mm=240", "lettering.medial_mm=0"}).code ==
        0);
    const Run off = run(folder.path(), {"make", "case.json", "-o", "off"});
    CHECK(off.code == 5);
    CHECK(off.error.find("lettering.place") != std::string::npos);
    CHECK_FALSE(fs::exists(folder.path() / "off"));
}
