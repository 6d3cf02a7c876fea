// The real thing: generated jobs through `archwright batch`, and the same bytes in any order.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <map>
#include <random>
#include <sstream>

#include "assets/generator/cast_file.hpp"
#include "assets/generator/random.hpp"
#include "engine/base/hash.hpp"
#include "engine/design/job_file.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
namespace fs = std::filesystem;

namespace {

std::map<std::string, std::string> devices(const fs::path& folder) {
    std::map<std::string, std::string> all;
    for (const auto& entry : fs::directory_iterator(folder))
        if (entry.is_regular_file() && entry.path().filename() != "batch.csv")
            all[entry.path().filename().string()] = sha256(tests::content(entry.path()));
    return all;
}

// A job and its cast, drawn at random.
void put_job(const fs::path& folder, const std::string& name, std::uint64_t seed) {
    const auto random = tests::random_job(generator::mix(seed), 20'000);
    REQUIRE(random.ok());
    const std::string bytes =
        generator::encode(random->cast.mesh, generator::CastFormat::stl_binary, "generated");
    std::ofstream(folder / (name + ".stl"), std::ios::binary) << bytes;
    design::Job job;
    job.case_code = name;
    design::FootDesign& foot = job.foot(random->side).emplace(random->foot);
    foot.cast.path = name + ".stl";
    foot.cast.sha256 = sha256(bytes);
    REQUIRE(design::save_job(job, folder / (name + ".json")).ok());
}

// Jobs that a check stopped with a place, as a random cast may deserve ("ends too near the trim line").
int stops(const fs::path& csv) {
    std::istringstream lines(tests::content(csv));
    int count = 0;
    for (std::string line; std::getline(lines, line);)
        if (line.find(",failed,,5,") != std::string::npos && line.find(" forward, ") != std::string::npos)
            ++count;
    return count;
}

}  // namespace

TEST_CASE("generated jobs run through a batch, in any order to the same bytes") {
    const tests::TemporaryFolder folder;
    const int count = tests::cases(500, 3, "generated jobs in a batch");
    std::vector<std::string> names;
    for (int i = 0; i < count; ++i) {
        const std::string name = "case-" + std::to_string(1000 + i);
        put_job(folder.path(), name, tests::seed() + 20'000 + static_cast<std::uint64_t>(i));
        names.push_back(name + ".json");
    }
    std::ofstream(folder.path() / "broken.json") << "{\"format\": \"archwright job\", \"version\": 1}";
    const tests::Run first = tests::run(folder.path(), {"batch", ".", "-o", "out", "--workers", "2"});
    INFO(first.out << first.error);
    const int stopped = stops(folder.path() / "out" / "batch.csv");  // and the broken one
    CHECK(stopped <= 1 + count / 50);
    CHECK(first.code == 100 + std::min(20, 1 + stopped));
    CHECK(first.out.find(std::to_string(count + 1) + " listed: " + std::to_string(count - stopped) +
                         " made, " + std::to_string(1 + stopped) + " failed") != std::string::npos);

    std::shuffle(names.begin(), names.end(), std::mt19937_64(tests::seed()));
    std::ofstream list(folder.path() / "list.txt");
    for (const std::string& name : names) list << name << "\n";
    list.close();
    const tests::Run second = tests::run(
        folder.path(), {"batch", "list.txt", "-o", "again", "--workers", "1"}, {"LC_ALL=de_DE.utf8"});
    INFO(second.out << second.error);
    CHECK(second.code == (stopped == 0 ? 0 : 100 + std::min(20, stopped)));
    CHECK(devices(folder.path() / "out") == devices(folder.path() / "again"));
    // a job of a case that is in the list already fails and names the other; a changed cast is a stop
    fs::copy_file(folder.path() / names[0], folder.path() / "twin.json");
    std::ofstream(folder.path() / "twins.txt") << names[0] << "\ntwin.json\n";
    const tests::Run twins = tests::run(folder.path(), {"batch", "twins.txt", "-o", "again"});
    CHECK(twins.code == 101);
    CHECK(twins.out.find(names[0] + " of this list is case-") != std::string::npos);
    const std::string cast = fs::path(names[0]).stem().string() + ".stl";
    const std::string good = tests::content(folder.path() / cast);
    std::ofstream(folder.path() / cast, std::ios::binary) << good << "x";
    const tests::Run changed = tests::run(folder.path(), {"batch", "list.txt", "-o", "again"});
    CHECK(changed.code == 100 + std::min(20, stopped + 1));
    CHECK(changed.out.find("SHA-256") != std::string::npos);
    std::ofstream(folder.path() / cast, std::ios::binary) << good;
    CHECK(tests::run(folder.path(), {"batch", "list.txt", "-o", "again"}).code == second.code);
    // nothing is left to do
    CHECK(tests::run(folder.path(), {"batch", "list.txt", "-o", "again"}).out.find("; 0 in this run.") !=
          std::string::npos);
}

TEST_CASE("a STEP file whose solid the library boxes otherwise after a round through a file is delivered") {
    const tests::TemporaryFolder folder;
    put_job(folder.path(), "box", 20281603);  // number 478 of the 500 of seed 20261125
    const tests::Run made = tests::run(folder.path(), {"make", "box.json", "-o", "out", "--format", "step"});
    INFO(made.error);
    CHECK(made.code == 0);
}
