// Records by the command line: of files that are there and of the design as it is, and of nothing else.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>

#include "engine/base/hash.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::put_case, tests::Run, tests::run;

TEST_CASE("record: only of files made of the job as it is; what was filled in is not lost") {
    const tests::TemporaryFolder folder;
    put_case(folder.path(), "WREN-3");
    CHECK(run(folder.path(), {"record", "case.json", "-o", "out"}).code == 3);
    REQUIRE(run(folder.path(), {"make", "case.json", "-o", "out"}).code == 0);
    const Run told = run(folder.path(), {"--json", "record", "case.json", "-o", "out"});
    INFO(told.error);
    REQUIRE(told.code == 0);
    const auto one = nlohmann::json::parse(told.out)["records"][0];
    const std::filesystem::path out = folder.path() / "out";
    CHECK(std::filesystem::exists(out / "WREN-3-left-A.record.pdf"));
    CHECK(one["cast"]["sha256"] == sha256(tests::content(folder.path() / "cast.ply")));
    CHECK(one["job_sha256"] == sha256(tests::content(folder.path() / "case.json")));
    std::set<std::string> names;
    for (const auto& file : one["outputs"]) {
        const std::string name = file["file"];
        names.insert(name);
        CHECK(file["sha256"] == sha256(tests::content(out / name)));
    }
    for (const char* ending : {".stl", ".step", ".3mf", ".report.json", ".report.txt"})
        CHECK(names.count(std::string("WREN-3-left-A") + ending) == 1);
    CHECK(one["checks"].size() > 10);
    CHECK(one["approval"].is_null());

    // again: the same; with a field filled in: not over it
    CHECK(run(folder.path(), {"record", "case.json", "-o", "out"}).code == 0);
    const std::filesystem::path json = out / "WREN-3-left-A.record.json";
    std::string text = tests::content(json);
    const std::size_t at = text.find("\"material_batch\": \"\"");
    REQUIRE(at != std::string::npos);
    text.insert(at + 19, "B-77");
    std::ofstream(json) << text;
    CHECK(run(folder.path(), {"record", "case.json", "-o", "out"}).code == 6);
    CHECK(tests::content(json) == text);
    CHECK(run(folder.path(), {"record", "case.json", "-o", "out", "--replace"}).code == 0);

    // a version that makes the device 0.03 mm otherwise, by samples moved so far: told, and nothing replaced
    auto kept = nlohmann::ordered_json::parse(tests::content(json));
    CHECK(kept["samples"]["underside"].size() == 120);
    CHECK(run(folder.path(), {"make", "case.json", "-o", "out"}).code == 0);
    for (auto& row : kept["samples"]["underside"])
        for (std::size_t k = 0; k < 3; ++k) row[k] = row[k].get<double>() + 0.03 * row[k + 3].get<double>();
    kept["program"]["version"] = "0.0.9";
    std::ofstream(json) << kept.dump(2);
    const std::string stl = tests::content(out / "WREN-3-left-A.stl");
    for (const char* command : {"make", "record"}) {
        const Run changed = run(folder.path(), {command, "case.json", "-o", "out"});
        INFO(changed.error);
        CHECK(changed.code == (std::string(command) == "make" ? 6 : 5));
        CHECK(changed.error.find("Archwright 0.0.9") != std::string::npos);
        CHECK(changed.error.find("up to 0.03") != std::string::npos);
        CHECK(tests::content(out / "WREN-3-left-A.stl") == stl);
        CHECK(tests::content(json) == kept.dump(2));
    }
    CHECK(run(folder.path(), {"make", "case.json", "-o", "out", "--replace"}).code == 0);
    CHECK(run(folder.path(), {"record", "case.json", "-o", "out", "--replace"}).code == 0);
    CHECK(run(folder.path(), {"make", "case.json", "-o", "out"}).code == 0);

    // the design goes on: its files are no longer of it
    REQUIRE(run(folder.path(), {"set", "case.json", "wall.base_mm=3.4"}).code == 0);
    const Run other = run(folder.path(), {"record", "case.json", "-o", "out", "--replace"});
    CHECK(other.code == 5);
    CHECK(other.error.find("another design") != std::string::npos);
}
