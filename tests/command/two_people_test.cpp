// Two people at the same jobs: what either was told is done is in the file, and what was refused is not.
#include <sys/wait.h>

#include <catch2/catch.hpp>
#include <random>
#include <set>

#include "assets/generator/cast.hpp"
#include "engine/design/job_file.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
namespace fs = std::filesystem;

TEST_CASE("two people revise the same jobs at random: no revision is lost, none stands that was refused") {
    const tests::TemporaryFolder folder;
    for (const char* name : {"a", "b"}) {
        fs::create_directory(folder.path() / name);  // a folder for what each says
        design::Job job;
        job.case_code = std::string("CASE-") + name;
        job.left = design::FootDesign{};
        job.left->cast.path = "cast.ply";
        job.left->cast.sha256 = std::string(64, 'a');
        job.left->side.by = job.left->cast.unit.by = design::StatedBy::person;
        job.left->side.code = job.left->cast.unit.code = "T1";
        const auto saved = design::save_job(job, folder.path() / (std::string(name) + ".json"));
        if (!saved) FAIL(saved.fault().message);
    }
    std::mt19937_64 random(tests::seed());
    const int rounds = tests::cases(400, 15, "rounds of two people at two jobs");
    std::set<std::string> done;
    int refused = 0;
    for (int round = 0; round < rounds; ++round) {
        std::vector<std::pair<pid_t, std::string>> runs;
        for (const std::string who : {"a", "b"}) {
            const std::string job = random() % 4 == 0 ? "b" : "a", note = who + std::to_string(round);
            runs.emplace_back(
                tests::start(folder.path() / who, {"revise", "../" + job + ".json", "--note", note}),
                job + " " + note);
        }
        for (const auto& [child, what] : runs) {
            int status = -1;
            ::waitpid(child, &status, 0);
            REQUIRE(WIFEXITED(status));
            const int code = WEXITSTATUS(status);
            if (code == 0) {
                done.insert(what);
                continue;
            }
            ++refused;
            const std::string who = what.substr(2, 1),
                              said = tests::content(folder.path() / who / "stderr.txt");
            INFO(said);
            CHECK(code == 6);
            CHECK(said.find("was changed by another program or person since it was read") !=
                  std::string::npos);
        }
    }
    std::set<std::string> there;
    for (const char* name : {"a", "b"}) {
        const auto job = design::read_job(folder.path() / (std::string(name) + ".json"));
        if (!job) FAIL(job.fault().message);
        for (const design::Revision& revision : job->revisions)
            if (!revision.note.empty()) there.insert(std::string(name) + " " + revision.note);
    }
    CHECK(there == done);
    CHECK(done.size() + static_cast<std::size_t>(refused) == 2 * static_cast<std::size_t>(rounds));
    std::printf("%zu done, %d refused\n", done.size(), refused);
}
