// The program killed, the disk full, the folder read-only: nothing is lost, nothing half-written.
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <random>
#include <thread>

#include "engine/base/hash.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::tests;
namespace fs = std::filesystem;

namespace {

std::map<std::string, std::string> seen(const fs::path& folder) {
    std::map<std::string, std::string> all;
    if (!fs::exists(folder)) return all;
    for (const auto& entry : fs::directory_iterator(folder))
        if (entry.is_regular_file() && entry.path().filename().string().front() != '.')
            all[entry.path().filename().string()] = sha256(content(entry.path()));
    return all;
}

}  // namespace

TEST_CASE("killed at any moment, make and new leave whole files only") {
    const TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    const std::vector<std::string> fresh{"new",  "cast.ply", "-o", "case.json", "--side",
                                         "left", "--unit",   "in", "--by",      "T1"};
    REQUIRE(run(folder.path(), fresh).code == 0);
    const std::string job = content(folder.path() / "case.json"),
                      cast = sha256(content(folder.path() / "cast.ply"));
    REQUIRE(run(folder.path(), {"make", "case.json", "-o", "whole"}).code == 0);
    const auto whole = seen(folder.path() / "whole");
    REQUIRE(whole.size() == 5);

    std::mt19937_64 random(seed());
    const int count = cases(200, 12, "kills of make and new");
    int ended = 0;
    for (int i = 0; i < count; ++i) {
        const bool make = i % 4 != 3;
        std::vector<std::string> words = fresh;
        words.emplace_back("--replace");
        if (make) words = {"make", "case.json", "-o", "out"};
        if (i % 8 == 0) fs::remove_all(folder.path() / "out");
        const pid_t child = start(folder.path(), words, {});
        std::this_thread::sleep_for(std::chrono::milliseconds(random() % (make ? 3500 : 700)));
        kill(child, SIGKILL);
        int status = 0;
        waitpid(child, &status, 0);
        if (WIFEXITED(status)) ++ended;
        CHECK(content(folder.path() / "case.json") == job);
        CHECK(sha256(content(folder.path() / "cast.ply")) == cast);
        const auto out = seen(folder.path() / "out");
        for (const auto& [name, hash] : out) {
            INFO(name);
            CHECK(whole.at(name) == hash);
        }
        // a report is never there before what it tells of
        if (out.count("case-left-A.report.json")) CHECK(out.size() >= 4);
    }
    CHECK(ended < count);
    // and the next run makes all of it
    REQUIRE(run(folder.path(), {"make", "case.json", "-o", "out", "--replace"}).code == 0);
    CHECK(seen(folder.path() / "out") == whole);
}

TEST_CASE("a full disk and a read-only folder: a message, and nothing changed") {
    const TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    REQUIRE(run(folder.path(),
                {"new", "cast.ply", "-o", "case.json", "--side", "left", "--unit", "in", "--by", "T1"})
                .code == 0);
    const std::string job = content(folder.path() / "case.json");
    const std::string program = program_path();

    SECTION("full after 200 kB") {
        const std::string said = shell("cd '" + folder.path().string() + "' && (ulimit -f 400; '" + program +
                                       "' --quiet make case.json -o out; echo code $?) 2>&1");
        INFO(said);
        CHECK(said.find("code 6") != std::string::npos);
        CHECK(said.find("Nothing was changed") != std::string::npos);
        CHECK(seen(folder.path() / "out").empty());
        const std::string edit = shell("cd '" + folder.path().string() + "' && (ulimit -f 1; '" + program +
                                       "' --quiet set case.json wall.base_mm=3.4; echo code $?) 2>&1");
        INFO(edit);
        CHECK(edit.find("code 6") != std::string::npos);
        CHECK(content(folder.path() / "case.json") == job);
    }
    SECTION("read-only") {
        fs::create_directory(folder.path() / "out");
        fs::permissions(folder.path(), fs::perms(0555));
        fs::permissions(folder.path() / "out", fs::perms(0555));
        std::string as_nobody;
        if (geteuid() == 0) {  // root may write everywhere: be somebody else
            as_nobody = "setpriv --reuid=65534 --regid=65534 --clear-groups ";
            if (shell(as_nobody + "'" + program + "' --version 2>&1").find("archwright") ==
                std::string::npos) {
                skipped("read-only folder: the program cannot be run as another user here");
                return;
            }
        }
        const std::string said = shell("cd '" + folder.path().string() + "' && (" + as_nobody + "'" +
                                       program + "' --quiet make case.json -o out; echo code $?) 2>&1");
        INFO(said);
        CHECK(said.find("code 6") != std::string::npos);
        CHECK(seen(folder.path() / "out").empty());
        const std::string edit =
            shell("cd '" + folder.path().string() + "' && (" + as_nobody + "'" + program +
                  "' --quiet set case.json wall.base_mm=3.4; echo code $?) 2>&1");
        CHECK(edit.find("code 6") != std::string::npos);
        CHECK(content(folder.path() / "case.json") == job);
        fs::permissions(folder.path(), fs::perms(0755));
        fs::permissions(folder.path() / "out", fs::perms(0755));
    }
}
