// Milling by the command line: what is refused before anything is planned.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "exporters/nc/program.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::put_case, tests::Run, tests::run;

TEST_CASE("mill: unknown machines, cutters, blocks; a block of another material; nothing is written") {
    const tests::TemporaryFolder folder;
    put_case(folder.path(), "WREN-3");
    const auto says = [&](const std::vector<std::string>& more, int code, const std::string& say) {
        tests::check_refused(folder.path(), "mill", more, code, say);
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
    REQUIRE(run(folder.path(), {"set", "case.json", "material=pa11"}).code == 0);
    says({}, 2, "no block of pa11");
}

TEST_CASE("programs: what is no program of ours, a changed one, one alone; with file, exit code and words") {
    const tests::TemporaryFolder folder;
    const auto put = [&](const char* name, const std::string& text) {
        std::ofstream(folder.path() / name, std::ios::binary) << text;
    };
    exporters::nc::Head head;
    head.lines = {"ARCHWRIGHT WREN-3 A left", "SET-UP 1 of 2: foot side up"};
    exporters::nc::Head other = head;
    other.lines[1] = "SET-UP 2 of 2: turned over, foot side down";
    const auto text = [](const exporters::nc::Head& of) { return exporters::nc::write_program({}, of, {}); };
    const std::string pair = exporters::nc::pair_of(text(head), text(other));
    put("alone.nc", text(head));
    head.pair = other.pair = pair;
    put("one.nc", text(head));
    put("two.nc", text(other));
    put("none.nc", std::string("\0\xff(", 3));
    const auto says = [&](const char* first, const char* second, int code, const std::string& say) {
        const Run told = run(folder.path(), {"programs", first, second});
        INFO(told.out << told.error);
        CHECK(told.code == code);
        CHECK((told.out + told.error).find(say) != std::string::npos);
    };
    says("one.nc", "two.nc", 0, pair);
    says("two.nc", "one.nc", 3, "name set-up 1 first");
    says("one.nc", "one.nc", 3, "set-up 1 of 2");
    says("alone.nc", "two.nc", 3, "does not say which milling");
    says("none.nc", "two.nc", 3, "no program of ours");
    says("absent.nc", "two.nc", 3, "absent.nc");
    says(".", "two.nc", 3, "not a file");
    std::string changed = text(other);
    changed.replace(changed.find("WREN-3 A"), 8, "WREN-3 B");
    put("changed.nc", changed);
    says("one.nc", "changed.nc", 3, "was changed since it was written");
    const Run told = run(folder.path(), {"--json", "programs", "one.nc", "two.nc"});
    CHECK(told.code == 0);
    CHECK(told.out.find("\"pair\": \"" + pair + "\"") != std::string::npos);
}
