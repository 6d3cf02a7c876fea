// What is said of a body on a printer, and of printers' files.
#include <catch2/catch.hpp>
#include <fstream>

#include "engine/base/file.hpp"
#include "engine/design/material.hpp"
#include "engine/print/check.hpp"
#include "tests/print/bodies.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::print;

namespace {

Printer of_assets(const std::string& key) {
    const auto all = load_printers(design::assets_folder());
    if (!all.ok()) FAIL(all.fault().message);
    auto one = find_printer(*all, key);
    if (!one.ok()) FAIL(one.fault().message);
    return std::move(*one);
}

const Check& named(const Printing& printing, const std::string& id) {
    for (const Check& check : printing.checks)
        if (check.id == "print." + id) return check;
    FAIL("no check print." << id);
    return printing.checks.front();
}

Printing judged(const TriangleMesh& mesh, const Printer& printer, const Loads* loads = nullptr,
                const PrintSetting& setting = {}) {
    auto printing = judge(mesh, printer, loads, setting, nullptr);
    if (!printing.ok()) FAIL(printing.fault().message);
    return std::move(*printing);
}

/// A plate, its middle loaded in the half x < 20, pulled along x.
Loads half_loaded() {
    TriangleMesh middle;
    middle.points = {{0, 0, 1}, {20, 0, 1}, {0, 40, 1}, {20, 40, 1}, {60, 0, 1}, {60, 40, 1}};
    middle.triangles = {{0, 1, 2}, {1, 3, 2}, {1, 4, 3}, {4, 5, 3}};
    return Loads(std::move(middle), {1.0, 0.8, 0.1, 0.1}, Pull{Mat3(Vec3(1.0, 0.0, 0.0).asDiagonal())},
                 {"a load"});
}

}  // namespace

TEST_CASE("the least wall is judged against the printer's, loaded ones against another") {
    const Printer printer = of_assets("powder_bed");  // 0.8 and 1.5 mm
    const Loads loads = half_loaded();
    CHECK(loads.at({5, 5, 1}) == 1.0);
    CHECK(loads.at({50, 20, 2}) == 0.1);
    CHECK(loads.at({500, 20, 2}) == 0.0);
    for (const double wall : {0.7, 1.2, 2.0}) {
        const Printing printing = judged(tests::box_of({60.0, 40.0, wall}), printer, &loads);
        INFO(wall);
        CHECK(named(printing, "wall").figure.value() == Approx(wall));
        CHECK(named(printing, "wall").verdict == (wall < 0.8 ? Verdict::stop : Verdict::pass));
        CHECK(named(printing, "loaded").figure.value() == Approx(wall));
        CHECK(named(printing, "loaded").verdict == (wall < 1.5 ? Verdict::look : Verdict::pass));
        if (wall < 0.8) CHECK(printing.thin_mm2 == Approx(2.0 * 60.0 * 40.0));
        // both faces, and the side walls behind them in the loaded half are 40 and 60 mm
        if (wall < 1.5) CHECK(printing.thin_loaded_mm2 == Approx(2.0 * 20.0 * 40.0).epsilon(0.05));
        CHECK(printing.verdict() == (wall < 0.8 ? Verdict::stop : printing.verdict()));
    }
    // never put on the bench: that is said, and nothing passes by default
    const Printing unasked = judged(tests::box_of({60.0, 40.0, 3.0}), printer);
    CHECK(named(unasked, "loaded").verdict == Verdict::look);
    CHECK(named(unasked, "layers").verdict == Verdict::look);
}

TEST_CASE("a speck that is too thin is a look, a piece of a square millimetre a stop") {
    // a plate with a small blind hole that leaves 0.5 mm of floor
    const Printer printer = of_assets("powder_bed");
    for (const double hole : {0.3, 2.0}) {
        const Printing printing = judged(tests::blind_hole(20.0, hole, 3.0, 2.5, 48), printer);
        INFO(hole);
        CHECK(named(printing, "wall").figure.value() == Approx(0.5));
        CHECK(named(printing, "wall").verdict == (hole < 1.0 ? Verdict::look : Verdict::stop));
    }
    const Printing narrow = judged(tests::blind_hole(20.0, 0.2, 6.0, 3.0, 48), printer);
    CHECK(named(narrow, "gap").figure.value() == Approx(0.4).epsilon(0.01));
    CHECK(named(narrow, "gap").verdict == Verdict::look);
    CHECK(named(narrow, "powder").verdict == Verdict::look);  // 7.5 times as deep as wide
    CHECK(named(narrow, "powder").figure.value() > 5.0);
}

TEST_CASE("closed hollows stop a powder bed and are looked at elsewhere") {
    TriangleMesh mesh = tests::box_of({30.0, 30.0, 30.0});
    TriangleMesh hollow = tests::moved(tests::box_of({6, 6, 6}), Mat3::Identity(), Vec3(10, 10, 10));
    hollow.flip();
    tests::join(mesh, hollow);
    CHECK(named(judged(mesh, of_assets("powder_bed")), "hollow").verdict == Verdict::stop);
    const Printing filament = judged(mesh, of_assets("filament_large"));
    CHECK(named(filament, "hollow").verdict == Verdict::look);
    CHECK(named(filament, "hollow").figure.value() == Approx(216.0));
    CHECK(named(filament, "powder").verdict == Verdict::pass);
}

TEST_CASE("as it stands and as proposed are judged apart; what is too large stops") {
    Printer printer = of_assets("filament_large");
    const TriangleMesh plate = tests::box_of({80.0, 60.0, 4.0});
    PrintSetting standing;
    standing.as_it_stands = true;
    const Printing flat = judged(plate, printer, nullptr, standing);
    CHECK(named(flat, "flats").figure.value() == Approx(4800.0));
    CHECK(named(flat, "flats").verdict == Verdict::look);
    CHECK(named(flat, "overhang").verdict == Verdict::pass);
    CHECK(named(flat, "volume").verdict == Verdict::pass);
    printer.build_x_mm = printer.build_y_mm = printer.build_z_mm = 60.0;
    const Printing large = judged(plate, printer);
    CHECK(named(large, "volume").verdict == Verdict::stop);
    CHECK(large.verdict() == Verdict::stop);
    for (const Check& check : large.checks) CHECK_FALSE(check.signable);
    PrintSetting noted;
    noted.material_note = "measure a coupon";
    CHECK(named(judged(plate, of_assets("filament_large"), nullptr, noted), "material").message ==
          "Measure a coupon.");
}

TEST_CASE("the printers that come with the program are read, and run with materials that are there") {
    const auto all = load_printers(design::assets_folder());
    REQUIRE(all.ok());
    REQUIRE(all->size() >= 2);
    const auto materials = design::load_materials(design::assets_folder() / "materials");
    REQUIRE(materials.ok());
    for (const auto& [key, printer] : *all) {
        CHECK(printer.key == key);
        for (const PrinterMaterial& material : printer.materials) {
            INFO(key << ": " << material.key);
            CHECK(materials->find(material.key).ok());
            CHECK(runs_with(printer, material.key).ok());
        }
        const auto wrong = runs_with(printer, "carbon_laminate");
        REQUIRE_FALSE(wrong.ok());
        CHECK(wrong.fault().message.find("carbon_laminate") != std::string::npos);
    }
    const auto none = find_printer(*all, "powder_bad");
    REQUIRE_FALSE(none.ok());
    CHECK(none.fault().message.find("did you mean \"powder_bed\"") != std::string::npos);
    CHECK_FALSE(find_printer(*all, std::string(100000, 'x')).ok());
}

TEST_CASE("a spoilt file of a printer is refused with its name and key") {
    const tests::TemporaryFolder folder;
    std::filesystem::create_directories(folder.path() / "printers");
    const auto file = FileBytes::read(design::assets_folder() / "printers" / "powder_bed.json");
    REQUIRE(file.ok());
    const std::string good(file->text());
    const auto refused = [&](const std::string& from, const std::string& to, const std::string& says) {
        std::string text = good;
        const std::size_t at = text.find(from);
        REQUIRE(at != std::string::npos);
        text.replace(at, from.size(), to);
        std::ofstream(folder.path() / "printers" / "ours.json", std::ios::binary) << text;
        const auto all = load_printers(folder.path());
        REQUIRE_FALSE(all.ok());
        INFO(all.fault().message);
        CHECK(all.fault().message.find("ours.json") != std::string::npos);
        CHECK(all.fault().message.find(says) != std::string::npos);
    };
    refused("\"build_z_mm\": 380", "\"build_z_mm\": \"tall\"", "build_z_mm");
    refused("\"build_z_mm\": 380,", "", "build_z_mm is missing");
    refused("\"build_x_mm\": 340", "\"build_x_mm\": 15", "no room");
    refused("\"powder_bed\"", "\"powder_bad\"", "process");
    refused("{\"value\": 0.8", "{\"value\": -3", "least_wall_mm");
    refused("{\"value\": 0.8", "{\"value\": 1.9", "least_loaded_mm is less");
    refused("\"mark\": \"O\"", "\"mark\": \"Z\"", "mark is one letter");
    refused("[{\"key\": \"pa11\"}, {\"key\": \"pa12\"}]", "[]", "materials");
    refused("\"note\"", "\"notte\"", "notte");
    refused("{\n", "[\n", "ours.json");
    std::filesystem::remove(folder.path() / "printers" / "ours.json");
    CHECK_FALSE(load_printers(folder.path()).ok());
}
