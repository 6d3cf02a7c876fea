// What is drawn of an edit is taken over from what was drawn before it: the same, to the last bit, as when it
// is worked out from nothing.
#include <catch2/catch.hpp>
#include <random>

#include "editor/view/model_view.hpp"
#include "editor/view/null_device.hpp"
#include "engine/picture/crease.hpp"
#include "tests/editor_model/desk.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::editor;

namespace {

void check_skin(const view::Skin& shown, const view::Skin& alone) {
    CHECK(shown.points == alone.points);
    CHECK(shown.normals == alone.normals);
    CHECK(*shown.corners == *alone.corners);
    CHECK(shown.first_point == alone.first_point);
}

/// Every part of it against the same part made by itself.
void check_alone(const view::Shown& shown) {
    const picture::PictureInput& input = shown.subject().input();
    const surface::ShellMesh& mesh = *input.shell_mesh;
    check_skin(shown.foot_side(), *view::skin_of(mesh.mesh, 0, mesh.foot_side_end));
    check_skin(shown.underside(), *view::skin_of(mesh.mesh, mesh.foot_side_end, mesh.underside_end));
    check_skin(shown.rest(),
               *view::skin_of(picture::creased(mesh.mesh, mesh.underside_end, mesh.mesh.triangles.size())));
    const picture::Subject alone(input);
    CHECK(shown.subject().walls() == alone.walls());
    CHECK(alone.walls_measured() == mesh.mesh.points.size());
    CHECK(shown.subject().foot_edge() == alone.foot_edge());
    CHECK(shown.subject().under_edge() == alone.under_edge());
    for (std::size_t i = 0; i < mesh.foot_side_points; i += 211) {
        const Vec3& p = mesh.mesh.points[i];
        CHECK(shown.subject().wall_at(p).wall_mm == alone.wall_at(p).wall_mm);
    }
}

}  // namespace

TEST_CASE("a preview is drawn as if nothing had been drawn before it") {
    std::mt19937_64 random(tests::seed());
    std::uniform_real_distribution<double> any(0, 1);
    const tests::Desk desk;
    model::Session session(desk.setup());
    tests::give(session, desk.open_line());
    tests::give(session, "feature add pit cavity points=[[60,5]]");
    tests::give(session, "feature add band groove points=[[45,-4],[95,10]]");
    tests::give(session, "wait");
    auto before = view::Shown::make(session.view_of(Side::left).latest, *session.job().foot(Side::left));
    REQUIRE(before);
    before->work_out(view::Map::wall);
    view::NullDevice device;
    view::Skins skins(device);
    skins.show(before);
    skins.values(view::Map::wall);
    const int count = tests::cases(12, 4, "previews drawn");
    int previews = 0;
    tests::give(session, "step begin");
    for (int n = 0; n < count; ++n) {
        INFO("edit " << n);
        const double depth = 1.0 + 2.0 * any(random);
        tests::give(session, n % 3 == 2 ? "set features[band].depth_mm " + std::to_string(depth)
                                        : "set features[pit].depth_mm " + std::to_string(depth));
        std::shared_ptr<const model::FootResult> latest;
        while (!latest || latest->edition != session.edition()) {
            session.wait(1.0);
            latest = session.view_of(Side::left).latest;
        }
        const auto shown = view::Shown::make(latest, *session.job().foot(Side::left), before.get());
        REQUIRE(shown);
        // an exact shell may have come in between: a preview of it has other triangles, and follows nothing
        // yet
        const bool follows = latest->reach == model::FootResult::Reach::preview &&
                             picture::same_triangles(*before->subject().input().shell_mesh, *latest->preview);
        // asked of some, of some never: those that follow take over from the last that was
        if (n % 2 == 0 || !follows) shown->work_out(view::Map::wall);
        const std::size_t grown = device.counts().grown, fills = device.counts().fills;
        skins.show(shown);
        skins.values(view::Map::wall);
        if (follows) {
            ++previews;
            CHECK(device.counts().grown == grown);              // in place
            CHECK(device.counts().fills - fills <= 2 * 3 + 2);  // points and normals; no triangles, no cast
            const auto values = shown->values(view::Map::wall);
            REQUIRE((values != nullptr) == (n % 2 == 0));
            if (values) {
                // colours follow the gap; what is measured is measured where it can have changed
                CHECK(values->estimated);
                CHECK(values->foot_side.size() == shown->foot_side().count());
                CHECK(values->underside.size() == shown->underside().count());
                const std::vector<double>& walls = shown->subject().walls();
                INFO(shown->subject().walls_measured() << " walls measured");
                CHECK(shown->subject().walls_measured() < walls.size() * 2 / 3);
                CHECK(shown->faded(view::Map::wall, false) > 0.0);  // an estimate is not in full ink
                double off = 0.0;
                for (std::size_t i = 0; i < values->foot_side.size(); ++i)
                    off += std::abs(static_cast<double>(values->foot_side[i]) -
                                    walls[shown->foot_side().first_point + i]);
                off /= static_cast<double>(values->foot_side.size());
                INFO("estimated walls are off by " << off << " mm in the mean");
                CHECK(off < 0.2);
            }
            CHECK(&shown->cast() == &before->cast());
        }
        check_alone(*shown);
        before = shown;
    }
    CHECK(previews > 0);
    tests::give(session, "step end");
    tests::give(session, "wait");
    const auto exact =
        view::Shown::make(session.view_of(Side::left).latest, *session.job().foot(Side::left), before.get());
    REQUIRE(exact->result().reach == model::FootResult::Reach::proved);
    check_alone(*exact);
    // the same shell once more: nothing goes to the device again
    const auto again =
        view::Shown::make(session.view_of(Side::left).latest, *session.job().foot(Side::left), exact.get());
    skins.show(exact);
    const std::size_t fills = device.counts().fills;
    skins.show(again);
    CHECK(device.counts().fills == fills);
    check_alone(*again);
}
