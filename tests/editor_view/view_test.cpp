// The views on a device that only counts: drawn when something changes, filled in place, nothing left behind.
#include <catch2/catch.hpp>

#include "editor/view/fields.hpp"
#include "editor/view/null_device.hpp"
#include "editor/view/page.hpp"
#include "editor/view/plan_print.hpp"
#include "tests/editor_model/desk.hpp"

using namespace archwright;
using namespace archwright::editor;

namespace {

std::shared_ptr<const view::Shown> shown_of(model::Session& session) {
    tests::give(session, "wait");
    const model::FootView now = session.view_of(session.foot());
    REQUIRE(now.proved());
    auto shown = view::Shown::make(now.latest, *session.job().foot(session.foot()));
    REQUIRE(shown);
    return shown;
}

}  // namespace

TEST_CASE("views are drawn when something changes, and only then") {
    const tests::Desk desk;
    model::Session session(desk.setup());
    tests::give(session, desk.open_line());
    view::NullDevice device;
    {
        view::Skins skins(device);
        view::ModelView model(device, skins);
        view::PlanPrint plan(device, skins);
        const std::size_t programs = device.counts().programs;
        CHECK(model.draw({}) == 0);  // nothing is shown yet
        auto shown = shown_of(session);
        skins.show(shown);
        shown->work_out(view::Map::wall);
        view::ModelSetting setting;
        setting.look = view::look_of(*shown, view::Map::wall, 3);
        setting.width = 600;
        setting.height = 500;
        CHECK(model.draw(setting) != 0);
        CHECK(model.drawn() == 1);
        const std::size_t draws = device.counts().draws;
        model.draw(setting);
        CHECK(model.drawn() == 1);
        CHECK(device.counts().draws == draws);
        for (const auto change : {0, 1, 2, 3, 4}) {
            INFO("change " << change);
            if (change == 0) setting.eye.drag({30, 10});
            if (change == 1) setting.dark = true;
            if (change == 2) setting.cast = view::CastMode::glass;
            if (change == 3) setting.map = view::Map::deviation;
            if (change == 4) setting.width = 700;
            const std::size_t before = model.drawn();
            model.draw(setting);
            CHECK(model.drawn() == before + 1);
        }
        // from below, and against a limit: another picture each
        view::PlanSetting flat;
        flat.look = setting.look;
        flat.width = 300;
        flat.height = 500;
        flat.origin = {150, 450};
        flat.pixels_per_mm = 2;
        plan.draw(flat);
        plan.draw(flat);
        CHECK(plan.drawn() == 1);
        flat.below = true;
        plan.draw(flat);
        flat.look.limit = 2.0;
        plan.draw(flat);
        plan.draw(flat);
        CHECK(plan.drawn() == 3);
        // another wall of the same mesh: no program is made again, buffers keep their places
        const std::size_t things = device.counts().things;
        tests::give(session, "set wall.base_mm 3.4");
        shown = shown_of(session);
        shown->work_out(view::Map::wall);
        skins.show(shown);
        model.draw(setting);
        plan.draw(flat);
        CHECK(plan.drawn() == 4);
        CHECK(device.counts().programs == programs);
        CHECK(device.counts().things == things);
    }
    CHECK(device.counts().things == 0);
}

TEST_CASE("what lies under the cursor is measured on the shell") {
    const tests::Desk desk;
    model::Session session(desk.setup());
    tests::give(session, desk.open_line());
    const auto shown = shown_of(session);
    const surface::ShellMesh& mesh = shown->result().device->made();
    std::size_t asked = 0, met = 0;
    for (std::size_t i = 0; i < mesh.foot_side_end; i += 97) {
        const Triangle& t = mesh.mesh.triangles[i];
        const Vec3 middle = (mesh.mesh.points[t[0]] + mesh.mesh.points[t[1]] + mesh.mesh.points[t[2]]) / 3.0;
        if (mesh.mesh.normal2(i).normalized().z() < 0.5) continue;
        ++asked;
        const auto place = shown->over(middle.head<2>());
        REQUIRE(place);
        if (!place->on_shell || std::abs(place->at.z() - middle.z()) > 1e-6)
            continue;  // a fold above hides it
        ++met;
        REQUIRE(place->wall_mm);
        CHECK(*place->wall_mm > 0.5);
        CHECK(place->height_mm == Approx(middle.z() - shown->ground()).margin(1e-9));
        CHECK(*place->slope_deg <= 60.0 + 1e-9);
        // the same place through the model's camera
        const auto camera = view::camera_of(view::Eye::from("above"), *shown, {600, 500}, 20, 0);
        const Vec3 at = camera.project(middle);
        Vec3 from, way;
        camera.ray(at.head<2>(), 1000.0, from, way);
        const auto seen = shown->meet(from, way, false);
        REQUIRE(seen);
        CHECK((seen->at - middle).norm() < 0.5);
    }
    CHECK(asked > 50);
    CHECK(met > asked * 9 / 10);
}

TEST_CASE("all of the foot fits the model's picture from wherever it is seen") {
    const tests::Desk desk;
    model::Session session(desk.setup());
    tests::give(session, desk.open_line());
    const auto shown = shown_of(session);
    const Vec2 size(595, 680);
    for (double turn = -180; turn < 180; turn += 30)
        for (const double lift : {-80.0, -20.0, 10.0, 45.0, 89.5})
            for (const double lifted : {0.0, view::lift_mm}) {
                view::Eye eye;
                eye.turn_deg = turn;
                eye.lift_deg = lift;
                const auto camera = view::camera_of(eye, *shown, size, 44, lifted);
                double least = 1e300;
                for (const Vec3& p : shown->frame())
                    for (const double up : {0.0, lifted}) {
                        const Vec3 at = camera.project(p + Vec3(0, 0, up));
                        for (const double room : {at.x(), at.y(), size.x() - at.x(), size.y() - at.y()})
                            least = std::min(least, room);
                    }
                INFO("turned " << turn << ", lifted " << lift);
                CHECK(least ==
                      Approx(44.0).margin(0.5));  // and it touches the margin: no smaller than it need be
            }
    // zooming keeps what is under the cursor
    view::Eye eye;
    const auto before = view::camera_of(eye, *shown, size, 44, 0);
    const Vec3 p = shown->frame()[shown->frame().size() / 3];
    const Vec3 at = before.project(p);
    eye.nearer(1.7, at.head<2>(), size);
    CHECK((view::camera_of(eye, *shown, size, 44, 0).project(p).head<2>() - at.head<2>()).norm() < 1e-6);
}

TEST_CASE("maps of a device are what they say, and what does not change is kept") {
    const tests::Desk desk;
    model::Session session(desk.setup());
    tests::give(session, desk.open_line());
    tests::give(session, "feature add pit cavity points=[[60,5]]");
    const auto shown = shown_of(session);
    const surface::ShellMesh& mesh = shown->result().device->made();
    for (const view::Map map :
         {view::Map::wall, view::Map::deviation, view::Map::slope, view::Map::tool, view::Map::ground,
          view::Map::shoe, view::Map::rigidity, view::Map::bending, view::Map::mass}) {
        INFO(view::name_of(map));
        CHECK_FALSE(shown->values(map));
        shown->work_out(map);
        CHECK(shown->worked_out(map));
        const auto values = shown->values(map);
        if (map == view::Map::shoe) {
            CHECK_FALSE(values);  // the order gives no insole
            continue;
        }
        REQUIRE(values);
        REQUIRE(values->foot_side.size() == shown->foot_side().count());
        const auto by_wall = view::kind_by_wall(map);
        const bool below = map == view::Map::wall || map == view::Map::ground || by_wall;
        CHECK(values->underside.size() == (below ? shown->underside().count() : 0));
        std::size_t sound = 0;
        for (std::size_t i = 0; i < values->foot_side.size(); ++i) {
            const double v = static_cast<double>(values->foot_side[i]);
            const Vec3& p = mesh.mesh.points[shown->foot_side().first_point + i];
            bool good = std::isfinite(v);
            if (map == view::Map::wall)
                good = good && std::abs(v - shown->subject().wall_at(p).wall_mm) < 1e-4;
            if (by_wall) {
                const double wall = shown->subject().wall_at(p).wall_mm, base = shown->foot().wall.base_mm,
                             cube = wall * wall * wall;
                // the material's own figures: polypropylene of the example
                const design::Material& stuff = shown->device()->shelled->material;
                const double nu = stuff.poisson_ratio.value;
                const double wanted = map == view::Map::rigidity ? cube / (base * base * base)
                                      : map == view::Map::bending
                                          ? stuff.modulus_mpa.value * cube / (12 * (1 - nu * nu))
                                          : 0.1 * stuff.density_g_cm3.value * wall;
                good = good && std::abs(v - wanted) < 1e-3 * wanted;
            }
            if (map == view::Map::slope) good = good && v >= 0 && v <= 90;
            if (map == view::Map::tool) good = good && v > 0 && v <= view::largest_ball_mm;
            if (map == view::Map::ground) good = good && v >= -1e-4 && v <= p.z() - shown->ground() + 1e-4;
            if (map == view::Map::deviation) good = good && std::abs(v) < 20;
            sound += good ? 1 : 0;
        }
        CHECK(sound == values->foot_side.size());
    }
    // the cavity is tighter than the sole round it
    const auto at = [&](double x, double y) {
        const auto place = shown->over({x, y});
        REQUIRE(place);
        return shown->value_at(view::Map::tool, *place).value_or(-1);
    };
    CHECK(at(60, 5) > 0);
    const auto pit = shown->over({60, 5});
    CHECK(*shown->value_at(view::Map::wall, *pit) == *pit->wall_mm);
    CHECK(*shown->value_at(view::Map::rigidity, *pit) ==
          Approx(std::pow(*pit->wall_mm / shown->foot().wall.base_mm, 3)));
    const view::MapLook stiff = view::look_of(*shown, view::Map::rigidity, 3);
    REQUIRE(stiff.limit);
    CHECK(stiff.scale.low >= 0);
    CHECK(stiff.beyond(0.9 * *stiff.limit));
    CHECK(*shown->value_at(view::Map::height, *pit) == pit->height_mm);
    CHECK(*shown->value_at(view::Map::slope, *pit) == *pit->slope_deg);
    CHECK(*shown->value_at(view::Map::ground, *pit) <= pit->height_mm + 1e-3);
    CHECK_FALSE(shown->value_at(view::Map::shoe, *pit));
    // a change of the wall keeps the cast, in memory and on the device
    view::NullDevice device;
    view::Skins skins(device);
    skins.show(shown);
    tests::give(session, "set wall.base_mm 3.6");
    tests::give(session, "wait");
    const auto next = view::Shown::make(session.view_of(session.foot()).latest,
                                        *session.job().foot(session.foot()), shown.get());
    REQUIRE(next);
    CHECK(&next->cast() == &shown->cast());
    const std::size_t grown = device.counts().grown, fills = device.counts().fills;
    skins.show(next);
    CHECK(device.counts().fills - fills <= 4 * 3);  // foot side, underside and the rest
    INFO(device.counts().grown - grown);
    // a section's place is found on the foot side from a little beside it
    const auto near = next->near(pit->at + Vec3(0, 0, 1.5), 3.0);
    REQUIRE(near);
    CHECK(near->on_shell);
    CHECK((near->at - pit->at).norm() < 3.0);
    CHECK_FALSE(next->near(pit->at + Vec3(0, 0, 500), 3.0));
}

TEST_CASE("a page is drawn once for one key") {
    view::NullDevice device;
    view::Page page(device);
    int drawn = 0;
    const auto act = [&](picture::Canvas& canvas) {
        ++drawn;
        canvas.fill(picture::Box{0, 0, 5, 5}, picture::Colour::hex(0x123456));
    };
    for (const char* key : {"a", "a", "b", "b", "a"}) page.draw(key, 10, 10, 2.0, act);
    CHECK(drawn == 3);
}
