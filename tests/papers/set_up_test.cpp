// Set-up sheets: every word on its page, nothing cut off, the bar 100 mm long, the same bytes again.
#include <catch2/catch.hpp>
#include <cctype>
#include <fstream>
#include <regex>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "exporters/papers/set_up_sheet.hpp"
#include "tests/mill/shapes.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

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

std::string without_blanks(const std::string& text) {
    std::string left;
    for (const char c : text)
        if (std::isspace(static_cast<unsigned char>(c)) == 0) left += c;
    return left;
}

bool has_tools() {
    if (!tests::shell("command -v pdftotext").empty() && !tests::shell("command -v qpdf").empty())
        return true;
    tests::skipped("set-up sheets by other programs: poppler-utils or qpdf are missing");
    return false;
}

/// Every word of the pages stands on its page and within the paper's margins; the bar is 100 mm long.
void judge_sheet(const std::string& bytes, const std::vector<papers::SetUp>& set_ups) {
    if (!has_tools()) return;
    const tests::TemporaryFolder folder;
    const std::string path = (folder.path() / "sheet.pdf").string();
    REQUIRE(write_file(path, bytes).ok());
    CHECK(tests::shell("qpdf --check " + path + " >/dev/null 2>&1; echo $?") == "0\n");
    CHECK(tests::shell("pdfinfo " + path).find("Pages:           " + std::to_string(set_ups.size())) !=
          std::string::npos);
    CHECK(tests::shell("pdffonts " + path + " | tail -n +3 | awk '{print $(NF-4)}' | sort -u") == "yes\n");
    for (std::size_t k = 0; k < set_ups.size(); ++k) {
        const papers::SetUp& one = set_ups[k];
        const std::string number = std::to_string(k + 1), of = " -f " + number + " -l " + number + " ";
        const std::string text = without_blanks(tests::shell("pdftotext -raw" + of + path + " -"));
        const auto stands = [&](const std::string& words) {
            INFO(words);
            CHECK(text.find(without_blanks(words)) != std::string::npos);
        };
        for (const auto& [label, words] : one.rows) {
            stands(label);
            stands(words);
        }
        for (const auto& tool : one.tools) stands(tool.speeds);
        for (const auto* list : {&one.before, &one.after, &one.warnings, &one.cautions})
            for (const std::string& words : *list) stands(words);
        for (const std::string& name : one.names) stands(name);
        // points of 1/72 inch: 10 mm of margin is 28.3
        const std::string boxes = tests::shell("pdftotext -bbox" + of + path + " -");
        const std::regex form("xMin=\"([0-9.]+)\" yMin=\"([0-9.]+)\" xMax=\"([0-9.]+)\" yMax=\"([0-9.]+)\"");
        int words = 0;
        for (std::sregex_iterator at(boxes.begin(), boxes.end(), form), end; at != end; ++at, ++words) {
            const auto figure = [&](int i) { return *parse_number((*at)[i].str()); };
            CHECK(figure(1) > 28.0);
            CHECK(figure(2) > 20.0);
            CHECK(figure(3) < 595.28 - 28.0);
            CHECK(figure(4) < 841.89 - 20.0);
        }
        CHECK(words > 100);
        // ten pixels a millimetre: the bar is the dark run along its row
        const std::string picture = (folder.path() / "page").string();
        tests::shell("pdftoppm -r 254 -gray -singlefile" + of + path + " " + picture);
        const std::string image = tests::content(picture + ".pgm");
        REQUIRE(image.substr(0, 3) == "P5\n");
        const std::size_t second = image.find('\n', 3), third = image.find('\n', second + 1);
        const std::size_t width = std::stoul(image.substr(3)), row = 2880;
        CHECK(width == Approx(2100).margin(2));
        REQUIRE(image.size() > third + 1 + width * (row + 1));
        std::size_t longest = 0, run = 0;
        for (std::size_t x = 0; x < width; ++x) {
            run = static_cast<unsigned char>(image[third + 1 + width * row + x]) < 128 ? run + 1 : 0;
            longest = std::max(longest, run);
        }
        CHECK(static_cast<double>(longest) == Approx(1000.0).margin(6.0));
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
