// The laboratory's table: what is read, and what is refused by row and column.
#include "engine/calibrate/measurements.hpp"

#include <catch2/catch.hpp>
#include <fstream>

#include "engine/base/hash.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::calibrate;
using namespace archwright::tests;

namespace {

const std::string good =
    "material,pa11\n"
    "noise_mm,0.02\n"
    "\n"
    "device,job,foot,wall_mm,load,run,load_n,deflection_mm,distal_slide_mm\n"
    "rigid-block,,,,,,10,0.00,\n"
    "rigid-block,,,,,,100,0.21,\n"
    "R-26,shell.json,right,2.6,arch-press,1,10,0.0,0.00\n"
    "R-26,shell.json,right,2.6,arch-press,1,40,1.6,0.31   # a remark\n"
    "R-26,shell.json,right,2.6,arch-press,1,80,3.5,\n"
    "R-26,shell.json,right,2.6,forefoot-lift,1,2,0.0,\n"
    "R-26,shell.json,right,2.6,forefoot-lift,1,5,4.0,\n"
    "R-26,shell.json,right,2.6,forefoot-lift,1,8,8.0,\n"
    "R-34,shell.json,right,3.4,,2,10,0.0,0.00\n"
    "R-34,shell.json,right,3.4,,2,40,1.0,0.20\n"
    "R-34,shell.json,right,3.4,,2,80,2.1,0.40\n";

std::string with(const std::string& from, const std::string& to) {
    std::string text = good;
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

std::string trouble(const std::string& text) {
    const auto read = parse_measurements(text, "bench.csv");
    REQUIRE_FALSE(read);
    CHECK(read.fault().kind == FaultKind::input);
    CHECK_THAT(read.fault().message, Catch::StartsWith("bench.csv"));
    return read.fault().message;
}

}  // namespace

TEST_CASE("a table of measurements is read as it stands") {
    const auto read = parse_measurements(good, "bench.csv");
    INFO((read ? std::string() : read.fault().message));
    REQUIRE(read);
    CHECK(read->material == "pa11");
    CHECK(read->noise_mm == 0.02);
    CHECK_FALSE(read->friction);
    CHECK(read->sha256 == sha256(good));
    REQUIRE(read->rigid_block.size() == 1);
    CHECK(read->rigid_block[0].readings.back().deflection_mm == 0.21);
    REQUIRE(read->devices.size() == 2);
    const MeasuredDevice& first = read->devices[0];
    CHECK(first.code == "R-26");
    CHECK(first.job == "shell.json");
    CHECK(first.foot == Side::right);
    CHECK(first.wall_mm == 2.6);
    REQUIRE(first.loadings.size() == 2);
    CHECK(first.loadings[1].load_case == flex::LoadCase::forefoot_lift);
    CHECK(first.loadings[0].readings[1].slide_mm == 0.31);
    CHECK_FALSE(first.loadings[0].readings[2].slide_mm);
    CHECK(first.loadings[0].readings[0].row == 7);
    CHECK(read->devices[1].loadings[0].run == 2);
    CHECK(read->devices[1].loadings[0].load_case == flex::LoadCase::arch_press);
    CHECK(walls_of(read->devices) == 2);

    // as a spreadsheet of another country writes it, with a mark of its own and other line ends
    std::string other = "\xEF\xBB\xBF" + good;
    for (std::size_t at = 0; (at = other.find_first_of(",\n", at)) != std::string::npos; at += 2)
        other.replace(at, 1, other[at] == ',' ? "; " : "\r\n");
    const auto again = parse_measurements(other, "bench.csv");
    INFO((again ? std::string() : again.fault().message));
    REQUIRE(again);
    CHECK(again->devices[1].loadings[0].readings[2].slide_mm == 0.40);

    const TemporaryFolder folder;
    std::ofstream(folder.path() / "bench.csv") << good;
    REQUIRE(read_measurements(folder.path() / "bench.csv"));
    CHECK_FALSE(read_measurements(folder.path() / "none.csv"));
}

TEST_CASE("what is wrong in a table is named by row and column") {
    using Catch::Contains;
    CHECK_THAT(trouble(with(",40,1.6,", ",40,1,6,")), Contains("row 8") && Contains("decimal"));
    CHECK_THAT(trouble(with("1,40,1.6,0.31", "1,40,1.6 mm,0.31")),
               Contains("row 8, column deflection_mm") && Contains("no number"));
    CHECK_THAT(trouble(with("1,40,1.6,0.31", "1,40,,0.31")),
               Contains("row 8, column deflection_mm") && Contains("missing"));
    CHECK_THAT(trouble(with("1,40,1.6,0.31", "1,nan,1.6,0.31")), Contains("row 8, column load_n"));
    CHECK_THAT(trouble(with("1,40,1.6,0.31", "1,4,1.6,0.31")),
               Contains("row 8, column load_n") && Contains("does not follow the 10 N of row 7"));
    CHECK_THAT(trouble(with("1,40,1.6,0.31", "1,40,1.6,900")), Contains("row 8, column distal_slide_mm"));
    CHECK_THAT(trouble(with("2.6,arch-press,1,40", "2.6,torsion,1,40")),
               Contains("row 8, column load:") && Contains("arch-press or forefoot-lift"));
    CHECK_THAT(trouble(with("2.6,arch-press,1,40", "2.7,arch-press,1,40")),
               Contains("row 8, column wall_mm") && Contains("row 7"));
    CHECK_THAT(trouble(with("right,2.6,arch-press,1,40", "left,2.6,arch-press,1,40")),
               Contains("row 8, column foot"));
    CHECK_THAT(trouble(with("right,2.6,arch-press,1,40", "both,2.6,arch-press,1,40")),
               Contains("row 8, column foot"));
    CHECK_THAT(trouble(with("2.6,arch-press,1,40", "2.6,arch-press,1.5,40")), Contains("row 8, column run"));
    CHECK_THAT(trouble(with("2.6,arch-press,1,10", "0,arch-press,1,10")), Contains("row 7, column wall_mm"));
    CHECK_THAT(trouble(with("R-26,shell.json,right,2.6,arch-press,1,10",
                            "Jane Doe,shell.json,right,2.6,arch-press,1,10")),
               Contains("row 7, column device") && Contains("no code"));
    CHECK_THAT(trouble(with("R-26,shell.json,right,2.6,arch-press,1,10", "R-26,,right,2.6,arch-press,1,10")),
               Contains("row 7, column job"));
    CHECK_THAT(trouble(with(",5,4.0,", ",5,4.0,0.1")), Contains("row 11, column distal_slide_mm"));
    CHECK_THAT(trouble(with("load_n", "load_kg")),
               Contains("row 4, column load_kg") && Contains("is it load_n?"));
    CHECK_THAT(trouble(with(",wall_mm", "")), Contains("row 4, column wall_mm") && Contains("missing"));
    CHECK_THAT(trouble(with(",run,", ",load,")), Contains("row 4, column load") && Contains("two"));
    CHECK_THAT(trouble(with("noise_mm,0.02", "noise_mm,much")), Contains("row 2, column noise_mm"));
    CHECK_THAT(trouble(with("noise_mm,0.02", "colour,red")), Contains("row 2") && Contains("colour"));
    CHECK_THAT(trouble(with("noise_mm,0.02", "material,pa12")), Contains("row 2") && Contains("twice"));
    CHECK_THAT(trouble(with("material,pa11\n", "")), Contains("material,KEY"));
    CHECK_THAT(trouble(with("R-34,shell.json,right,3.4,,2,80,2.1,0.40\n", "")), Contains("fewer than three"));
    CHECK_THAT(trouble(with(",,100,0.21", ",,60,0.21")), Contains("pressed to 60 N only"));
    CHECK_THAT(trouble(""), Contains("column names"));
    CHECK_THAT(trouble("device,job,wall_mm,load_n,deflection_mm\n"), Contains("material"));
    std::string no_block = good;
    for (int i = 0; i < 2; ++i) {
        const std::size_t at = no_block.find("rigid-block");
        no_block.erase(at, no_block.find('\n', at) - at + 1);
    }
    CHECK_THAT(trouble(no_block), Contains("rigid block"));
}

TEST_CASE("one wall is refused, with what to do") {
    std::string one = good;
    for (std::size_t at = 0; (at = one.find("3.4", at)) != std::string::npos; ++at) one.replace(at, 3, "2.8");
    CHECK_THAT(trouble(one), Catch::Contains("one wall") && Catch::Contains("second wall"));
}

TEST_CASE("broken tables are refused or read, and nothing else") {
    std::mt19937_64 random(seed());
    const int count = cases(20000, 2000, "tables with bytes changed, cut and doubled");
    int read = 0;
    for (int i = 0; i < count; ++i) {
        std::string text = good;
        const int changes = 1 + static_cast<int>(uniform(random, 0.0, 4.0));
        for (int c = 0; c < changes && !text.empty(); ++c) {
            const auto at = static_cast<std::size_t>(uniform(random, 0.0, static_cast<double>(text.size())));
            const double what = uniform(random, 0.0, 3.0);
            const auto byte = static_cast<char>(static_cast<int>(uniform(random, 0.0, 256.0)));
            if (what < 1.0)
                text[at] = byte;
            else if (what < 2.0)
                text.erase(at, 1 + static_cast<std::size_t>(byte & 15));
            else
                text.insert(at, text.substr(at / 2, static_cast<std::size_t>(byte & 63)));
        }
        const auto found = parse_measurements(text, "bench.csv");
        if (found) {
            ++read;
            CHECK(walls_of(found->devices) >= 2);
        } else {
            CHECK_FALSE(found.fault().message.empty());
        }
    }
    CHECK(read > 0);
    CHECK(read < count);
}
