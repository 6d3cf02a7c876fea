// Milling by the command line: what is refused before anything is planned.
#include <catch2/catch.hpp>
#include <filesystem>

#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::put_cast, tests::Run, tests::run;

TEST_CASE("mill: unknown machines, cutters, blocks; a block of another material; nothing is written") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    REQUIRE(run(folder.path(), {"new", "cast.ply", "-o", "case.json", "--side", "left", "--unit", "in",
                                "--case", "WREN-3", "--by", "T1"})
                .code == 0);
    const auto says = [&](const std::vector<std::string>& more, int code, const std::string& say) {
        std::vector<std::string> words{"mill", "case.json", "-o", "out"};
        words.insert(words.end(), more.begin(), more.end());
        const Run told = run(folder.path(), words);
        INFO(told.error);
        CHECK(told.code == code);
        CHECK(told.error.find(say) != std::string::npos);
        CHECK_FALSE(std::filesystem::exists(folder.path() / "out"));
    };
    says({"--machine", "bench_mil"}, 2, "bench_mill");
    says({"--finish", "bal_6"}, 2, "did you mean");
    says({"--block", "nothing"}, 2, "there are:");
    says({"--detail", "bal_3"}, 2, "did you mean");
    says({"--drill", "drill_6", "--datum", "edges"}, 2, "--datum edges");
    says({"--pin-depth", "nan"}, 2, "pin-depth");
    says({"--pair"}, 2, "--pair");
    says({"--cusp", "7"}, 2, "cusp");
    says({"--block", "eva_single_45"}, 2, "another material");
}
