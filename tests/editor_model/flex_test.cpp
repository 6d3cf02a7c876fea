// The shell on the virtual bench in a session: behind the screen, again after every change.
#include "editor/model/session.hpp"
#include "engine/design/job_file.hpp"
#include "tests/editor_model/desk.hpp"

using namespace archwright;
using namespace archwright::editor::model;
using Catch::Contains;
using tests::Desk, tests::give, tests::refused;

namespace {

std::shared_ptr<const Flexed> flexed(Session& session) {
    give(session, "wait");
    const auto made = session.flexed();
    REQUIRE(made);
    REQUIRE(made->edition == session.edition());
    if (made->fault) FAIL(made->fault->message);
    REQUIRE(made->result);
    return made;
}

}  // namespace

TEST_CASE("flex: a load, another ground, a thicker wall, a revision beside it; then none") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    give(session, "set wall.base_mm 5");  // small deflections, which are quick
    give(session, "wait");
    const std::string job = design::write_job(session.job());
    give(session, "flex arch-press");
    CHECK(session.view("map") == "deflection");
    const auto plate = flexed(session);
    CHECK(plate->whole);
    CHECK(plate->result->variations.size() == 8);
    CHECK(plate->carried.moved.size() == plate->now->device->made().mesh.points.size());
    double most = 0.0;
    for (const Vec3& moved : plate->carried.moved) most = std::max(most, moved.norm());
    CHECK(most >= plate->result->curve.back().deflection);
    CHECK(design::write_job(session.job()) == job);  // nothing of the job

    give(session, "flex arch-press friction=0");
    const auto smooth = flexed(session);
    CHECK(smooth->result->stiffness < plate->result->stiffness);

    // again after a change, and what it was beside it
    give(session, "set wall.base_mm 5.5");
    CHECK((!session.flexed() || session.flexed()->edition != session.edition()));
    const auto thick = flexed(session);
    CHECK(thick->result->stiffness > smooth->result->stiffness);
    CHECK_FALSE(thick->other_result);
    give(session, "compare step 1");
    const auto both = flexed(session);
    REQUIRE(both->other_result);
    CHECK(both->other_result->stiffness == Approx(smooth->result->stiffness).epsilon(1e-6));
    CHECK(both->result->stiffness == Approx(thick->result->stiffness).epsilon(1e-6));

    give(session, "flex off");
    CHECK_FALSE(session.flex());
    CHECK_FALSE(session.flexed());
    CHECK(session.idle());
    CHECK_THAT(refused(session, "flex jump"), Contains("jump"));
    CHECK_THAT(refused(session, "flex torsion friction=-1"), Contains("friction"));
}

TEST_CASE("flex: changes that come faster than answers end at the answer of the last") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    give(session, "wait");
    give(session, "flex forefoot-lift");
    const double before = flexed(session)->result->stiffness;
    for (int i = 0; i < 6; ++i) {
        give(session, "set wall.base_mm " + std::to_string(3 + i % 2) + ".5");
        session.wait(0.05);
        give(session, i % 2 == 0 ? "flex torsion" : "flex forefoot-lift");
    }
    const auto last = flexed(session);
    CHECK(last->with.load == flex::LoadCase::forefoot_lift);
    CHECK(last->result->stiffness > before);  // 4.5 mm
    give(session, "flex arch-press");
    give(session, "cancel");
    give(session, "wait");
    CHECK_FALSE(session.flex());
}
