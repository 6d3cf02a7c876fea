// Landmarks and marks dragged on the cast: in the plan, in the model, by the arrows; on record with a code.
#include "editor/view/sole.hpp"
#include "engine/base/text.hpp"
#include "tests/editor_ui/dragging.hpp"

using namespace archwright;
using namespace archwright::editor;
using Catch::Contains;
using tests::Dragger;
using tests::Hand;
using tests::one_step;
using tests::text_of;

namespace {

constexpr auto head = foot::LandmarkId::fifth_head_plantar;

const foot::Landmark& landmark_of(const Hand& hand) {
    return hand.foot().landmarks.at(head);
}

const design::Mark& mark_of(const Hand& hand, const std::string& name) {
    for (const design::Mark& mark : hand.foot().marks)
        if (mark.name == name) return mark;
    FAIL("no mark " << name);
    std::abort();
}

/// How far a place of the design frame lies off the cast, mm.
double off_cast(const view::Sole& sole, const Vec3& p) {
    const auto near = sole.nearest_cast(p);
    return near ? (*near - p).norm() : 1e300;
}

/// Points of the sole along x, in the cast file's coordinates, as a command has them.
std::string points_along(const view::Sole& sole, double from, double to, int count, double y) {
    std::string all = "[";
    for (int i = 0; i < count; ++i) {
        const double x = from + (to - from) * i / std::max(1, count - 1);
        const auto on_it = sole.on_cast({x, y}, 0.0);
        REQUIRE(on_it);
        const Vec3 p = sole.frame().to_scan(*on_it);
        all += (i == 0 ? "[" : ",[") + exact(p.x()) + "," + exact(p.y()) + "," + exact(p.z()) + "]";
    }
    return all + "]";
}

void on_the_cast(Hand& hand) {
    Dragger drag(hand);
    hand.give("stage examine");
    const auto sole = view::Sole::of(*hand.screen->shown(), nullptr);
    REQUIRE(sole);
    const auto in_design = [&](const Vec3& scan) { return sole->frame().to_design(scan); };
    const Vec2 at = in_design(landmark_of(hand).position).head<2>();

    SECTION("without a code nothing goes on record, and the panel asks for one") {
        hand.give("setting person \"\"");
        const std::string before = text_of(hand.session);
        hand.click(drag.pixel(at));
        CHECK(hand.session.selection() == model::Selection{"landmark", foot::key(head)});
        drag.by("place", {5, 5});
        hand.key(ImGuiKey_UpArrow);
        CHECK((text_of(hand.session) == before));
        CHECK_THAT(hand.screen->state().told, Contains("code"));
        CHECK(hand.misfits() == "");
    }
    SECTION("a landmark in the plan: it stays on the cast, and says who set it") {
        hand.give("setting person T9");
        hand.click(drag.pixel(at));
        REQUIRE(hand.session.selection() == model::Selection{"landmark", foot::key(head)});
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] {
            const std::string before = text_of(hand.session);
            by = drag.by("place", {-6, 3}, Hand::none, false);
            // only when it is let go
            CHECK((text_of(hand.session) == before));
            CHECK(hand.there("lens"));
            hand.press(false);
            hand.frames(2);
            CHECK_FALSE(hand.there("lens"));
        });
        const Vec3 now = in_design(landmark_of(hand).position);
        CHECK((now.head<2>() - at - by).norm() < 2e-3);
        CHECK(off_cast(*sole, now) < 2e-3);
        CHECK(landmark_of(hand).source == foot::Landmark::Source::set);
        CHECK(landmark_of(hand).by == "T9");
        // beside the cast it stays at the edge
        one_step(hand, [&] { drag.by("place", {0, -250}); });
        CHECK(off_cast(*sole, in_design(landmark_of(hand).position)) < 2e-3);
        CHECK_THAT(hand.screen->state().told, Contains("nothing of the cast"));
    }
    SECTION("Esc leaves a landmark where it was") {
        hand.give("setting person T9");
        hand.give(std::string("select landmark ") + foot::key(head));
        const std::string before = text_of(hand.session);
        const std::size_t steps = hand.session.history()->position();
        drag.by("place", {-6, 3}, Hand::none, false);
        hand.key(ImGuiKey_Escape);
        hand.press(false);
        hand.frames(2);
        CHECK((text_of(hand.session) == before));
        CHECK(hand.session.history()->position() == steps);
    }
    SECTION("Shift brings it to the point of a mark, to the last bit") {
        hand.give("setting person T9");
        hand.give("mark add dot spot " + points_along(*sole, at.x() - 9, at.x() - 9, 1, at.y() + 6));
        hand.give(std::string("select landmark ") + foot::key(head));
        const Vec2 goal = in_design(mark_of(hand, "dot").points[0]).head<2>();
        one_step(hand,
                 [&] { drag.pixels(drag.handle("place"), drag.pixel(goal + Vec2(1, 1)), Hand::shift, 12); });
        CHECK(landmark_of(hand).position == mark_of(hand, "dot").points[0]);
        one_step(hand, [&] { drag.by("place", {-21.3, 2.2}, Hand::shift); });
        const Vec2 now = in_design(landmark_of(hand).position).head<2>();
        CHECK((now - Vec2(std::round(now.x()), std::round(now.y()))).norm() < 2e-3);
    }
    SECTION("the arrows move it along the cast") {
        hand.give("setting person T9");
        hand.give(std::string("select landmark ") + foot::key(head));
        hand.move(drag.pixel(at + Vec2(-30, 20)));
        for (const auto& [held, step] : {std::pair(Hand::none, 0.5), std::pair(Hand::shift, 0.1)}) {
            const Vec3 was = in_design(landmark_of(hand).position);
            one_step(hand, [&] { drag.arrow(ImGuiKey_DownArrow, held); });
            const Vec3 now = in_design(landmark_of(hand).position);
            CHECK((now - was).norm() == Approx(step).margin(0.06 * step + 2e-3));
            CHECK(now.x() < was.x());
            CHECK(off_cast(*sole, now) < 2e-3);
        }
    }
    SECTION("a landmark in the model, seen from below; beside it the model turns") {
        hand.give("setting person T9");
        hand.give("view cast on");
        hand.give("view from below");
        hand.give("select none");
        hand.frames(3);
        const Vec2 there = [&] {
            hand.give(std::string("select landmark ") + foot::key(head));
            const Vec2 pixel = hand.middle("model handle place");
            hand.give("select none");
            return pixel;
        }();
        hand.click(there);
        REQUIRE(hand.session.selection() == model::Selection{"landmark", foot::key(head)});
        const view::Eye eye = hand.screen->state().eye;
        const Vec3 was = in_design(landmark_of(hand).position);
        one_step(hand, [&] { drag.pixels(there, there + Vec2(14, 9)); });
        const Vec3 now = in_design(landmark_of(hand).position);
        CHECK(hand.screen->state().eye == eye);
        CHECK(off_cast(*sole, now) < 2e-3);
        CHECK((now - was).norm() > 3);
        const Vec2 pixel = hand.middle("model handle place");
        CHECK((pixel - there - Vec2(14, 9)).norm() < 2.0);
        one_step(hand, [&] { drag.pixels(pixel, hand.screen->place_of("model")->centre() + Vec2(400, 0)); });
        CHECK(off_cast(*sole, in_design(landmark_of(hand).position)) < 2e-3);
        CHECK_THAT(hand.screen->state().told, Contains("nothing of the cast"));
        // on no handle a drag turns it
        drag.pixels(hand.middle("model") + Vec2(0, 120), hand.middle("model") + Vec2(40, 120));
        CHECK_FALSE(hand.screen->state().eye == eye);
    }
    SECTION("a mark: its points, one more, one less") {
        hand.give("setting person T9");
        hand.give("mark add band line " + points_along(*sole, 40, 100, 4, -4) +
                  " meaning=plantar_fascia by=T1");
        hand.frames(2);
        hand.click(drag.pixel({50, -4}));
        REQUIRE(hand.session.selection() == model::Selection{"mark", "band"});
        const std::vector<Vec3> before = mark_of(hand, "band").points;
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("point 2", {2, 7}); });
        const std::vector<Vec3> after = mark_of(hand, "band").points;
        REQUIRE(after.size() == 4);
        for (const std::size_t i : {0, 2, 3}) CHECK(after[i] == before[i]);
        CHECK((in_design(after[1]) - in_design(before[1])).head<2>().isApprox(by, 2e-3));
        CHECK(off_cast(*sole, in_design(after[1])) < 2e-3);
        CHECK(mark_of(hand, "band").by == "T9");
        hand.hold(Hand::ctrl);
        one_step(hand, [&] { hand.click(0.5 * (drag.handle("point 3") + drag.handle("point 4"))); });
        REQUIRE(mark_of(hand, "band").points.size() == 5);
        CHECK(off_cast(*sole, in_design(mark_of(hand, "band").points[3])) < 2e-3);
        hand.hold(Hand::alt);
        one_step(hand, [&] { hand.click(drag.handle("point 4")); });
        hand.hold(Hand::none);
        CHECK(mark_of(hand, "band").points == after);
    }
    SECTION("a traced mark is bent, its ends stay") {
        hand.give("setting person T9");
        hand.give("mark add trace line " + points_along(*sole, 30, 110, 80, -4));
        hand.give("select mark trace");
        const std::vector<Vec3> before = mark_of(hand, "trace").points;
        Vec2 by = Vec2::Zero();
        one_step(hand, [&] { by = drag.by("point 5", {0, 6}); });
        const std::vector<Vec3> after = mark_of(hand, "trace").points;
        REQUIRE(after.size() == before.size());
        CHECK(after.front() == before.front());
        CHECK(after.back() == before.back());
        double most = 0;
        std::size_t moved = 0;
        for (std::size_t i = 0; i < after.size(); ++i) {
            const double way = (in_design(after[i]) - in_design(before[i])).head<2>().norm();
            most = std::max(most, way);
            moved += way > 0.01 ? 1 : 0;
            CHECK(off_cast(*sole, in_design(after[i])) < 5e-3);
        }
        CHECK(most == Approx(by.norm()).margin(0.01));
        CHECK(moved > 10);  // its neighbours go along
        CHECK(moved < 30);  // as far as the next handles
    }
    SECTION("recorded and done again it is the same job") {
        hand.give("setting person T9");
        hand.give("mark add trace line " + points_along(*sole, 30, 110, 80, -4));
        hand.give("select mark trace");
        drag.by("point 3", {0, 6});
        drag.by("point 4", {2, -3}, Hand::ctrl);
        hand.give(std::string("select landmark ") + foot::key(head));
        drag.by("place", {-4, 3}, Hand::shift);
        drag.arrow(ImGuiKey_UpArrow);
        tests::done_again(hand);
    }
}

}  // namespace

TEST_CASE("dragging: landmarks and marks on the cast of a left foot") {
    tests::with_foot("left", on_the_cast);
}

TEST_CASE("dragging: landmarks and marks on the cast of a right foot") {
    tests::with_foot("right", on_the_cast);
}
