// Approval, what voided it, and what changed since, by the command line.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::put_case, tests::Run, tests::run;

TEST_CASE("changed: what differs from the approved revision, as list and as map") {
    const tests::TemporaryFolder folder;
    put_case(folder.path(), "WREN-3");
    CHECK(run(folder.path(), {"changed", "case.json", "--since", "A"}).code == 2);  // nothing to hold against
    REQUIRE(run(folder.path(), {"approve", "case.json", "--by", "KL-1", "--date", "2026-02-03"}).code == 0);
    const Run same = run(folder.path(), {"--json", "changed", "case.json", "--since", "A", "--list"});
    REQUIRE(same.code == 0);
    CHECK(nlohmann::json::parse(same.out)["changed"][0]["same"] == true);
    REQUIRE(run(folder.path(), {"set", "case.json", "wall.base_mm=3.7"}).code == 0);
    REQUIRE(run(folder.path(), {"revise", "case.json", "--note", "stiffer"}).code == 0);
    const Run told = run(folder.path(), {"--json", "changed", "case.json", "--since", "A", "-o", "out"});
    INFO(told.error);
    REQUIRE(told.code == 0);
    const auto one = nlohmann::json::parse(told.out)["changed"][0];
    CHECK(one["same"] == false);
    REQUIRE(one["settings"].size() == 1);
    CHECK(one["settings"][0]["name"] == "wall.base_mm");
    CHECK(one["settings"][0]["now"] == "3.7");
    CHECK(one["since"]["approved_by"] == "KL-1");
    // the foot side stays, the underside and the wall go out by what the base did
    const double then = std::stod(one["settings"][0]["then"].get<std::string>());
    CHECK(one["foot_side"]["most_added_mm"].get<double>() < 0.02);
    CHECK(one["underside"]["mean_mm"].get<double>() == Approx(3.7 - then).margin(0.05));
    CHECK(one["wall"]["most_added_mm"].get<double>() == Approx(3.7 - then).margin(0.15));
    for (const char* ending : {".json", ".png", ".wall.png"})
        CHECK(std::filesystem::exists(folder.path() / "out" /
                                      (std::string("WREN-3-left-B.changed-since-A") + ending)));
    // the sheet says what became of the approval, and names the key
    const Run sheet = run(folder.path(), {"sheet", "case.json", "-o", "out"});
    REQUIRE(sheet.code == 0);
    CHECK((sheet.out + sheet.error).find("void") != std::string::npos);
    CHECK((sheet.out + sheet.error).find("wall.base_mm") != std::string::npos);
    CHECK(run(folder.path(), {"changed", "case.json", "--since", "Q"}).code == 2);
}
