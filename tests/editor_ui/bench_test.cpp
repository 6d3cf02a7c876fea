// The virtual bench by hand: a load chosen, its figures and maps, the shell as it gives, a revision beside
// it.
#include "editor/view/map.hpp"
#include "tests/editor_ui/dragging.hpp"

using namespace archwright;
using namespace archwright::editor;
using tests::Hand;

TEST_CASE("bench by hand: load, ground, maps, the shell as it gives, beside another step; its words fit") {
    for (const auto& [w, h] : {std::pair(1600, 1000), std::pair(1280, 720)}) {
        INFO(w << "x" << h);
        const tests::Desk desk;
        Hand hand(desk.setup(), w, h);
        hand.give(desk.open_line());
        hand.give("stage wall");
        if (w == 1600) hand.give("set wall.base_mm 5");  // small deflections; else large ones
        hand.settle();
        const auto choose = [&](const std::string& list, int item) {
            hand.click("drop " + list);
            hand.click("item " + list + std::to_string(item));
            hand.settle();
        };
        choose("bench load", 1);
        CHECK(hand.heard("flex arch-press"));
        REQUIRE(hand.session.flexed());
        REQUIRE(hand.session.flexed()->result);
        CHECK((hand.session.flexed()->result->deflections == flex::Deflections::large) == (w == 1280));
        CHECK(hand.misfits() == "");
        choose("bench ground", 1);
        CHECK(hand.heard("flex arch-press friction=0"));
        CHECK(hand.session.flexed()->with.support.friction == 0.0);
        const view::Shown& shown = *hand.screen->shown();
        for (const view::Map map : {view::Map::deflection, view::Map::stress, view::Map::utilisation}) {
            CAPTURE(view::name_of(map));
            const auto values = shown.values(map);
            REQUIRE(values);
            CHECK(values->foot_side.size() == shown.foot_side().count());
            CHECK(values->underside.size() == shown.underside().count());
        }
        for (const char* map : {"deflection", "stress", "utilisation"}) {
            hand.give(std::string("view map ") + map);
            hand.frames(2);
            CHECK(hand.misfits() == "");
        }
        // five times as far: so far are its points moved
        hand.click("deflected2");
        CHECK(hand.session.view("deflected") == "5");
        const auto bent = shown.bent(5.0);
        REQUIRE(bent);
        REQUIRE(bent->foot_side->count() == shown.foot_side().count());
        const auto moved = shown.values(view::Map::deflection);
        for (std::size_t i = 0; i < bent->foot_side->count(); i += 501) {
            const Eigen::Map<const Eigen::Vector3f> at(&bent->foot_side->points[3 * i]);
            const Eigen::Map<const Eigen::Vector3f> was(&shown.foot_side().points[3 * i]);
            CHECK((at - was).norm() == Approx(5.0f * moved->foot_side[i]).margin(1e-3));
        }
        CHECK(hand.misfits() == "");

        hand.give(w == 1600 ? "set wall.base_mm 5.5" : "set wall.base_mm 3.5");
        CHECK_FALSE(hand.screen->shown()->flexed());  // stale figures stand nowhere
        hand.settle();
        CHECK(hand.screen->shown()->flexed());
        hand.give(w == 1600 ? "compare step 1" : "compare step 0");
        hand.settle();
        REQUIRE(hand.session.flexed()->other_result);
        CHECK(hand.misfits() == "");
        hand.give("flex off");
        hand.frames(2);
        CHECK(hand.session.view("deflected") == "off");
        CHECK_FALSE(hand.screen->shown()->flexed());
        CHECK(hand.misfits() == "");
    }
}
