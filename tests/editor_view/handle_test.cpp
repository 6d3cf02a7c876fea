// Handles without a screen: a handle comes to stand where it was brought, and means commands that are done.
#include <catch2/catch.hpp>
#include <random>

#include "editor/view/handle.hpp"
#include "editor/view/handle_curve.hpp"
#include "engine/base/text.hpp"
#include "engine/design/wall_map.hpp"
#include "tests/editor_model/desk.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::editor;

namespace {

/// A job with one of each kind, and what is shown of it.
struct Things {
    tests::Desk desk;
    model::Session session{desk.setup()};
    std::shared_ptr<const view::Shown> shown;
    std::shared_ptr<const view::Sole> sole;

    Things() {
        tests::give(session, desk.open_line());
        tests::give(session, "wait");  // the shell without them: all of them together are no sound shape
        for (const char* line :
             {"feature add spot cavity points=[[62,4]]", "set features[spot].length_mm 24",
              "set features[spot].turn_deg 30", "feature add band groove points=[[50,-2],[80,0],[110,2]]",
              "feature add wedge pad points=[[20,-8],[20,8],[38,10],[40,-10]]",
              "feature add vent aperture points=[[92,14]]", "feature add dome metatarsal_dome",
              "set features[dome].turn_deg -20", "feature add bar metatarsal_bar",
              "feature add held pad anchor=fifth_base", "set features[held].medial_mm 12"})
            tests::give(session, line);
        const model::FootView now = session.view_of(Side::left);
        REQUIRE(now.sound);
        shown = view::Shown::make(now.sound, foot());
        REQUIRE(shown);
        sole = view::Sole::of(*shown, nullptr);
        REQUIRE(sole);
        REQUIRE(sole->carpet() != nullptr);
    }
    const design::FootDesign& foot() const { return *session.job().foot(Side::left); }
    view::Handles handles(const std::string& name) const {
        return view::handles_of(foot(), {"feature", name}, sole);
    }
};

}  // namespace

TEST_CASE("handles: where one is brought it stands afterwards") {
    Things things;
    std::mt19937_64 random(tests::seed());
    std::uniform_real_distribution<double> any(-4, 4);
    const int count = tests::cases(400, 80, "handles brought somewhere");
    const char* names[] = {"spot", "band", "wedge", "vent", "dome", "bar", "held"};
    int refused = 0;
    for (int n = 0; n < count; ++n) {
        const std::string name = names[random() % std::size(names)];
        const view::Handles all = things.handles(name);
        REQUIRE_FALSE(all.empty());
        REQUIRE(all.whole);
        const std::size_t which = random() % (all.list.size() + 1);
        const view::Handle& handle = which < all.list.size() ? all.list[which] : *all.whole;
        const double dx = any(random), dy = any(random);
        Vec3 to = things.sole->over(handle.at.head<2>() + Vec2(dx, dy));
        if (!handle.upright.isZero()) to = handle.at + Vec3(0, 0, 0.3 * dx);
        INFO(n << ": " << name << " " << handle.part << " by " << dx << ", " << dy);
        const auto moved = handle.move({handle.at, to});
        if (!moved) {
            ++refused;
            continue;
        }
        for (const std::string& line : moved->commands) tests::give(things.session, line);
        const view::Handles now = things.handles(name);
        const view::Handle* same = now.find(handle.part);
        REQUIRE(same != nullptr);
        if (handle.glyph == view::Handle::Glyph::point || handle.glyph == view::Handle::Glyph::whole) {
            // rounded to a tenth, each way; what lies on a landmark is moved by tenths from there
            CHECK((same->at - to).head<2>().cwiseAbs().maxCoeff() < 0.05 + 1e-6);
        } else if (!handle.upright.isZero()) {
            // square to the surface it follows the hand, within its bounds
            const Vec3 went = same->at - handle.at;
            if (went.norm() > 0.06 && same->at.z() < 50)
                CHECK(std::abs((to - handle.at).dot(went.normalized()) - went.norm()) < 0.051);
        } else if (handle.glyph == view::Handle::Glyph::size) {
            // it follows the hand along its own way alone; sizes are bounded, and a groove's line is curved
            const Vec2 way = (handle.at - all.whole->at).head<2>().normalized();
            if (name != "band" && name != "bar") CHECK(std::abs((same->at - to).head<2>().dot(way)) < 0.6);
        } else {
            const Vec2 wanted = (to - handle.stem).head<2>(), is = (same->at - same->stem).head<2>();
            CHECK(std::abs(std::atan2(wanted.x() * is.y() - wanted.y() * is.x(), wanted.dot(is))) <
                  radians(3.0));
        }
        // brought to where it is it changes nothing
        const std::string before = design::write_job(things.session.job());
        const view::Handle* again = now.find(handle.part);
        const auto still = again->move({again->at, again->at});
        REQUIRE(still.ok());
        view::Drag exactly{again->at, again->at};
        exactly.exact = true;
        const auto exact = again->move(exactly);
        REQUIRE(exact.ok());
        if (again->glyph != view::Handle::Glyph::point)
            for (const std::string& line : exact->commands) tests::give(things.session, line);
        CHECK(design::write_job(things.session.job()) == before);
        tests::give(things.session, "undo " + std::to_string(things.session.history()->position() - 11));
    }
    CHECK(refused < count / 4);
}

TEST_CASE("handles: what lies under a place of the plan") {
    Things things;
    view::Pickable which;
    CHECK_FALSE(view::thing_at(things.foot(), which, {62, 4}, 4, things.sole));
    which.features = true;
    const auto at = [&](double x, double y) {
        const auto thing = view::thing_at(things.foot(), which, {x, y}, 1.0, things.sole);
        return thing ? thing->name : std::string();
    };
    CHECK(at(62, 4) == "spot");
    CHECK(at(80, 0) == "band");
    CHECK(at(30, 0) == "wedge");
    CHECK(at(92, 14) == "vent");
    CHECK(at(0, 0).empty());
    CHECK(at(-200, 0).empty());
    // the groove's axis goes before the spot that it crosses
    CHECK(at(55, -1.6) == "band");
}

TEST_CASE("handles: a thing that has no place has none") {
    Things things;
    CHECK(view::handles_of(things.foot(), {"none", ""}, things.sole).empty());
    CHECK(view::handles_of(things.foot(), {"feature", "nowhere"}, things.sole).empty());
    CHECK(view::handles_of(things.foot(), {"check", "wall.least"}, things.sole).empty());
    CHECK(view::handles_of(things.foot(), {"feature", "spot"}, nullptr).empty());
    // on a mark that is gone
    tests::give(things.session, "set features[spot].anchor nothing-here");
    CHECK(things.handles("spot").empty());
    // nothing shown has a surface that does not belong to its cast
    CHECK(view::Sole::of(*things.shown, things.sole) == things.sole);
}

TEST_CASE("handles: the trim line they show is the one that is built") {
    Things things;
    for (const char* name : {"spot", "band", "wedge", "vent", "dome", "bar", "held"})
        tests::give(things.session, std::string("feature remove ") + name);
    std::mt19937_64 random(tests::seed());
    std::uniform_real_distribution<double> any(-1, 1);
    const int count = tests::cases(12, 3, "trim lines");
    for (int n = 0; n < count; ++n) {
        std::string controls;
        for (int i = 0; i < 3; ++i) {
            const double station = 0.35 + 0.25 * i + 0.1 * any(random), offset = 4.0 * any(random);
            controls += std::string(i == 0 ? "" : ", ") + "{\"station\": " + exact(station) +
                        ", \"medial\": " + (i % 2 == n % 2 ? "true" : "false") +
                        ", \"offset_mm\": " + exact(offset) + "}";
        }
        INFO(controls);
        tests::give(things.session, "set trim.controls [" + controls + "]");
        const view::Handles handles = view::handles_of(things.foot(), {"control", ""}, things.sole);
        REQUIRE(handles.list.size() == 3);
        REQUIRE(handles.curves.size() == 1);
        tests::give(things.session, "wait");
        const model::FootView now = things.session.view_of(Side::left);
        REQUIRE(now.latest);
        if (!now.latest->device || !now.latest->device->surfaced) continue;  // it stops there
        const auto& trim = now.latest->device->surfaced->trim;
        double most = 0;
        for (const surface::TrimStation& s : trim.stations)
            most = std::max(most, view::nearest_on(handles.curves[0], s.p.head<2>()).distance);
        // the walk outward is by strides of a millimetre on the same surface
        CHECK(most < 0.25);
        // and the handles stand on the line that was built
        view::HandleCurve built;
        built.closed = true;
        for (double at = 0; at < trim.curve.period(); at += 0.25)
            built.points.push_back(things.sole->carpet()->point(trim.curve.point(at)).head<2>());
        for (const view::Handle& handle : handles.list)
            CHECK(view::nearest_on(built, handle.at.head<2>()).distance < 0.5);
    }
}

TEST_CASE("handles: a region's curve is where its wall is half way, in its handles and in the plan") {
    Things things;
    for (const char* name : {"spot", "band", "wedge", "vent", "dome", "bar", "held"})
        tests::give(things.session, std::string("feature remove ") + name);
    tests::give(things.session, "region add column [[40,-25],[52,22],[95,26],[90,-22]] 4.2 blend_mm=8");
    tests::give(things.session, "wait");
    const model::FootView now = things.session.view_of(Side::left);
    REQUIRE(now.sound);
    const auto shown = view::Shown::make(now.sound, things.foot());
    const design::Wall& wall = things.foot().wall;
    const design::WallMap map(wall, {-30, 170});
    const double half_way = 0.5 * (wall.base_mm + 4.2);
    const view::Handles handles = view::handles_of(things.foot(), {"region", "column"}, things.sole);
    REQUIRE(handles.curves.size() == 1);
    for (const Vec2& p : handles.curves[0].points)
        CHECK(map.at(p.x(), p.y()) == Approx(half_way).margin(0.01));
    std::size_t regions = 0;
    for (const picture::PlanOutline& outline : shown->subject().input().outlines) {
        if (outline.kind != picture::PlanOutline::Kind::wall_region) continue;
        ++regions;
        CHECK(outline.points.size() > 40);
        for (const Vec2& p : outline.points) CHECK(map.at(p.x(), p.y()) == Approx(half_way).margin(0.01));
    }
    CHECK(regions == 1);
}
