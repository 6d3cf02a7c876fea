// Asking for a stiffness by the command line.
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "engine/ask/target_text.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::put_case, tests::Run, tests::run;

namespace {

std::string contents(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream all;
    all << in.rdbuf();
    return all.str();
}

}  // namespace

TEST_CASE("targets and walls as text read back, and what is none says why") {
    for (const char* text : {"arch-press: +20%", "arch-press@220 by 5,-3: -7.5%", "torsion: 90Nmm/deg",
                             "forefoot-lift: 2.5mm", "torsion@400: 3deg", "heel-pressure: 1200N/mm"}) {
        const auto targets = ask::parse_targets(text);
        INFO(text << (targets ? "" : ": " + targets.fault().message));
        REQUIRE(targets);
        REQUIRE(targets->size() == 1);
        CHECK(ask::print(targets->front()) == text);
    }
    const auto two = ask::parse_targets("arch-press: +20 %; torsion : -10% ;");
    REQUIRE(two);
    REQUIRE(two->size() == 2);
    CHECK((*two)[0].value == Approx(0.2));
    CHECK((*two)[1].value == Approx(-0.1));
    for (const char* text : {"", ";", "arch-press", "arch-press:", "arch-press: 20%", "arch-press: 20",
                             "arch-press@0: +20%", "arch-press@x: +2%", "arch-pres: +2%", "torsion: 4mm",
                             "arch-press by 5: +2%", "arch-press: +nan%", "arch-press: +1e999%"}) {
        CAPTURE(text);
        CHECK_FALSE(ask::parse_targets(text));
    }
    const auto walls = ask::parse_walls("base, arch>=2.4<=5,medial_column<=4>=2");
    REQUIRE(walls);
    REQUIRE(walls->size() == 3);
    CHECK((*walls)[1].least_mm == 2.4);
    CHECK((*walls)[1].most_mm == 5.0);
    CHECK((*walls)[2].wall == "medial_column");
    CHECK((*walls)[2].least_mm == 2.0);
    CHECK((*walls)[2].most_mm == 4.0);
    for (const char* text : {"arch<=", "arch<=x", "arch<=2<=3", ">=2", "arch=3", "arch>2"}) {
        CAPTURE(text);
        CHECK_FALSE(ask::parse_walls(text));
    }
}

TEST_CASE("ask: walls that make a device stiffer, told, and written when it is said; what it says is so") {
    const tests::TemporaryFolder folder;
    put_case(folder.path(), "WREN-2");
    const std::string job = contents(folder.path() / "case.json");
    const auto stiffness = [&](const char* file) {
        const Run flexed =
            run(folder.path(), {"--json", "flex", file, "--quick", "--element", "6", "--load", "arch-press"});
        REQUIRE(flexed.code == 0);
        return nlohmann::json::parse(flexed.out)["results"][0]["stiffness"].get<double>();
    };
    const double before = stiffness("case.json");
    const std::vector<std::string> question{"--json",  "ask",  "case.json", "arch-press: +25%",
                                            "--walls", "base", "--element", "6"};
    const Run asked = run(folder.path(), question);
    INFO(asked.out << asked.error);
    REQUIRE(asked.code == 0);
    const auto said = nlohmann::json::parse(asked.out);
    CHECK(said["met"] == true);
    CHECK(said["written"].is_null());
    CHECK(contents(folder.path() / "case.json") == job);  // nothing is written unasked
    CHECK(said["targets"][0]["caution"] == "Initial stiffness, for comparison only");
    CHECK(said["targets"][0]["wanted"].get<double>() == Approx(1.25 * before).epsilon(1e-9));
    CHECK_FALSE(said.contains("absolute_caution"));

    std::vector<std::string> writing = question;
    writing.insert(writing.end(), {"-o", "stiffer.json"});
    REQUIRE(run(folder.path(), writing).code == 0);
    CHECK(stiffness("stiffer.json") == Approx(1.25 * before).epsilon(0.01));
    CHECK(stiffness("stiffer.json") == Approx(said["targets"][0]["found"].get<double>()).epsilon(1e-9));
    CHECK(run(folder.path(), writing).code == 2);  // it is there

    // against another job: softer again by as much
    const Run back = run(folder.path(), {"--json", "ask", "stiffer.json", "arch-press: +0%", "--walls",
                                         "base", "--element", "6", "--against", "case.json"});
    INFO(back.out << back.error);
    REQUIRE(back.code == 0);
    CHECK(nlohmann::json::parse(back.out)["targets"][0]["found"].get<double>() ==
          Approx(before).epsilon(0.01));

    // out of reach: said, and not written
    const Run never = run(folder.path(), {"ask", "case.json", "arch-press: 5000N/mm", "--walls", "base<=4",
                                          "--element", "6", "-o", "never.json"});
    INFO(never.out << never.error);
    CHECK(never.code == 5);
    CHECK(never.out.find("cannot be reached") != std::string::npos);
    CHECK(never.out.find("between") != std::string::npos);
    CHECK(never.out.find("figures of its own") != std::string::npos);
    CHECK_FALSE(std::filesystem::exists(folder.path() / "never.json"));

    for (const auto& [words, say] :
         {std::pair<std::vector<std::string>, const char*>{{"arch-press: +20%", "--walls", "arch"}, "base"},
          {{"arch-press: 20%", "--walls", "base"}, "sign"},
          {{"arch-press: +20%", "--walls", "base", "--least", "5", "--most", "4"}, "leave nothing"},
          {{"arch-press: +20%", "--walls", "base,base"}, "twice"}}) {
        std::vector<std::string> line{"ask", "case.json"};
        line.insert(line.end(), words.begin(), words.end());
        const Run wrong = run(folder.path(), line);
        INFO(wrong.out << wrong.error);
        CHECK(wrong.code == 2);
        CHECK(wrong.error.find(say) != std::string::npos);
    }
}
