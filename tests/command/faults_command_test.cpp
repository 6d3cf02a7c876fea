// Faults of a cast as a technician meets them: told first, answered, repaired by number, refused where a
// person said otherwise.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "assets/generator/cast.hpp"
#include "assets/generator/cast_file.hpp"
#include "assets/generator/foot.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using Catch::Contains;
using tests::content, tests::Run, tests::run;
using Json = nlohmann::json;
namespace fs = std::filesystem;

namespace {

/// A job of a foot with two dents and a heel set down too soon.
void put_faulty_job(const fs::path& folder, bool flat_heel) {
    const auto foot = generator::Foot::make({});
    REQUIRE(foot.ok());
    generator::CastSpec spec;
    spec.triangles = 100'000;
    spec.noise_mm = 0.05;
    spec.dents = {{Vec2(70, 4), 8.0, 2.5}, {Vec2(100, 4), 7.0, 2.0}};
    if (flat_heel) spec.heel_flat = generator::HeelFlat{2.2, 0.0, 0.0};
    const auto cast = generator::take_cast(*foot, spec);
    REQUIRE(cast.ok());
    REQUIRE(
        generator::write_cast(folder / "cast.ply", cast->mesh, generator::CastFormat::ply_binary, "t").ok());
    const std::string side = foot->shape().side == Side::left ? "left" : "right";
    const Run made =
        run(folder, {"new", "cast.ply", "-o", "case.json", "--side", side, "--unit", "mm", "--by", "T1"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    CHECK_THAT(made.out, Contains("The cast: ") && Contains("archwright repair case.json --finding"));
}

Json inspected(const fs::path& folder) {
    const Run run_ = run(folder, {"--json", "--quiet", "inspect", "case.json"});
    INFO(run_.error);
    REQUIRE(run_.code == 0);
    return Json::parse(run_.out)[0];
}

std::vector<int> numbers_of(const Json& inspected, const std::string& kind, bool certain) {
    std::vector<int> numbers;
    for (const Json& f : inspected["findings"])
        if (f["kind"] == kind && f["certain"] == certain) numbers.push_back(f["number"]);
    return numbers;
}

}  // namespace

TEST_CASE("two dents of one list are repaired in one command, and what was answered is not repaired") {
    const tests::TemporaryFolder folder;
    put_faulty_job(folder.path(), false);
    const Json before = inspected(folder.path());
    CHECK(before["verdict"]["word"] == "repair");
    const std::vector<int> dents = numbers_of(before, "dent", true);
    REQUIRE(dents.size() == 2);
    const std::string first = std::to_string(dents[0]), second = std::to_string(dents[1]);

    // answered, then repaired: one of the two is wrong
    const std::string untouched = content(folder.path() / "case.json");
    const Run said =
        run(folder.path(), {"answer", "case.json", first, "foot", "--by", "T1", "--note", "a scar"});
    INFO(said.out << said.error);
    REQUIRE(said.code == 0);
    CHECK_THAT(said.out, Contains("No. " + first + ", dent, ") && Contains("the foot's own shape, says T1"));
    CHECK_THAT(run(folder.path(), {"inspect", "case.json"}).out, Contains("a scar"));
    const std::string answered = content(folder.path() / "case.json");
    const Run refused =
        run(folder.path(), {"repair", "case.json", "--finding", first + "," + second, "--by", "T1"});
    CHECK(refused.code != 0);
    CHECK_THAT(refused.error, Contains("Take the answer back first"));
    CHECK(content(folder.path() / "case.json") == answered);
    REQUIRE(run(folder.path(), {"answer", "case.json", first, "open", "--by", "T1"}).code == 0);
    CHECK(content(folder.path() / "case.json") == untouched);

    const Run repaired = run(
        folder.path(), {"--json", "repair", "case.json", "--finding", first + "," + second, "--by", "T1"});
    INFO(repaired.out << repaired.error);
    REQUIRE(repaired.code == 0);
    const Json made = Json::parse(repaired.out)["repairs"];
    REQUIRE(made.size() == 2);
    for (std::size_t k = 0; k < 2; ++k) {
        // the list said how deep, and the repair goes as far
        const Json& f = before["findings"][static_cast<std::size_t>(dents[k]) - 1];
        CHECK(made[k]["largest_mm"].get<double>() > 0.0);
        CHECK(std::abs(made[k]["largest_mm"].get<double>() + f["depth_mm"].get<double>()) <
              0.15 + 1.96 * f["depth_sd_mm"].get<double>());
    }
    const Json after = inspected(folder.path());
    CHECK(numbers_of(after, "dent", true).empty());
    REQUIRE(after["repairs"].size() == 2);
    CHECK(after["repairs"][0]["what"] == "dent");
    CHECK(after["repairs"][0]["by"] == "T1");

    // the same place once more
    const Json scan = Json::parse(content(folder.path() / "case.json"));
    const std::string side = scan.contains("left") ? "left" : "right";
    const Json point = scan[side]["repairs"][0]["points"][0];
    const auto number = [](const Json& j) { return std::to_string(j.get<double>()); };
    Json twice = scan;
    const Run again = run(folder.path(), {"repair", "case.json", "--at",
                                          number(point[0]) + "," + number(point[1]) + "," + number(point[2]),
                                          "--what", "dent", "--reach", "8", "--by", "T1", "--name", "again"});
    INFO(again.out << again.error);
    CHECK(again.code == 0);
    CHECK_THAT(run(folder.path(), {"repair", "case.json", "--remove", "again"}).out,
               Contains("2 other repairs stand"));
}

TEST_CASE("a flattened heel is not filled under another name") {
    const tests::TemporaryFolder folder;
    put_faulty_job(folder.path(), true);
    const Json found = inspected(folder.path());
    const std::vector<int> heel = numbers_of(found, "flat_heel", true);
    REQUIRE(heel.size() == 1);
    CHECK(found["verdict"]["word"] == "take_again");
    CHECK(found["verdict"]["take_again"] == Json(heel));
    const Json& scan = found["findings"][static_cast<std::size_t>(heel[0]) - 1]["scan"];
    const auto number = [](const Json& j) { return std::to_string(j.get<double>()); };
    const std::string at = number(scan[0]) + "," + number(scan[1]) + "," + number(scan[2]);
    const std::string before = content(folder.path() / "case.json");
    for (const std::vector<std::string>& words :
         {std::vector<std::string>{"repair", "case.json", "--finding", std::to_string(heel[0]), "--by", "T1"},
          {"repair", "case.json", "--at", at, "--what", "dent", "--reach", "20", "--by", "T1"}}) {
        const Run refused = run(folder.path(), words);
        CHECK(refused.code != 0);
        CHECK_THAT(refused.error, Contains("not in the cast"));
    }
    for (const std::string wrong : {"0", "x", "1,,2", "1;2", "1001", ""}) {
        const Run refused = run(folder.path(), {"repair", "case.json", "--finding", wrong, "--by", "T1"});
        CHECK(refused.code != 0);
    }
    CHECK(content(folder.path() / "case.json") == before);
}
