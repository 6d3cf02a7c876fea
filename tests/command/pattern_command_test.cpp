// Patterns by the command line.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::content, tests::put_case, tests::Run, tests::run;
namespace fs = std::filesystem;

namespace {

void change(const fs::path& job, const std::function<void(nlohmann::json&)>& edit) {
    auto json = nlohmann::json::parse(content(job));
    edit(json);
    std::ofstream(job) << json.dump(2);
}

nlohmann::json top() {
    return {{"name", "top"},     {"kind", "cover"},    {"material", "EVA 35"},
            {"thickness_mm", 3}, {"length", "sulcus"}, {"margin_mm", 2},
            {"distal_mm", 0},    {"overlap_mm", 0},    {"outline", nlohmann::json::array()}};
}

}  // namespace

TEST_CASE("patterns: asked, written, written again, and never over another") {
    const tests::TemporaryFolder folder;
    const fs::path out = folder.path() / "out";
    put_case(folder.path(), "WREN-1");
    const Run none = run(folder.path(), {"pattern", "case.json", "-o", "out"});
    CHECK(none.code == 2);
    CHECK(none.error.find("covers") != std::string::npos);
    CHECK_FALSE(fs::exists(out));

    change(folder.path() / "case.json", [](nlohmann::json& job) { job["left"]["covers"] = {top()}; });
    const Run made = run(folder.path(), {"--json", "pattern", "case.json", "-o", "out"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    const auto said = nlohmann::json::parse(made.out);
    CHECK(said["patterns"][0]["name"] == "top");
    CHECK(said["patterns"][0]["side"] == "left");
    CHECK(said["patterns"][0]["files"].size() == 3);
    CHECK(said["patterns"][0]["area_mm2"].get<double>() > 8000.0);
    std::string checks;
    for (const auto& check : said["checks"]) checks += check["id"].get<std::string>() + " ";
    CHECK(checks == "pattern.stretch pattern.join pattern.room ");
    std::map<std::string, std::string> files;
    for (const char* ending : {".pdf", ".svg", ".dxf"})
        files[ending] = content(out / (std::string("WREN-1-left-A-top") + ending));
    for (const auto& [ending, bytes] : files) CHECK(bytes.size() > 1000);
    CHECK(files[".svg"].find("LEFT") != std::string::npos);

    // again, by another locale and number of threads: the same bytes
    const Run again = run(folder.path(), {"--threads", "1", "pattern", "case.json", "-o", "again"},
                          {"LC_ALL=de_DE.utf8", "TZ=Pacific/Chatham"});
    INFO(again.out << again.error);
    REQUIRE(again.code == 0);
    for (const auto& [ending, bytes] : files)
        CHECK(content(folder.path() / "again" / ("WREN-1-left-A-top" + ending)) == bytes);

    // the device's report tells what goes with it
    REQUIRE(run(folder.path(), {"make", "case.json", "-o", "shell", "--format", "stl"}).code == 0);
    CHECK(content(folder.path() / "shell" / "WREN-1-left-A.report.txt").find("top cover \"top\"") !=
          std::string::npos);
    const auto report = nlohmann::json::parse(content(folder.path() / "shell" / "WREN-1-left-A.report.json"));
    CHECK(report["covers"][0]["material"] == "EVA 35");

    // another design under the same name is not written over
    change(folder.path() / "case.json",
           [](nlohmann::json& job) { job["left"]["covers"][0]["margin_mm"] = 4; });
    const Run other = run(folder.path(), {"pattern", "case.json", "-o", "out", "--format", "pdf"});
    CHECK(other.code == 6);
    CHECK(other.error.find("--replace") != std::string::npos);
    for (const auto& [ending, bytes] : files) CHECK(content(out / ("WREN-1-left-A-top" + ending)) == bytes);
    REQUIRE(run(folder.path(), {"pattern", "case.json", "-o", "out", "--format", "pdf", "--replace"}).code ==
            0);
    CHECK(content(out / "WREN-1-left-A-top.pdf") != files[".pdf"]);
    CHECK_FALSE(fs::exists(out / "WREN-1-left-A-top.svg"));  // it told of the other one

    // a second part that cannot be drawn: nothing of the first is written
    change(folder.path() / "case.json", [](nlohmann::json& job) {
        nlohmann::json bad = top();
        bad["name"] = "pad";
        bad["outline"] = {{0, 0}, {40, 20}, {40, 0}, {0, 20}};
        job["left"]["covers"].push_back(bad);
    });
    const Run crossed = run(folder.path(), {"pattern", "case.json", "-o", "third"});
    CHECK(crossed.code == 2);
    CHECK(crossed.error.find("\"pad\"") != std::string::npos);
    CHECK_FALSE(fs::exists(folder.path() / "third"));

    // two of one name would be one file
    change(folder.path() / "case.json", [](nlohmann::json& job) {
        job["left"]["covers"] = {top(), top()};
        job["left"]["covers"][1]["name"] = "TOP";
    });
    const Run twice = run(folder.path(), {"pattern", "case.json", "-o", "third"});
    CHECK(twice.code == 2);
    CHECK(twice.error.find("covers[1].name") != std::string::npos);
}
