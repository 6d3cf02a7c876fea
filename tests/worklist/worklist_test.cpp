// The list of jobs: each as far as its files say, whatever else lies in the folder.
#include "exporters/worklist/worklist.hpp"

#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <fstream>
#include <random>
#include <set>

#include "engine/base/parallel.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/statement.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::exporters::worklist;
namespace fs = std::filesystem;

namespace {

design::FootDesign foot_as_received() {
    design::FootDesign foot;
    foot.cast.path = "cast.ply";
    foot.cast.sha256 = std::string(64, 'a');
    foot.side.by = foot.cast.unit.by = design::StatedBy::person;
    foot.side.code = foot.cast.unit.code = "T1";
    foot::Landmark suggested;
    suggested.source = foot::Landmark::Source::suggested;
    suggested.confidence = 0.8;
    foot.landmarks[foot::LandmarkId::heel_centre] = suggested;
    return foot;
}

design::Job job_of(const std::string& code) {
    design::Job job;
    job.case_code = code;
    job.left = foot_as_received();
    return job;
}

void put(const fs::path& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
}
void put(const fs::path& path, const design::Job& job) {
    const auto saved = design::save_job(job, path);
    if (!saved) FAIL(saved.fault().message);
}
void put_preview(const fs::path& folder, const std::string& fingerprint) {
    put(folder / (fingerprint.substr(0, 12) + ".preview.html"),
        "<!DOCTYPE html>\n<html lang=\"en\">\n<meta name=\"archwright-design\" content=\"" + fingerprint +
            "\">\n");
}
void put_record(const fs::path& folder, const std::string& fingerprint) {
    put(folder / (fingerprint.substr(0, 12) + ".record.json"),
        "{\n  \"record\": 1,\n  \"fingerprint\": \"" + fingerprint + "\"\n}\n");
}

Worklist list_of(const fs::path& folder) {
    Progress progress;
    auto list = read_worklist(folder, progress);
    if (!list) FAIL(list.fault().message);
    return std::move(*list);
}

}  // namespace

TEST_CASE("a job goes from received to made as its files say, and back when it is edited") {
    const tests::TemporaryFolder folder;
    const fs::path path = folder.path() / "a.json";
    design::Job job = job_of("WREN-3");
    const auto now = [&] {
        put(path, job);
        const Worklist list = list_of(folder.path());
        REQUIRE(list.items.size() == 1);
        CHECK(list.not_taken.empty());
        return list.items.front().state;
    };
    CHECK(now() == State::received);
    job.order.complaint = "sore heel";  // the order is no design
    CHECK(now() == State::received);
    job.left->wall.base_mm = 3.4;
    CHECK(now() == State::designing);
    put_preview(folder.path(), design::fingerprint(job, Side::left));
    CHECK(now() == State::waiting);
    job.left->trim.cup_posterior_mm = 15;
    CHECK(now() == State::designing);
    job.left->trim.cup_posterior_mm = design::Trim{}.cup_posterior_mm;
    REQUIRE(design::approve(job, Side::left, "P1", "2026-11-20").ok());
    CHECK(now() == State::approved);
    job.order.due = "2026-12-01";  // changes no device
    CHECK(now() == State::approved);
    put_record(folder.path(), design::fingerprint(job, Side::left));
    CHECK(now() == State::made);
    job.right = foot_as_received();  // the other foot is where it is
    CHECK(now() == State::received);
    const Worklist both = list_of(folder.path());
    CHECK(both.items.front().feet ==
          std::vector<std::pair<Side, State>>{{Side::left, State::made}, {Side::right, State::received}});
    job.left->wall.base_mm = 3.6;
    job.right.reset();
    CHECK(now() == State::designing);
}

TEST_CASE(
    "an approval from before, when the day due had its part in the fingerprint, holds while that day "
    "stands") {
    const std::string sha(64, 'a');
    const auto read =
        design::parse_job(R"({"format": "archwright job", "version": 1, "case": "WREN-3",
        "revisions": [{"letter": "A"}], "order": {"due": "2026-11-30"}, "left": {
        "side": {"by": "person", "code": "T1"},
        "cast": {"path": "cast.ply", "sha256": ")" +
                              sha + R"(", "unit": {"value": "mm", "by": "person", "code": "T1"}},
        "landmarks": {"heel_centre": {"position": [0, 0, 0], "source": "suggested", "confidence": 0.8}}}})",
                          "old.json");
    if (!read) FAIL(read.fault().message);
    design::Job job = *read;
    const std::string before = "81a59d4a8c0edad55db029362a5160d17fd8f8327936df0ca78e479e6a49b8c9";
    job.left->approvals.push_back({"A", "P1", "2026-11-01", before});
    CHECK(design::valid_approval(job, Side::left) != nullptr);
    CHECK(design::fingerprint(job, Side::left) != before);
    job.order.due = "2026-12-01";
    CHECK(design::valid_approval(job, Side::left) == nullptr);
}

TEST_CASE("random histories: the state is the one a plain reckoning gives") {
    std::mt19937_64 random(tests::seed());
    for (int k = tests::cases(400, 20, "histories of jobs"); k > 0; --k) {
        const tests::TemporaryFolder folder;
        design::Job job = job_of("CASE-" + std::to_string(k));
        std::vector<double> shown, made, approved;  // walls that were; the wall is all that is designed
        for (int step = 0; step < 12; ++step) {
            const double wall = job.left->wall.base_mm;
            const std::string fingerprint = design::fingerprint(job, Side::left);
            switch (random() % 5) {
                case 0:
                case 1:
                    job.left->wall.base_mm = 3.2 + 0.2 * static_cast<double>(random() % 3);
                    break;
                case 2:
                    put_preview(folder.path(), fingerprint);
                    shown.push_back(wall);
                    break;
                case 3:
                    REQUIRE(design::approve(job, Side::left, "P" + std::to_string(step), "2026-11-20").ok());
                    approved.push_back(wall);
                    break;
                default:
                    if (random() % 3 != 0) break;
                    put_record(folder.path(), fingerprint);
                    made.push_back(wall);
            }
            put(folder.path() / "job.json", job);
            const double is = job.left->wall.base_mm;
            const auto was = [&](const std::vector<double>& walls) {
                return std::find(walls.begin(), walls.end(), is) != walls.end();
            };
            const State wanted = was(made)                                          ? State::made
                                 : was(approved)                                    ? State::approved
                                 : was(shown)                                       ? State::waiting
                                 : is == design::Wall{}.base_mm && approved.empty() ? State::received
                                                                                    : State::designing;
            const Worklist list = list_of(folder.path());
            REQUIRE(list.items.size() == 1);
            CHECK(word(list.items.front().state) == std::string(word(wanted)));
        }
    }
}

TEST_CASE("a record that is cut off, or whose files are gone or cut, makes no device made") {
    const tests::TemporaryFolder folder;
    const design::Job job = job_of("WREN-3");
    put(folder.path() / "case.json", job);
    const std::string fingerprint = design::fingerprint(job, job.left ? Side::left : Side::right);
    const std::string whole =
        "{\"fingerprint\": \"" + fingerprint + "\", \"outputs\": [{\"file\": \"a.stl\", \"bytes\": 5}]}";
    const fs::path record = folder.path() / "a.record.json", made = folder.path() / "a.stl";
    const auto state = [&] { return list_of(folder.path()).items.at(0).state; };
    put(made, "solid");
    put(record, whole);
    CHECK(state() == State::made);
    put(record, whole.substr(0, whole.size() - 1));
    CHECK(state() != State::made);
    put(record, whole);
    put(made, "soli");
    CHECK(state() != State::made);
    fs::remove(made);
    CHECK(state() != State::made);
}

TEST_CASE("by the day due, then by case; without a day last") {
    const tests::TemporaryFolder folder;
    fs::create_directories(folder.path() / "older" / "2026");
    const auto add = [&](const std::string& file, const std::string& code, const std::string& due) {
        design::Job job = job_of(code);
        job.order.due = due;
        put(folder.path() / file, job);
    };
    add("a.json", "A-1", "");
    add("b.json", "B-1", "2026-12-24");
    add("older/c.json", "C-1", "2026-01-31");
    add("older/2026/d.json", "A-9", "2026-12-24");
    std::string order;
    for (const WorkItem& item : list_of(folder.path()).items) order += item.name + " ";
    CHECK(order == "older/c.json older/2026/d.json b.json a.json ");
}

TEST_CASE("whatever else lies in the folder is named, stops nothing and is not waited for") {
    const tests::TemporaryFolder folder;
    const fs::path at = folder.path();
    put(at / "good.json", job_of("GOOD-1"));
    put(at / "empty.json", "");
    put(at / "cut.json", design::write_job(job_of("CUT-1")).substr(0, 600));
    put(at / "deep.json", "{\"format\": \"archwright job\", \"x\": " + std::string(200000, '[') + "}");
    put(at / "bytes.json", std::string("{\"format\": \"archwright job\"\0\xFF\xC0", 30));
    put(at / "other.json", "{\"format\": \"something else\"}");
    put(at / "two\nlines.json", "");
    put(at / "stray.record.json", std::string(5000, 'x'));
    put(at / "stray.preview.html", "<meta name=\"archwright-design\" content=\"short\">");
    REQUIRE(::mkfifo((at / "pipe.json").c_str(), 0644) == 0);
    REQUIRE(::mkfifo((at / "pipe.record.json").c_str(), 0644) == 0);
    REQUIRE(::mkfifo((at / "pipe.preview.html").c_str(), 0644) == 0);
    fs::create_directory_symlink(at, at / "loop");
    fs::create_symlink(at / "nowhere", at / "gone.json");
    design::Job footless = job_of("NONE-1");
    footless.left.reset();
    put(at / "footless.json", design::write_job(footless));
    const Worklist list = list_of(at);
    REQUIRE(list.items.size() == 1);
    CHECK(list.items.front().case_code == "GOOD-1");
    std::set<std::string> unreadable;
    for (const auto& [name, why] : list.unreadable) {
        CHECK_FALSE(why.empty());
        unreadable.insert(name);
    }
    CHECK(unreadable == std::set<std::string>{"bytes.json", "cut.json", "deep.json", "empty.json",
                                              "footless.json", "gone.json", "pipe.json", "pipe.record.json",
                                              "two\nlines.json"});
    CHECK(list.not_taken.size() == 2);  // the other format, the link to a folder
}

TEST_CASE("a folder of nothing is an empty list; no folder is said") {
    const tests::TemporaryFolder folder;
    CHECK(list_of(folder.path()).items.empty());
    Progress progress;
    const auto none = read_worklist(folder.path() / "none", progress);
    REQUIRE_FALSE(none.ok());
    CHECK(none.fault().kind == FaultKind::input);
    CHECK(none.fault().message.find("is no folder") != std::string::npos);
}

TEST_CASE("many jobs: the same list on any number of threads; its time is printed") {
    const tests::TemporaryFolder folder;
    const int jobs = tests::cases(5000, 500, "jobs in one folder");
    for (int k = 0; k < jobs; ++k) {
        design::Job job = job_of("CASE-" + std::to_string(k));
        job.order.due = "2026-12-" + std::to_string(10 + k % 20);
        job.left->wall.base_mm = 3.0 + 0.1 * (k % 3);
        put(folder.path() / (std::to_string(k) + ".json"), design::write_job(job));
        if (k % 4 == 0) put_preview(folder.path(), design::fingerprint(job, Side::left));
    }
    std::vector<std::string> seen;
    for (const int threads : {1, 8}) {
        set_thread_count(threads);
        const auto begun = std::chrono::steady_clock::now();
        const Worklist list = list_of(folder.path());
        const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begun;
        set_thread_count(0);
        std::printf("%zu jobs read in %.2f s on %d threads\n", list.items.size(), took.count(), threads);
        CHECK(list.items.size() == static_cast<std::size_t>(jobs));
        std::string text;
        for (const WorkItem& item : list.items)
            text += item.name + " " + item.due + " " + word(item.state) + "\n";
        seen.push_back(text);
    }
    CHECK(seen[0] == seen[1]);
    Progress cancelled;
    cancelled.cancel();
    const auto none = read_worklist(folder.path(), cancelled);
    REQUIRE_FALSE(none.ok());
    CHECK(none.fault().kind == FaultKind::cancelled);
}
