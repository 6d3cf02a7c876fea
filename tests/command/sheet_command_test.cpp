// Design sheets by the command line: the same bytes again, and an approved one is not written over.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "engine/base/hash.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::put_case, tests::Run, tests::run;

TEST_CASE("sheet: of the design as it is; one that is there and differs stays") {
    const tests::TemporaryFolder folder;
    put_case(folder.path(), "WREN-3");
    const Run told = run(folder.path(), {"--json", "sheet", "case.json", "-o", "out"});
    INFO(told.error);
    REQUIRE(told.code == 0);
    const auto one = nlohmann::json::parse(told.out)["sheets"][0];
    CHECK(one["approved"] == false);
    CHECK(one["side"] == "left");
    const std::filesystem::path pdf = folder.path() / "out" / one["file"].get<std::string>();
    const std::string bytes = tests::content(pdf);
    CHECK(bytes.substr(0, 5) == "%PDF-");
    CHECK(one["sha256"] == sha256(bytes));
    CHECK(run(folder.path(), {"sheet", "case.json", "-o", "out"}).code == 0);
    CHECK(tests::content(pdf) == bytes);
    REQUIRE(run(folder.path(), {"set", "case.json", "wall.base_mm=3.4"}).code == 0);
    CHECK(run(folder.path(), {"sheet", "case.json", "-o", "out"}).code == 6);
    CHECK(tests::content(pdf) == bytes);
    CHECK(run(folder.path(), {"sheet", "case.json", "-o", "out", "--replace"}).code == 0);
    CHECK(tests::content(pdf) != bytes);
    CHECK(run(folder.path(), {"sheet", "case.json", "-o", "out", "--foot", "right"}).code == 2);
}
