// Asking for a stiffness by hand: typed, ticked, found, looked at, accepted; its words fit.
#include "tests/editor_ui/dragging.hpp"

using namespace archwright;
using namespace archwright::editor;
using tests::Hand;

TEST_CASE("ask by hand: how much, which walls, found behind the screen, accepted as one step") {
    const tests::Desk desk;
    Hand hand(desk.setup(), 1280, 800);
    hand.give(desk.open_line());
    hand.give("stage wall");
    hand.give("set wall.base_mm 5");  // small deflections, which are quick
    hand.settle();
    hand.give("flex arch-press");
    hand.settle();
    REQUIRE(hand.there("ask now0"));
    CHECK(hand.misfits() == "");

    // what the question lacks is said, and nothing is asked
    hand.click("ask now0");
    CHECK_FALSE(hand.heard("ask "));
    hand.click("form ask value");
    hand.type("12");
    hand.click("ask now0");
    CHECK_FALSE(hand.heard("ask "));
    CHECK(hand.misfits() == "");

    hand.click("ask wall base");
    hand.click("form ask least");
    hand.type("4");
    hand.click("form ask most");
    hand.type("6");
    hand.click("ask now0");
    CHECK(hand.heard("ask \"arch-press: +12%\" walls=base least=4 most=6"));
    CHECK(hand.session.busy_with() == "Asking for a stiffness");
    hand.frame();
    CHECK(hand.there("ask cancel0"));
    CHECK(hand.misfits() == "");
    hand.settle();
    REQUIRE(hand.session.answered());
    CHECK(hand.session.answered()->answer.met);
    CHECK(hand.misfits() == "");
    const double before = hand.foot().wall.base_mm;
    const std::size_t steps = hand.session.history()->position();

    hand.click("ask answer0");
    CHECK(hand.heard("ask accept"));
    CHECK(hand.foot().wall.base_mm > before);
    CHECK(hand.session.history()->position() == steps + 1);
    CHECK_FALSE(hand.session.answered());
    hand.settle();
    CHECK(hand.misfits() == "");

    // out of reach: said with what is, and let go
    hand.click("drop ask kind");
    hand.click("item ask kind1");
    hand.settle();
    hand.give("ask \"arch-press: 4000N/mm\" walls=base least=4 most=5");
    hand.settle();
    REQUIRE(hand.session.answered());
    CHECK_FALSE(hand.session.answered()->answer.met);
    CHECK(hand.misfits() == "");
    hand.click("ask answer1");
    CHECK(hand.heard("ask off"));
    CHECK_FALSE(hand.session.answered());
    CHECK(hand.misfits() == "");
}
