// compare, verify and study by the command line: from files to answers, pictures and exit codes.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
namespace fs = std::filesystem;
using tests::content, tests::put_cast, tests::Run, tests::run;

namespace {

bool is_png(const fs::path& path) {
    return content(path).rfind("\x89PNG", 0) == 0;
}

}  // namespace

TEST_CASE("compare and verify: a cast with itself, and a device with its own design") {
    const tests::TemporaryFolder folder;
    const auto in = [&](const std::vector<std::string>& words) { return run(folder.path(), words); };
    put_cast(folder.path() / "cast.ply");
    fs::copy_file(folder.path() / "cast.ply", folder.path() / "again.ply");
    REQUIRE(in({"new", "cast.ply", "-o", "case.json", "--side", "left", "--unit", "in", "--case", "WREN-3",
                "--by", "T1"})
                .code == 0);

    const Run same = in({"--json", "compare", "case.json", "again.ply", "--second-side", "left",
                         "--second-unit", "in", "--picture", "differ.png", "--map", "differ.ply"});
    INFO(same.out << same.error);
    REQUIRE(same.code == 0);
    const auto told = nlohmann::json::parse(same.out);
    CHECK(told["ok"] == true);
    CHECK(told["registration"]["trouble"] == "none");
    CHECK(told["registration"]["turned_deg"].get<double>() < 0.01);
    for (const char* region : {"heel", "arch", "forefoot", "medial_border", "lateral_border"}) {
        CHECK(told["regions"][region]["mm2"].get<double>() > 300.0);
        CHECK(told["regions"][region]["within_95_mm"].get<double>() < 0.01);
    }
    // both shells were built to the job's order
    REQUIRE(told.contains("shells"));
    CHECK(told["shells"]["foot_side"]["rms_mm"].get<double>() < 0.01);
    CHECK(is_png(folder.path() / "differ.png"));
    CHECK(content(folder.path() / "differ.ply").rfind("ply\n", 0) == 0);

    // a left and a right foot are no pair unless asked for
    const Run sides = in({"compare", "again.ply", "again.ply", "--unit", "in", "--second-unit", "in",
                          "--side", "left", "--second-side", "right"});
    CHECK((sides.code == 4 || sides.code == 5));
    CHECK(in({"compare", "case.json", "again.ply", "--picture", "differ.txt"}).code == 2);
    CHECK(in({"compare", "case.json", "gone.ply"}).code == 3);

    // the device's own mesh is a perfect scan of it
    REQUIRE(in({"make", "case.json", "-o", "out", "--format", "stl"}).code == 0);
    std::string stl;
    for (const auto& entry : fs::directory_iterator(folder.path() / "out"))
        if (entry.path().extension() == ".stl") stl = "out/" + entry.path().filename().string();
    REQUIRE_FALSE(stl.empty());
    const Run made =
        in({"--json", "verify", "case.json", stl, "--picture", "made.png", "--record", "made.json"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    const auto record = nlohmann::json::parse(content(folder.path() / "made.json"));
    CHECK(record["verdict"] == "pass");
    CHECK(record["case"] == "WREN-3");
    CHECK(record["side"] == "left");
    CHECK(record["design_fingerprint"].get<std::string>().size() == 64);
    CHECK(record["faces"]["foot_side"]["within_95_mm"].get<double>() < 0.01);
    CHECK(std::abs(record["wall"]["mean_mm"].get<double>()) < 0.01);
    CHECK(is_png(folder.path() / "made.png"));
    CHECK(in({"verify", "case.json", stl, "--record", "made.json"}).code == 6);
    const Run inches = in({"verify", "case.json", stl, "--unit", "in"});
    CHECK(inches.code == 5);
    CHECK(inches.out.find("25.40 times too large") != std::string::npos);
    CHECK(in({"verify", "case.json", stl, "--surface", "1,0.5"}).code == 2);
}

TEST_CASE("study: a table of figures becomes plain words, a PDF and drawings") {
    const tests::TemporaryFolder folder;
    const auto in = [&](const std::vector<std::string>& words) { return run(folder.path(), words); };
    std::ofstream(folder.path() / "study.csv") << "foot,caster,repeat,arch_height:mm\n"
                                                  "F1,A,1,17.0\nF1,A,2,17.3\nF1,B,1,15.4\nF1,B,2,15.9\nF2,A,"
                                                  "1,21.1\nF2,A,2,21.0\nF2,B,1,19.6\nF2,B,2,19.2\n"
                                                  "F3,A,1,12.2\nF3,A,2,11.9\nF3,B,1,10.9\nF3,B,2,10.4\nF4,A,"
                                                  "1,25.0\nF4,A,2,25.4\nF4,B,1,23.2\nF4,B,2,23.9\n";
    const Run first = in({"--json", "study", "study.csv", "-o", "report"});
    INFO(first.out << first.error);
    REQUIRE(first.code == 0);
    const auto told = nlohmann::json::parse(first.out);
    REQUIRE(told["findings"].size() == 1);
    CHECK(told["findings"][0]["id"] == "arch_height");
    std::string words;
    for (const auto& line : told["findings"][0]["words"]) words += line.get<std::string>() + "\n";
    CHECK(words.find("by the same person differ by less than") != std::string::npos);
    CHECK(words.find("who casts") != std::string::npos);
    const std::string pdf = content(folder.path() / "report/study.pdf");
    CHECK(pdf.rfind("%PDF", 0) == 0);
    CHECK(is_png(folder.path() / "report/arch_height_scatter.png"));
    CHECK(content(folder.path() / "report/arch_height_sources.svg").find("<svg") != std::string::npos);
    const std::string text =
        tests::shell("pdftotext " + (folder.path() / "report/study.pdf").string() + " -");
    CHECK(text.find("How well casts repeat") != std::string::npos);
    CHECK(text.find("Arch height") != std::string::npos);
    // nothing is written over unasked; asked for, the same bytes
    CHECK(in({"study", "study.csv", "-o", "report"}).code == 6);
    CHECK(in({"study", "study.csv", "-o", "report", "--replace"}).code == 0);
    CHECK(content(folder.path() / "report/study.pdf") == pdf);
    // a table that is wrong names its row
    std::ofstream(folder.path() / "wrong.csv") << "foot,repeat,arch:mm\nF1,1,12\nF1,2,1x\n";
    const Run wrong = in({"study", "wrong.csv"});
    CHECK(wrong.code == 3);
    CHECK(wrong.error.find("row 3") != std::string::npos);
}
