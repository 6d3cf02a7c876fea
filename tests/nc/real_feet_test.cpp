// Shells of real feet nobody here made (../shared/scans): planned and simulated from both sides.
#include <catch2/catch.hpp>
#include <iostream>

#include "engine/base/text.hpp"
#include "engine/foot/frame.hpp"
#include "exporters/nc/milling.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::exporters;

TEST_CASE("shells of real feet are milled clean from both sides") {
    const std::string folder = tests::scans_folder();
    if (folder.empty()) return tests::skipped("milling of real feet: ../shared/scans is absent");
    const auto shop = workshop::load_workshop(std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / "assets");
    REQUIRE(shop.ok());
    const std::pair<const char*, Side> feet[] = {{"relaxed_left_template_colour.ply", Side::left},
                                                 {"sculpted_female_right.stl", Side::right},
                                                 {"standing_left_m.stl", Side::left}};
    const int count = tests::cases(3, 1, "real feet milled");
    std::cout << "foot, triangles, set-up minutes, deepest gouge mm, most left over mm, unreached mm2\n";
    for (int i = 0; i < count; ++i) {
        const auto& [file, side] = feet[i];
        INFO(file);
        const auto proposed = tests::proposed_foot(folder + "/" + file);
        REQUIRE(proposed.ok());
        const auto device = tests::build_in_memory(proposed->cast, proposed->foot, side);
        if (!device.ok()) FAIL(device.fault().message);
        nc::MillingSetting setting;
        setting.machine = shop->machines.at("bench_mill");
        setting.block = shop->blocks.at("pp_single_50");
        setting.block.length_mm = 300.0;
        setting.block.breadth_mm = 160.0;
        setting.block.height_mm = 60.0;
        setting.cutting = shop->cuttings.at("pp_copolymer");
        setting.rough = shop->cutters.at("flat_12").cutter;
        setting.finish = shop->cutters.at("ball_6").cutter;
        setting.rough.stick_out = setting.finish.stick_out = 70.0;
        setting.scallop_mm = 0.05;
        setting.simulate_step_mm = 0.4;
        const auto done = nc::mill_devices({{"WREN-3 A", side, foot::to_export(device->made().mesh, side)}},
                                           setting, nullptr);
        if (!done.ok()) FAIL(done.fault().message);
        for (const std::string& stop : done->stops) FAIL_CHECK(stop);
        CHECK(done->gouge_mm < nc::gouge_limit_mm);
        CHECK(done->left_mm <= setting.scallop_mm + nc::leftover_limit_mm);
        for (const nc::ProvedSide& one : done->sides) CHECK(one.simulated.troubles.empty());
        std::cout << "  " << file << ", " << device->made().mesh.triangles.size() << ", "
                  << rounded(done->sides[0].simulated.seconds / 60.0, 0) << " and "
                  << rounded(done->sides[1].simulated.seconds / 60.0, 0) << ", " << rounded(done->gouge_mm, 3)
                  << ", " << rounded(done->left_mm, 3) << ", " << rounded(done->unreached_area_mm2, 0)
                  << "\n";
    }
}
