// Files of machines, cutters, blocks and cutting tables that are wrong: each is refused by its name and key.
#include "engine/workshop/workshop.hpp"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "exporters/nc/milling.hpp"
#include "tests/mill/shapes.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::exporters;
namespace fs = std::filesystem;

namespace {

const fs::path workshop_assets = fs::path(ARCHWRIGHT_SOURCE_DIR) / "assets";

}  // namespace

TEST_CASE("wrong files of a workshop are refused with file and key, and never read half") {
    struct Wrong {
        const char *file, *from, *to;
        std::vector<std::string> says;
    };
    const Wrong cases[] = {
        {"machines/bench_mill.json", "\"travel_x_mm\": 400", "\"travel_x_mm\": -400", {"travel_x_mm"}},
        {"machines/bench_mill.json", "\"travel_x_mm\": 400", "\"travel_x_mm\": 1e300", {"travel_x_mm"}},
        {"machines/bench_mill.json", "\"travel_x_mm\": 400", "\"travel_x_mm\": NaN", {}},
        {"machines/bench_mill.json", "\"travel_x_mm\": 400,", "", {"travel_x_mm", "missing"}},
        {"machines/bench_mill.json", "\"travel_x_mm\": 400", "\"travel_x_mm\": \"wide\"", {"travel_x_mm"}},
        {"machines/bench_mill.json", "\"above_block_mm\": 50", "\"above_block_mm\": 500", {"travel_z_mm"}},
        {"machines/bench_mill.json", "\"turns_least\": 4000", "\"turns_least\": 90000", {"turns_least"}},
        {"machines/bench_mill.json", "\"decimals\": 3", "\"decimals\": 30", {"decimals"}},
        {"machines/bench_mill.json", "\"arcs\": false", "\"arcs\": 2", {"arcs"}},
        {"machines/bench_mill.json", "T{tool} M6", "T{tool} (x) M6", {"brackets"}},
        {"machines/bench_mill.json", "\"note\"", "\"nota\"", {"nota"}},
        {"machines/router_inch.json", "\"decimals\": 5", "\"decimals\": 3", {"inches"}},
        {"cutters/ball_6.json", "\"diameter_mm\": 6", "\"diameter_mm\": 0", {"diameter"}},
        {"cutters/ball_6.json", "\"corner_radius_mm\": 3", "\"corner_radius_mm\": 4", {"corner radius"}},
        {"cutters/ball_6.json", "\"stick_out_mm\": 50", "\"stick_out_mm\": 10", {"holder"}},
        {"cutters/ball_6.json", "\"flutes\": 2", "\"flutes\": 2.5", {"flutes"}},
        {"cutters/drill_6.json", "\"point_deg\": 118", "\"point_deg\": 20", {"point"}},
        {"cutters/drill_6.json", "\"corner_radius_mm\": 0", "\"corner_radius_mm\": 1", {"corner radius"}},
        {"blocks/pp_pair_50.json", "\"height_mm\": 50", "\"height_mm\": 0", {"height_mm"}},
        {"blocks/pp_pair_50.json", "\"height_mm\": 50", "\"height_mm\": 9999999", {"height_mm"}},
        {"cutting/eva_soft.json", "\"value\": 400", "\"value\": -1", {"speed_m_min"}},
        {"cutting/eva_soft.json", "\"mark\": \"O\"", "\"mark\": \"secret\"", {"mark"}},
        {"cutting/eva_soft.json", "{", "", {}},
    };
    const tests::TemporaryFolder folder;
    for (const char* part : {"machines", "cutters", "blocks", "cutting"})
        fs::copy(workshop_assets / part, folder.path() / part, fs::copy_options::recursive);
    REQUIRE(workshop::load_workshop(folder.path()).ok());
    for (const Wrong& wrong : cases) {
        const fs::path path = folder.path() / wrong.file;
        const std::string good = tests::content(path);
        INFO(wrong.file << ": " << wrong.to);
        std::string text = good;
        const std::size_t at = text.find(wrong.from);
        REQUIRE(at != std::string::npos);
        text.replace(at, std::string(wrong.from).size(), wrong.to);
        std::ofstream(path) << text;
        const auto read = workshop::load_workshop(folder.path());
        if (read.ok()) {
            FAIL_CHECK("it was read");
        } else {
            INFO(read.fault().message);
            CHECK(read.fault().message.find(path.filename().string()) != std::string::npos);
            for (const std::string& word : wrong.says)
                CHECK(read.fault().message.find(word) != std::string::npos);
        }
        std::ofstream(path) << good;
    }
    // no folder at all, an empty file, one that is not text
    std::ofstream(folder.path() / "cutters" / "empty.json");
    CHECK_FALSE(workshop::load_workshop(folder.path()).ok());
    std::ofstream(folder.path() / "cutters" / "empty.json") << std::string("\0\xff{{{{", 6);
    CHECK_FALSE(workshop::load_workshop(folder.path()).ok());
    CHECK_FALSE(workshop::load_workshop(folder.path() / "nowhere").ok());
}

TEST_CASE("what is asked of a milling is refused where it cannot be, and says what would do") {
    const auto shop = workshop::load_workshop(workshop_assets);
    REQUIRE(shop.ok());
    nc::MillingSetting setting;
    setting.machine = shop->machines.at("bench_mill");
    setting.block = shop->blocks.at("pp_single_40");
    setting.block.length_mm = 86.0;
    setting.block.breadth_mm = 68.0;
    setting.block.height_mm = 18.0;
    setting.cutting = shop->cuttings.at("pp_copolymer");
    setting.rough = shop->cutters.at("flat_10").cutter;
    setting.finish = shop->cutters.at("ball_8").cutter;
    setting.scallop_mm = 0.1;
    setting.tabs.at = {0.5};
    setting.simulate_step_mm = 0.5;
    const TriangleMesh sheet = tests::block(16.0, 9.0, -2.0, 2.0);
    const auto says = [&](const std::vector<nc::MilledDevice>& devices, const nc::MillingSetting& how) {
        const auto done = nc::mill_devices(devices, how, nullptr);
        if (!done) return done.fault().message;
        std::string all;
        for (const std::string& stop : done->stops) all += stop + "\n";
        return all;
    };
    const std::vector<nc::MilledDevice> one{{"WREN-3 A", Side::left, sheet}};
    CHECK(says(one, setting).empty());
    CHECK(says({}, setting).find("no device") != std::string::npos);
    CHECK(says({one[0], one[0], one[0]}, setting).find("pair") != std::string::npos);
    CHECK(says({{"WREN-3 A", Side::left, TriangleMesh{}}}, setting).find("without triangles") !=
          std::string::npos);
    TriangleMesh broken = sheet;
    broken.points[3].x() = std::nan("");
    CHECK_FALSE(says({{"WREN-3 A", Side::left, broken}}, setting).empty());
    const auto changed = [&](auto&& change) {
        nc::MillingSetting how = setting;
        change(how);
        return says(one, how);
    };
    const double nan = std::nan("");
    CHECK(changed([&](auto& s) { s.block.length_mm = nan; }).find("along x") != std::string::npos);
    CHECK(changed([&](auto& s) { s.block.height_mm = 1e9; }).find("along z") != std::string::npos);
    CHECK(changed([&](auto& s) { s.block.height_mm = -5.0; }).find("along z") != std::string::npos);
    CHECK(changed([&](auto& s) { s.block.height_mm = 6.0; }).find("are needed") != std::string::npos);
    CHECK(changed([&](auto& s) { s.scallop_mm = nan; }).find("Cusps") != std::string::npos);
    CHECK(changed([&](auto& s) { s.stock_mm = -1.0; }).find("leaves") != std::string::npos);
    CHECK(changed([&](auto& s) { s.tabs.width_mm = 0.0; }).find("tab's width") != std::string::npos);
    CHECK(changed([&](auto& s) { s.tabs.thickness_mm = nan; }).find("tab's thickness") != std::string::npos);
    CHECK(changed([&](auto& s) { s.tabs.at = {nan}; }).find("A tab at") != std::string::npos);
    CHECK(changed([&](auto& s) { s.simulate_step_mm = nan; }).find("grid") != std::string::npos);
    CHECK(changed([&](auto& s) { s.rough.diameter = nan; }).find("diameter") != std::string::npos);
    CHECK(changed([&](auto& s) { s.finish.stick_out = 1e9; }).find("holder") != std::string::npos);
    CHECK(changed([&](auto& s) { s.machine.travel_z_mm = 52.0; }).find("more travel") != std::string::npos);
    CHECK(changed([&](auto& s) { s.machine.above_block_mm = 2.0; }).find("more travel") != std::string::npos);
    mill::Cutter thick = shop->cutters.at("drill_6").cutter;
    thick.diameter = thick.shank_diameter = 12.0;
    CHECK(changed([&](auto& s) { s.drill = thick; }).find("Take a longer block") != std::string::npos);
    CHECK(changed([&](auto& s) { s.detail = shop->cutters.at("ball_12").cutter; }).find("no finer") !=
          std::string::npos);
}
