// The brush by hand: what a stroke leaves in the job, on both feet, in plan and model.
#include <numbers>

#include "engine/pattern/brush.hpp"
#include "engine/surface/loop.hpp"
#include "tests/editor_ui/dragging.hpp"

using namespace archwright;
using namespace archwright::editor;
using Catch::Contains;
using std::numbers::pi;
using tests::Dragger;
using tests::Hand;
using tests::one_step;
using tests::text_of;

namespace {

double area_of(const std::vector<Vec2>& outline) {
    return surface::PeriodicCurve::through(outline).signed_area();
}

double area_held(const pattern::Region& region) {
    double sum = 0;
    for (const pattern::Ring& ring : region.rings()) sum += pattern::signed_area(ring);
    return sum;
}

void painted_by_hand(Hand& hand) {
    Dragger drag(hand);
    const auto& regions = [&]() -> const std::vector<design::WallRegion>& {
        return hand.foot().wall.regions;
    };

    SECTION("regions of the wall: dab, stroke, joined, cut, split, given up") {
        hand.give("stage wall");
        hand.give("select none");
        hand.key('P');
        REQUIRE(hand.screen->state().tool == ui::Tool::brush);
        CHECK(hand.misfits() == "");
        // a dab
        one_step(hand, [&] {
            const Vec2 at = drag.pixel({70, 2});
            hand.move(at);
            hand.move(at);
            hand.press(true);
            hand.press(false);
            hand.frames(2);
        });
        REQUIRE(regions().size() == 1);
        CHECK(regions()[0].wall_mm == 4.0);
        CHECK(regions()[0].blend_mm == 15.0);
        CHECK(area_of(regions()[0].outline) == Approx(pi * 100).epsilon(0.03));
        CHECK(surface::Outline(surface::PeriodicCurve::through(regions()[0].outline)).inside({70, 2}));
        CHECK(hand.session.selection() == model::Selection{"region", regions()[0].name});
        // a stroke from it joins it
        one_step(hand, [&] { drag.pixels(drag.pixel({70, 2}), drag.pixel({100, 6}), Hand::none, 12); });
        REQUIRE(regions().size() == 1);
        const double length = std::hypot(30.0, 4.0);
        CHECK(area_of(regions()[0].outline) == Approx(pi * 100 + 20 * length).epsilon(0.03));
        // beside it another, of another value
        hand.show("form brush value");
        hand.click("form brush value");
        hand.type("5.5 mm");
        hand.key(ImGuiKey_Enter);
        CHECK(hand.session.selection().what == "none");
        one_step(hand, [&] { drag.pixels(drag.pixel({40, 2}), drag.pixel({80, 4}), Hand::none, 12); });
        REQUIRE(regions().size() == 2);
        CHECK(regions()[1].wall_mm == 5.5);
        CHECK(regions()[0].name != regions()[1].name);
        // Alt cuts the chosen one alone; across it falls apart
        const double whole = area_of(regions()[1].outline), other = area_of(regions()[0].outline);
        one_step(hand, [&] { drag.pixels(drag.pixel({62, -40}), drag.pixel({62, 40}), Hand::alt, 16); });
        REQUIRE(regions().size() == 3);
        CHECK(area_of(regions()[0].outline) == other);
        CHECK(regions()[2].wall_mm == 5.5);
        CHECK(regions()[2].blend_mm == regions()[1].blend_mm);
        CHECK(area_of(regions()[1].outline) + area_of(regions()[2].outline) ==
              Approx(whole - 20 * 20).epsilon(0.1));
        CHECK_THAT(hand.screen->state().told, Contains("fell apart"));
        // a hole is refused, and nothing is left of the attempt
        const std::string before = text_of(hand.session);
        hand.give("set wall.regions[" + regions()[0].name +
                  "].outline [[60,-22],[60,22],[115,22],[115,-22]]");
        hand.give("select region " + regions()[0].name);
        const std::string wide = text_of(hand.session);
        drag.pixels(drag.pixel({86, 0}), drag.pixel({88, 0}), Hand::alt, 3);
        CHECK_THAT(hand.screen->state().told, Contains("hole"));
        CHECK((text_of(hand.session) == wide));
        hand.give("undo");
        CHECK((text_of(hand.session) == before));
        // Esc
        const std::size_t steps = hand.session.history()->position();
        drag.pixels(drag.pixel({80, 0}), drag.pixel({90, 10}), Hand::none, 6, false);
        CHECK_FALSE(hand.screen->state().brush.path.empty());
        hand.key(ImGuiKey_Escape);
        hand.move(drag.pixel({95, 10}));
        hand.press(false);
        hand.frames(2);
        CHECK((text_of(hand.session) == before));
        CHECK(hand.session.history()->position() == steps);
        CHECK(hand.screen->state().tool == ui::Tool::brush);
        hand.key(ImGuiKey_Escape);
        CHECK(hand.screen->state().tool == ui::Tool::none);
        CHECK(hand.misfits() == "");
        tests::done_again(hand);
    }
    SECTION("zones of the dressing, with a finer brush") {
        hand.give("stage dress");
        hand.key('P');
        // Shift and the wheel
        hand.move(drag.pixel({60, 0}));
        hand.move(drag.pixel({60, 0}));
        hand.hold(Hand::shift);
        hand.wheel(-4);
        hand.hold(Hand::none);
        CHECK(hand.screen->state().brush.radius_mm == 6);
        hand.show("form brush value");
        hand.click("form brush value");
        hand.type("0.6");
        hand.key(ImGuiKey_Enter);
        const auto& zones = hand.foot().dress.smooth;
        one_step(hand, [&] { drag.pixels(drag.pixel({50, 4}), drag.pixel({90, 4}), Hand::none, 20); });
        REQUIRE(zones.size() == 1);
        CHECK(zones[0].strength == 0.6);
        CHECK(area_of(zones[0].outline) == Approx(pi * 36 + 12 * 40).epsilon(0.04));
        hand.settle();
        // all of it is cut away
        hand.show("form brush radius");
        hand.click("form brush radius");
        hand.type("30");
        hand.key(ImGuiKey_Enter);
        one_step(hand, [&] { drag.pixels(drag.pixel({50, 4}), drag.pixel({90, 4}), Hand::alt, 20); });
        CHECK(hand.foot().dress.smooth.empty());
        tests::done_again(hand);
    }
    SECTION("in the model: what is painted lies where the hand was") {
        hand.give("stage wall");
        hand.give("select none");
        hand.give("view cast off");
        hand.give("view from above");
        hand.settle();
        hand.key('P');
        const ui::Box model = *hand.screen->place_of("model");
        const Vec2 from = model.centre() - Vec2(0, 20), to = model.centre() + Vec2(0, 20);
        std::vector<Vec2> under;
        for (const Vec2& pixel : {from, to}) {
            hand.move(pixel);
            hand.frames(2);
            REQUIRE(hand.screen->state().cursor);
            under.push_back(hand.screen->state().cursor->at.head<2>());
        }
        const auto eye = hand.screen->state().eye.pan;
        one_step(hand, [&] { drag.pixels(from, to, Hand::none, 14); });
        REQUIRE(regions().size() == 1);
        const pattern::Region exact = pattern::swept(under, 10);
        const auto curve = pattern::held_by(regions()[0].outline);
        CHECK(area_held(curve) == Approx(area_held(exact)).epsilon(0.06));
        CHECK(area_held(curve.common(exact)) > 0.92 * area_held(exact));
        CHECK(hand.screen->state().eye.pan == eye);
        CHECK(hand.session.view("from") == "above");
        CHECK(hand.misfits() == "");
        // beside the device there is nothing to paint
        const std::string before = text_of(hand.session);
        const Vec2 beside(model.x + 30, model.y + 60);
        drag.pixels(beside, beside + Vec2(3, 3));
        CHECK((text_of(hand.session) == before));
        CHECK_THAT(hand.screen->state().told, Contains("no sole"));
    }
}

}  // namespace

TEST_CASE("brush: regions and zones painted on a left foot") {
    tests::with_foot("left", painted_by_hand);
}

TEST_CASE("brush: regions and zones painted on a right foot") {
    tests::with_foot("right", painted_by_hand);
}
