// Wall and flex by hand: bands, columns, regions that scale, the figures, and the maps of rigidity and mass.
#include <cmath>

#include "editor/ui/panel.hpp"
#include "engine/design/wall_map.hpp"
#include "tests/editor_ui/hand.hpp"

using namespace archwright;
using namespace archwright::editor;
using tests::Hand;

namespace {

/// The example case at Wall and flex.
struct WallDesk {
    tests::TemporaryFolder home;
    Hand hand;
    explicit WallDesk(double width = 1600, double height = 1000)
        : hand(
              [&] {
                  model::Setup setup;
                  setup.state_folder = home.path() / "state";
                  setup.config_folder = home.path() / "config";
                  setup.example_program = std::filesystem::path(ARCHWRIGHT_BINARY_DIR) / "archwright-demo";
                  return setup;
              }(),
              width, height) {
        hand.frames(3);
        hand.click("example");
        hand.settle();
        REQUIRE(hand.session.has_job());
        hand.give("stage wall");
        hand.frames(2);
    }
};

}  // namespace

TEST_CASE("wall: bands of rigidity are typed and become stations, one step of undo") {
    WallDesk desk;
    Hand& hand = desk.hand;
    const double base = hand.foot().wall.base_mm;
    hand.click("wall bands0");
    const auto put = [&](const char* field, const char* text) {
        hand.click(std::string("form band ") + field);
        hand.key('A', Hand::ctrl);
        hand.type(text);
    };
    put("midfoot", "2");
    put("forefoot", "0.5");
    CHECK(hand.misfits() == "");
    hand.click("bands0");
    hand.settle();
    REQUIRE(hand.foot().wall.stations.size() == 6);
    CHECK(hand.foot().wall.stations[2].wall_mm == Approx(base * std::cbrt(2.0)).margin(6e-4));
    CHECK(hand.foot().wall.stations[5].wall_mm == Approx(base * std::cbrt(0.5)).margin(6e-4));
    CHECK(hand.misfits() == "");
    hand.give("undo");
    CHECK(hand.foot().wall.stations.empty());
    // nonsense stays in its field and is told
    hand.click("wall bands0");
    put("heel", "hard");
    const std::size_t said = hand.said.size();
    hand.click("bands0");
    CHECK(hand.said.size() == said);
    CHECK(hand.there("bands0"));
    CHECK(hand.foot().wall.stations.empty());
}

TEST_CASE("wall: columns and regions show the value their kind reads, in both sizes") {
    for (const auto& [w, h] : {std::pair(1600, 1000), std::pair(1280, 720)}) {
        WallDesk desk(w, h);
        Hand& hand = desk.hand;
        CHECK(hand.there("label wall.medial_column.on"));
        CHECK_FALSE(hand.there("label wall.medial_column.width_mm"));  // not before it is made
        hand.give("set wall.medial_column.on yes");
        hand.settle();
        CHECK(hand.there("box wall.medial_column.width_mm"));
        CHECK(hand.there("box wall.medial_column.wall_mm"));
        CHECK_FALSE(hand.there("box wall.medial_column.rigidity"));
        hand.give("set wall.medial_column.kind rigidity");
        hand.give("set wall.medial_column.rigidity 12.5");
        hand.give("set wall.lateral_column.on yes");
        hand.give("set wall.lateral_column.kind scale");
        hand.settle();
        CHECK(hand.there("box wall.medial_column.rigidity"));
        CHECK_FALSE(hand.there("box wall.medial_column.wall_mm"));
        CHECK(hand.there("box wall.lateral_column.scale"));
        CHECK(hand.there("box wall.regions[lateral-column].wall_mm"));
        hand.give("set wall.regions[lateral-column].kind scale");
        hand.give("set wall.regions[lateral-column].scale 1.15");
        hand.settle();
        CHECK(hand.there("box wall.regions[lateral-column].scale"));
        for (const char* map : {"rigidity", "bending", "mass"}) {
            hand.give(std::string("view map ") + map);
            hand.settle();
            INFO(map << " " << w);
            CHECK(hand.misfits() == "");
        }
        // what the wall comes to is of the wall as it is now
        const auto view = hand.session.view_of(hand.session.foot());
        REQUIRE(view.latest);
        REQUIRE(view.latest->device);
        const build::Shelled& shelled = *view.latest->device->shelled;
        CHECK(shelled.rigidity.walls.greatest_mm > 1.2 * hand.foot().wall.base_mm);
        CHECK(shelled.rigidity.base_mm == hand.foot().wall.base_mm);
    }
}
