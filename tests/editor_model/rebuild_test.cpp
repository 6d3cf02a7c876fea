// Work behind the screen: the newest wins, cancelled anywhere it leaves nothing half done.
#include "editor/model/rebuild.hpp"

#include <atomic>
#include <random>
#include <thread>

#include "engine/design/asset_files.hpp"
#include "tests/editor_model/desk.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::editor::model;
using Catch::Contains;
using tests::Desk, tests::give, tests::refused;

namespace {

void settle(Session& session) {
    while (!session.idle()) session.wait(1.0);
    session.poll();
}

/// Whether two devices are the same to the last bit, as far as their meshes and checks show.
bool same(const build::Device& a, const build::Device& b) {
    const auto& p = a.made().mesh.points;
    const auto& q = b.made().mesh.points;
    if (p.size() != q.size() || a.checks.size() != b.checks.size()) return false;
    for (std::size_t i = 0; i < p.size(); ++i)
        if (p[i] != q[i]) return false;
    for (std::size_t i = 0; i < a.checks.size(); ++i)
        if (a.checks[i].message != b.checks[i].message || a.checks[i].verdict != b.checks[i].verdict)
            return false;
    return true;
}

/// The device of this job, from nothing.
build::Device fresh(const Session& session) {
    build::Setting setting;
    setting.job_path = session.job_path();
    setting.materials = session.materials();
    build::Workbench bench(setting);
    Progress progress;
    auto device = bench.build(session.job(), session.foot(), progress);
    REQUIRE(device.ok());
    return std::move(*device);
}

}  // namespace

TEST_CASE("rebuild: a preview first, then the exact shell, each with its edition") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    give(session, "feature add spot cavity points=[[60,0]]");
    settle(session);
    REQUIRE(session.view_of(Side::left).proved());
    const auto before = session.view_of(Side::left).latest;
    give(session, "set features[spot].depth_mm 3");
    CHECK(session.view_of(Side::left).stale);
    bool preview = false;
    while (!session.idle() || session.view_of(Side::left).stale) {
        session.wait(1.0);
        const FootView view = session.view_of(Side::left);
        if (view.latest->reach == FootResult::Reach::preview) {
            preview = true;
            CHECK(view.latest->edition == session.edition());
            CHECK(view.latest->preview->mesh.points.size() ==
                  before->device->shelled->mesh.mesh.points.size());
            CHECK(view.sound == before);  // the last whole device is still there
        }
    }
    settle(session);
    CHECK(preview);
    const FootView view = session.view_of(Side::left);
    REQUIRE(view.proved());
    CHECK(view.sound == view.latest);
    CHECK(same(*view.latest->device, fresh(session)));
    CHECK_FALSE(same(*view.latest->device, *before->device));
}

TEST_CASE("rebuild: edits of the wall and of the trim line are previewed, others are not") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    settle(session);
    REQUIRE(session.view_of(Side::left).proved());
    struct Line {
        const char* text;
        bool previewed, other_triangles;
    };
    for (const Line& line :
         {Line{"region add arch [[45,-10],[45,18],[85,18],[85,-10]] 4.2 blend_mm=12", true, false},
          Line{"set wall.regions[arch].outline [[48,-10],[48,18],[88,18],[88,-10]]", true, false},
          Line{"set wall.base_mm 3.6", true, false}, Line{"set trim.cup_posterior_mm 15", true, true},
          Line{"entry add trim.controls {\"station\": 0.5, \"medial\": true, \"offset_mm\": 2}", true, true},
          Line{"set rim.kind square", false, false}, Line{"undo", false, false}}) {
        INFO(line.text);
        const auto before = session.view_of(Side::left).latest;
        give(session, line.text);
        std::shared_ptr<const FootResult> preview;
        while (!session.idle() || session.view_of(Side::left).stale) {
            session.wait(1.0);
            const FootView view = session.view_of(Side::left);
            if (view.latest->reach == FootResult::Reach::preview && !view.stale) preview = view.latest;
        }
        settle(session);
        CHECK((preview != nullptr) == line.previewed);
        const FootView view = session.view_of(Side::left);
        REQUIRE(view.proved());
        if (!preview) continue;
        CHECK((preview->preview_shell != nullptr) == line.other_triangles);
        const auto& was = before->device->shelled->mesh;
        CHECK((preview->preview->mesh.triangles == was.mesh.triangles) != line.other_triangles);
        // it shows the shell that follows
        const Box3 shown = preview->preview->mesh.box(),
                   exact = view.latest->device->shelled->mesh.mesh.box();
        CHECK((shown.low - exact.low).cwiseAbs().maxCoeff() < 0.5);
        CHECK((shown.high - exact.high).cwiseAbs().maxCoeff() < 0.5);
    }
    CHECK(same(*session.view_of(Side::left).latest->device, fresh(session)));
}

TEST_CASE("rebuild: the newest of many wishes wins") {
    std::mt19937_64 random(tests::seed());
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    for (int i = tests::cases(30, 3, "races of rebuilds"); i > 0; --i) {
        for (std::size_t n = 2 + random() % 6; n > 0; --n) {
            give(session,
                 "set trim.cup_posterior_mm " + std::to_string(12 + static_cast<double>(random() % 80) / 10));
            if (random() % 2 == 0)
                give(session,
                     "set wall.base_mm " + std::to_string(3 + static_cast<double>(random() % 10) / 10));
            if (random() % 4 == 0) give(session, "undo");
            std::this_thread::sleep_for(std::chrono::milliseconds(random() % 400));
            session.poll();
        }
        settle(session);
        const FootView view = session.view_of(Side::left);
        REQUIRE(view.proved());
        CHECK(view.latest->edition == session.edition());
        CHECK(same(*view.latest->device, fresh(session)));
    }
}

TEST_CASE("rebuild: cancelled at every tick it leaves the last sound device, and can be done again") {
    const Desk desk;
    std::atomic<int> ticks{0}, stop_at{-1};
    Setup setup = desk.setup();
    std::atomic<bool> cancel{false};
    setup.tick = [&] {
        if (++ticks == stop_at) cancel = true;
        while (cancel) std::this_thread::yield();  // held until the session cancelled it
    };
    Session session(setup);
    give(session, desk.open_line());
    settle(session);
    const auto reference = session.view_of(Side::left).latest;
    REQUIRE(reference->reach == FootResult::Reach::proved);
    // how many ticks a whole build from the trim line on has
    ticks = 0;
    give(session, "set trim.cup_posterior_mm 15");
    settle(session);
    const int all = ticks;
    REQUIRE(all > 10);
    const auto other = session.view_of(Side::left).latest;
    const int tries = tests::cases(all, std::min(all, 8), "ticks at which a rebuild was cancelled");
    int cancelled = 0;
    for (int k = 0; k < tries; ++k) {
        const bool back = k % 2 == 0;
        const auto before = session.view_of(Side::left).latest;
        ticks = 0;
        stop_at = 1 + k * all / tries;
        give(session, std::string("set trim.cup_posterior_mm ") + (back ? "14" : "15"));
        while (!session.idle()) {
            if (cancel) {
                give(session, "cancel");
                stop_at = -1;
                cancel = false;
                ++cancelled;
            }
            session.wait(0.01);
        }
        session.poll();
        const FootView view = session.view_of(Side::left);
        REQUIRE(view.sound);
        CHECK_FALSE(view.latest->fault);
        if (!view.proved()) {
            CHECK((view.latest == before || view.latest->edition == session.edition()));
            give(session, "rebuild");
            settle(session);
        }
        REQUIRE(session.view_of(Side::left).proved());
        CHECK(same(*session.view_of(Side::left).latest->device, *(back ? reference : other)->device));
    }
    CHECK(cancelled > tries / 2);
}

TEST_CASE("rebuild: what cannot be built is told, and what was sound stays") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    settle(session);
    CHECK_THAT(refused(session, "sign carpet.fit by=K1 reason=why"), Contains("does not stop this device"));
    const auto sound = session.view_of(Side::left).sound;
    give(session, "feature add far cavity points=[[400,0]]");
    settle(session);
    const FootView view = session.view_of(Side::left);
    CHECK_FALSE(view.stale);
    if (view.latest->fault) {
        CHECK(view.sound == sound);
        CHECK_THAT(view.latest->fault->message, Contains("far"));
    } else {
        CHECK_FALSE(view.latest->device->open_stops().empty());
    }
    CHECK_THAT(refused(session, "export " + (desk.folder / "out").string()),
               Contains("far") || Contains("stop"));
    CHECK_FALSE(std::filesystem::exists(desk.folder / "out" / "case-left-A.stl"));
    std::filesystem::remove(desk.folder / "cast.ply");
    Session without(desk.setup());
    give(without, desk.open_line());
    const Reply reply = give(without, "wait");
    REQUIRE(reply.told.size() == 1);
    CHECK_THAT(reply.told[0], Contains("cast.ply"));
}
