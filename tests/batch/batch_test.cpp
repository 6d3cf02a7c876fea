// Many jobs: none is lost, none is done twice, none stops the others.
#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <thread>

#include "engine/base/hash.hpp"
#include "exporters/batch/batch.hpp"
#include "exporters/batch/child.hpp"
#include "exporters/batch/file_lock.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::exporters;
namespace fs = std::filesystem;

namespace {

// Stands in for the program: `make` of a "job" whose text says what is to become of it. Every start is noted.
void put_program(const fs::path& path, const fs::path& starts) {
    std::ofstream(path)
        << "#!/bin/sh\n"  // words: --json --quiet --threads N make JOB -o DIR
           "job=$6 dir=$8\n"
           "echo \"$(basename \"$job\")\" >> '"
        << starts.string()
        << "'\n"
           "case \"$(cat \"$job\")\" in\n"
           "*hang*) exec sleep 600 ;;\n"
           "*crash*) kill -SEGV $$ ;;\n"
           "*fail*) echo '{\"ok\": false, \"message\": \"The cast is a picture.\"}'; exit 3 ;;\n"
           "*noise*) echo 'no JSON at all'; exit 0 ;;\n"
           "esac\n"
           "sleep 0.03\n"
           "name=\"$(basename \"$job\" .json).stl\"\n"
           "echo shell > \"$dir/$name\"\n"
           "sum=\"$(sha256sum \"$dir/$name\" | cut -c1-64)\"\n"
           "echo '{\"ok\": true, \"devices\": [{\"verdict\": \"look\", \"files\": [{\"path\": \"'"
           "\"$dir/$name\"'\", \"sha256\": \"'\"$sum\"'\"}]}]}'\n";
    fs::permissions(path, fs::perms::owner_all);
}

std::string stand_in(const std::string& what) {
    return "{\"format\": \"archwright job\", \"note\": \"" + what + "\"}";
}

std::map<std::string, int> starts_of(const fs::path& file) {
    std::map<std::string, int> count;
    std::ifstream in(file);
    for (std::string line; std::getline(in, line);) ++count[line];
    return count;
}

struct Bench {
    tests::TemporaryFolder folder;
    fs::path jobs = folder.path() / "jobs", out = folder.path() / "out", program = folder.path() / "stand-in",
             starts = folder.path() / "starts";
    Bench() {
        fs::create_directories(jobs);
        put_program(program, starts);
    }
    void job(const std::string& name, const std::string& what = "good") const {
        std::ofstream(jobs / (name + ".json")) << stand_in(what);
    }
    batch::BatchSetting setting(int workers) const {
        batch::BatchSetting s;
        s.folder = out;
        s.workers = workers;
        s.program = program.string();
        return s;
    }
    batch::BatchResult run(const batch::BatchSetting& s) const {
        const auto listed = batch::list_jobs(jobs);
        REQUIRE(listed.ok());
        auto result = batch::run_batch(listed->jobs, s, {});
        if (!result.ok()) FAIL(result.fault().message);
        return *result;
    }
};

}  // namespace

TEST_CASE("a folder gives its jobs alone; a list names the line that is wrong") {
    const tests::TemporaryFolder folder;
    fs::create_directories(folder.path() / "b" / ".batch");
    for (const char* name : {"a.json", "b/c.json", "b/.batch/d.json"})
        std::ofstream(folder.path() / name) << stand_in("good");
    std::ofstream(folder.path() / "x.report.json") << R"({"archwright": "0.1.0", "case": "X"})";
    std::ofstream(folder.path() / "notes.txt") << stand_in("good");
    const auto jobs = batch::list_jobs(folder.path());
    REQUIRE(jobs.ok());
    REQUIRE(jobs->jobs.size() == 2);
    CHECK(jobs->jobs[0].name == "a.json");
    CHECK(jobs->jobs[1].name == "b+c.json");
    CHECK(jobs->not_taken.empty());
    // an empty job is a job lost; one with a slip in its first line is named
    std::ofstream(folder.path() / "empty.json").flush();
    std::ofstream(folder.path() / "slip.json") << R"({"format": "archwrigth job"})";
    const auto more = batch::list_jobs(folder.path());
    REQUIRE(more.ok());
    CHECK(more->jobs.size() == 3);
    CHECK(more->not_taken == std::vector<std::string>{"slip.json"});

    const fs::path list = folder.path() / "list.txt";
    std::ofstream(list) << "# tonight\r\n\r\n  b/c.json  # first\r\na.json\r\n";
    const auto named = batch::list_jobs(list);
    REQUIRE(named.ok());
    REQUIRE(named->jobs.size() == 2);
    CHECK(named->jobs[0].name == "b+c.json");
    const auto fault_of = [&](const std::string& text) {
        std::ofstream(list) << text;
        const auto bad = batch::list_jobs(list);
        REQUIRE_FALSE(bad.ok());
        return bad.fault().message;
    };
    CHECK(fault_of("a.json\nabsent.json\n").find("line 2") != std::string::npos);
    CHECK(fault_of("absent.json\na.json\ngone.json\n").find("line 3") != std::string::npos);
    CHECK(fault_of("a.json\n./a.json\n").find("named twice") != std::string::npos);
    CHECK(fault_of("# nothing\n").find("names no job") != std::string::npos);
    CHECK(fault_of(std::string(5000, 'x')).find("line 1") != std::string::npos);
    CHECK_FALSE(batch::list_jobs(folder.path() / "absent").ok());
    CHECK_FALSE(batch::list_jobs(folder.path() / "b" / ".batch" / "none").ok());
}

TEST_CASE("names of jobs are one to one, fit a file's name and break no line") {
    const tests::TemporaryFolder folder;
    fs::create_directories(folder.path() / "a");
    const std::string deep(100, 'd');
    fs::create_directories(folder.path() / deep / deep);
    std::ofstream(folder.path() / deep / deep / (std::string(90, 'x') + "1.json")) << stand_in("good");
    std::ofstream(folder.path() / deep / deep / (std::string(90, 'x') + "2.json")) << stand_in("good");
    for (const char* name : {"a/b.json", "a+b.json", "a%2Bb.json", "two\nlines.json", "-o.json"})
        std::ofstream(folder.path() / name) << stand_in("good");
    const auto jobs = batch::list_jobs(folder.path());
    REQUIRE(jobs.ok());
    std::set<std::string> names;
    for (const auto& job : jobs->jobs) {
        INFO(job.name);
        CHECK(names.insert(job.name).second);
        CHECK(job.name.size() <= 200);
        CHECK(job.name.find('\n') == std::string::npos);
    }
    CHECK(names.size() == 7);
    CHECK(names.count("a+b.json") == 1);
    CHECK(names.count("a%2Bb.json") == 1);
}

TEST_CASE("a list as other systems write it, and one without end") {
    const tests::TemporaryFolder folder;
    for (const char* name : {"a.json", "b#2.json"}) std::ofstream(folder.path() / name) << stand_in("good");
    const fs::path list = folder.path() / "list.txt";
    std::ofstream(list) << "\xEF\xBB\xBF"
                           "a.json\r\nb#2.json # the second\r\n";
    const auto named = batch::list_jobs(list);
    REQUIRE(named.ok());
    REQUIRE(named->jobs.size() == 2);
    CHECK(named->jobs[1].path.filename() == "b#2.json");
    CHECK_FALSE(batch::list_jobs("/dev/zero").ok());  // no file
    REQUIRE(::mkfifo((folder.path() / "pipe").c_str(), 0600) == 0);
    CHECK_FALSE(batch::list_jobs(folder.path() / "pipe").ok());
    std::ofstream(list) << "a.json\n" << std::string(10'000, 'x');
    CHECK_FALSE(batch::list_jobs(list).ok());
}

TEST_CASE("what cannot be read counts as a job that failed") {
    const Bench bench;
    bench.job("good");
    bench.job("locked");
    fs::permissions(bench.jobs / "locked.json", fs::perms::none);
    fs::create_directories(bench.jobs / "closed");
    fs::permissions(bench.jobs / "closed", fs::perms::none);
    for (const fs::path& folder : {bench.folder.path(), bench.jobs})
        fs::permissions(folder, fs::perms::all & ~fs::perms::group_write & ~fs::perms::others_write);
    const bool root = ::geteuid() == 0;  // who reads everything, and may be somebody else for a while
    constexpr uid_t nobody = 65534;
    if (root) REQUIRE(::seteuid(nobody) == 0);
    const auto listed = batch::list_jobs(bench.jobs);
    if (root) REQUIRE(::seteuid(0) == 0);
    if (!listed.ok()) FAIL(listed.fault().message);
    REQUIRE(listed->jobs.size() == 3);
    CHECK(listed->jobs[0].name == "closed");
    CHECK(listed->jobs[2].name == "locked.json");
    const auto result = batch::run_batch(listed->jobs, bench.setting(1), {});
    fs::permissions(bench.jobs / "closed", fs::perms::owner_all);
    REQUIRE(result.ok());
    CHECK(result->records.size() == 3);
    CHECK(result->failed == (root ? 1 : 2));
}

TEST_CASE("jobs whose paths begin like options are handed over as files") {
    const Bench bench;
    bench.job("-x");
    const fs::path before = fs::current_path();
    fs::current_path(bench.jobs);
    std::ofstream("list.txt") << "-x.json\n";
    const auto listed = batch::list_jobs("list.txt");
    REQUIRE(listed.ok());
    const auto result = batch::run_batch(listed->jobs, bench.setting(1), {});
    fs::current_path(before);
    REQUIRE(result.ok());
    CHECK(result->failed == 0);
}

TEST_CASE("a program that cannot be started, or has no memory to, is said to be so") {
    const Bench bench;
    bench.job("one");
    auto setting = bench.setting(1);
    setting.program = "/absent/program";
    setting.memory_limit_mb = 1000;
    const auto result = bench.run(setting);
    REQUIRE(result.failed == 1);
    CHECK(result.records[0].message.find("without a word") != std::string::npos);
    CHECK(result.records[0].message.find("--memory-limit 1000") != std::string::npos);
}

TEST_CASE("one job whose lock or record cannot be written fails alone; a record of nothing is not believed") {
    const Bench bench;
    for (const char* name : {"one", "two", "three"}) bench.job(name);
    fs::create_directories(bench.out / ".batch" / "one.json.lock");
    fs::create_directories(bench.out / ".batch" / "two.json.record" / "full");
    const auto result = bench.run(bench.setting(1));
    CHECK(result.records.size() == 3);
    CHECK(result.failed == 2);
    CHECK(fs::exists(bench.out / "three.stl"));
    const fs::path record = bench.out / ".batch" / "three.json.record";
    std::string text = tests::content(record);
    const std::size_t from = text.find("\"files\": {"), to = text.find('}', from);
    text.replace(from, to - from, "\"files\": {");
    std::ofstream(record) << text;
    CHECK(bench.run(bench.setting(1)).fresh == 2);  // "three", and "two" whose record was never kept
}

TEST_CASE("what stands in a folder beside its jobs is named, and JSON may be written large") {
    const tests::TemporaryFolder folder;
    fs::create_directories(folder.path() / "jobs");
    fs::create_directories(folder.path() / "elsewhere");
    for (const char* name : {"jobs/a.json", "jobs/B.JSON", "elsewhere/c.json"})
        std::ofstream(folder.path() / name) << stand_in("good");
    fs::create_directory_symlink(folder.path() / "elsewhere", folder.path() / "jobs" / "linked");
    fs::create_symlink(folder.path() / "absent", folder.path() / "jobs" / "gone.json");
    const auto jobs = batch::list_jobs(folder.path() / "jobs");
    REQUIRE(jobs.ok());
    CHECK(jobs->jobs.size() == 3);  // with "gone.json", which will fail
    REQUIRE(jobs->not_taken.size() == 1);
    CHECK(jobs->not_taken[0].find("linked") == 0);
}

TEST_CASE("a job that another process holds is open, not done, whatever an old record says") {
    const Bench bench;
    bench.job("one");
    bench.job("two");
    REQUIRE(bench.run(bench.setting(1)).failed == 0);
    fs::create_directories(bench.out / ".batch");
    const auto held = batch::FileLock::take(bench.out / ".batch" / "two.json.lock");
    REQUIRE((held.ok() && held->has_value()));
    const auto result = bench.run(bench.setting(1));
    CHECK(result.records.size() == 1);
    CHECK(result.elsewhere() == 1);
}

TEST_CASE("jobs that fail, crash, babble or hang do not stop the others") {
    const Bench bench;
    for (int i = 0; i < 12; ++i) bench.job("good-" + std::to_string(i));
    bench.job("bad-1", "fail");
    bench.job("bad-2", "crash");
    bench.job("bad-3", "hang");
    bench.job("bad-4", "noise");
    auto setting = bench.setting(3);
    setting.time_limit_seconds = 2.0;
    const auto result = bench.run(setting);
    CHECK(result.records.size() == 16);
    CHECK(result.failed == 4);
    std::map<std::string, batch::Record> by_name;
    for (const auto& record : result.records) by_name[record.name] = record;
    CHECK(by_name["good-7.json"].outcome == "made");
    CHECK(by_name["good-7.json"].verdict == "look");
    CHECK(by_name["good-7.json"].files.size() == 1);
    CHECK(by_name["good-7.json"].files["good-7.stl"] == sha256(tests::content(bench.out / "good-7.stl")));
    CHECK(by_name["bad-1.json"].outcome == "failed");
    CHECK(by_name["bad-1.json"].message == "The cast is a picture.");
    CHECK(by_name["bad-2.json"].outcome == "crashed");
    CHECK(by_name["bad-3.json"].outcome == "timed out");
    CHECK(by_name["bad-4.json"].outcome == "failed");

    // run again: nothing is done twice; with `retry` the failed ones are, and an edited job is
    CHECK(bench.run(setting).fresh == 0);
    bench.job("good-3", "better");
    setting.retry = true;
    const auto again = bench.run(setting);
    CHECK(again.fresh == 5);
    CHECK(starts_of(bench.starts)["good-3.json"] == 2);
    CHECK(starts_of(bench.starts)["good-4.json"] == 1);
    fs::remove(bench.out / "good-4.stl");  // a device that is gone is made again
    setting.retry = false;
    CHECK(bench.run(setting).fresh == 1);
    std::ofstream(bench.out / "good-4.stl").flush();  // so is one that was emptied or written over
    CHECK(bench.run(setting).fresh == 1);
    setting.more_words = {"--format", "stl"};  // and all of them when other files are asked for
    CHECK(bench.run(setting).fresh == 16);

    const std::string csv = batch::summary_csv(again);
    CHECK(std::count(csv.begin(), csv.end(), '\n') == 17);
    CHECK(batch::summary_table(again, 16).find("16 listed: 12 made, 4 failed; 5 in this run.") !=
          std::string::npos);
}

TEST_CASE("killed at any moment, a batch goes on where it was") {
    const Bench bench;
    constexpr int least = 8;  // so many take longer than the first kill waits
    const int count = std::max(least, tests::cases(60, 12, "jobs of a batch that is killed"));
    for (int i = 0; i < count; ++i) bench.job("job-" + std::to_string(i));
    int kills = 0;
    for (int round = 0; round < 200; ++round) {
        const pid_t child = fork();
        if (child == 0) {
            const auto listed = batch::list_jobs(bench.jobs);
            _exit(listed.ok() && batch::run_batch(listed->jobs, bench.setting(2), {}).ok() ? 0 : 1);
        }
        std::this_thread::sleep_for(std::chrono::milliseconds(40 + 23 * (round % 7)));
        kill(child, SIGKILL);
        int status = 0;
        waitpid(child, &status, 0);
        if (WIFEXITED(status)) break;
        ++kills;
    }
    CHECK(kills > 0);
    const auto result = bench.run(bench.setting(2));
    CHECK(result.records.size() == static_cast<std::size_t>(count));
    CHECK(result.failed == 0);
    // only what was under way when a kill came (two workers) was begun again
    int starts = 0;
    for (const auto& [name, times] : starts_of(bench.starts)) starts += times;
    CHECK(starts >= count);
    CHECK(starts <= count + 2 * kills);
}

TEST_CASE("two processes on one list: every job once") {
    const Bench bench;
    const int count = tests::cases(200, 30, "jobs shared by two processes");
    for (int i = 0; i < count; ++i) bench.job("job-" + std::to_string(i));
    pid_t children[2];
    for (pid_t& child : children) {
        child = fork();
        if (child == 0) {
            const auto listed = batch::list_jobs(bench.jobs);
            _exit(listed.ok() && batch::run_batch(listed->jobs, bench.setting(2), {}).ok() ? 0 : 1);
        }
    }
    for (const pid_t child : children) {
        int status = 0;
        waitpid(child, &status, 0);
        CHECK((WIFEXITED(status) && WEXITSTATUS(status) == 0));
    }
    const auto starts = starts_of(bench.starts);
    CHECK(starts.size() == static_cast<std::size_t>(count));
    for (const auto& [name, times] : starts) {
        INFO(name);
        CHECK(times == 1);
    }
    CHECK(bench.run(bench.setting(1)).fresh == 0);
}

TEST_CASE("a lock dies with its holder; the file stays") {
    const tests::TemporaryFolder folder;
    const fs::path path = folder.path() / "lock";
    const auto mine = batch::FileLock::take(path);
    REQUIRE((mine.ok() && mine->has_value()));
    const auto second = batch::FileLock::take(path);
    REQUIRE(second.ok());
    CHECK_FALSE(second->has_value());
    int ready[2];
    REQUIRE(pipe(ready) == 0);
    const fs::path other = folder.path() / "other";
    const pid_t child = fork();
    if (child == 0) {
        const auto held = batch::FileLock::take(other);
        const char yes = held.ok() && held->has_value() ? 'y' : 'n';
        (void)!write(ready[1], &yes, 1);
        pause();
        _exit(0);
    }
    char answer = '?';
    REQUIRE(read(ready[0], &answer, 1) == 1);
    CHECK(answer == 'y');
    CHECK_FALSE(batch::FileLock::take(other)->has_value());
    kill(child, SIGKILL);
    waitpid(child, nullptr, 0);
    CHECK(batch::FileLock::take(other)->has_value());
    CHECK_FALSE(batch::FileLock::take(folder.path() / "absent" / "lock").ok());
}

TEST_CASE("a child is held to its time and its memory") {
    const tests::TemporaryFolder folder;
    const auto run = [&](const std::string& script, const batch::ChildLimits& limits) {
        const auto end = batch::run_child({"/bin/sh", "-c", script}, folder.path() / "out",
                                          folder.path() / "err", limits, [] { return false; });
        REQUIRE(end.ok());
        return *end;
    };
    CHECK(run("exit 7", {}).exit_code == 7);
    CHECK(run("kill -9 $$", {}).signal == 9);
    CHECK(run("trap '' INT; sleep 60 & wait; sleep 60", {0.2, 0}).timed_out);  // deaf to the polite signal
    CHECK(run("x=$(head -c 200000000 /dev/zero | tr '\\0' x)", {20.0, 100}).exit_code != 0);
    CHECK(batch::run_child({"/absent/program"}, folder.path() / "out", folder.path() / "err", {}, [] {
              return false;
          })->exit_code == 127);
}
