// Reliefs, pads and apertures dragged in the plan: what the job holds afterwards, one step of undo each.
#include <random>

#include "tests/editor_ui/dragging.hpp"

using namespace archwright;
using namespace archwright::editor;
using Catch::Contains;
using tests::Dragger;
using tests::Hand;
using tests::one_step;
using tests::tenth;
using tests::tenths;
using tests::text_of;

namespace {

const feature::Feature& feature_of(const Hand& hand, const std::string& name) {
    for (const feature::Feature& f : hand.foot().features)
        if (f.name == name) return f;
    FAIL("no relief or pad " << name);
    std::abort();
}

void every_handle(Hand& hand) {
    Dragger drag(hand);
    hand.give("stage reliefs");
    hand.give("feature add spot cavity points=[[62,4]]");
    hand.give("set features[spot].length_mm 20");
    hand.give("set features[spot].width_mm 14");
    hand.give("feature add band groove points=[[50,-2],[80,0],[110,2]]");
    hand.give("feature add wedge pad points=[[20,-8],[20,8],[38,10],[40,-10]]");
    hand.give("feature add vent aperture points=[[92,14]]");
    hand.give("set features[vent].width_mm 12");
    hand.give("set features[vent].length_mm 12");
    hand.give("feature add dome metatarsal_dome");
    hand.give("feature add bar metatarsal_bar");
    hand.settle();

    SECTION("a click selects what lies there, and moves nothing") {
        const std::string before = text_of(hand.session);
        hand.give("select none");
        hand.click(drag.pixel({62, 4}));
        CHECK(hand.session.selection() == model::Selection{"feature", "spot"});
        hand.click(drag.pixel({80, 0}));
        CHECK(hand.session.selection() == model::Selection{"feature", "band"});
        hand.click(drag.pixel({28, 0}));
        CHECK(hand.session.selection() == model::Selection{"feature", "wedge"});
        hand.click(drag.handle("point 1"));
        CHECK((text_of(hand.session) == before));
        // where nothing is selected a drag moves the sections, as ever
        hand.give("select none");
        drag.pixels(drag.pixel({62, 4}), drag.pixel({62, 4}) + Vec2(0, 30));
        CHECK(hand.session.selection() == model::Selection{});
        CHECK((text_of(hand.session) == before));
        CHECK(hand.screen->state().section_x < 60);
    }
    SECTION("a spot: taken anywhere, its sizes, its turn") {
        hand.give("select feature spot");
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("whole", {7.5, -3}); });
        CHECK(feature_of(hand, "spot").points[0] == tenths(Vec2(62, 4) + tenths(by)));
        // the sole is not level: along it is a little farther than in plan
        one_step(hand, [&] { by = drag.by("length", {3, 0}); });
        CHECK(feature_of(hand, "spot").length_mm > 20 + 2 * by.x() - 0.1);
        CHECK(feature_of(hand, "spot").length_mm < 20 + 2.5 * by.x());
        one_step(hand, [&] { by = drag.by("width", {0, -2}); });
        CHECK(feature_of(hand, "spot").width_mm < 14 + 2 * by.y() + 0.1);
        CHECK(feature_of(hand, "spot").width_mm > 14 + 2.5 * by.y());
        const Vec2 middle = drag.handle("whole"), ring = drag.handle("turn");
        const Vec2 arm = ring - middle;
        // a quarter turn on the page towards medial
        const bool left = hand.session.foot() == Side::left;
        const Vec2 quarter = left ? Vec2(-arm.y(), arm.x()) : Vec2(arm.y(), -arm.x());
        one_step(hand, [&] { drag.pixels(ring, middle + quarter, Hand::none, 12); });
        CHECK(feature_of(hand, "spot").turn_deg == Approx(90).margin(6));
        CHECK(feature_of(hand, "spot").turn_deg * 2 == std::round(feature_of(hand, "spot").turn_deg * 2));
    }
    SECTION("a groove: its points, one more, one less, its width") {
        hand.give("select feature band");
        const std::vector<Vec2> before = feature_of(hand, "band").points;
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("point 2", {-4, 5}); });
        auto points = feature_of(hand, "band").points;
        REQUIRE(points.size() == 3);
        CHECK(points[0] == before[0]);
        CHECK(points[2] == before[2]);
        CHECK(points[1] == tenths(Vec2(80, 0) + by));
        // Ctrl and a click on the line
        const Vec2 third = drag.handle("point 3"), second = drag.handle("point 2");
        hand.hold(Hand::ctrl);
        one_step(hand, [&] { hand.click(second + 0.6 * (third - second)); });
        hand.hold(Hand::none);
        points = feature_of(hand, "band").points;
        REQUIRE(points.size() == 4);
        CHECK(points[2].x() > points[1].x());
        CHECK(points[2].x() < points[3].x());
        CHECK(points[3] == before[2]);
        // Alt and a click on a point; two stay
        for (const std::size_t left : {3, 2}) {
            hand.hold(Hand::alt);
            one_step(hand, [&] { hand.click(drag.handle("point 2")); });
            hand.hold(Hand::none);
            CHECK(feature_of(hand, "band").points.size() == left);
        }
        hand.hold(Hand::alt);
        hand.click(drag.handle("point 2"));
        hand.hold(Hand::none);
        CHECK(feature_of(hand, "band").points.size() == 2);
        CHECK_THAT(hand.screen->state().told, Contains("two points"));
        const double width = feature_of(hand, "band").width_mm;
        one_step(hand, [&] { by = drag.by("width", {0, 2}); });
        CHECK(feature_of(hand, "band").width_mm > width + 2 * by.y() - 0.1);
        CHECK(feature_of(hand, "band").width_mm < width + 2.5 * by.y());
        one_step(hand, [&] { by = drag.by("whole", {5, 1}); });
        CHECK(feature_of(hand, "band").points[0] == tenths(before[0] + tenths(by)));
        CHECK(feature_of(hand, "band").points[1] == tenths(before[2] + tenths(by)));
    }
    SECTION("a curve: its points, and taken within") {
        hand.give("select feature wedge");
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("point 3", {4, 2}); });
        CHECK(feature_of(hand, "wedge").points[2] == tenths(Vec2(38, 10) + by));
        hand.hold(Hand::ctrl);
        const Vec2 a = drag.handle("point 1"), b = drag.handle("point 2");
        // the side between the two bows a little out
        one_step(hand, [&] {
            for (double out = 0; feature_of(hand, "wedge").points.size() == 4 && out < 20; out += 4)
                hand.click(0.5 * (a + b) + Vec2(0, out));
        });
        hand.hold(Hand::none);
        REQUIRE(feature_of(hand, "wedge").points.size() == 5);
        CHECK(std::abs(feature_of(hand, "wedge").points[1].y()) < 4);
        const auto before = feature_of(hand, "wedge").points;
        one_step(hand, [&] { by = drag.by("whole", {3, 1}); });
        for (std::size_t i = 0; i < before.size(); ++i)
            CHECK(feature_of(hand, "wedge").points[i] == tenths(before[i] + tenths(by)));
    }
    SECTION("an aperture, a dome and a bar") {
        hand.give("select feature vent");
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("whole", {-6, -2}); });
        CHECK(feature_of(hand, "vent").points[0] == tenths(Vec2(92, 14) + tenths(by)));
        one_step(hand, [&] { by = drag.by("length", {1.5, 0}); });
        CHECK(feature_of(hand, "vent").length_mm > 12 + 2 * by.x() - 0.1);
        CHECK(feature_of(hand, "vent").length_mm < 12 + 2.5 * by.x());
        for (const char* name : {"dome", "bar"}) {
            hand.give(std::string("select feature ") + name);
            const feature::Feature was = feature_of(hand, name);
            one_step(hand, [&] { by = drag.by("whole", {-3, 2}); });
            // the line of the heads runs aslant: as it goes medially a bar lies less far behind it
            if (was.kind == feature::Feature::Kind::metatarsal_dome)
                CHECK(feature_of(hand, name).behind_mm == tenth(was.behind_mm - tenth(by.x())));
            else
                CHECK(feature_of(hand, name).behind_mm > was.behind_mm - by.x());
            CHECK(feature_of(hand, name).medial_mm == tenth(was.medial_mm + tenth(by.y())));
            one_step(hand, [&] { by = drag.by("width", {0, 1.5}); });
            CHECK(feature_of(hand, name).width_mm > was.width_mm + 2 * by.y() - 0.1);
            CHECK(feature_of(hand, name).width_mm < was.width_mm + 2.5 * by.y());
            one_step(hand, [&] { by = drag.by("length", {-4, 0}); });
            CHECK(feature_of(hand, name).length_mm > was.length_mm - by.x() - 0.1);
            CHECK(feature_of(hand, name).length_mm < was.length_mm - 1.3 * by.x());
        }
    }
    SECTION("Shift snaps to landmarks, marks and whole millimetres; Ctrl slows") {
        hand.give("select feature spot");
        const foot::Frame& frame = hand.screen->shown()->result().received->standing.frame;
        const foot::Landmark& heel = hand.foot().landmarks.at(foot::LandmarkId::heel_centre);
        const Vec2 goal = frame.to_design(heel.position).head<2>();
        one_step(hand,
                 [&] { drag.pixels(drag.handle("whole"), drag.pixel(goal + Vec2(1, 1)), Hand::shift, 20); });
        CHECK((feature_of(hand, "spot").points[0] - goal).norm() < 2e-6);
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("whole", {33.3, 4.4}, Hand::shift); });
        const Vec2 there = feature_of(hand, "spot").points[0];
        CHECK(there == Vec2(std::round(there.x()), std::round(there.y())));
        CHECK((there - goal - by).cwiseAbs().maxCoeff() < 0.5 + 1e-6);
        one_step(hand, [&] { drag.by("length", {2.3, 0}, Hand::shift); });
        CHECK(feature_of(hand, "spot").length_mm == std::round(feature_of(hand, "spot").length_mm));
        one_step(hand, [&] { by = drag.by("whole", {20, 10}, Hand::ctrl); });
        CHECK(feature_of(hand, "spot").points[0] == tenths(there + tenths(by)));
        CHECK(by.norm() < 3);
        hand.give("select feature band");
        one_step(hand, [&] { drag.by("point 1", {3.4, 2.6}, Hand::shift); });
        const Vec2 point = feature_of(hand, "band").points[0];
        CHECK(point == Vec2(std::round(point.x()), std::round(point.y())));
    }
    SECTION("Esc gives it up, and nothing is left of it") {
        hand.give("select feature band");
        const std::string before = text_of(hand.session), recorded = hand.session.recording();
        const std::size_t steps = hand.session.history()->position();
        drag.by("point 2", {-4, 5}, Hand::none, false);
        CHECK((text_of(hand.session) != before));
        hand.key(ImGuiKey_Escape);
        CHECK((text_of(hand.session) == before));
        hand.move(drag.handle("point 2") + Vec2(40, 40));  // the button is still down
        hand.press(false);
        hand.frames(2);
        CHECK((text_of(hand.session) == before));
        CHECK(hand.session.recording() == recorded);
        CHECK(hand.session.history()->position() == steps);
        CHECK_FALSE(hand.session.history()->can_redo());
        CHECK(hand.session.selection().name == "band");
        // an undo while it is dragged ends it
        drag.by("point 2", {-4, 5}, Hand::none, false);
        hand.give("undo");
        CHECK((text_of(hand.session) == before));
        hand.move(drag.handle("point 2") + Vec2(40, 40));
        hand.press(false);
        hand.frames(2);
        CHECK((text_of(hand.session) == before));
    }
    SECTION("the arrows: half a millimetre, with Shift a tenth") {
        hand.give("select feature spot");
        one_step(hand, [&] { drag.arrow(ImGuiKey_UpArrow); });
        CHECK(feature_of(hand, "spot").points[0] == Vec2(62.5, 4));
        one_step(hand, [&] { drag.arrow(ImGuiKey_DownArrow, Hand::shift); });
        CHECK(feature_of(hand, "spot").points[0] == Vec2(62.4, 4));
        const bool left = hand.session.foot() == Side::left;
        one_step(hand, [&] { drag.arrow(left ? ImGuiKey_RightArrow : ImGuiKey_LeftArrow); });
        CHECK(feature_of(hand, "spot").points[0] == Vec2(62.4, 4.5));
        // strokes that follow each other are one step
        one_step(hand, [&] {
            for (int i = 0; i < 3; ++i) hand.key(ImGuiKey_UpArrow);
            drag.arrow(ImGuiKey_DownArrow);
        });
        CHECK(feature_of(hand, "spot").points[0] == Vec2(63.4, 4.5));
        // of the point that was clicked last
        hand.give("select feature band");
        hand.click(drag.handle("point 3"));
        one_step(hand, [&] { drag.arrow(ImGuiKey_DownArrow); });
        CHECK(feature_of(hand, "band").points[2] == Vec2(109.5, 2));
        CHECK(feature_of(hand, "band").points[1] == Vec2(80, 0));
        hand.give("select feature dome");
        const feature::Feature was = feature_of(hand, "dome");
        one_step(hand, [&] { drag.arrow(ImGuiKey_UpArrow); });
        CHECK(feature_of(hand, "dome").behind_mm == was.behind_mm - 0.5);
        CHECK(feature_of(hand, "dome").medial_mm == was.medial_mm);
    }
    SECTION("beside the sole it stays at the edge, and says so") {
        hand.give("select feature spot");
        for (const Vec2& away : {Vec2(-300, 0), Vec2(0, 200), Vec2(0, -200), Vec2(40, -300)}) {
            one_step(hand, [&] { drag.by("whole", away); });
            CHECK_THAT(hand.screen->state().told, Contains("no sole"));
            hand.settle();
            const auto handles = view::handles_of(hand.foot(), {"feature", "spot"},
                                                  view::Sole::of(*hand.screen->shown(), nullptr));
            REQUIRE(handles.whole);
            CHECK(view::Sole::of(*hand.screen->shown(), nullptr)->holds(feature_of(hand, "spot").points[0]));
            hand.give("undo");
        }
        hand.give("select feature band");
        one_step(hand, [&] { drag.by("point 1", {-300, 30}); });
        CHECK(feature_of(hand, "band").points[0].x() > -120);
        CHECK(feature_of(hand, "band").points[1] == Vec2(80, 0));
    }
    SECTION("a session of drags, recorded and done again, gives the same job to the last byte") {
        std::mt19937_64 random(tests::seed());
        std::uniform_real_distribution<double> any(-6, 6);
        const int count = tests::cases(60, 12, "drags recorded");
        const char* names[] = {"spot", "band", "wedge", "vent", "dome", "bar"};
        for (int n = 0; n < count; ++n) {
            hand.give(std::string("select feature ") + names[random() % 6]);
            const auto handles = view::handles_of(hand.foot(), hand.session.selection(),
                                                  view::Sole::of(*hand.screen->shown(), nullptr));
            const std::size_t which = random() % (handles.list.size() + 1);
            const std::string part = which < handles.list.size() ? handles.list[which].part : "whole";
            const double dx = any(random), dy = any(random);
            const int held = static_cast<int>(random() % 3);
            INFO(n << ": " << hand.session.selection().name << " " << part << " by " << dx << ", " << dy);
            drag.by(part, {dx, dy}, held == 0 ? Hand::none : held == 1 ? Hand::ctrl : Hand::shift);
            if (random() % 4 == 0 && hand.session.history()->can_undo()) hand.give("undo");
        }
        tests::done_again(hand);
    }
}

}  // namespace

TEST_CASE("dragging: every handle of reliefs, pads and apertures, on a left foot") {
    tests::with_foot("left", every_handle);
}

TEST_CASE("dragging: every handle of reliefs, pads and apertures, on a right foot") {
    tests::with_foot("right", every_handle);
}
