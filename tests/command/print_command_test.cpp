// Printing by the command line: what is refused, what is told, what is written as it lies on the plate.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "engine/scan/read.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::put_case, tests::Run, tests::run;

TEST_CASE("print: refusals write nothing; a device is judged and written as it is proposed to lie") {
    const tests::TemporaryFolder folder;
    put_case(folder.path(), "WREN-3");
    const auto says = [&](const std::vector<std::string>& more, int code, const std::string& say) {
        tests::check_refused(folder.path(), "print", more, code, say);
    };
    says({"--printer", "powder_bad"}, 2, "powder_bed");
    REQUIRE(run(folder.path(), {"set", "case.json", "material=pp_homopolymer"}).code == 0);
    says({}, 2, "another material");
    REQUIRE(run(folder.path(), {"set", "case.json", "material=pa12"}).code == 0);

    const Run told = run(folder.path(), {"--json", "print", "case.json", "-o", "out"});
    INFO(told.error << told.out);
    REQUIRE(told.code == 0);
    const auto json = nlohmann::json::parse(told.out);
    const auto& one = json["printed"][0];
    CHECK(one["side"] == "left");
    CHECK(one["proposed"]["score"] <= one["as_it_stands"]["score"]);
    CHECK(one["checks"].size() >= 9);
    CHECK(one["loads"].size() >= 1);
    const std::filesystem::path out = folder.path() / "out";
    for (const char* ending : {".stl", ".3mf", ".json", ".txt"})
        CHECK(std::filesystem::exists(out / (std::string("WREN-3-left-A.print") + ending)));
    const auto laid = scan::read_cast(out / "WREN-3-left-A.print.stl");
    REQUIRE(laid.ok());
    const Box3 box = laid->mesh.box();
    CHECK(box.low.z() == Approx(0.0).margin(0.01));
    CHECK(box.size().z() == Approx(one["proposed"]["height_mm"].get<double>()).margin(0.02));
    // the turn that is told leads there from the file that make writes
    REQUIRE(run(folder.path(), {"make", "case.json", "-o", "made", "--format", "stl"}).code == 0);
    const auto made = scan::read_cast(folder.path() / "made" / "WREN-3-left-A.stl");
    REQUIRE(made.ok());
    Mat3 turn;
    for (int r = 0; r < 3; ++r)
        for (int c = 0; c < 3; ++c) turn(r, c) = one["proposed"]["turn_of_exported"][r][c];
    CHECK(turn.determinant() == Approx(1.0));
    Box3 turned;
    for (const Vec3& p : made->mesh.points) turned.add(turn * p);
    CHECK((turned.size() - box.size()).norm() < 0.02);
    CHECK(made->mesh.volume() == Approx(laid->mesh.volume()).epsilon(1e-4));

    // again: the same bytes; otherwise laid: only with --replace
    CHECK(run(folder.path(), {"print", "case.json", "-o", "out"}).code == 0);
    CHECK(run(folder.path(), {"print", "case.json", "-o", "out", "--as-it-stands"}).code == 6);
    CHECK(run(folder.path(), {"print", "case.json", "-o", "out", "--as-it-stands", "--replace"}).code == 0);
    const auto standing = scan::read_cast(out / "WREN-3-left-A.print.stl");
    REQUIRE(standing.ok());
    CHECK(standing->mesh.box().size().z() ==
          Approx(one["as_it_stands"]["height_mm"].get<double>()).margin(0.02));
}
