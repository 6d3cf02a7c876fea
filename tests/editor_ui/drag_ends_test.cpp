// Handles of ends and edges: posts in sections, a groove's fades and stations, the trim line where it has no
// control, covers without a drawn outline; and Esc, which leaves what was undone.
#include "engine/build/post_stage.hpp"
#include "engine/pattern/pattern.hpp"
#include "engine/surface/loop.hpp"
#include "tests/editor_ui/dragging.hpp"

using namespace archwright;
using namespace archwright::editor;
using Catch::Contains;
using tests::Dragger;
using tests::Hand;
using tests::one_step;
using tests::text_of;

namespace {

void ends(Hand& hand) {
    Dragger drag(hand);

    SECTION("height and angle of the posts, in sections") {
        hand.give("stage post");
        hand.give("set posts.rearfoot.on yes");
        hand.give("set posts.rearfoot.height_mm 3");
        hand.settle();
        hand.give("select post rearfoot");
        hand.give("section F at=10");
        hand.give("section S at=0");
        hand.frames(2);
        CHECK_FALSE(hand.there("handle height"));  // none in plan
        for (const char* section : {"F", "S"}) {
            const std::string height = std::string("section ") + section + " handle height";
            const Vec2 at = hand.middle(height);
            const double was = hand.foot().posts.rearfoot.height_mm;
            one_step(hand, [&] { drag.pixels(at, at + Vec2(0, 6)); });
            const double now = hand.foot().posts.rearfoot.height_mm;
            CHECK(now > was + 0.3);
            // the floor stands where the hand is
            CHECK(std::abs(hand.middle(height).y() - at.y() - 6) < 2.0);
            CHECK(now * 10 == Approx(std::round(now * 10)));
        }
        // the medial end up: less under the medial side, so everted
        const Vec2 end = hand.middle("section F handle angle");
        CHECK_FALSE(hand.there("section S handle angle"));
        one_step(hand, [&] { drag.pixels(end, end - Vec2(0, 5)); });
        CHECK(hand.foot().posts.rearfoot.angle_deg < -0.4);
        CHECK(hand.foot().posts.rearfoot.angle_deg > -30);
        const double everted = hand.foot().posts.rearfoot.angle_deg;
        const Vec2 up = hand.middle("section F handle angle");
        one_step(hand, [&] { drag.pixels(up, up + Vec2(0, 10)); });
        CHECK(hand.foot().posts.rearfoot.angle_deg > everted + 0.9);
        // Esc
        const std::string before = text_of(hand.session);
        const Vec2 at = hand.middle("section F handle height");
        drag.pixels(at, at + Vec2(0, 9), Hand::none, 4, false);
        CHECK((text_of(hand.session) != before));
        hand.key(ImGuiKey_Escape);
        hand.press(false);
        hand.frames(2);
        CHECK((text_of(hand.session) == before));
        // not where it does not run through, and not of another thing
        hand.give("section F at=100");
        hand.frames(2);
        CHECK_FALSE(hand.there("section F handle height"));
        CHECK(hand.there("section S handle height"));
        hand.give("select none");
        hand.frames(2);
        CHECK_FALSE(hand.there("section S handle height"));
        tests::done_again(hand);
    }
    SECTION("a groove's depth comes and goes where the hand says") {
        hand.give("stage reliefs");
        hand.give("feature add band groove points=[[50,-2],[80,0],[110,2]]");
        hand.give("select feature band");
        const auto band = [&]() -> const feature::Feature& { return hand.foot().features[0]; };
        const double start = band().fade_start_mm, end = band().fade_end_mm;
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("fade start", {6, 0}); });
        CHECK(band().fade_start_mm == Approx(start + by.x()).margin(0.5));
        one_step(hand, [&] { by = drag.by("fade end", {-7, 0}); });
        CHECK(band().fade_end_mm == Approx(end - by.x()).margin(0.6));
        // never below nothing
        one_step(hand, [&] { drag.by("fade start", {-70, 0}); });
        CHECK(band().fade_start_mm == 0.0);
        // its ends are points still
        one_step(hand, [&] { by = drag.by("point 1", {-4, 1}); });
        CHECK(band().points[0] == tests::tenths(Vec2(50, -2) + by));
        tests::done_again(hand);
    }
    SECTION("stations of a groove: a double click on its line, Alt on the width") {
        hand.give("stage reliefs");
        hand.give("feature add band groove points=[[50,-2],[80,0],[110,2]]");
        hand.give("set features[band].width_mm 9");
        hand.give("set features[band].depth_mm 1.7");
        hand.give("select feature band");
        const auto band = [&]() -> const feature::Feature& { return hand.foot().features[0]; };
        const auto twice = [&](const Vec2& at) {
            hand.frames(30);  // none of an earlier click
            hand.click(at);
            hand.click(at);
        };
        one_step(hand, [&] { twice(drag.pixel({65, -1})); });
        REQUIRE(band().stations.size() == 1);
        CHECK(band().stations[0].along == Approx(0.25).margin(0.03));
        CHECK(band().stations[0].width_mm == 9.0);
        CHECK(band().stations[0].depth_mm == 1.7);
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("width 1", {0, 2}); });
        const double wider = band().stations[0].width_mm;
        CHECK(wider > 9 + 2 * by.y() - 0.2);
        one_step(hand, [&] { twice(drag.pixel({100, 1.3})); });
        REQUIRE(band().stations.size() == 2);
        CHECK(band().stations[1].along > 0.7);
        CHECK(band().stations[1].width_mm == wider);  // as it is there
        one_step(hand, [&] { drag.by("width 2", {0, -2}); });
        // between the two: what the groove has there
        one_step(hand, [&] { twice(drag.pixel({90, 0.7})); });
        REQUIRE(band().stations.size() == 3);
        CHECK(band().stations[1].width_mm < wider);
        CHECK(band().stations[1].width_mm > band().stations[2].width_mm);
        // at one place there is one
        const std::string before = text_of(hand.session);
        hand.hold(Hand::alt);
        one_step(hand, [&] { hand.click(drag.handle("width 2")); });
        hand.hold(Hand::none);
        CHECK(band().stations.size() == 2);
        hand.give("undo");
        CHECK((text_of(hand.session) == before));
        tests::done_again(hand);
    }
    SECTION("the trim line is taken where it has no control, on both borders") {
        hand.give("stage trim");
        hand.give("select none");
        std::size_t count = 0;
        for (const double side : {1.0, -1.0}) {
            const std::vector<Vec3> edge = hand.screen->shown()->subject().foot_edge();
            Vec3 place = Vec3::Zero();
            double best = 1e300;
            for (const Vec3& p : edge)
                if (p.y() * side > 10 && std::abs(p.x() - 85) < best) best = std::abs(p.x() - 85), place = p;
            REQUIRE(best < 2);
            const std::vector<surface::TrimControl>& controls = hand.foot().trim.controls;
            const Vec2 from = drag.pixel(place.head<2>()),
                       to = drag.pixel(place.head<2>() + Vec2(0, 2 * side));
            // a press alone makes nothing
            const std::string before = text_of(hand.session);
            hand.click(from);
            CHECK((text_of(hand.session) == before));
            one_step(hand, [&] { drag.pixels(from, to, Hand::none, 6); });
            REQUIRE(controls.size() == ++count);
            CHECK(controls.back().medial == (side > 0));
            CHECK(controls.back().offset_mm > 0.5);
            // given up: nothing is left, and the step that was undone is there again
            hand.give("undo");
            const std::string undone = text_of(hand.session);
            REQUIRE(hand.session.history()->can_redo());
            drag.pixels(from, to, Hand::none, 6, false);
            CHECK((text_of(hand.session) != undone));
            CHECK_FALSE(hand.session.history()->can_redo());
            hand.key(ImGuiKey_Escape);
            hand.press(false);
            hand.frames(2);
            CHECK((text_of(hand.session) == undone));
            REQUIRE(hand.session.history()->can_redo());
            hand.give("redo");
            CHECK(controls.size() == count);
        }
        tests::done_again(hand);
    }
    SECTION("a cover's edge without a drawn outline: the first drag draws it") {
        hand.give("stage post");
        hand.give("entry add covers {\"name\": \"top\", \"material\": \"EVA\", \"length\": \"sulcus\"}");
        hand.settle();
        hand.show("cover top");
        hand.click("cover top");
        REQUIRE(hand.session.selection() == model::Selection{"cover", "top"});
        REQUIRE(hand.there("handle point 1"));
        CHECK(hand.misfits() == "");
        const build::Device& device = *hand.screen->shown()->device();
        const auto as_it_was = pattern::draw_patterns(device, hand.foot(), {});
        REQUIRE(as_it_was.ok());
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("point 3", {2, 2}); });
        const std::vector<Vec2>& outline = hand.foot().covers[0].outline;
        REQUIRE(outline.size() > 8);
        CHECK(outline.size() < 80);
        // back again it is the edge it had, within what few points can
        design::FootDesign back = hand.foot();
        back.covers[0].outline[2] -= by;
        const auto drawn = pattern::draw_patterns(*hand.screen->shown()->device(), back, {});
        REQUIRE(drawn.ok());
        const surface::Outline border(as_it_was->patterns[0].cut);
        double off = 0;
        for (const Vec2& p : drawn->patterns[0].cut) off = std::max(off, border.distance(p));
        CHECK(off < 1.5);
        CHECK(drawn->patterns[0].area_mm2 == Approx(as_it_was->patterns[0].area_mm2).epsilon(0.01));
        tests::done_again(hand);
    }
}

}  // namespace

TEST_CASE("dragging: ends and edges of a left foot") {
    tests::with_foot("left", ends);
}

TEST_CASE("dragging: ends and edges of a right foot") {
    tests::with_foot("right", ends);
}
