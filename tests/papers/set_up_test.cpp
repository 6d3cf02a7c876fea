// Set-up sheets: every word on its page, nothing cut off, the bar 100 mm long, the same bytes again.
#include <catch2/catch.hpp>

#include "engine/base/text.hpp"
#include "exporters/papers/set_up_sheet.hpp"
#include "tests/mill/shapes.hpp"
#include "tests/papers/judge_pages.hpp"

using namespace archwright;
using namespace archwright::exporters;

namespace {

nc::MillingSetting sheet_setting() {
    const auto shop = workshop::load_workshop(std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / "assets");
    REQUIRE(shop.ok());
    nc::MillingSetting setting;
    setting.machine = shop->machines.at("bench_mill");
    setting.block = shop->blocks.at("pp_single_40");
    setting.block.length_mm = 110.0;
    setting.block.breadth_mm = 110.0;
    setting.block.height_mm = 18.0;
    setting.cutting = shop->cuttings.at("pp_copolymer");
    setting.rough = shop->cutters.at("flat_10").cutter;
    setting.finish = shop->cutters.at("ball_6").cutter;
    setting.drill = shop->cutters.at("drill_6").cutter;
    setting.scallop_mm = 0.1;
    setting.tabs.at = {0.5};
    setting.tabs.thickness_mm = 1.0;
    setting.simulate_step_mm = 0.5;
    return setting;
}

std::vector<nc::MilledDevice> sheet_devices() {
    const TriangleMesh mesh = tests::slab(
        16.0, 9.0, 20, 12, [](double x, double y) { return 3.2 + 0.006 * x * x + 0.01 * y * y; },
        [](double x, double y) { return 0.006 * x * x + 0.01 * y * y; });
    return {{"WREN-3 A", Side::left, mesh}, {"WREN-3 A", Side::right, mesh}};
}

const nc::Milling& pair_milling() {
    static const nc::Milling milling = [] {
        auto done = nc::mill_devices(sheet_devices(), sheet_setting(), nullptr);
        if (!done.ok()) FAIL(done.fault().message);
        return std::move(*done);
    }();
    return milling;
}

/// Every word of the pages stands on its page.
void judge_sheet(const std::string& bytes, const std::vector<papers::SetUp>& set_ups) {
    if (!tests::has_pdf_tools()) return;
    const std::vector<std::string> pages = tests::judge_pages(bytes);
    REQUIRE(pages.size() == set_ups.size());
    for (std::size_t k = 0; k < set_ups.size(); ++k) {
        const papers::SetUp& one = set_ups[k];
        const auto stands = [&](const std::string& words) {
            INFO(words);
            CHECK(pages[k].find(tests::without_blanks(words)) != std::string::npos);
        };
        for (const auto& [label, words] : one.rows) {
            stands(label);
            stands(words);
        }
        for (const auto& tool : one.tools) stands(tool.speeds);
        for (const auto* list : {&one.before, &one.after, &one.warnings, &one.cautions})
            for (const std::string& words : *list) stands(words);
        for (const std::string& name : one.names) stands(name);
    }
}

}  // namespace

TEST_CASE("a pair's set-up sheet says all of it, twice the same") {
    const auto set_ups = papers::set_ups_of(pair_milling(), sheet_setting(), sheet_devices(),
                                            {"WREN-3-pair.setup1.nc", "WREN-3-pair.setup2.nc"});
    REQUIRE(set_ups.size() == 2);
    const auto sheet = papers::set_up_sheet(set_ups, "WREN-3 pair");
    if (!sheet.ok()) FAIL(sheet.fault().message);
    CHECK(*papers::set_up_sheet(set_ups, "WREN-3 pair") == *sheet);
    judge_sheet(*sheet, set_ups);
    // the pins and tabs told are where the nest has them in that set-up
    const Vec2 pin = pair_milling().nest.pins.front();
    for (const papers::SetUp& one : set_ups) {
        std::string datum, tabs;
        for (const auto& [label, words] : one.rows) {
            if (label == "Datum") datum = words;
            if (label == "Tabs") tabs = words;
        }
        CHECK(datum.find("X" + rounded(pin.x(), 1)) != std::string::npos);
        const Vec3 tab = pair_milling().nest.in_set_up(one.side, pair_milling().nest.tabs[1].root);
        CHECK(tabs.find("X" + rounded(tab.x(), 1) + " Y" + rounded(tab.y(), 1)) != std::string::npos);
    }
}

TEST_CASE("long words shrink and stay whole; more than a page holds is refused") {
    auto setting = sheet_setting();
    setting.block.name =
        "Polypropylene copolymer with stabilisers, pressed and annealed, for a pair of long devices";
    setting.machine.name =
        "Portal mill of the second workshop, three axes and a vacuum table, metric, rebuilt";
    setting.cutting.note = "";
    for (int i = 0; i < 30; ++i) setting.cutting.note += "Sharp cutters, air on the chips, never a pause. ";
    setting.cutting.note += "End.";
    auto devices = sheet_devices();
    devices[0].name = devices[1].name = "WREN-2207-ABCDEFGH-IJKLMNOP-QRSTUVWXYZ-0123456789 AB";
    const auto long_ones = papers::set_ups_of(pair_milling(), setting, devices, {"one.nc", "two.nc"});
    const auto sheet = papers::set_up_sheet(long_ones, "long");
    if (!sheet.ok()) FAIL(sheet.fault().message);
    judge_sheet(*sheet, long_ones);
    for (int i = 0; i < 400; ++i) setting.cutting.note += " Never a pause in the cut, and so on.";
    const auto too_long = papers::set_ups_of(pair_milling(), setting, devices, {"one.nc", "two.nc"});
    const auto refused = papers::set_up_sheet(too_long, "too long");
    REQUIRE(!refused.ok());
    CHECK(refused.fault().message.find("shorten") != std::string::npos);
}

TEST_CASE("a mould's program has its sheet") {
    auto setting = sheet_setting();
    setting.drill.reset();
    const nc::MilledDevice mould{
        "WREN-3 A", Side::right,
        tests::slab(
            16.0, 9.0, 20, 12, [](double x, double y) { return 9.0 - 0.006 * x * x - 0.01 * y * y; },
            [](double, double) { return 0.0; })};
    const auto milled = nc::mill_mould(mould, setting, nullptr);
    if (!milled.ok()) FAIL(milled.fault().message);
    const std::vector<papers::SetUp> one{
        papers::set_up_of(*milled, setting, mould, "WREN-3-right-A.mould.nc")};
    const auto sheet = papers::set_up_sheet(one, "WREN-3 mould");
    if (!sheet.ok()) FAIL(sheet.fault().message);
    judge_sheet(*sheet, one);
}
