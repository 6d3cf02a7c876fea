// Pictures of shells with apertures and posts.
#include <catch2/catch.hpp>
#include <numbers>

#include "engine/picture/board.hpp"
#include "engine/picture/sheet.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/analytic_shells.hpp"

using namespace archwright;
using namespace archwright::picture;

namespace {

struct Looped {
    surface::Shell shell = tests::plate(surface::Rim::Kind::rounded).shell;
    surface::ShellMesh mesh;
    Looped() {
        shell.apertures.push_back({"met", tests::uv_circle({85, 40}, 9), {surface::Rim::Kind::square, 0.5}});
        shell.posts.push_back(
            {"rearfoot", tests::uv_circle({40, 40}, 16), 0.0, Vec3(0, 0, -7), -Vec3::UnitZ()});
        auto made = surface::mesh_shell(shell);
        REQUIRE(made.ok());
        mesh = std::move(*made);
    }
    PictureInput input() const {
        PictureInput in;
        in.case_code = "WREN-0001";
        in.shell = &shell;
        in.shell_mesh = &mesh;
        in.base_wall_mm = tests::Plate::thickness;
        return in;
    }
};

}  // namespace

TEST_CASE("the wall drawn above a post goes through it, and does not stretch the scale") {
    const Looped looped;
    const PictureInput input = looped.input();
    const Subject subject(input);
    constexpr double t = tests::Plate::thickness;
    CHECK(subject.wall_at({30, 0, t}).wall_mm == Approx(t + 7));             // the post's middle
    CHECK(subject.wall_at({55, 0, t}).wall_mm == Approx(t));                 // beside it
    CHECK(subject.wall_at({75, 9.2, t}).wall_mm == Approx(t).margin(0.01));  // at the aperture's edge
    std::size_t over = 0;
    for (std::size_t i = 0; i < looped.mesh.foot_side_points; ++i) {
        const Vec2 uv = looped.mesh.uv[i];
        const double r = (uv - Vec2(40, 40)).norm();
        if (std::abs(r - 16) > 0.01) CHECK(subject.over_post(i) == (r < 16));
        over += subject.over_post(i);
    }
    CHECK(over > 0);
    const MapScale scale = wall_scale(subject);
    CHECK(scale.low <= t);
    CHECK(scale.high < t + 1.5);
    CHECK(subject.ground() == Approx(-7));
}

TEST_CASE("every edge of a shell with loops is drawn") {
    const Looped looped;
    const PictureInput input = looped.input();
    const Subject subject(input);
    REQUIRE(subject.hole_edges().size() == 1);
    REQUIRE(subject.lower_edges().size() == 3);  // the aperture's below, the post's above and on its floor
    for (const Vec3& p : subject.hole_edges()[0]) {
        CHECK(p.z() == Approx(tests::Plate::thickness));
        CHECK((p.head<2>() - Vec2(75, 0)).norm() == Approx(9).margin(0.01));
    }
    CHECK(subject.lower_edges()[2].front().z() == Approx(-7));
    PictureSettings settings;
    settings.width = 900;
    settings.height = 600;
    const auto whole = compose(input, settings);
    REQUIRE(whole.ok());
    // the plan shows the board through the aperture
    settings.views = {"plan"};
    PictureInput closed = input;
    surface::Shell filled = looped.shell;
    filled.apertures.clear();
    closed.shell = &filled;
    const auto with = compose(input, settings), without = compose(closed, settings);
    REQUIRE((with.ok() && without.ok()));
    CHECK(with->pixels != without->pixels);
}
