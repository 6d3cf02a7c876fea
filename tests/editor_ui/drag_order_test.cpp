// Wall regions, zones, the trim line, posts and the wall's stations dragged: what the job holds afterwards.
#include "editor/view/sole.hpp"
#include "engine/build/plan_border.hpp"
#include "tests/editor_ui/dragging.hpp"

using namespace archwright;
using namespace archwright::editor;
using Catch::Contains;
using tests::Dragger;
using tests::Hand;
using tests::one_step;
using tests::tenths;
using tests::text_of;

namespace {

/// A curve of four points: `get` gives them, `thing` selects it.
void a_curve(Hand& hand, const std::string& thing, const std::function<const std::vector<Vec2>&()>& get) {
    Dragger drag(hand);
    hand.give("select none");
    hand.click(drag.pixel({70, 2}));
    REQUIRE(hand.session.selection().what + " " + hand.session.selection().name == thing);
    Vec2 by = Vec2::Zero();
    const std::vector<Vec2> first = get();
    one_step(hand, [&] { by = drag.by("point 2", {-5, 4}); });
    CHECK(get()[1] == tenths(first[1] + by));
    CHECK(get()[0] == first[0]);
    one_step(hand, [&] { by = drag.by("point 3", {3.3, 2.2}, Hand::shift); });
    CHECK(get()[2] == Vec2(std::round(get()[2].x()), std::round(get()[2].y())));
    CHECK((get()[2] - first[2] - by).cwiseAbs().maxCoeff() < 0.5 + 1e-6);
    const std::vector<Vec2> second = get();
    one_step(hand, [&] { by = drag.by("whole", {4, 3}); });
    for (std::size_t i = 0; i < second.size(); ++i) CHECK(get()[i] == tenths(second[i] + tenths(by)));
    // on the curve itself: where it runs between its third and fourth point
    const auto handles = view::handles_of(hand.foot(), hand.session.selection(),
                                          view::Sole::of(*hand.screen->shown(), nullptr));
    const std::vector<Vec2>& curve = handles.curves.front().points;
    hand.hold(Hand::ctrl);
    one_step(hand, [&] { hand.click(drag.pixel(curve[curve.size() * 5 / 8])); });
    REQUIRE(get().size() == 5);
    CHECK((get()[3] - curve[curve.size() * 5 / 8]).norm() < 1.5);
    hand.hold(Hand::alt);
    one_step(hand, [&] { hand.click(drag.handle("point 4")); });
    hand.hold(Hand::none);
    CHECK(get().size() == 4);
    // Esc
    const std::string before = text_of(hand.session);
    drag.by("point 1", {9, 9}, Hand::none, false);
    hand.key(ImGuiKey_Escape);
    hand.press(false);
    hand.frames(2);
    CHECK((text_of(hand.session) == before));
    one_step(hand, [&] { drag.arrow(ImGuiKey_UpArrow); });
}

void of_the_order(Hand& hand) {
    Dragger drag(hand);
    const std::string square = "[[50,-20],[50,24],[90,26],[92,-22]]";

    SECTION("a region of the wall, its blend") {
        hand.give("stage wall");
        hand.give("region add column " + square + " 4 blend_mm=12");
        a_curve(hand, "region column",
                [&]() -> const std::vector<Vec2>& { return hand.foot().wall.regions.front().outline; });
        // the first side lies behind: outward is backward
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("blend", {-2, 0}); });
        CHECK(hand.foot().wall.regions.front().blend_mm > 12 - 2 * by.x() - 0.6);
        CHECK(hand.foot().wall.regions.front().blend_mm < 12 - 2 * by.x() + 0.1);
    }
    SECTION("columns of the wall: where they begin and end, how broad they are") {
        hand.give("stage wall");
        for (const bool medial : {true, false}) {
            const std::string name = medial ? "medial" : "lateral";
            hand.give("set wall." + name + "_column.on yes");
            const auto column = [&]() -> const design::WallColumn& {
                return medial ? hand.foot().wall.medial_column : hand.foot().wall.lateral_column;
            };
            const auto sole = view::Sole::of(*hand.screen->shown(), nullptr);
            const design::DevicePlan plan =
                build::plan_box(sole->surfaced()->carpet.surface, sole->surfaced()->trim.curve).device;
            const double length = plan.distal_x_mm - plan.rear_x_mm;
            // a click in its strip chooses it
            const auto handles = view::handles_of(hand.foot(), {"column", name}, sole);
            REQUIRE(handles.list.size() == 3);
            const std::vector<Vec2>& strip = handles.curves.front().points;
            hand.give("select none");
            hand.click(drag.pixel(0.5 * (strip[10] + strip[strip.size() - 11])));
            CHECK(hand.session.selection() == model::Selection{"column", name});
            Vec2 by = Vec2::Zero();
            design::WallColumn was = column();
            one_step(hand, [&] { by = drag.by("heel end", {15, 3}); });
            CHECK(column().from == Approx(was.from + by.x() / length).margin(0.0051));
            CHECK(column().from > was.from);
            one_step(hand, [&] { by = drag.by("toe end", {-12, 0}); });
            CHECK(column().to == Approx(was.to + by.x() / length).margin(0.0051));
            one_step(hand, [&] { by = drag.by("width", {2, medial ? -6.0 : 6.0}); });
            CHECK(column().width_mm == Approx(was.width_mm + std::abs(by.y())).margin(0.051));
            CHECK(column().blend_mm == was.blend_mm);
            // it keeps a length, and lies on the device
            drag.by("heel end", {0.6 * length, 0});
            CHECK(column().from == Approx(column().to - 0.02));
            drag.by("heel end", {-0.9 * length, 0});
            CHECK(column().from == 0.0);
        }
    }
    SECTION("zones of the dressing, their breadth") {
        hand.give("stage dress");
        hand.give("entry add dress.smooth {\"name\": \"even\", \"outline\": " + square +
                  ", \"blend_mm\": 8}");
        a_curve(hand, "smooth even",
                [&]() -> const std::vector<Vec2>& { return hand.foot().dress.smooth.front().outline; });
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("blend", {3, 0}); });
        CHECK(hand.foot().dress.smooth.front().blend_mm == Approx(8 + by.x()).margin(0.4));
        hand.give("entry remove dress.smooth even");
        hand.give("entry add dress.keep {\"name\": \"sore\", \"outline\": " + square + ", \"margin_mm\": 6}");
        a_curve(hand, "keep sore",
                [&]() -> const std::vector<Vec2>& { return hand.foot().dress.keep.front().outline; });
        one_step(hand, [&] { by = drag.by("blend", {-3, 0}); });
        CHECK(hand.foot().dress.keep.front().margin_mm == Approx(6 - by.x()).margin(0.4));
    }
    SECTION("control points of the trim line, on both borders") {
        hand.give("stage trim");
        hand.give("select none");
        const std::vector<Vec3> edge = hand.screen->shown()->subject().foot_edge();
        std::size_t count = 0;
        for (const double side : {1.0, -1.0}) {
            // the border at x 90
            Vec3 place = Vec3::Zero();
            double best = 1e300;
            for (const Vec3& p : edge)
                if (p.y() * side > 10 && std::abs(p.x() - 90) < best) best = std::abs(p.x() - 90), place = p;
            REQUIRE(best < 2);
            const std::vector<surface::TrimControl>& controls = hand.foot().trim.controls;
            hand.hold(Hand::ctrl);
            one_step(hand, [&] { hand.click(drag.pixel(place.head<2>())); });
            hand.hold(Hand::none);
            ++count;
            REQUIRE(controls.size() == count);
            CHECK(controls.back().medial == (side > 0));
            CHECK(std::abs(controls.back().offset_mm) <= 0.05);
            CHECK(controls.back().station > 0.3);
            CHECK(controls.back().station < 0.9);
            const std::string part = "control " + std::to_string(count);
            // square to the line outward: up the wall, or wider
            one_step(hand, [&] { drag.by(part, {0, 2 * side}, Hand::shift); });
            const double out = controls.back().offset_mm, station = controls.back().station;
            CHECK(out >= 1);
            CHECK(out <= 9);
            CHECK(out == std::round(out));
            one_step(hand, [&] { drag.by(part, {0, -4 * side}, Hand::shift); });
            CHECK(controls.back().offset_mm < out);
            CHECK(controls.back().station == station);
            one_step(hand, [&] { drag.by(part, {12, 0}); });
            CHECK(controls.back().station > station);
        }
        hand.hold(Hand::alt);
        one_step(hand, [&] { hand.click(drag.handle("control 1")); });
        hand.hold(Hand::none);
        REQUIRE(hand.foot().trim.controls.size() == 1);
        CHECK_FALSE(hand.foot().trim.controls.front().medial);
        // the words beside the cursor
        drag.by("control 1", {0, -2}, Hand::none, false);
        REQUIRE(hand.screen->state().handles.grasp);
        REQUIRE(hand.screen->state().handles.grasp->moved);
        CHECK_THAT(hand.screen->state().handles.grasp->moved->words, Contains("least radius"));
        hand.key(ImGuiKey_Escape);
        hand.press(false);
        hand.frames(2);
    }
    SECTION("posts and the flat contact") {
        hand.give("stage post");
        hand.give("set posts.rearfoot.on yes");
        hand.give("set posts.rearfoot.motion_deg 4");
        hand.give("select post rearfoot");
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("length", {6, 0}); });
        CHECK(hand.foot().posts.rearfoot.length_mm == std::round((55 + by.x()) * 10) / 10);
        one_step(hand, [&] { by = drag.by("width", {0, -2}); });
        CHECK(hand.foot().posts.rearfoot.width_mm == std::round((40 + 2 * by.y()) * 10) / 10);
        one_step(hand, [&] { by = drag.by("hinge", {0, 3}); });
        CHECK(hand.foot().posts.rearfoot.hinge_mm == std::round(by.y() * 10) / 10);
        hand.give("select none");
        hand.click(drag.pixel({15, 0}));
        CHECK(hand.session.selection() == model::Selection{"post", "rearfoot"});
        hand.give("set posts.rearfoot.on no");
        hand.give("set posts.flat_contact.on yes");
        hand.give("select none");
        hand.click(drag.pixel({2, 1}));
        REQUIRE(hand.session.selection() == model::Selection{"post", "flat_contact"});
        one_step(hand, [&] { by = drag.by("diameter", {0, 3}); });
        CHECK(hand.foot().posts.flat_contact.diameter_mm == std::round((20 + 2 * by.y()) * 10) / 10);
        hand.give("set posts.forefoot.on yes");
        hand.give("select post forefoot");
        one_step(hand, [&] { by = drag.by("length", {-5, 0}); });
        CHECK(hand.foot().posts.forefoot.length_mm == std::round((18 - by.x()) * 10) / 10);
    }
    SECTION("a cover that is drawn") {
        hand.give("stage post");
        hand.give("entry add covers {\"name\": \"top\", \"material\": \"EVA\", \"outline\": " + square + "}");
        a_curve(hand, "cover top",
                [&]() -> const std::vector<Vec2>& { return hand.foot().covers.front().outline; });
    }
    SECTION("depth and height in a section that runs through") {
        hand.give("stage reliefs");
        hand.give("feature add pit cavity points=[[62,2]]");
        hand.give("set features[pit].depth_mm 2.5");
        hand.give("feature add mound pad points=[[20,1]]");
        hand.give("select feature pit");
        hand.give("section F at=62");
        hand.give("section S at=2");
        hand.frames(2);
        const auto pit = [&] { return hand.foot().features[0]; };
        for (const char* section : {"F", "S"}) {
            const std::string handle = std::string("section ") + section + " handle depth";
            const Vec2 at = hand.middle(handle);
            const double was = pit().depth_mm;
            one_step(hand, [&] { drag.pixels(at, at + Vec2(0, 6)); });
            CHECK(pit().depth_mm > was + 0.3);
            CHECK(pit().depth_mm < was + 6);
            const Vec2 now = hand.middle(handle);
            CHECK(std::abs(now.y() - at.y() - 6) < 1.5);
        }
        const double width = pit().width_mm;
        const Vec2 side = hand.middle("section F handle width");
        const Vec2 middle = hand.middle("section F handle depth");
        one_step(hand, [&] { drag.pixels(side, side + 6 * (side - middle).normalized()); });
        CHECK(pit().width_mm > width + 0.5);
        // not where it does not run through
        hand.give("section F at=90");
        hand.frames(2);
        CHECK_FALSE(hand.there("section F handle depth"));
        CHECK(hand.there("section S handle depth"));
        CHECK_FALSE(hand.there("handle depth"));  // in plan it stands over the middle, and is none
        hand.give("select feature mound");
        hand.give("section F at=20");
        hand.frames(2);
        const double was = hand.foot().features[1].height_mm;
        const Vec2 top = hand.middle("section F handle height");
        one_step(hand, [&] { drag.pixels(top, top + Vec2(0, -5)); });
        CHECK(hand.foot().features[1].height_mm > was + 0.2);
    }
    SECTION("the place of a point is typed") {
        hand.give("stage reliefs");
        hand.give("feature add band groove points=[[50,-2],[80,0],[110,2]]");
        hand.give("select feature band");
        hand.click(drag.handle("point 2"));
        REQUIRE(hand.there("form handle place"));
        CHECK(hand.misfits() == "");
        const auto type = [&](const char* text) {
            hand.click("form handle place");
            hand.type(text);
            hand.key(ImGuiKey_Enter);
        };
        one_step(hand, [&] { type("76.25, -4.125"); });
        CHECK(hand.foot().features[0].points[1] == Vec2(76.25, -4.125));
        CHECK(hand.foot().features[0].points[0] == Vec2(50, -2));
        const std::string before = text_of(hand.session);
        type("76 mm");
        CHECK_THAT(hand.screen->state().told, Contains("76.5, 4"));
        type("400, 4");
        CHECK_THAT(hand.screen->state().told, Contains("no sole"));
        CHECK((text_of(hand.session) == before));
    }
    SECTION("the line of a drawn section, which is none of the job") {
        hand.give("stage reliefs");
        hand.give("section A [[40,-20],[100,20]]");
        hand.frames(2);
        const std::string before = text_of(hand.session), recorded = hand.session.recording();
        const auto line = [&] { return hand.session.sections().lines.at("A"); };
        const Vec2 by = drag.by("section A end 2", {-8, 5});
        CHECK(line()[0] == Vec2(40, -20));
        CHECK(line()[1] == tenths(Vec2(100, 20) + by));
        const std::vector<Vec2> now = line();
        drag.by("section A end 1", {12, 2}, Hand::none, false);
        CHECK(line()[0] != now[0]);
        hand.key(ImGuiKey_Escape);
        hand.press(false);
        hand.frames(2);
        CHECK(line() == now);
        CHECK((text_of(hand.session) == before));
        CHECK(hand.session.recording() == recorded);
        CHECK(hand.session.history()->position() == 0);
        // no end where it is not shown
        hand.give("section F");
        hand.frames(2);
        CHECK_FALSE(hand.there("handle section A end 1"));
    }
    SECTION("the wall along the device, in its graph") {
        hand.give("stage wall");
        hand.show("wall graph");
        const editor::ui::Box graph = *hand.screen->place_of("wall graph");
        const std::vector<design::WallStation>& stations = hand.foot().wall.stations;
        for (const double along : {0.2, 0.8, 0.5}) {
            hand.hold(Hand::ctrl);
            one_step(hand, [&] { hand.click(Vec2(graph.x + along * graph.w, graph.centre().y())); });
            hand.hold(Hand::none);
        }
        REQUIRE(stations.size() == 3);
        CHECK(stations[0].along == Approx(0.2).margin(0.011));
        CHECK(stations[1].along == Approx(0.5).margin(0.011));
        CHECK(stations[2].along == Approx(0.8).margin(0.011));
        const double was = stations[1].wall_mm;
        hand.settle();  // the graph's scale follows what is built
        one_step(hand, [&] {
            const Vec2 from = drag.handle("station 2");
            drag.pixels(from, from + Vec2(0.1 * graph.w, -12));
        });
        CHECK(stations[1].along == Approx(0.6).margin(0.021));
        CHECK(stations[1].wall_mm > was + 0.2);
        // never past its neighbour
        hand.settle();  // the graph's scale follows what is built
        one_step(hand, [&] {
            const Vec2 from = drag.handle("station 2");
            drag.pixels(from, from + Vec2(0.4 * graph.w, 0));
        });
        CHECK(stations[1].along == Approx(stations[2].along - 0.01).margin(1e-9));
        hand.settle();
        hand.hold(Hand::alt);
        one_step(hand, [&] { hand.click(drag.handle("station 1")); });
        hand.hold(Hand::none);
        CHECK(stations.size() == 2);
        tests::done_again(hand);
    }
}

}  // namespace

TEST_CASE("dragging: regions, zones, trim line, posts and stations of a left foot") {
    tests::with_foot("left", of_the_order);
}

TEST_CASE("dragging: regions, zones, trim line, posts and stations of a right foot") {
    tests::with_foot("right", of_the_order);
}
