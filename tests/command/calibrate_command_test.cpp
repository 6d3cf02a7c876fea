// A laboratory's calibration by the command line: from its table to a prediction with an interval.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::content, tests::put_cast, tests::Run, tests::run;

TEST_CASE("calibrate: devices measured by the bench itself give its modulus back, and predictions carry it") {
    const tests::TemporaryFolder folder;
    const auto in = [&](const std::vector<std::string>& words, bool own_assets = false) {
        return run(folder.path(), words,
                   own_assets
                       ? std::vector<std::string>{"ARCHWRIGHT_ASSETS=" + (folder.path() / "lab").string()}
                       : std::vector<std::string>{});
    };
    put_cast(folder.path() / "cast.ply");
    REQUIRE(in({"new", "cast.ply", "-o", "case.json", "--side", "left", "--unit", "in", "--case", "WREN-2",
                "--by", "T1"})
                .code == 0);
    std::filesystem::create_directory(folder.path() / "lab");
    std::filesystem::copy(std::string(ARCHWRIGHT_SOURCE_DIR) + "/assets/materials",
                          folder.path() / "lab/materials");

    // three walls on a plate of friction 0.2 that holds the distal edge by 40 N/mm, on a rig of 3 mm a kN
    std::string table =
        "material,pp_homopolymer\nfriction,0.2\ndevice,job,foot,wall_mm,load_n,deflection_mm\n"
        "rigid-block,,,,5,0.015\nrigid-block,,,,60,0.180\nrigid-block,,,,120,0.360\n";
    double stiffness = 0.0;
    for (const char* asked : {"2.6", "3", "3.4"}) {
        const std::string wall = asked;
        REQUIRE(in({"set", "case.json", "wall.base_mm=" + wall}).code == 0);
        const Run measured =
            in({"--json", "flex", "case.json", "--quick", "--element", "9", "--load", "arch-press", "--force",
                "110", "--friction", "0.2", "--distal-spring", "40", "--deflection", "large"});
        INFO(measured.out << measured.error);
        REQUIRE(measured.code == 0);
        const auto result = nlohmann::json::parse(measured.out)["results"][0];
        CHECK(result["prediction"].is_null());
        stiffness = result["stiffness"].get<double>();
        for (const auto& point : result["curve"]) {
            const double load = point["load"].get<double>();
            table += "D" +
                     std::string(wall == "3"     ? "30"
                                 : wall == "2.6" ? "26"
                                                 : "34") +
                     ",case.json,left," + wall + "," + std::to_string(load) + "," +
                     std::to_string(point["deflection"].get<double>() + 0.003 * load) + "\n";
        }
    }
    std::ofstream(folder.path() / "bench.csv") << table;
    const std::vector<std::string> calibrate{"--json",
                                             "calibrate",
                                             "bench.csv",
                                             "--element",
                                             "9",
                                             "--by",
                                             "TK",
                                             "--date",
                                             "2026-11-20",
                                             "-o",
                                             "lab/materials/pp_homopolymer.json"};
    // what is there is not replaced unasked, and what cannot be entered is told before the work
    CHECK(in(calibrate, true).code == 6);
    CHECK(
        in({"calibrate", "bench.csv", "-o", "lab/materials/other.json", "--by", "TK", "--date", "2026-11-20"})
            .code == 2);
    CHECK(
        in({"calibrate", "bench.csv", "-o", "x/pp_homopolymer.json", "--by", "TK", "--date", "today"}).code ==
        2);
    CHECK(in({"calibrate", "bench.csv", "-o", "x/pp_homopolymer.json"}).code == 2);

    // as if nothing held the edge: one course of the bench a device, for what does not hang on the figures
    std::string unheld = table;
    unheld.insert(unheld.find("device,"), "distal_spring_n_mm,0\n");
    std::ofstream(folder.path() / "unheld.csv") << unheld;
    const std::vector<std::string> loose{"--json", "calibrate", "unheld.csv", "--element", "9"};
    const Run first = in(loose, true);
    INFO(first.out << first.error);
    REQUIRE(first.code == 0);
    const auto before = nlohmann::json::parse(first.out)["modulus_scale"];
    CHECK(before["value"].get<double>() > 0.0);

    std::vector<std::string> replacing = calibrate;
    replacing.emplace_back("--replace");
    const Run done = in(replacing, true);
    INFO(done.out << done.error);
    REQUIRE(done.code == 0);
    const auto told = nlohmann::json::parse(done.out);
    // on elements this coarse places of the underside come down one by one, which the tables follow to 1 %
    // only: alone, on elements of 7 mm, they give a modulus 4 % off and a spring of 69 N/mm
    CHECK(std::abs(told["modulus_scale"]["value"].get<double>() - 1.0) < 0.01);
    CHECK(std::abs(told["rig_mm_n"].get<double>() - 0.003) < 5e-5);
    CHECK(std::abs(told["distal_spring_n_mm"]["value"].get<double>() - 40.0) < 4.0);
    CHECK(told["devices"].size() == 3);
    CHECK(told["devices"][0]["held_out"]["percent"].is_number());
    CHECK_FALSE(told["friction"]["found"].get<bool>());

    // the same again from what is calibrated now: an earlier calibration is no part of it
    const Run again = in(loose, true);
    REQUIRE(again.code == 0);
    CHECK(nlohmann::json::parse(again.out)["modulus_scale"] == before);
    const auto entry =
        nlohmann::json::parse(content(folder.path() / "lab/materials/pp_homopolymer.json"))["calibration"];
    CHECK(entry["date"] == "2026-11-20");
    CHECK(entry["devices"] == 3);
    CHECK(entry["measured"].size() == 3);

    // predictions: the load that was measured has an interval, another says that it was not
    const std::vector<std::string> flex{"--json", "flex", "case.json", "--quick", "--element", "9"};
    const Run predicted = in(flex, true);
    REQUIRE(predicted.code == 0);
    for (const auto& result : nlohmann::json::parse(predicted.out)["results"]) {
        const std::string caution = result["caution"];
        if (result["load_case"] == "arch-press") {
            CHECK_THAT(caution, Catch::Contains("calibrated on 3 devices of 2.6 to 3.4 mm"));
            CHECK_THAT(caution, !Catch::Contains("for comparison only"));
            const double low = result["prediction"]["stiffness"][0],
                         high = result["prediction"]["stiffness"][1];
            const double value = result["stiffness"];
            CHECK(low < value);
            CHECK(high > value);
            CHECK(low * high == Approx(value * value));
        } else {
            CHECK_THAT(caution,
                       Catch::Contains("for comparison only") && Catch::Contains("not by this load"));
            CHECK(result["prediction"].is_null());
        }
    }
    const Run words = in({"flex", "case.json", "--quick", "--element", "9", "--load", "arch-press"}, true);
    CHECK_THAT(words.out, Catch::Contains("calibrated on 3 devices") && Catch::Contains(" to "));
    CHECK_THAT(words.out, Catch::Contains("laboratory's calibration of 2026-11-20 (TK)"));
    // a wall that nobody measured
    REQUIRE(in({"set", "case.json", "wall.base_mm=5"}).code == 0);
    const Run thick = in({"flex", "case.json", "--quick", "--element", "9", "--load", "arch-press"}, true);
    CHECK_THAT(thick.out, Catch::Contains("calibrated on walls of 2.6 to 3.4 mm only"));
    CHECK(stiffness > 0.0);

    // a job of another material is named with its device
    REQUIRE(in({"set", "case.json", "material=pa12"}).code == 0);
    const Run other = in({"calibrate", "bench.csv"});
    CHECK(other.code == 3);
    CHECK_THAT(other.error, Catch::Contains("device D26 (row 7)") && Catch::Contains("pa12"));
}
