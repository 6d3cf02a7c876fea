// The remake log by the command line.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::Run, tests::run;

TEST_CASE("remake and remakes: a line is added, and what came back is told") {
    const tests::TemporaryFolder folder;
    const auto add = [&](const char* code, const char* date) {
        return run(folder.path(),
                   {"remake", "log.csv", "--case", "WREN-3", "--foot", "left", "--revision", "A", "--code",
                    code, "--cause", "edge, \"hard\"", "--by", "KL-1", "--date", date})
            .code;
    };
    CHECK(run(folder.path(), {"remakes", "log.csv"}).code == 3);
    CHECK(add("R4", "2026-03-02") == 0);
    CHECK(add("R4", "2026-03-03") == 0);
    CHECK(add("R1", "2026-03-03") == 0);
    CHECK(add("R77", "2026-03-03") == 2);
    CHECK(add("R1", "2026-13-03") == 2);
    const Run told = run(folder.path(), {"--json", "remakes", "log.csv", "--picture", "pareto.svg"});
    INFO(told.error);
    REQUIRE(told.code == 0);
    const auto all = nlohmann::json::parse(told.out);
    CHECK(all["remakes"] == 3);
    CHECK(all["codes"][0]["code"] == "R4");
    CHECK(all["codes"][0]["percent"] == 66.7);
    CHECK(std::filesystem::exists(folder.path() / "pareto.svg"));
    CHECK(run(folder.path(), {"remakes", "log.csv", "--picture", "pareto.gif"}).code == 2);
}
