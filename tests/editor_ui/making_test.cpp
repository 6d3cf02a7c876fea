// Make by hand: a milling looked at and played through, a printer's word with its places; their words fit.
#include "tests/editor_ui/dragging.hpp"

using namespace archwright;
using namespace archwright::editor;
using tests::Hand;

TEST_CASE("make by hand: planned behind the screen, set-ups, overlays, the slider; then let go") {
    const tests::Desk desk;
    Hand hand(desk.setup(), 1280, 720);
    hand.give(desk.open_line());
    hand.give("set material pp_homopolymer");
    hand.give("stage make");
    hand.settle();
    REQUIRE(hand.there("mill now0"));
    CHECK(hand.misfits() == "");
    hand.click("drop mill finish");
    CHECK(hand.misfits() == "");
    hand.click("drop mill finish");
    // the command's own words, chosen
    for (const char* press : {"drop mill flip", "item mill flip1", "drop mill datum", "item mill datum1",
                              "drop mill tilt", "item mill tilt1", "drop mill cusp", "item mill cusp3"}) {
        REQUIRE(hand.there(press));
        hand.click(press);
        CHECK(hand.misfits() == "");
    }
    hand.click("mill now0");
    CHECK(hand.heard("mill machine="));
    CHECK(std::any_of(hand.said.begin(), hand.said.end(), [](const std::string& line) {
        return line.find("flip=y datum=edges tilt=4 cusp=0.1") != std::string::npos;
    }));
    CHECK(hand.heard("view block 1"));
    hand.frames(3);
    REQUIRE(hand.there("mill cancel0"));
    CHECK(hand.misfits() == "");
    hand.click("mill cancel0");
    CHECK(hand.heard("cancel"));
    hand.settle();
    CHECK_FALSE(hand.session.milled());
    CHECK_FALSE(hand.there("block slider"));

    hand.give("mill cusp=0.2 datum=edges");
    hand.settle();
    REQUIRE(hand.session.milled());
    // what was asked for in words stands in the rows
    CHECK(hand.screen->state().panels.mill.cusp_mm == 0.2);
    CHECK(hand.screen->state().panels.mill.edges);
    REQUIRE(hand.there("block slider"));
    CHECK(hand.misfits() == "");
    CHECK(hand.screen->shortened_pages() == std::vector<std::string>{});
    // played back to the middle of its time
    const Vec2 middle = hand.middle("block slider");
    hand.click(middle);
    CHECK(hand.screen->state().mill_at == Approx(0.5).margin(0.02));
    CHECK(hand.misfits() == "");
    for (const char* cut : {"cut Stays", "cut Left over", "cut Block"}) {
        hand.click(cut);
        hand.frames(2);
        CHECK(hand.misfits() == "");
        CHECK(hand.screen->shortened_pages() == std::vector<std::string>{});
    }
    CHECK(hand.heard("view cut stays"));
    hand.click("block Set-up 2");
    hand.frames(2);
    CHECK(hand.session.view("block") == "2");
    CHECK(hand.misfits() == "");
    CHECK(hand.screen->shortened_pages() == std::vector<std::string>{});
    hand.click("block Plan");
    hand.frames(2);
    CHECK_FALSE(hand.there("block slider"));
    hand.click("mill off0");
    CHECK_FALSE(hand.session.milled());
    CHECK(hand.misfits() == "");
}

TEST_CASE("make by hand: a printer's word, what is open in it and where") {
    const tests::Desk desk;
    Hand hand(desk.setup(), 1280, 720);
    hand.give(desk.open_line());
    hand.give("set material pa12");
    hand.give("stage make");
    hand.settle();
    REQUIRE(hand.there("print now0"));
    CHECK_FALSE(hand.there("mill now0"));  // no block of it
    hand.click("print now0");
    CHECK(hand.heard("print printer=powder_bed"));
    hand.settle();
    REQUIRE(hand.session.printed());
    CHECK(hand.misfits() == "");
    for (const Check& check : hand.session.printed()->printing.checks) {
        hand.click("print check " + check.id);
        hand.frames(2);
        CHECK(hand.screen->state().panels.print_check == check.id);
        if (check.where) CHECK(hand.screen->state().section_x == std::round(check.where->x()));
        CHECK(hand.misfits() == "");
    }
    hand.click("print standing");
    hand.click("drop print printer");
    hand.click("item print printer0");
    hand.click("print now0");
    CHECK(hand.heard("print printer=filament_large as_it_stands=yes"));
    hand.settle();
    REQUIRE(hand.session.printed());
    CHECK(hand.misfits() == "");
    hand.click("print off0");
    CHECK_FALSE(hand.session.printed());
}
