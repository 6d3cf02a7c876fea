// Moulds by the command line: what is refused, what is told, what is written.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "engine/scan/read.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::put_case, tests::Run, tests::run;

TEST_CASE("mould: refusals write nothing; a mould is written whole, and the same again") {
    const tests::TemporaryFolder folder;
    put_case(folder.path(), "WREN-3");
    const auto says = [&](const std::vector<std::string>& more, int code, const std::string& say) {
        tests::check_refused(folder.path(), "mould", more, code, say);
    };
    says({"--draft", "0"}, 2, "draft");
    says({"--shrinkage", "7"}, 2, "shrinkage");
    says({"--block", "mould_board_60"}, 2, "--program");
    says({"--program", "--block", "mould_bord_60"}, 2, "mould_board_60");

    const Run told = run(folder.path(), {"--json", "mould", "case.json", "-o", "out", "--shrinkage", "1.2"});
    INFO(told.error << told.out);
    REQUIRE(told.code == 0);
    const auto json = nlohmann::json::parse(told.out);
    const auto& one = json["moulds"][0];
    CHECK(one["side"] == "left");
    CHECK(one["shrinkage_percent"] == 1.2);
    CHECK(one["shrinkage_note"].get<std::string>().find("upper bound") != std::string::npos);
    CHECK(one["thinning"]["least_mm"] < one["sheet_mm"]);
    CHECK(one["thinning"]["least_mm"] > 0.0);
    CHECK(one["letters"] == "L WREN-3 A");
    CHECK(one["marks"].size() == 3);
    const std::filesystem::path out = folder.path() / "out";
    for (const char* ending : {".stl", ".step", ".thinning.png", ".json", ".txt"})
        CHECK(std::filesystem::exists(out / (std::string("WREN-3-left-A.mould") + ending)));
    const auto read = scan::read_cast(out / "WREN-3-left-A.mould.stl");
    REQUIRE(read.ok());
    CHECK(read->mesh.box().low.z() == Approx(0.0).margin(1e-3));
    CHECK(read->mesh.volume() > 0.0);
    CHECK(read->mesh.box().size().x() == Approx(one["size_mm"][0].get<double>()).margin(0.01));

    // again: the same bytes; another sheet's wall: only with --replace
    CHECK(run(folder.path(), {"mould", "case.json", "-o", "out", "--shrinkage", "1.2"}).code == 0);
    CHECK(run(folder.path(), {"mould", "case.json", "-o", "out", "--sheet", "4"}).code == 6);
    CHECK(run(folder.path(), {"mould", "case.json", "-o", "out", "--sheet", "4", "--replace"}).code == 0);

    // an order whose wall varies is told so
    REQUIRE(run(folder.path(), {"set", "case.json", "wall.medial_column.on=true",
                                "wall.medial_column.kind=wall", "wall.medial_column.wall_mm=4"})
                .code == 0);
    const Run varied = run(folder.path(), {"mould", "case.json", "-o", "varied"});
    CHECK(varied.code == 0);
    CHECK(varied.out.find("[look] Wall of a formed sheet") != std::string::npos);
}
