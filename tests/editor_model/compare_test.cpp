// What is compared, proposed and carried over in a session: behind the screen, superseded by every change.
#include <cmath>
#include <random>

#include "assets/generator/cast.hpp"
#include "assets/generator/cast_file.hpp"
#include "assets/generator/foot.hpp"
#include "editor/model/session.hpp"
#include "engine/base/tolerances.hpp"
#include "tests/editor_model/desk.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::editor::model;
using Catch::Contains;
using tests::Desk, tests::give, tests::refused;
using What = CompareWith::What;

namespace {

double worst_of(const compare::Difference& of, double expected = 0.0) {
    double most = 0.0;
    for (const double mm : of.mm)
        if (std::isfinite(mm)) most = std::max(most, std::abs(mm - expected));
    return most;
}

const compare::Figure* find(const Comparison& comparison, const std::string& key) {
    for (const compare::Figure& f : comparison.figures)
        if (f.key == key) return &f;
    return nullptr;
}

/// What is compared, once it is worked out.
std::shared_ptr<const Comparison> compared(Session& session) {
    give(session, "wait");
    const auto made = session.comparison();
    REQUIRE(made);
    REQUIRE(made->edition == session.edition());
    if (made->fault) FAIL(made->fault->message);
    return made;
}

/// A job of both feet, the right cast the mirror image of the left.
struct MirroredPair {
    tests::TemporaryFolder home;
    std::filesystem::path job = home.path() / "pair.json";

    MirroredPair() {
        const auto foot = generator::Foot::make({});
        REQUIRE(foot.ok());
        generator::CastSpec spec;
        spec.kind = generator::CastSpec::Kind::plaster_negative;
        spec.triangles = 40'000;
        auto cast = generator::take_cast(*foot, spec);
        REQUIRE(cast.ok());
        const auto write = [&](const char* name) {
            const auto file = home.path() / name;
            REQUIRE(generator::write_cast(file, cast->mesh, generator::CastFormat::ply_binary, "test").ok());
            return file.string();
        };
        const std::string right = write("right.ply");
        for (Vec3& p : cast->mesh.points) p.y() = -p.y();
        cast->mesh.flip();
        const std::string left = write("left.ply");
        Session session(setup());
        give(session, "new " + right + " job=" + job.string() + " side=right unit=mm by=T1");
        give(session, "add " + left + " side=left unit=mm by=T1");
        give(session, "save");
    }
    Setup setup() const {
        Setup setup;
        setup.state_folder = home.path() / "state";
        setup.unsaved_seconds = 0.05;
        return setup;
    }
};

}  // namespace

TEST_CASE("compare: a step of the history, another file, the cast; a change supersedes them") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    give(session, "set rim.kind square");
    give(session, "set wall.base_mm 3.5");
    give(session, "wait");
    give(session, "compare step 1");
    const std::string recording = session.recording(), job = design::write_job(session.job());
    CHECK(session.view("map") == "compare");
    auto made = compared(session);
    CHECK(made->with.what == What::step);
    REQUIRE(made->foot_side);
    REQUIRE(made->underside);
    CHECK(worst_of(*made->foot_side) < 1e-9);
    CHECK(made->underside->mean_mm == Approx(0.3).margin(0.01));
    CHECK(made->settings == std::vector{compare::Setting{"wall.base_mm", "3.2", "3.5"}});
    REQUIRE(find(*made, "mass") != nullptr);
    CHECK(*find(*made, "mass")->difference() > 0.0);
    // nothing of the job, and nothing of the record
    CHECK(session.recording() == recording);
    CHECK(design::write_job(session.job()) == job);

    // the job goes on: what was compared is stale, then worked out again
    give(session, "set wall.base_mm 3.6");
    CHECK((!session.comparison() || session.comparison()->edition != session.edition()));
    made = compared(session);
    CHECK(made->underside->mean_mm == Approx(0.4).margin(0.01));
    give(session, "undo 2");
    made = compared(session);
    CHECK(worst_of(*made->underside) < 1e-9);
    CHECK(made->figures.empty());
    CHECK(made->settings.empty());
    give(session, "redo 2");

    // another job file: the state before it was changed
    const auto before = desk.folder / "before.json";
    REQUIRE(design::save_job(*design::read_job(desk.job), before).ok());
    give(session, "compare file " + before.string());
    made = compared(session);
    CHECK(made->settings.size() == 2);
    CHECK(made->underside->mean_mm == Approx(0.4).margin(0.02));

    give(session, "compare cast");
    made = compared(session);
    REQUIRE(made->foot_side);
    CHECK_FALSE(made->underside);
    CHECK(made->foot_side->rms_mm < 0.5);  // a plain order keeps to its cast
    CHECK(made->foot_side->area_mm2 > 1e3);

    give(session, "compare off");
    CHECK_FALSE(session.comparison());
    CHECK(session.view("map") != "compare");

    CHECK_THAT(refused(session, "compare step 99"), Contains("no step 99"));
    CHECK_THAT(refused(session, "compare step -1"), Contains("whole number"));
    CHECK_THAT(refused(session, "compare step"), Contains("NUMBER"));
    CHECK_THAT(refused(session, "compare cast 3"), Contains("nothing more"));
    CHECK_THAT(refused(session, "compare other_foot"), Contains("one foot"));
    CHECK_THAT(refused(session, "compare file " + (desk.folder / "no.json").string()), Contains("no.json"));
    CHECK_THAT(refused(session, "compare file " + (desk.folder / "cast.ply").string()), Contains("cast.ply"));
    CHECK(session.compared_with().what == What::none);
}

TEST_CASE("propose: what a command would change is shown, and nothing is changed until it is done") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    give(session, "wait");
    const std::string job = design::write_job(session.job()), recording = session.recording();
    give(session, "propose \"set wall.base_mm 3.6\"");
    auto made = compared(session);
    CHECK(made->with.command == "set wall.base_mm 3.6");
    CHECK(made->underside->mean_mm == Approx(0.4).margin(0.02));  // positive: it would be added
    CHECK(made->settings == std::vector{compare::Setting{"wall.base_mm", "3.2", "3.6"}});
    CHECK(*find(*made, "mass")->difference() > 0.0);
    CHECK(design::write_job(session.job()) == job);
    CHECK(session.recording() == recording);
    CHECK_FALSE(session.history()->can_undo());
    // done, it is one step, and no proposal any more
    give(session, made->with.command);
    CHECK(session.history()->position() == 1);
    CHECK(session.compared_with().what == What::none);
    CHECK(session.foot() == Side::left);
    give(session, "undo");
    CHECK(design::write_job(session.job()) == job);

    // one that cannot be built says so
    give(session, "propose \"set trim.distal_first_mm 60\"");
    give(session, "wait");
    REQUIRE(session.comparison());
    CHECK((session.comparison()->fault || session.comparison()->foot_side));
    give(session, "propose off");
    CHECK(session.compared_with().what == What::none);

    CHECK_THAT(refused(session, "propose \"undo\""), Contains("changes nothing"));
    CHECK_THAT(refused(session, "propose \"set wall.base_mm 900\""), Contains("wall.base_mm"));
    CHECK_THAT(refused(session, "propose \"state unit=mm by=T1\""), Contains("changes nothing"));
    CHECK_THAT(refused(session, "propose \"frobnicate\""), Contains("frobnicate"));
}

TEST_CASE("compare: whatever comes between, what is shown in the end is of the job as it is") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    std::mt19937_64 random(tests::seed());
    const std::vector<std::string> lines{"set wall.base_mm 3.5",
                                         "set wall.base_mm 3.2",
                                         "set trim.cup_medial_mm 15",
                                         "compare step 0",
                                         "compare cast",
                                         "propose \"set wall.base_mm 4\"",
                                         "cancel",
                                         "undo",
                                         "rebuild",
                                         "compare off",
                                         "view map wall"};
    for (int i = tests::cases(400, 60, "commands between comparisons"); i > 0; --i) {
        (void)session.run(lines[random() % lines.size()]);
        if (random() % 3 == 0) session.wait(0.05);
        session.poll();
        if (const auto made = session.comparison(); made && made->edition == session.edition())
            CHECK(made->with == session.compared_with());
    }
    give(session, "set wall.base_mm 3.9");
    give(session, "compare step 0");
    const auto made = compared(session);
    bool wall = false;
    for (const compare::Setting& setting : made->settings)
        wall = wall || (setting.name == "wall.base_mm" && setting.after == "3.9");
    CHECK(wall);
    CHECK(made->underside->mean_mm == Approx(0.7).margin(0.05));
}

TEST_CASE("carry: the order goes to the other foot mirrored, and is done again by its recording") {
    const MirroredPair pair;
    Session session(pair.setup());
    give(session, "open " + pair.job.string());
    give(session, "foot left");
    give(session, "set trim.cup_medial_mm 17 foot=left");
    give(session, "set wall.base_mm 3.6 foot=left");
    give(session, "region add arch [[50,5],[110,5],[110,25],[50,25]] 4.2 foot=left");
    give(session, "wait");
    // a relief on a mark of the left cast, where the sole lies over x 60
    const auto received = session.view_of(Side::left).latest->received;
    Vec3 place = Vec3::Zero();
    double best = 1e300;
    for (const Vec3& p : received->standing.mesh.points)
        if (const double away = (p - Vec3(60, -10, 5)).norm(); away < best) best = away, place = p;
    const Vec3 scan = received->standing.frame.to_scan(place);
    const auto number = [](double v) { return std::to_string(v); };
    give(session, "mark add sore spot [[" + number(scan.x()) + "," + number(scan.y()) + "," +
                      number(scan.z()) + "]] meaning=pain by=T1 foot=left");
    give(session, "feature add over cavity anchor=sore foot=left");

    // what it would change is told before; of the other foot alone
    give(session, "foot right");
    give(session, "propose \"carry left\"");
    auto made = compared(session);
    CHECK(made->settings.size() >= 4);
    CHECK(made->underside->most_added_mm > 0.3);
    const std::size_t steps = session.history()->position();
    give(session, made->with.command);
    CHECK(session.history()->position() == steps + 1);
    const design::FootDesign &left = *session.job().left, &right = *session.job().right;
    REQUIRE(right.marks.size() == 1);
    CHECK(right.marks.front().open());
    CHECK(left.marks.front().by == "T1");

    // mirrored casts to mirrored orders: mirrored shells
    give(session, "compare other_foot");
    made = compared(session);
    CHECK(worst_of(*made->foot_side) <= tolerance::mirror_mm);
    CHECK(worst_of(*made->underside) <= tolerance::mirror_mm);
    REQUIRE(made->cast);
    CHECK(worst_of(*made->cast) <= tolerance::mirror_mm);
    CHECK(made->settings.empty());

    // to and fro changes nothing more
    const std::string once = design::write_job(session.job());
    give(session, "carry right");
    give(session, "carry left");
    CHECK(design::write_job(session.job()) == once);

    // parts alone
    give(session, "set trim.cup_medial_mm 12 foot=right");
    give(session, "set wall.base_mm 2.8 foot=right");
    give(session, "carry right parts=trim");
    CHECK(session.job().left->trim.cup_medial_mm == 12);
    CHECK(session.job().left->wall.base_mm == 3.6);
    CHECK_THAT(refused(session, "carry right parts=trimm"), Contains("\"trim\""));

    const std::string recorded = session.recording();
    CHECK(recorded.find("compare") == std::string::npos);
    CHECK(recorded.find("propose") == std::string::npos);
    Setup other_setup = pair.setup();
    other_setup.state_folder = pair.home.path() / "other";
    Session again(other_setup);
    const auto done = run_script(again, recorded, "recording", [](const std::string&) {});
    if (!done) FAIL(done.fault().message);
    CHECK(design::write_job(again.job()) == design::write_job(session.job()));
    CHECK(again.recording() == recorded);
}
