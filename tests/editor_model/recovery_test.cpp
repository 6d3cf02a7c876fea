// Unsaved work outlives the process, also one that is killed, and never touches the job's own file.
#include "editor/model/recovery.hpp"

#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <fstream>
#include <thread>

#include "editor/model/script.hpp"
#include "tests/editor_model/desk.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::editor::model;
using Catch::Contains;
using tests::content, tests::give, tests::refused;
namespace fs = std::filesystem;

namespace {

double seconds_now() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

template <class Condition>
bool within(double seconds, Condition condition) {
    for (const double end = seconds_now() + seconds; seconds_now() < end;
         std::this_thread::sleep_for(std::chrono::milliseconds(20)))
        if (condition()) return true;
    return false;
}

}  // namespace

TEST_CASE("recovery: a session killed with -9 loses nothing older than some seconds") {
    const tests::TemporaryFolder folder;
    const fs::path job = folder.path() / "job.json", state = folder.path() / "xdg" / "archwright";
    REQUIRE(design::save_job(tests::plain_job(), job).ok());
    const std::string saved = content(job);
    int pipe_ends[2];
    REQUIRE(::pipe(pipe_ends) == 0);
    const pid_t child = ::fork();
    if (child == 0) {
        ::dup2(pipe_ends[0], 0);
        ::close(pipe_ends[1]);
        const int nothing = ::open("/dev/null", O_WRONLY);
        ::dup2(nothing, 1);
        ::setenv("XDG_STATE_HOME", (folder.path() / "xdg").c_str(), 1);
        const std::string program = std::string(ARCHWRIGHT_BINARY_DIR) + "/archwright-script";
        ::execl(program.c_str(), program.c_str(), "-", nullptr);
        ::_exit(98);
    }
    ::close(pipe_ends[0]);
    const auto say = [&](const std::string& line) {
        REQUIRE(::write(pipe_ends[1], line.data(), line.size()) == static_cast<ssize_t>(line.size()));
    };
    const auto kept = [&](const std::string& what) {
        for (const auto& entry : fs::directory_iterator(state))
            if (entry.path().extension() == ".json" && content(entry.path()).find(what) != std::string::npos)
                return true;
        return false;
    };
    say("open " + job.string() + "\nset order.complaint first\n");
    CHECK(within(10, [&] { return fs::exists(state) && kept("\"first\""); }));
    say("set order.complaint second\nset wall.base_mm 4.5\n");
    CHECK(within(10, [&] { return kept("4.5"); }));
    CHECK(left_behind(state).empty());  // its owner lives
    ::kill(child, SIGKILL);
    int status = 0;
    ::waitpid(child, &status, 0);
    CHECK(WIFSIGNALED(status));
    ::close(pipe_ends[1]);
    CHECK(content(job) == saved);  // never written over the job

    Setup setup;
    setup.state_folder = state;
    Session session(setup);
    const auto left = session.left_behind();
    REQUIRE(left.size() == 1);
    CHECK(left[0].job_path == job);
    give(session, "recover " + left[0].file.string());
    CHECK(session.job().order.complaint == "second");
    CHECK(session.job().right->wall.base_mm == 4.5);
    CHECK(session.modified());
    CHECK(session.left_behind().empty());
    give(session, "undo");
    CHECK(design::write_job(session.job()) == saved);
    CHECK_FALSE(session.modified());
    give(session, "redo");
    give(session, "save");
    CHECK(content(job) == design::write_job(session.job()));
    CHECK_FALSE(session.modified());
    CHECK_FALSE(kept("second"));  // saved: nothing to recover
}

TEST_CASE("recovery: what a living session keeps is its own, and a failed write is tried again") {
    const tests::TemporaryFolder folder;
    const fs::path job = folder.path() / "job.json";
    REQUIRE(design::save_job(tests::plain_job(), job).ok());
    Setup setup;
    setup.state_folder = folder.path() / "state";
    setup.unsaved_seconds = 0.05;
    Session session(setup);
    give(session, "open " + job.string());
    give(session, "set order.complaint first");
    const auto kept = [&]() -> fs::path {
        for (const auto& entry : fs::directory_iterator(setup.state_folder))
            if (entry.path().extension() == ".json") return entry.path();
        return {};
    };
    for (int i = 0; i < 400 && kept().empty(); ++i)
        std::this_thread::sleep_for(std::chrono::milliseconds(25));
    const fs::path file = kept();
    REQUIRE_FALSE(file.empty());
    {
        Session other(setup);
        CHECK_THAT(refused(other, "recover " + file.string()), Contains("still runs"));
    }
    CHECK(fs::exists(file));
    // the folder goes, and comes back
    fs::rename(setup.state_folder, folder.path() / "away");
    give(session, "set order.complaint second");
    bool told = false;
    for (int i = 0; i < 400 && !told; ++i) {
        session.wait(0.025);
        for (const Notice& notice : session.notices())
            told = told || notice.text.find("cannot be kept") != std::string::npos;
    }
    CHECK(told);
    fs::rename(folder.path() / "away", setup.state_folder);
    std::string complaint;
    for (int i = 0; i < 400 && complaint != "second"; ++i) {
        std::this_thread::sleep_for(std::chrono::milliseconds(25));
        if (const auto left = read_left_behind(file)) complaint = left->job.order.complaint;
    }
    CHECK(complaint == "second");
    CHECK(session.end(false).ok());
    CHECK_FALSE(fs::exists(file));
}

TEST_CASE("recovery: recovered work is recorded from where it is saved") {
    const tests::TemporaryFolder folder;
    const fs::path job = folder.path() / "job.json";
    REQUIRE(design::save_job(tests::plain_job(), job).ok());
    Setup setup;
    setup.state_folder = folder.path() / "state";
    {
        Session session(setup);
        give(session, "open " + job.string());
        give(session, "set order.complaint lost");
    }
    Session session(setup);
    const auto left = session.left_behind();
    REQUIRE(left.size() == 1);
    give(session, "recover " + left[0].file.string());
    CHECK_THAT(refused(session, "record " + (folder.path() / "a.txt").string()), Contains("Save first"));
    give(session, "save");
    give(session, "set order.complaint found");
    const std::string recorded = session.recording();
    INFO(recorded);
    Session again(setup);
    REQUIRE(run_script(again, recorded, "a.txt", [](const std::string&) {}).ok());
    CHECK(design::write_job(again.job()) == design::write_job(session.job()));
}

TEST_CASE("recovery: a session that ends leaves its unsaved work; a saved one leaves nothing") {
    const tests::TemporaryFolder folder;
    const fs::path job = folder.path() / "job.json";
    REQUIRE(design::save_job(tests::plain_job(), job).ok());
    Setup setup;
    setup.state_folder = folder.path() / "state";
    setup.unsaved_seconds = 1000;
    {
        Session session(setup);
        give(session, "open " + job.string());
        for (int i = 0; i < 50; ++i) give(session, "set order.complaint w" + std::to_string(i));
    }
    {
        Session session(setup);
        const auto left = session.left_behind();
        REQUIRE(left.size() == 1);
        CHECK(left[0].job.order.complaint == "w49");
        // another program saved the job meanwhile
        design::Job other = tests::plain_job();
        other.order.asked = "other";
        REQUIRE(design::save_job(other, job).ok());
        const Reply reply = give(session, "recover " + left[0].file.string());
        CHECK_THAT(reply.told.back(), Contains("changed since"));
        CHECK_THAT(refused(session, "save"), Contains("changed by another program"));
        give(session, "save replace=yes");
    }
    Session session(setup);
    CHECK(session.left_behind().empty());
    std::ofstream(setup.state_folder / "unsaved-1-0.json") << "{\"format\": \"archwright unsaved work\"";
    CHECK(session.left_behind().empty());  // broken: passed over
    CHECK_THAT(refused(session, "recover " + (setup.state_folder / "unsaved-1-0.json").string()),
               Contains("unsaved-1-0.json"));
    std::ofstream(folder.path() / "x.json") << "{}";
    CHECK_THAT(refused(session, "recover " + (folder.path() / "x.json").string()),
               Contains("no unsaved work"));
}
