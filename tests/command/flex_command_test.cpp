// The virtual bench by the command line.
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::put_case, tests::Run, tests::run;

TEST_CASE("flex: five loads of a foot, told to people and to programs, the same each time") {
    const tests::TemporaryFolder folder;
    put_case(folder.path(), "WREN-2");
    const Run words = run(folder.path(), {"flex", "case.json", "--quick", "--element", "6"});
    INFO(words.out << words.error);
    REQUIRE(words.code == 0);
    for (const char* title : {"Arch press", "Heel pressure", "Body weight", "Forefoot lift", "Torsion"})
        CHECK(words.out.find(title) != std::string::npos);
    std::size_t cautions = 0;
    for (std::size_t at = 0;
         (at = words.out.find("Initial stiffness, for comparison only", at)) != std::string::npos; ++at)
        ++cautions;
    CHECK(cautions == 5);
    CHECK(words.out.find("(assumed)") != std::string::npos);

    const Run told = run(folder.path(), {"--json", "flex", "case.json", "--quick", "--element", "6"});
    REQUIRE(told.code == 0);
    const auto said = nlohmann::json::parse(told.out);
    REQUIRE(said["results"].size() == 5);
    for (const auto& result : said["results"]) {
        CHECK(result["side"] == "left");
        CHECK(result["stiffness"].get<double>() > 0.0);
        CHECK(result["caution"] == "Initial stiffness, for comparison only");
        if (result["preload"].get<double>() == 0.0) continue;
        const auto& ground = result["ground_n"];
        const double sum =
            ground["heel"].get<double>() + ground["midfoot"].get<double>() + ground["distal"].get<double>();
        CHECK(sum == Approx(result["load"].get<double>()).epsilon(1e-4));
    }
    const Run again =
        run(folder.path(), {"--json", "--threads", "1", "flex", "case.json", "--quick", "--element", "6"});
    CHECK(again.out == told.out);

    // a shoe's bed from a table, and tables that are none
    const auto table = [&](const std::string& text) {
        std::ofstream(folder.path() / "bed.csv") << text;
        return run(folder.path(), {"flex", "case.json", "--quick", "--element", "6", "--load", "arch-press",
                                   "--bed-shape", "bed.csv"});
    };
    CHECK(table("# heel of 10 mm\n-30, 10\n25;10\n\n110 1\n220\t6\n").code == 0);
    for (const auto& [text, say] :
         {std::pair("-30, 10\n25, ten\n", "line 2"), std::pair("0 0\n1\n", "line 2"),
          std::pair("0 0\n1 2 3\n", "line 2"), std::pair("", "no points"), std::pair("0 0\n", "1 points"),
          std::pair("0 0\n-5 0\n", "Point 2")}) {
        const Run wrong = table(text);
        CAPTURE(text, wrong.error);
        CHECK(wrong.code != 0);
        CHECK(wrong.error.find(say) != std::string::npos);
    }

    // a thicker wall is stiffer, a person who is heavier presses more
    REQUIRE(run(folder.path(), {"set", "case.json", "wall.base_mm=4.5", "order.body_mass_kg=90"}).code == 0);
    const Run thick = run(folder.path(), {"--json", "flex", "case.json", "--quick", "--element", "6",
                                          "--load", "forefoot-lift"});
    REQUIRE(thick.code == 0);
    const auto one = nlohmann::json::parse(thick.out);
    REQUIRE(one["results"].size() == 1);
    CHECK(one["results"][0]["stiffness"].get<double>() > said["results"][3]["stiffness"].get<double>());

    const Run moved = run(folder.path(), {"--json", "flex", "case.json", "--element", "8", "--load",
                                          "arch-press", "--force", "150"});
    REQUIRE(moved.code == 0);
    const auto press = nlohmann::json::parse(moved.out)["results"][0];
    CHECK(press["load"] == 150.0);
    CHECK(press["variations"].size() == 8);

    CHECK(run(folder.path(), {"flex", "case.json", "--force", "150"}).code == 2);
    CHECK(run(folder.path(), {"flex", "case.json", "--load", "jump"}).code == 2);
    CHECK(run(folder.path(), {"flex", "case.json", "--element", "0.2"}).code == 2);
}

TEST_CASE("make --flex: the bench stands in both reports, and nothing else is another") {
    const tests::TemporaryFolder folder;
    put_case(folder.path(), "WREN-2");
    REQUIRE(run(folder.path(), {"make", "case.json", "-o", "plain", "--format", "stl"}).code == 0);
    REQUIRE(run(folder.path(), {"make", "case.json", "-o", "told", "--format", "stl", "--flex"}).code == 0);
    const auto text = [&](const std::string& name) {
        std::ifstream file(folder.path() / name);
        return std::string(std::istreambuf_iterator<char>(file), {});
    };
    const auto plain = nlohmann::json::parse(text("plain/WREN-2-left-A.report.json"));
    auto told = nlohmann::json::parse(text("told/WREN-2-left-A.report.json"));
    REQUIRE(told["flex"].size() == 5);
    for (const auto& load : told["flex"]) CHECK(load["caution"] == "Initial stiffness, for comparison only");
    CHECK(told["flex"][0]["variations"].size() == 8);
    CHECK(told["flex_about"]["strength_mpa"]["source"].get<std::string>().size() > 5);
    told.erase("flex");
    told.erase("flex_about");
    CHECK(told == plain);
    const std::string words = text("told/WREN-2-left-A.report.txt");
    CHECK(words.find("On the virtual bench: initial stiffness, for comparison only") != std::string::npos);
    CHECK(words.find("Arch press") != std::string::npos);
    CHECK(text("plain/WREN-2-left-A.report.txt").find("virtual bench") == std::string::npos);
}
