// A session as a person works in it: what scripts, hands and the command line do is the same thing.
#include "editor/model/session.hpp"

#include <fstream>

#include "editor/model/session_commands.hpp"
#include "engine/design/command_table.hpp"
#include "tests/editor_model/desk.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_commands.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::editor::model;
using Catch::Contains;
using tests::content, tests::Desk, tests::give, tests::refused;
namespace fs = std::filesystem;

namespace {

/// A job whose cast is not there: everything but geometry works.
fs::path put_paper_job(const fs::path& folder, const design::Job& job) {
    const fs::path path = folder / "paper.json";
    REQUIRE(design::save_job(job, path).ok());
    return path;
}

}  // namespace

TEST_CASE("session: an export is byte for byte what make writes of the saved job") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    give(session, "set trim.cup_posterior_mm 15");
    give(session, "feature add spot cavity points=[[60,0]]");
    give(session, "set features[spot].depth_mm 1.5");
    give(session, "export " + (desk.folder / "mine").string() + " formats=stl,3mf");
    give(session, "save");
    CHECK_FALSE(session.modified());
    const auto made = tests::run(desk.folder, {"make", "case.json", "-o", "made", "--format", "stl,3mf"});
    INFO(made.error);
    REQUIRE(made.code == 0);
    int files = 0;
    for (const auto& entry : fs::directory_iterator(desk.folder / "made")) {
        INFO(entry.path());
        CHECK(content(entry.path()) == content(desk.folder / "mine" / entry.path().filename()));
        ++files;
    }
    CHECK(files == 4);  // STL, 3MF, the report twice
    REQUIRE(session.last_export());
    CHECK(session.last_export()->files.size() == 4);
}

TEST_CASE("session: new, add and state write what the command line writes") {
    const Desk desk;
    REQUIRE(tests::run(desk.folder, {"new", "cast.ply", "-o", "by-line.json", "--case", "X1"}).code == 0);
    Session session(desk.setup());
    CHECK_THAT(refused(session, "save"), Contains("no job in hand"));
    CHECK_THAT(refused(session, "new " + (desk.folder / "absent.ply").string()), Contains("absent.ply"));
    CHECK_THAT(refused(session, "new " + (desk.folder / "cast.ply").string() + " side=left"),
               Contains("code"));
    give(session, "new " + (desk.folder / "cast.ply").string() +
                      " case=X1 job=" + (desk.folder / "by-hand.json").string());
    CHECK(session.modified());
    CHECK_FALSE(fs::exists(desk.folder / "by-hand.json"));
    give(session, "save");
    CHECK(content(desk.folder / "by-hand.json") == content(desk.folder / "by-line.json"));
    CHECK_FALSE(session.modified());

    // against the shape a value is typed twice, here as there
    CHECK(tests::run(desk.folder, {"state", "by-line.json", "--side", "right", "--by", "T1"}).code == 4);
    const Reply first = give(session, "state side=right by=T1");
    REQUIRE(first.objection);
    CHECK_THAT(first.objection->message, Contains("contradicts the shape"));
    CHECK(session.foot() == Side::right);
    give(session, "save");
    CHECK(content(desk.folder / "by-hand.json") == content(desk.folder / "by-line.json"));
    CHECK(tests::run(desk.folder, {"state", "by-line.json", "--side", "right", "--by", "T1"}).code == 0);
    CHECK_FALSE(give(session, "state side=right by=T1").objection);
    give(session, "save");
    CHECK(content(desk.folder / "by-hand.json") == content(desk.folder / "by-line.json"));
    give(session, "undo 2");
    CHECK(session.foot() == Side::left);
    CHECK(session.job().left);
    CHECK_THAT(refused(session, "add " + (desk.folder / "cast.ply").string()), Contains("left foot already"));
    CHECK_THAT(refused(session, "undo 7"), Contains("nothing to undo"));
}

TEST_CASE("session: what was recorded replays to the same job") {
    const Desk desk;
    std::string recorded, job;
    {
        Session session(desk.setup());
        give(session, desk.open_line());
        give(session, "set trim.cup_medial_mm 15");
        give(session, "step begin \"Cup depth\"");
        for (double cup = 14; cup < 17; cup += 0.25) {
            give(session, "set trim.cup_posterior_mm " + std::to_string(cup));
            give(session, "set trim.cup_lateral_mm " + std::to_string(cup + 1));
        }
        give(session, "step end");
        CHECK(session.history()->labels().size() == 2);
        give(session, "feature add spot cavity points=[[60,0]]");
        give(session, "undo");
        give(session, "feature add \"band\" groove points=\"[[40, 0], [80, 4]]\"");
        give(session, "state unit=in by=T2");
        give(session, "landmark confirm all by=T2");
        give(session, R"(revise note="a \"b\" # c = d" date=2026-11-26)");
        give(session, "undo 2");
        give(session, "redo");
        recorded = session.recording();
        job = design::write_job(session.job());
        give(session, "record " + (desk.folder / "work.txt").string());
        CHECK_THAT(refused(session, "record " + (desk.folder / "work.txt").string()),
                   Contains("exists already"));
    }
    CHECK(content(desk.folder / "work.txt") == recorded);
    INFO(recorded);
    CHECK(std::count(recorded.begin(), recorded.end(), '\n') < 16);  // a drag is its end
    Session again(desk.setup());
    std::string told;
    const auto done = run_script(again, recorded, "work.txt", [&](const std::string& line) { told += line; });
    if (!done) FAIL(done.fault().message);
    CHECK(design::write_job(again.job()) == job);
    CHECK(again.history()->labels().size() == 6);
    CHECK(again.recording() == recorded);
    // and it tells when the file it began from is another
    give(again, "set wall.base_mm 3.5");
    give(again, "save");
    Session late(desk.setup());
    const auto other = run_script(late, recorded, "work.txt", [](const std::string&) {});
    REQUIRE_FALSE(other.ok());
    CHECK_THAT(other.fault().message, Contains("work.txt, line 1: ") && Contains("SHA-256"));
}

TEST_CASE("session: what stands between two lines of a step keeps what the first one meant") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    give(session, "feature add one cavity points=[[60,0]]");
    give(session, "feature add two cavity points=[[80,0]]");
    give(session, "step begin");
    give(session, "set features[0].depth_mm 1.5");
    give(session, "feature move one 1");
    give(session, "set features[0].depth_mm 1.2");  // of the other by now
    give(session, "set features[two].depth_mm 1.1");
    give(session, "set features[two].depth_mm 1.3");
    give(session, "step end");
    const std::string recorded = session.recording(), job = design::write_job(session.job());
    INFO(recorded);
    CHECK(recorded.find("depth_mm 1.1") == std::string::npos);
    Session again(desk.setup());
    REQUIRE(run_script(again, recorded, "work.txt", [](const std::string&) {}).ok());
    CHECK(design::write_job(again.job()) == job);
}

TEST_CASE("session: a job saved elsewhere finds its cast after every undo") {
    const Desk desk;
    fs::create_directories(desk.folder / "below");
    Setup setup = desk.setup();
    setup.allow_outside = true;
    Session session(setup);
    give(session, desk.open_line());
    give(session, "set trim.cup_posterior_mm 15");
    give(session, "set trim.cup_posterior_mm 16");
    give(session, "save as " + (desk.folder / "below" / "moved.json").string());
    CHECK(session.history()->labels().size() == 2);  // where it lies is no step
    give(session, "undo");
    CHECK(session.job().left->cast.path == "../cast.ply");
    CHECK(session.job().left->trim.cup_posterior_mm == 15);
    CHECK(session.modified());
    give(session, "save");
    give(session, "wait");
    CHECK(session.view_of(Side::left).proved());
    give(session, "redo");
    CHECK(session.job().left->cast.path == "../cast.ply");
    // what is recorded is what was done, and replays from the file it began with
    CHECK(session.recording().find("save as") == std::string::npos);
}

TEST_CASE("session: files that are being written are waited for") {
    const Desk desk;
    Setup setup = desk.setup();
    Session session(setup);
    give(session, desk.open_line());
    REQUIRE(session.run("export " + (desk.folder / "made").string() + " formats=stl").ok());
    REQUIRE(session.exporting() == 1);
    for (const std::string& line : {"save as " + (desk.folder / "other.json").string(), desk.open_line(),
                                    std::string("close"), "new " + (desk.folder / "cast.ply").string()}) {
        INFO(line);
        const auto reply = session.run(line);
        REQUIRE_FALSE(reply.ok());
        CHECK_THAT(reply.fault().message, Contains("being written"));
    }
    while (session.exporting() > 0) session.wait(1.0);
    REQUIRE(session.last_export());
    CHECK_FALSE(session.last_export()->fault);
    give(session, "close");
}

TEST_CASE("session: nothing goes over the files of the job in hand; a path has to be text") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    const std::string cast = content(desk.folder / "cast.ply"), job = content(desk.job);
    for (const fs::path& file : {desk.folder / "cast.ply", desk.job})
        CHECK_THAT(refused(session, "record " + file.string() + " replace=yes"),
                   Contains("of the job in hand"));
    CHECK(content(desk.folder / "cast.ply") == cast);
    CHECK(content(desk.job) == job);
    CHECK_THAT(refused(session, "save as \"" + (desk.folder / "bad\xff.json").string() + "\""),
               Contains("UTF-8"));
}

TEST_CASE("session: settings that cannot be read are left for a person to mend") {
    const Desk desk;
    fs::create_directories(desk.folder / "config");
    std::ofstream(desk.folder / "config" / "settings.json") << "{\"theme\": ";
    Session session(desk.setup());
    REQUIRE_FALSE(session.notices().empty());
    give(session, desk.open_line());
    give(session, "save");
    CHECK_THAT(refused(session, "setting theme dark"), Contains("mend it"));
    CHECK(content(desk.folder / "config" / "settings.json") == "{\"theme\": ");
    Setup dark = desk.setup();
    dark.config_folder = desk.folder / "others";
    dark.dark = true;
    {
        Session once(dark);
        CHECK(once.dark());
        give(once, desk.open_line());
    }
    dark.dark = false;
    CHECK_FALSE(Session(dark).dark());  // for that session alone
}

TEST_CASE("session: random commands, undone, redone and replayed, give identical jobs") {
    std::mt19937_64 random(tests::seed());
    const tests::TemporaryFolder folder;
    design::Job start = tests::random_job(random);
    start.left.reset();
    if (!start.right) start = tests::plain_job();
    const fs::path path = put_paper_job(folder.path(), start);
    Session session({});
    give(session, "open " + path.string());
    std::vector<std::string> states{design::write_job(session.job())};
    for (int i = tests::cases(10'000, 300, "random commands of a session"); i > 0; --i) {
        const design::Command command = tests::random_command(random, session.job());
        if (command.name == "state") continue;  // its cast is not there
        (void)session.run(design::print(command, session_commands()));
        session.poll();
        if (std::string now = design::write_job(session.job()); now != states.back())
            states.push_back(std::move(now));
    }
    CHECK(states.size() > 100);
    CHECK(session.history()->labels().size() == states.size() - 1);
    for (std::size_t i = states.size() - 1; i-- > 0;) {
        REQUIRE(session.run("undo").ok());
        REQUIRE(design::write_job(session.job()) == states[i]);
    }
    CHECK_FALSE(session.modified());
    for (std::size_t i = 1; i < states.size(); ++i) {
        REQUIRE(session.run("redo").ok());
        REQUIRE(design::write_job(session.job()) == states[i]);
    }
    Session again({});
    const auto done = run_script(again, session.recording(), "recording", [](const std::string&) {});
    if (!done) FAIL(done.fault().message);
    CHECK(design::write_job(again.job()) == states.back());
}

TEST_CASE("session: a script stops at the first line that fails, and says which") {
    const tests::TemporaryFolder folder;
    const fs::path path = put_paper_job(folder.path(), tests::plain_job());
    Session session({});
    const auto done =
        run_script(session,
                   "# a script\r\nopen " + path.string() +
                       "\n\nset trim.cup_medial_mm 15\nset trim.cup_medial_mm 99\nset wall.base_mm 4\n",
                   "s.txt", [](const std::string&) {});
    REQUIRE_FALSE(done.ok());
    CHECK_THAT(done.fault().message, Contains("s.txt, line 5: ") && Contains("between 4 and 40"));
    CHECK(session.job().right->trim.cup_medial_mm == 15);
    CHECK(session.job().right->wall.base_mm == design::Wall{}.base_mm);
}

TEST_CASE("session: a save never goes over what another wrote") {
    const tests::TemporaryFolder folder;
    const fs::path path = put_paper_job(folder.path(), tests::plain_job()),
                   other = folder.path() / "other.json";
    Session session({});
    give(session, "open " + path.string());
    give(session, "set wall.base_mm 4");
    const std::string mine = design::write_job(session.job());
    const std::string theirs = content(path) + " ";
    std::ofstream(path) << theirs;
    CHECK_THAT(refused(session, "save"), Contains("changed by another program"));
    CHECK(content(path) == theirs);
    CHECK(session.modified());
    give(session, "save replace=yes");
    CHECK(content(path) == mine);
    give(session, "set wall.base_mm 5");
    CHECK_THAT(refused(session, "open " + path.string()), Contains("not saved"));
    CHECK_THAT(refused(session, "close"), Contains("discard=yes"));
    std::ofstream(other) << "x";
    CHECK_THAT(refused(session, "save as " + other.string()), Contains("exists already"));
    CHECK(content(other) == "x");
    CHECK(session.job_path() == path);
    give(session, "save as " + other.string() + " replace=yes");
    CHECK(content(other) == design::write_job(session.job()));
    CHECK(session.job_path() == other);
    CHECK_FALSE(session.modified());
    // the cast lies outside the other folder
    fs::create_directory(folder.path() / "below");
    CHECK_THAT(refused(session, "save as " + (folder.path() / "below" / "job.json").string()),
               Contains("beside its cast"));
    // one folder up, its name follows
    design::Job deep = tests::plain_job();
    fs::create_directory(folder.path() / "deep");
    REQUIRE(design::save_job(deep, folder.path() / "deep" / "job.json").ok());
    give(session, "open " + (folder.path() / "deep" / "job.json").string());
    give(session, "save as " + (folder.path() / "up.json").string());
    CHECK(session.job().right->cast.path == "deep/cast.stl");
    fs::remove(path);
    give(session, "open " + other.string());
    fs::remove(other);
    give(session, "save");  // gone is not changed
    CHECK(fs::exists(other));
}

TEST_CASE("session: selection, stage, views and settings; wrong words are refused") {
    const tests::TemporaryFolder folder;
    const fs::path path = put_paper_job(folder.path(), tests::plain_job());
    Setup setup;
    setup.config_folder = folder.path() / "config";
    {
        Session session(setup);
        give(session, "setting theme dark");
        give(session, "setting scale 1.5");
        give(session, "setting person K7");
        CHECK_THAT(refused(session, "setting scale 9"), Contains("0.5 to 4"));
        CHECK_THAT(refused(session, "setting person \"J D\""), Contains("code"));
        CHECK_THAT(refused(session, "setting theme pink"), Contains("light or dark"));
        give(session, "open " + path.string());
        give(session, "select feature fascia");
        CHECK(session.selection() == Selection{"feature", "fascia"});
        give(session, "region add column [[50,-20],[50,24],[90,26],[92,-22]] 4 blend_mm=12");
        give(session, "select region column");
        give(session, "set wall.regions[column].name band");
        CHECK(session.selection() == Selection{"region", "band"});
        give(session, "select cover band");
        give(session, "set wall.regions[band].name column");
        CHECK(session.selection() == Selection{"cover", "band"});
        give(session, "select none");
        CHECK_THAT(refused(session, "select mark"), Contains("name"));
        give(session, "stage trim");
        CHECK(session.stage() == "trim");
        CHECK_THAT(refused(session, "stage trimm"), Contains("did you mean \"trim\""));
        give(session, "view cast glass");
        CHECK(session.view("cast") == "glass");
        CHECK_THAT(refused(session, "view cast milk"), Contains("lifted"));
        CHECK_THAT(refused(session, "foot left"), Contains("no left foot"));
        CHECK_THAT(refused(session, "step end"), Contains("No step"));
        CHECK_THAT(refused(session, "export " + folder.path().string() + " formats=obj"), Contains("3mf"));
    }
    Session next(setup);
    CHECK(next.settings().theme == Settings::Theme::dark);
    CHECK(next.settings().scale == 1.5);
    CHECK(next.settings().person == "K7");
    CHECK(next.settings().recent == std::vector<std::string>{path.string()});
    std::ofstream(setup.config_folder / "settings.json") << "{\"theme\": 3";
    Session broken(setup);
    CHECK(broken.settings() == Settings{});
    REQUIRE(broken.notices().size() == 1);
    CHECK_THAT(broken.notices()[0].text, Contains("settings.json"));
}

TEST_CASE("session: the tables go together, and docs/script.md holds them") {
    for (const design::CommandKind& kind : own_commands()) {
        INFO(kind.name);
        CHECK(design::find_kind(design::job_commands(), kind.name) == nullptr);
        std::mt19937_64 random(tests::seed());
        for (int i = 0; i < 50; ++i) {
            const design::Command command = tests::random_words(random, kind);
            const auto back = design::parse(design::print(command, session_commands()), session_commands());
            REQUIRE(back.ok());
            CHECK(*back == command);
        }
    }
    const std::string page = content(fs::path(ARCHWRIGHT_SOURCE_DIR) / "docs/script.md"),
                      begin = "<!-- generated: session commands -->\n",
                      end = "<!-- end of generated: session commands -->";
    const std::size_t from = page.find(begin), to = page.find(end);
    REQUIRE(from != std::string::npos);
    REQUIRE(to != std::string::npos);
    // If this fails: replace the part between the two marks by what command_reference() returns.
    CHECK(page.substr(from + begin.size(), to - from - begin.size()) ==
          design::command_reference(own_commands()));
}
