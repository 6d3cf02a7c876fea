// Presets, the second foot and contradictions as a technician meets them: words in, files and messages out.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <set>

#include "assets/generator/cast.hpp"
#include "assets/generator/cast_file.hpp"
#include "assets/generator/foot.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using Catch::Contains;
using tests::content, tests::put_cast, tests::Run, tests::run;
using Json = nlohmann::json;
namespace fs = std::filesystem;

namespace {

// A job for cast.ply (a left foot in inches), side and unit stated.
void put_job(const fs::path& folder) {
    put_cast(folder / "cast.ply");
    REQUIRE(
        run(folder, {"new", "cast.ply", "-o", "case.json", "--side", "left", "--unit", "in", "--by", "T1"})
            .code == 0);
}

void put_right_cast(const fs::path& path) {
    generator::FootShape shape;
    shape.side = Side::right;
    const auto foot = generator::Foot::make(shape);
    REQUIRE(foot.ok());
    const auto cast = generator::take_cast(*foot, {});
    REQUIRE(cast.ok());
    REQUIRE(generator::write_cast(path, cast->mesh, generator::CastFormat::stl_binary, "test").ok());
}

Json job_of(const fs::path& folder) {
    return Json::parse(content(folder / "case.json"));
}

int times(const std::string& text, const std::string& piece) {
    int n = 0;
    for (std::size_t at = text.find(piece); at != std::string::npos; at = text.find(piece, at + 1)) ++n;
    return n;
}

}  // namespace

TEST_CASE("presets are listed, applied, recorded, and told apart from later edits in the report") {
    const tests::TemporaryFolder folder;
    put_job(folder.path());
    const Run listed = run(folder.path(), {"presets"});
    CHECK(listed.code == 0);
    CHECK_THAT(listed.out, Contains("width-wide: ") && Contains("trim.width_allowance_mm = 2"));
    const Json list = Json::parse(run(folder.path(), {"--json", "presets"}).out);
    CHECK(list["presets"].size() >= 6);
    CHECK(list["presets"][0]["set"][0].contains("value"));

    const Run applied = run(folder.path(), {"apply", "case.json", "width-wide", "--by", "T2"});
    INFO(applied.out << applied.error);
    REQUIRE(applied.code == 0);
    CHECK_THAT(applied.out, Contains("width-wide") && Contains("left foot") &&
                                Contains("trim.width_allowance_mm = 2 (was 0)"));
    CHECK(job_of(folder.path())["left"]["trim"]["width_allowance_mm"] == 2);
    CHECK(job_of(folder.path())["left"]["presets"][0]["by"] == "T2");
    const std::string once = content(folder.path() / "case.json");
    const Run again = run(folder.path(), {"--json", "apply", "case.json", "width-wide", "--by", "T2"});
    REQUIRE(again.code == 0);
    CHECK(content(folder.path() / "case.json") == once);
    const Json told = Json::parse(again.out);
    CHECK(told["ok"] == true);
    CHECK(told["preset"] == "width-wide");
    for (const auto& value : told["set"]) CHECK(value["changed"] == false);

    std::ofstream(folder.path() / "lab.json")
        << R"({"archwright_preset": 1, "code": "LAB-1", "title": "Ours", "foot": {"trim": {"cup_medial_mm": 15}},)"
        << R"( "order": {"footwear": "work"}})";
    REQUIRE(run(folder.path(), {"apply", "case.json", "lab.json", "--by", "T2"}).code == 0);
    CHECK(job_of(folder.path())["order"]["footwear"] == "work");
    REQUIRE(run(folder.path(), {"set", "case.json", "trim.cup_medial_mm=15.5"}).code == 0);
    const Run made = run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    CHECK_THAT(content(folder.path() / "out" / "case-left-A.report.txt"),
               Contains("LAB-1, applied by T2") && Contains("CHANGED since: set 15, now 15.5") &&
                   Contains("as set: 2"));
    const Json report = Json::parse(content(folder.path() / "out" / "case-left-A.report.json"));
    std::map<std::string, std::string> states;
    for (const auto& value : report["presets"]) states[value["name"]] = value["state"];
    CHECK(states["trim.width_allowance_mm"] == "stands");
    CHECK(states["trim.cup_medial_mm"] == "changed");
    CHECK(states["order.footwear"] == "stands");
}

TEST_CASE("a preset that cannot be applied changes nothing and says why") {
    const tests::TemporaryFolder folder;
    put_job(folder.path());
    const std::string before = content(folder.path() / "case.json");
    const auto refused = [&](const std::vector<std::string>& words, int code, const std::string& says) {
        std::vector<std::string> all{"apply", "case.json"};
        all.insert(all.end(), words.begin(), words.end());
        const Run done = run(folder.path(), all);
        INFO(done.error);
        CHECK(done.code == code);
        CHECK_THAT(done.error, Contains(says));
        CHECK(content(folder.path() / "case.json") == before);
    };
    refused({"width-wyde", "--by", "T1"}, 2, "did you mean \"width-wide\"?");
    refused({"width-wide"}, 2, "--by");
    refused({"width-wide", "--by", "A Person"}, 2, "A Person");
    refused({"width-wide", "--by", "T1", "--foot", "right"}, 2, "no right foot");
    refused({"absent.json", "--by", "T1"}, 3, "absent.json");
    refused({"case.json", "--by", "T1"}, 3, "is no preset");
    std::ofstream(folder.path() / "marks.json")
        << R"({"archwright_preset": 1, "code": "A", "title": "B", "foot": {"marks": []}})";
    refused({"marks.json", "--by", "T1"}, 2, "foot.marks belongs to one foot");
    std::ofstream(folder.path() / "material.json")
        << R"({"archwright_preset": 1, "code": "A", "title": "B", "foot": {"material": "pa21"}})";
    refused({"material.json", "--by", "T1"}, 2, "pa21");
    const Run missing = run(folder.path(), {"presets"}, {"ARCHWRIGHT_ASSETS=/nowhere"});
    CHECK(missing.code == 3);
    CHECK_THAT(missing.error, Contains("ARCHWRIGHT_ASSETS"));
}

TEST_CASE("contradictions are told all at once by inspect and make, also where a later stage stops") {
    const tests::TemporaryFolder folder;
    put_job(folder.path());
    REQUIRE(run(folder.path(), {"set", "case.json", "order.footwear=dress", "order.insole_ball_mm=70",
                                "order.insensate_foot=yes", "trim.cup_posterior_mm=18",
                                "trim.cup_medial_mm=12", "dress.medial_skive.depth_mm=2", "rim.kind=square",
                                "wall.base_mm=1.2", "balance.intrinsic_deg=2"})
                .code == 0);
    const std::vector<std::string> ids{
        "order.deep_cup",       "order.shell_over_insole", "order.skive_cup", "order.insensate_edges",
        "order.insensate_foot", "order.balance_unused",    "wall.material"};
    const Run seen = run(folder.path(), {"inspect", "case.json"});
    CHECK(seen.code == 0);
    const Run made = run(folder.path(), {"make", "case.json", "-o", "out"});
    CHECK(made.code == 5);
    CHECK_FALSE(fs::exists(folder.path() / "out"));
    for (const std::string& id : ids) {
        INFO(id << "\n" << seen.out << "\n" << made.error);
        CHECK(times(seen.out, "(" + id + ")") == 1);
        CHECK(times(made.error, "(" + id + ")") == 1);
    }
    const Json json = Json::parse(run(folder.path(), {"--json", "inspect", "case.json"}).out);
    std::set<std::string> told;
    for (const auto& check : json[0]["order_checks"]) told.insert(check["id"].get<std::string>());
    for (const std::string& id : ids) CHECK(told.count(id) == 1);

    // a pour without its angle stops before the cast stands; what is wrong with the order is told all the
    // same
    REQUIRE(run(folder.path(), {"set", "case.json", "balance.method=inverted_pour"}).code == 0);
    for (const std::vector<std::string>& words :
         {std::vector<std::string>{"make", "case.json", "-o", "out"}, {"inspect", "case.json"}}) {
        const Run asked = run(folder.path(), words);
        INFO(asked.error);
        CHECK(asked.code == 4);
        CHECK_THAT(asked.error, Contains("pour_deg"));
        CHECK(times(asked.error, "(order.pour_arch_fill)") == 1);
        for (const std::string& id : ids) CHECK(times(asked.error, "(" + id + ")") == 1);
    }

    // mended, the device is made and its report says that the order was looked at
    REQUIRE(run(folder.path(), {"set", "case.json", "balance.method=as_it_stands", "balance.intrinsic_deg=0",
                                "order.footwear=work", "order.insole_ball_mm=130", "trim.cup_medial_mm=14",
                                "rim.kind=rounded", "wall.base_mm=3.2"})
                .code == 0);
    const Run good = run(folder.path(), {"make", "case.json", "-o", "out", "--format", "stl"});
    INFO(good.out << good.error);
    REQUIRE(good.code == 0);
    CHECK_THAT(content(folder.path() / "out" / "case-left-A.report.txt"),
               Contains("[pass] Order against itself (order.contradictions)"));
}

TEST_CASE("the second foot starts from the first one's order and from nothing else of it") {
    const tests::TemporaryFolder folder;
    put_job(folder.path());
    put_right_cast(folder.path() / "right.stl");
    REQUIRE(run(folder.path(), {"apply", "case.json", "length-short", "--by", "T1"}).code == 0);
    REQUIRE(run(folder.path(), {"set", "case.json", "trim.cup_medial_mm=17", "material=pa11",
                                "balance.heel_height_mm=6", "calipers.heel_breadth_mm=60"})
                .code == 0);
    Json job = job_of(folder.path());
    job["left"]["wall"]["regions"] = Json::array({Json::parse(
        R"({"name": "arch", "outline": [[50, 0], [110, 0], [110, 25], [50, 25]], "wall_mm": 3.6})")});
    job["left"]["marks"] = Json::array({Json::parse(R"({"name": "sore", "points": [[1, 2, 3]]})")});
    std::ofstream(folder.path() / "case.json") << job.dump();

    CHECK(run(folder.path(), {"new", "right.stl", "-o", "case.json", "--same-order"}).code == 2);
    CHECK(run(folder.path(), {"new", "right.stl", "-o", "new.json", "--same-order"}).code == 2);
    CHECK(job_of(folder.path()) == job);
    fs::copy_file(folder.path() / "case.json", folder.path() / "other.json");
    const Run add = run(folder.path(), {"new", "right.stl", "-o", "case.json", "--add", "--same-order"});
    INFO(add.out << add.error);
    REQUIRE(add.code == 0);
    CHECK_THAT(add.out, Contains("those of the left foot") && Contains("wall region \"arch\""));
    const Json now = job_of(folder.path());
    for (const char* key :
         {"balance", "dress", "trim", "wall", "features", "posts", "rim", "material", "presets"}) {
        INFO(key);
        CHECK(now["right"][key] == now["left"][key]);
    }
    CHECK(now["right"]["trim"]["cup_medial_mm"] == 17);
    CHECK(now["right"]["presets"][0]["code"] == "length-short");
    CHECK(now["right"]["marks"].empty());
    CHECK(now["right"]["calipers"].empty());
    CHECK(now["right"]["cast"]["path"] == "right.stl");
    CHECK(now["right"]["side"]["by"] == "proposed");
    CHECK(now["right"]["landmarks"] != now["left"]["landmarks"]);

    const Run json =
        run(folder.path(), {"--json", "new", "right.stl", "-o", "other.json", "--add", "--same-order"});
    REQUIRE(json.code == 0);
    const Json out = Json::parse(json.out);
    CHECK(out["same_order"]["from"] == "left");
    CHECK(out["same_order"]["drawn_for_that_foot"].size() == 1);
    // with two feet it has to be said which one a preset is for
    CHECK(run(folder.path(), {"apply", "case.json", "length-long", "--by", "T1"}).code == 2);
    REQUIRE(run(folder.path(), {"apply", "case.json", "length-long", "--foot", "right", "--by", "T1"}).code ==
            0);
    CHECK(job_of(folder.path())["left"]["trim"]["distal_first_mm"] == 10);
    CHECK(job_of(folder.path())["right"]["trim"]["distal_first_mm"] == 5);
}
