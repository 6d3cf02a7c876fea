// An editor and a command line, or two editors, at the same jobs: nothing that was said to be saved is lost.
#include <sys/wait.h>
#include <unistd.h>

#include <random>
#include <set>
#include <sstream>

#include "engine/base/file.hpp"
#include "tests/editor_model/desk.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
namespace fs = std::filesystem;

namespace {

/// Revises random jobs of the folder, each in a session of its own (archwright-script), and writes to `log`
/// what was saved; 0, or what went wrong.
int revise_by_sessions(const fs::path& folder, const std::string& who, int count, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    const std::string script = (folder / (who + ".txt")).string(), said = (folder / (who + ".said")).string();
    std::string saved;
    for (int k = 0; k < count; ++k) {
        const std::string job = random() % 3 == 0 ? "b" : "a", note = who + std::to_string(k);
        const std::string lines =
            "open " + (folder / (job + ".json")).string() + "\nrevise note=" + note + "\nsave\n";
        if (!write_file(script, lines)) return 2;
        const std::string command = std::string(ARCHWRIGHT_BINARY_DIR) + "/archwright-script " + script +
                                    " > " + said + " 2>&1 </dev/null";
        const int status = std::system(command.c_str());
        if (status == 0)
            saved += job + " " + note + "\n";
        else if (tests::content(said).find("line 3: ") == std::string::npos ||
                 tests::content(said).find("was changed by another program") == std::string::npos)
            return 4;
    }
    return write_file(folder / (who + ".log"), saved) ? 0 : 5;
}

}  // namespace

TEST_CASE("two editors and a command line on one folder: every save that was told is there, and no other") {
    const int count = tests::cases(200, 15, "saves by each of three");
    const tests::TemporaryFolder folder;
    fs::create_directory(folder.path() / "c");
    for (const char* name : {"a", "b"}) {
        design::Job job;
        job.case_code = std::string("CASE-") + name;
        job.left = design::FootDesign{};
        job.left->cast.path = "cast.ply";
        job.left->cast.sha256 = std::string(64, 'a');
        job.left->side.by = job.left->cast.unit.by = design::StatedBy::person;
        job.left->side.code = job.left->cast.unit.code = "T1";
        REQUIRE(design::save_job(job, folder.path() / (std::string(name) + ".json")).ok());
    }
    std::mt19937_64 random(tests::seed());
    std::vector<pid_t> editors;
    for (const std::string who : {"x", "y"}) {
        const std::uint64_t seed = random();
        const pid_t child = ::fork();
        if (child == 0) ::_exit(revise_by_sessions(folder.path(), who, count, seed));
        editors.push_back(child);
    }
    std::set<std::string> told;
    for (int k = 0; k < count; ++k) {
        const std::string job = random() % 3 == 0 ? "b" : "a", note = "c" + std::to_string(k);
        const tests::Run run =
            tests::run(folder.path() / "c", {"revise", "../" + job + ".json", "--note", note});
        INFO(run.error);
        if (run.code == 0)
            told.insert(job + " " + note);
        else
            CHECK((run.code == 6 && run.error.find("was changed by another program") != std::string::npos));
    }
    for (const pid_t child : editors) {
        int status = -1;
        ::waitpid(child, &status, 0);
        REQUIRE(WIFEXITED(status));
        CHECK(WEXITSTATUS(status) == 0);
    }
    for (const char* log : {"x.log", "y.log"}) {
        std::istringstream in(tests::content(folder.path() / log));
        for (std::string line; std::getline(in, line);) told.insert(line);
    }
    std::set<std::string> there;
    for (const char* name : {"a", "b"}) {
        const auto job = design::read_job(folder.path() / (std::string(name) + ".json"));
        if (!job) FAIL(job.fault().message);
        for (const design::Revision& revision : job->revisions)
            if (!revision.note.empty()) there.insert(std::string(name) + " " + revision.note);
    }
    CHECK(there == told);
    std::printf("%zu of %d saves went through\n", told.size(), 3 * count);
}
