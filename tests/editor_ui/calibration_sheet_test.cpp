// The laboratory's calibration by hand: its sheet at Wall and flex, and what the bench's figures then are
// worth.
#include <cstdlib>

#include "engine/design/material.hpp"
#include "tests/editor_ui/dragging.hpp"

using namespace archwright;
using namespace archwright::editor;
using tests::Hand;

namespace {

/// The program's assets with a calibration of printed polyamide 11 in them, as long as it lives.
struct CalibratedAssets {
    tests::TemporaryFolder folder;

    CalibratedAssets() {
        const std::filesystem::path ours = std::string(ARCHWRIGHT_SOURCE_DIR) + "/assets";
        for (const char* part : {"materials", "presets"})
            std::filesystem::copy(ours / part, folder.path() / part);
        design::Calibration entry;
        entry.modulus_scale = 0.872;
        entry.scale_low = 0.845;
        entry.scale_high = 0.903;
        entry.interval_percent = 8.7;
        entry.by = "TK";
        entry.date = "2026-11-20";
        entry.loads = "arch-press";
        entry.devices = 4;
        entry.wall_low_mm = 2.6;
        entry.wall_high_mm = 3.4;
        entry.device_spread_percent = 2.1;
        entry.residual_mm = 0.012;
        entry.friction = 0.18;
        entry.distal_spring_n_mm = 22.0;
        entry.measurements = std::string(64, '0');
        const char* codes[] = {"P26-1", "P26-2", "P34-1", "A-CODE-OF-THIRTY-TWO-LETTERS-32X"};
        for (int d = 0; d < 4; ++d) {
            design::CalibratedDevice device{codes[d], d < 2 ? 2.6 : 3.4, 0.98 + 0.01 * d, -3.0 + 2.0 * d, {}};
            if (d == 3) device.held_out_percent.reset();
            for (int i = 0; i < 8; ++i)
                device.residuals.emplace_back(10.0 + 14.0 * i, 0.006 * ((i + d) % 5 - 2));
            entry.measured.push_back(std::move(device));
        }
        const std::filesystem::path pa11 = folder.path() / "materials/pa11.json";
        REQUIRE(design::write_calibrated(pa11, pa11, entry));
        setenv("ARCHWRIGHT_ASSETS", folder.path().c_str(), 1);
    }
    ~CalibratedAssets() { unsetenv("ARCHWRIGHT_ASSETS"); }
};

}  // namespace

TEST_CASE(
    "calibration by hand: the sheet fits, a device is looked at, the bench says what its figures are worth") {
    const tests::Desk desk;
    {
        Hand plain(desk.setup(), 1280, 800);
        plain.give(desk.open_line());
        plain.give("stage wall");
        plain.settle();
        CHECK_FALSE(plain.there("calibrated P26-1"));
        CHECK(plain.misfits() == "");
    }
    const CalibratedAssets assets;
    for (const auto& [w, h] : {std::pair(1600, 1000), std::pair(1280, 720)}) {
        INFO(w << "x" << h);
        Hand hand(desk.setup(), w, h);
        hand.give(desk.open_line());
        hand.give("stage wall");
        hand.give("set material pa11");
        hand.give("set wall.base_mm 3");
        hand.settle();
        CHECK(hand.misfits() == "");
        hand.click("calibrated P26-2");
        hand.frames(2);
        CHECK(hand.screen->state().panels.typed["calibrated device"] == "P26-2");
        CHECK(hand.misfits() == "");
        hand.click("calibrated P26-2");
        hand.frames(2);
        CHECK(hand.screen->state().panels.typed["calibrated device"].empty());
        hand.give("flex arch-press");
        hand.settle();
        REQUIRE(hand.session.flexed());
        REQUIRE(hand.session.flexed()->result);
        CHECK(hand.misfits() == "");
        hand.give("flex torsion");
        hand.settle();
        CHECK(hand.misfits() == "");
        // another material has none
        hand.give("set material pa12");
        hand.settle();
        CHECK_FALSE(hand.there("calibrated P26-2"));
        CHECK(hand.misfits() == "");
    }
}
