// Moulds of real feet nobody here made (../shared/scans), and their programs simulated.
#include <catch2/catch.hpp>
#include <iostream>

#include "engine/base/text.hpp"
#include "engine/foot/frame.hpp"
#include "engine/mould/exact.hpp"
#include "engine/mould/of_device.hpp"
#include "exporters/nc/mould_program.hpp"
#include "tests/mould/judge_mould.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::exporters;

namespace {

nc::MillingSetting mould_mill() {
    const auto shop = workshop::load_workshop(std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / "assets");
    REQUIRE(shop.ok());
    nc::MillingSetting setting;
    setting.machine = shop->machines.at("bench_mill");
    setting.block = shop->blocks.at("mould_board_60");
    setting.cutting = shop->cuttings.at("mould_board");
    setting.rough = shop->cutters.at("flat_12_long").cutter;
    setting.finish = shop->cutters.at("ball_6_long").cutter;
    setting.scallop_mm = 0.05;
    setting.simulate_step_mm = 0.4;
    return setting;
}

}  // namespace

TEST_CASE("moulds of real feet are sound, and their programs cut them clean") {
    const std::string folder = tests::scans_folder();
    if (folder.empty()) return tests::skipped("moulds of real feet: ../shared/scans is absent");
    const std::pair<const char*, Side> feet[] = {{"relaxed_left_template_colour.ply", Side::left},
                                                 {"sculpted_female_right.stl", Side::right},
                                                 {"standing_left_m.stl", Side::left}};
    const int count = tests::cases(3, 1, "real feet moulded");
    std::cout
        << "foot, height mm, least draft, undercut mm2, least of sheet, minutes, gouge, left over, exact\n";
    for (int i = 0; i < count; ++i) {
        const auto& [file, side] = feet[i];
        INFO(file);
        const auto proposed = tests::proposed_foot(folder + "/" + file);
        REQUIRE(proposed.ok());
        const auto device = tests::build_in_memory(proposed->cast, proposed->foot, side);
        if (!device.ok()) FAIL(device.fault().message);
        const auto made = mould::mould_of(*device, {});
        if (!made.ok()) FAIL(made.fault().message);
        const surface::Shell& shell = device->shelled->shell;
        tests::judge_mould(made->mould, shell.foot_side, shell.trim, made->setting);
        CHECK(made->mould.marked.size() == 3);
        const auto exact = mould::exact_mould(shell.foot_side, shell.trim, made->mould, made->setting);
        auto setting = mould_mill();
        setting.block.height_mm = std::max(setting.block.height_mm, made->mould.height_mm + 2.0);
        const auto done =
            nc::mill_mould({"WREN-3 A", side, foot::to_export(made->mould.mesh, side)}, setting, nullptr);
        if (!done.ok()) FAIL(done.fault().message);
        for (const std::string& stop : done->stops) FAIL_CHECK(stop);
        CHECK(done->gouge_mm < nc::gouge_limit_mm);
        CHECK(done->left_mm <= setting.scallop_mm + nc::leftover_limit_mm);
        CHECK(done->needles > 10'000);
        std::cout << "  " << file << ", " << rounded(made->mould.height_mm, 1) << ", "
                  << rounded(made->mould.least_draft_deg, 2) << ", " << rounded(made->mould.undercut_mm2, 0)
                  << ", " << rounded(made->thinning.least_mm / made->sheet_mm, 2) << ", "
                  << rounded(done->side.simulated.seconds / 60.0, 0) << ", " << rounded(done->gouge_mm, 3)
                  << ", " << rounded(done->left_mm, 3) << ", " << (exact.ok() ? "yes" : exact.fault().message)
                  << "\n";
    }
}

TEST_CASE("a mould too large for its block is refused, with the block it wants") {
    auto setting = mould_mill();
    TriangleMesh box;
    for (int k = 0; k < 8; ++k)
        box.points.push_back({k & 1 ? 400.0 : 0.0, k & 2 ? 90.0 : 0.0, k & 4 ? 50.0 : 0.0});
    box.triangles = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                     {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
    const auto refused = nc::mill_mould({"WREN-3 A", Side::right, box}, setting, nullptr);
    REQUIRE(!refused.ok());
    CHECK(refused.fault().kind == FaultKind::usage);
    CHECK(refused.fault().message.find("Take a larger block") != std::string::npos);
}
