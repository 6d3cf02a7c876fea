// The example case, the ink on its cast, and the list of recent cases.
#include <fstream>

#include "editor/model/recent.hpp"
#include "editor/model/session_commands.hpp"
#include "tests/editor_model/desk.hpp"

using namespace archwright;
using namespace archwright::editor::model;
using Catch::Contains;

namespace fs = std::filesystem;

TEST_CASE("example: made by its program, opened, and opened again without being made") {
    tests::TemporaryFolder home;
    const fs::path folder = home.path();
    Setup setup;
    setup.state_folder = folder / "state";
    setup.config_folder = folder / "config";
    setup.example_program = fs::path(ARCHWRIGHT_BINARY_DIR) / "archwright-demo";
    Session session(setup);
    tests::give(session, "example");
    REQUIRE(session.has_job());
    CHECK(session.job().case_code == "LARK-2207");
    const fs::path job = folder / "state" / "example" / "lark-2207.json";
    CHECK(session.job_path() == job);
    CHECK_FALSE(session.modified());
    // what a person did to it stays
    tests::give(session, "set wall.base_mm 3.4");
    CHECK_THAT(tests::refused(session, "example"), Contains("not saved"));
    tests::give(session, "save");
    tests::give(session, "close");
    tests::give(session, "example");
    CHECK(session.job().left->wall.base_mm == 3.4);

    // the ink its technician accepted is known; taken out of the job it is found again, as suggestions
    tests::give(session, "wait");
    const std::size_t marks = session.job().left->marks.size();
    REQUIRE(marks == 3);
    const auto known = tests::give(session, "marks find");
    CHECK(session.job().left->marks.size() == marks);
    CHECK_THAT(known.told.back(), Contains("0 of them new"));
    const design::FootDesign before = *session.job().left;
    for (const design::Mark& mark : before.marks) {
        for (const feature::Feature& f : before.features)
            if (f.anchor == mark.name) tests::give(session, "feature remove " + f.name);
        tests::give(session, "mark remove " + mark.name);
    }
    tests::give(session, "marks find");
    CHECK(session.job().left->marks.size() == marks);
    for (const design::Mark& mark : session.job().left->marks) CHECK(mark.open());
    tests::give(session, "undo");
    CHECK(session.job().left->marks.empty());

    // the cast's findings are there once the device is
    tests::give(session, "wait");
    const FootView view = session.view_of(Side::left);
    REQUIRE(view.proved());
    REQUIRE(view.latest->examined);
    CHECK(view.latest->examined == view.latest->device->examined);

    const std::vector<RecentCase> recent = recent_cases(session.settings());
    REQUIRE(recent.size() == 1);
    CHECK(recent[0].readable);
    CHECK(recent[0].case_code == "LARK-2207");
    CHECK_THAT(recent[0].state, Contains("left, revision A"));
}

TEST_CASE("example: a program that is not there, and one that fails, are told") {
    tests::TemporaryFolder home;
    Setup setup;
    setup.example_program = home.path() / "nobody";
    Session session(setup);
    CHECK_THAT(tests::refused(session, "example " + (home.path() / "here").string()), Contains("nobody"));
    Setup broken;
    broken.example_program = "/bin/false";
    Session failing(broken);
    CHECK_THAT(tests::refused(failing, "example " + (home.path() / "there").string()),
               Contains("could not be made"));
    CHECK_FALSE(failing.has_job());
}

TEST_CASE("recent cases: what is gone or broken says so") {
    const tests::Desk desk;
    Settings settings;
    std::ofstream(desk.folder / "broken.json") << "{";
    settings.opened(desk.folder / "broken.json");
    settings.opened(desk.folder / "gone.json");
    settings.opened(desk.job);
    const std::vector<RecentCase> all = recent_cases(settings);
    REQUIRE(all.size() == 3);
    CHECK(all[0].readable);
    CHECK_FALSE(all[0].approved);
    CHECK(all[1].state == "not there any more");
    CHECK(all[2].state == "cannot be read");
}
