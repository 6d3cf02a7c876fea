// The program as a technician runs it: words in, files and exit codes out.
#include <sys/wait.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <csignal>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "assets/generator/cast.hpp"
#include "assets/generator/cast_file.hpp"
#include "assets/generator/foot.hpp"
#include "engine/base/hash.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::content, tests::put_cast, tests::Run, tests::run, tests::start;
namespace fs = std::filesystem;

namespace {

// A job for cast.ply, its unit and this side stated.
void put_job(const fs::path& folder, const std::string& side) {
    REQUIRE(run(folder, {"new", "cast.ply", "-o", "case.json", "--side", side, "--unit", "in", "--by", "T1"})
                .code == 0);
}

std::map<std::string, std::string> hashes(const fs::path& folder) {
    std::map<std::string, std::string> all;
    for (const auto& entry : fs::directory_iterator(folder))
        all[entry.path().filename().string()] = sha256(content(entry.path()));
    return all;
}

}  // namespace

TEST_CASE("from a cast file to a device, and the same bytes again") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    const Run fresh = run(folder.path(), {"new", "cast.ply", "-o", "case.json", "--side", "left", "--unit",
                                          "in", "--case", "WREN-1", "--by", "T1"});
    INFO(fresh.out << fresh.error);
    REQUIRE(fresh.code == 0);
    const std::string job = content(folder.path() / "case.json");
    CHECK(job.find("\"left\"") != std::string::npos);

    const Run again = run(folder.path(), {"new", "cast.ply", "-o", "case.json"});
    CHECK(again.code == 2);
    CHECK(again.error.find("exists already") != std::string::npos);
    CHECK(content(folder.path() / "case.json") == job);

    const Run made = run(folder.path(), {"make", "case.json", "-o", "out"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    for (const char* ending : {".stl", ".3mf", ".step", ".report.json", ".report.txt"})
        CHECK(fs::exists(folder.path() / "out" / (std::string("WREN-1-left-A") + ending)));
    const auto report = nlohmann::json::parse(content(folder.path() / "out" / "WREN-1-left-A.report.json"));
    CHECK(report["side"] == "left");
    CHECK(report["case"] == "WREN-1");
    CHECK(report["verdict"] != "stop");
    CHECK(content(folder.path() / "out" / "WREN-1-left-A.stl").substr(0, 80).find("left") !=
          std::string::npos);
    // what the wall makes of it, from the material's own figures: D = E t^3 / (12 (1 - nu^2))
    const auto& rigidity = report["bending_rigidity"];
    CHECK(rigidity["note"] == "initial stiffness, for comparison only");
    CHECK(rigidity["least"]["over_base"].get<double>() ==
          Approx(
              std::pow(report["wall_map"]["least_mm"].get<double>() / rigidity["base_mm"].get<double>(), 3)));
    CHECK(rigidity["least"]["n_mm"].get<double>() == Approx(rigidity["base_n_mm"].get<double>()));
    CHECK(report["wall_map"]["steepest_mm_per_mm"] == 0.0);  // an even wall
    // a report holds no path of the machine it was made on
    CHECK(content(folder.path() / "out" / "WREN-1-left-A.report.txt").find(folder.path().string()) ==
          std::string::npos);

    const Run german =
        run(folder.path(), {"make", "case.json", "-o", "again"}, {"LC_ALL=de_DE.utf8", "TZ=Pacific/Chatham"});
    REQUIRE(german.code == 0);
    CHECK(hashes(folder.path() / "out") == hashes(folder.path() / "again"));
}

TEST_CASE("nothing stated: the proposal is used with a look, and stating it goes on record") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    REQUIRE(run(folder.path(), {"new", "cast.ply", "-o", "case.json"}).code == 0);
    const auto job = nlohmann::json::parse(content(folder.path() / "case.json"));
    REQUIRE(job.contains("left"));
    CHECK(job["left"]["side"]["by"] == "proposed");
    const Run made = run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    CHECK(made.out.find("[look]") != std::string::npos);
    CHECK_FALSE(fs::exists(folder.path() / "out" / "case-left-A.step"));
    const Run state =
        run(folder.path(), {"state", "case.json", "--side", "left", "--unit", "in", "--by", "T1"});
    INFO(state.out << state.error);
    REQUIRE(state.code == 0);
    const auto stated = nlohmann::json::parse(content(folder.path() / "case.json"));
    CHECK(stated["left"]["side"]["by"] == "person");
    CHECK(stated["left"]["side"]["code"] == "T1");
    CHECK(stated["left"]["side"]["evidence"] != "");
}

TEST_CASE("a wrong side is stopped, and the command to type is printed") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    put_job(folder.path(), "right");
    const Run made = run(folder.path(), {"make", "case.json", "-o", "out"});
    CHECK(made.code == 4);
    CHECK(made.error.find("archwright state case.json") != std::string::npos);
    CHECK_FALSE(fs::exists(folder.path() / "out"));
    // typed again after the evidence was shown, it stands on record; of a job on which nothing was typed yet,
    // the first time only tells
    const Run typed = run(folder.path(), {"state", "case.json", "--side", "right", "--by", "T2"});
    INFO(typed.out << typed.error);
    CHECK(typed.code == 0);
    const auto despite =
        nlohmann::json::parse(content(folder.path() / "case.json"))["right"]["side"]["despite"];
    CHECK(despite.get<std::string>().find("left") != std::string::npos);
    const Run all_the_same = run(folder.path(), {"make", "case.json", "-o", "wrong", "--format", "stl"});
    CHECK(all_the_same.code == 0);
    CHECK(all_the_same.out.find("Stated again all the same by T2") != std::string::npos);
    // stated left after all: the foot moves to the other key
    REQUIRE(run(folder.path(), {"state", "case.json", "--side", "left", "--by", "T1"}).code == 0);
    const Run left = run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl"});
    INFO(left.out << left.error);
    CHECK(left.code == 0);
    CHECK(fs::exists(folder.path() / "out" / "case-left-A.stl"));
}

TEST_CASE("a statement against the shape is told of first, and believed when it is typed again") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    REQUIRE(run(folder.path(), {"new", "cast.ply", "-o", "case.json"}).code == 0);
    const Run first = run(folder.path(), {"state", "case.json", "--side", "right", "--by", "T1"});
    CHECK(first.code == 4);
    CHECK(first.error.find("left") != std::string::npos);
    CHECK(run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl"}).code == 4);
    CHECK(run(folder.path(), {"state", "case.json", "--side", "right", "--by", "T1"}).code == 0);
    CHECK(run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl"}).code == 0);
    // a unit that makes nobody's foot is never believed
    for (int k = 0; k < 3; ++k)
        CHECK(run(folder.path(), {"state", "case.json", "--unit", "mm", "--by", "T1"}).code == 4);
    CHECK(run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl"}).code == 4);
    REQUIRE(run(folder.path(), {"state", "case.json", "--side", "left", "--unit", "in", "--by", "T1"}).code ==
            0);
    // toes that lie at the heel, and up that lies at the side
    const auto job = nlohmann::json::parse(content(folder.path() / "case.json"));
    const Run toes = run(folder.path(), {"state", "case.json", "--toes", "-y", "--by", "T1"});
    const Run turned = run(folder.path(), {"state", "case.json", "--toes", "+y", "--by", "T1"});
    INFO(toes.error << turned.error);
    CHECK((toes.code == 4) != (turned.code == 4));  // one of the two is the heel's end
}

TEST_CASE("a delivery of another design is never mixed with or written over an older one") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    put_job(folder.path(), "left");
    REQUIRE(run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl,3mf"}).code == 0);
    const auto before = hashes(folder.path() / "out");
    REQUIRE(run(folder.path(), {"set", "case.json", "left.wall.base_mm=3.4"}).code == 0);
    const Run other = run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl"});
    CHECK(other.code == 6);
    CHECK(other.error.find("revise") != std::string::npos);
    CHECK(hashes(folder.path() / "out") == before);
    REQUIRE(run(folder.path(), {"revise", "case.json", "--note", "thicker"}).code == 0);
    REQUIRE(run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl"}).code == 0);
    CHECK(fs::exists(folder.path() / "out" / "case-left-B.stl"));
    for (const auto& [name, hash] : before) CHECK(hashes(folder.path() / "out").at(name) == hash);
    REQUIRE(run(folder.path(), {"set", "case.json", "wall.base_mm=3.6"}).code == 0);
    REQUIRE(run(folder.path(), {"make", "case.json", "-o", "out", "--format", "3mf", "--replace"}).code == 0);
    CHECK_FALSE(fs::exists(folder.path() / "out" / "case-left-B.stl"));  // of the older design
    CHECK(fs::exists(folder.path() / "out" / "case-left-B.3mf"));
}

TEST_CASE("job and cast are never written over") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "case-left-A.3mf.ply");
    fs::rename(folder.path() / "case-left-A.3mf.ply", folder.path() / "case-left-A.stl");  // PLY by its bytes
    const std::string cast = content(folder.path() / "case-left-A.stl");
    CHECK(run(folder.path(), {"new", "case-left-A.stl", "-o", "case-left-A.stl", "--replace"}).code == 2);
    REQUIRE(run(folder.path(), {"new", "case-left-A.stl", "-o", "case.json"}).code == 0);
    const std::string job = content(folder.path() / "case.json");
    CHECK(run(folder.path(), {"make", "case.json", "-o", "."}).code == 2);
    CHECK(run(folder.path(), {"make", "case.json", "-o", ".", "--replace"}).code == 2);
    CHECK(run(folder.path(), {"picture", "case.json", "-o", "case.json"}).code == 2);
    CHECK(content(folder.path() / "case-left-A.stl") == cast);
    CHECK(content(folder.path() / "case.json") == job);
}

TEST_CASE("landmarks are confirmed, moved, and refused off the cast") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    put_job(folder.path(), "left");
    const auto inspected = [&] {
        return nlohmann::json::parse(run(folder.path(), {"--json", "inspect", "case.json"}).out)[0];
    };
    const auto verdict = [&](const std::string& id) {
        const auto now = inspected();
        for (const auto& check : now["checks"])
            if (check["id"] == id) return check["verdict"].get<std::string>();
        return std::string("absent");
    };
    CHECK(verdict("landmarks.marked") == "look");
    CHECK(verdict("landmarks.place") == "pass");
    REQUIRE(run(folder.path(), {"landmark", "case.json", "all", "--by", "T1"}).code == 0);
    CHECK(verdict("landmarks.marked") == "pass");
    CHECK(run(folder.path(), {"landmark", "case.json", "heel_center", "--by", "T1"})
              .error.find("heel_centre") != std::string::npos);
    // an inch off the cast is not on it
    auto job = nlohmann::json::parse(content(folder.path() / "case.json"));
    auto at = job["left"]["landmarks"]["navicular"]["position"];
    std::string words;
    for (int k = 0; k < 3; ++k)
        words += (k > 0 ? "," : "") + std::to_string(at[k].get<double>() + (k == 0 ? 3 : 0));
    REQUIRE(run(folder.path(), {"landmark", "case.json", "navicular", "--at", words, "--by", "T1"}).code ==
            0);
    CHECK(verdict("landmarks.place") == "stop");
    CHECK(run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl"}).code == 5);
}

TEST_CASE("both feet in one job, each under its own side") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    REQUIRE(run(folder.path(), {"new", "cast.ply", "-o", "case.json"}).code == 0);
    CHECK(run(folder.path(), {"new", "cast.ply", "-o", "case.json", "--add"}).code ==
          2);  // again a left foot
    generator::FootShape shape;
    shape.side = Side::right;
    const auto foot = generator::Foot::make(shape);
    REQUIRE(foot.ok());
    const auto cast = generator::take_cast(*foot, {});
    REQUIRE(cast.ok());
    REQUIRE(generator::write_cast(folder.path() / "right.stl", cast->mesh, generator::CastFormat::stl_binary,
                                  "test")
                .ok());
    const Run add = run(folder.path(), {"new", "right.stl", "-o", "case.json", "--add"});
    INFO(add.out << add.error);
    REQUIRE(add.code == 0);
    const Run made = run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    CHECK(fs::exists(folder.path() / "out" / "case-left-A.stl"));
    CHECK(fs::exists(folder.path() / "out" / "case-right-A.stl"));
}

TEST_CASE("a wall under the material's least stops and writes nothing") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    put_job(folder.path(), "left");
    REQUIRE(run(folder.path(), {"set", "case.json", "wall.base_mm=0.5"}).code == 0);
    const Run made = run(folder.path(), {"make", "case.json", "-o", "out"});
    CHECK(made.code == 5);
    CHECK(made.error.find("wall") != std::string::npos);
    CHECK_FALSE(fs::exists(folder.path() / "out"));
    const Run sign =
        run(folder.path(), {"sign", "case.json", "wall.least", "--by", "T1", "--reason", "thin wanted"});
    CHECK(sign.code != 0);  // a minimum wall is never signed off
}

TEST_CASE("bad words and bad files have their own exit codes and messages") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    CHECK(run(folder.path(), {}).code == 2);
    CHECK(run(folder.path(), {"polish", "cast.ply"}).code == 2);
    CHECK(run(folder.path(), {"new", "absent.stl", "-o", "case.json"}).code == 3);
    std::ofstream(folder.path() / "picture.stl") << "\x89PNG\r\n\x1a\n not a cast";
    const Run picture = run(folder.path(), {"new", "picture.stl", "-o", "case.json"});
    CHECK(picture.code == 3);
    CHECK(picture.error.find("picture.stl") != std::string::npos);
    CHECK_FALSE(fs::exists(folder.path() / "case.json"));
    REQUIRE(run(folder.path(), {"new", "cast.ply", "-o", "case.json"}).code == 0);
    const Run unknown = run(folder.path(), {"set", "case.json", "trim.cup_posterior=14"});
    CHECK(unknown.code == 2);
    CHECK(unknown.error.find("trim.cup_posterior_mm") != std::string::npos);
    const Run json = run(folder.path(), {"--json", "make", "absent.json", "-o", "out"});
    CHECK(json.code == 3);
    CHECK(nlohmann::json::parse(json.out)["ok"] == false);
    // a changed cast is not taken for the one the job was made for
    std::ofstream(folder.path() / "cast.ply", std::ios::app) << " ";
    const Run changed = run(folder.path(), {"make", "case.json", "-o", "out"});
    CHECK(changed.code != 0);
    CHECK_FALSE(fs::exists(folder.path() / "out"));
}

TEST_CASE("version, help and schema") {
    const tests::TemporaryFolder folder;
    CHECK(run(folder.path(), {"--version"}).out.rfind("archwright ", 0) == 0);
    CHECK(run(folder.path(), {"--help"}).out.find("make") != std::string::npos);
    const Run schema = run(folder.path(), {"schema"});
    REQUIRE(schema.code == 0);
    CHECK(nlohmann::json::parse(schema.out).contains("$schema"));
}

TEST_CASE("Ctrl-C leaves no half file") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    put_job(folder.path(), "left");
    const int count = tests::cases(60, 4, "interrupted runs of make");
    for (int i = 0; i < count; ++i) {
        const pid_t child = start(folder.path(), {"make", "case.json", "-o", "out"}, {});
        std::this_thread::sleep_for(std::chrono::milliseconds(20 + 1500 * i / count));
        kill(child, SIGINT);
        int status = 0;
        waitpid(child, &status, 0);
        // before the program has begun to listen, the signal ends it; afterwards it ends itself
        if (WIFSIGNALED(status))
            CHECK(WTERMSIG(status) == SIGINT);
        else
            CHECK((WEXITSTATUS(status) == 130 || WEXITSTATUS(status) == 0));
        if (!fs::exists(folder.path() / "out")) continue;
        for (const auto& entry : fs::directory_iterator(folder.path() / "out")) {
            INFO(entry.path().filename().string());
            CHECK(entry.path().extension() != ".part");
            CHECK_FALSE(entry.is_directory());
        }
        // all of it, or nothing
        CHECK((fs::is_empty(folder.path() / "out") || hashes(folder.path() / "out").size() == 5));
    }
}
