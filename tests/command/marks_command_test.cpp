// Skin marks as a technician meets them: ink found, offered, accepted, refused, relieved; words in, files
// out.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "assets/generator/cast_file.hpp"
#include "assets/generator/demo.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using Catch::Contains;
using tests::content, tests::put_cast, tests::Run, tests::run;
using Json = nlohmann::json;
namespace fs = std::filesystem;

namespace {

/// The demonstration's cast under a job without marks.
void put_inked_job(const fs::path& folder) {
    const auto cast = generator::demo_cast();
    REQUIRE(cast.ok());
    REQUIRE(
        generator::write_cast(folder / "cast.ply", cast->mesh, generator::CastFormat::ply_binary, "t").ok());
    const Run made =
        run(folder, {"new", "cast.ply", "-o", "case.json", "--side", "left", "--unit", "in", "--by", "T1"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    CHECK_THAT(made.out, Contains("Ink found on the cast") && Contains("archwright marks case.json"));
}

Json marks_of(const fs::path& folder) {
    return Json::parse(content(folder / "case.json"))["left"]["marks"];
}

Json named(const Json& marks, const std::string& name) {
    for (const Json& mark : marks)
        if (mark["name"] == name) return mark;
    return {};
}

}  // namespace

TEST_CASE("ink is offered once, accepted, renamed, refused and relieved") {
    const tests::TemporaryFolder folder;
    put_inked_job(folder.path());
    const Json seen = Json::parse(run(folder.path(), {"--json", "--quiet", "inspect", "case.json"}).out);
    REQUIRE(seen[0]["ink"].size() == 3);
    CHECK(seen[0]["cast_has_colours"] == true);
    CHECK(seen[0]["ink"][0].contains("evidence"));

    const Run first = run(folder.path(), {"marks", "case.json"});
    INFO(first.out << first.error);
    REQUIRE(first.code == 0);
    CHECK_THAT(first.out, Contains("\"fascia\" (plantar fascia?)") && Contains("\"lesion\"") &&
                              Contains("--accept --by CODE"));
    const Json marks = marks_of(folder.path());
    REQUIRE(marks.size() == 3);
    for (const Json& mark : marks) CHECK(mark["source"] == "suggested");
    const std::string once = content(folder.path() / "case.json");
    const Json again = Json::parse(run(folder.path(), {"--json", "--quiet", "marks", "case.json"}).out);
    CHECK(content(folder.path() / "case.json") == once);
    for (const Json& one : again["ink"]) CHECK(one["what"] == "known");

    const auto mark = [&](std::vector<std::string> words) {
        words.insert(words.begin(), {"mark", "case.json"});
        words.insert(words.end(), {"--by", "T2"});
        const Run ran = run(folder.path(), words);
        INFO(ran.out << ran.error);
        return ran;
    };
    CHECK(mark({"fascia", "--accept", "--rename", "band", "--relief"}).code == 0);
    CHECK(named(marks_of(folder.path()), "band")["by"] == "T2");
    const Json features = Json::parse(content(folder.path() / "case.json"))["left"]["features"];
    REQUIRE(features.size() == 1);
    CHECK(features[0]["anchor"] == "band");
    CHECK(features[0]["name"] == "band-relief");
    CHECK(mark({"lesion", "--refuse"}).code == 0);
    CHECK(named(marks_of(folder.path()), "lesion")["refused"] == true);
    const Run refused = run(folder.path(), {"marks", "case.json"});
    CHECK_THAT(refused.out, Contains("refused before"));
    CHECK(marks_of(folder.path()).size() == 3);
    CHECK(mark({"tender", "--at", "1,2,3", "--meaning", "pain"}).code == 0);
    CHECK(named(marks_of(folder.path()), "tender")["meaning"] == "pain");
    CHECK(mark({"tender", "--at", "1,2,3", "1.5,2,3"}).code == 2);  // it is a spot
    CHECK(mark({"way", "--at", "1,2,3", "1.5,2,3"}).code == 0);
    CHECK(named(marks_of(folder.path()), "way")["kind"] == "line");

    const std::string before = content(folder.path() / "case.json");
    CHECK(mark({"band"}).code == 2);
    CHECK(mark({"band", "--accept", "--refuse"}).code == 2);
    CHECK(mark({"bond", "--accept"}).code == 2);
    CHECK_THAT(mark({"bond", "--accept"}).error, Contains("\"band\""));
    CHECK(mark({"lesion", "--relief"}).code == 2);
    CHECK(mark({"band", "--meaning", "nonsense"}).code == 2);
    CHECK(mark({"band", "--at", "1,2"}).code == 2);
    CHECK(content(folder.path() / "case.json") == before);
}

TEST_CASE("a relief on a mark nobody accepted is a look that names it, on a refused one a stop") {
    const tests::TemporaryFolder folder;
    put_inked_job(folder.path());
    REQUIRE(run(folder.path(), {"marks", "case.json"}).code == 0);
    REQUIRE(run(folder.path(), {"mark", "case.json", "fascia", "--relief", "--by", "T2"}).code == 0);
    const Run made = run(folder.path(), {"make", "case.json", "-o", ".", "--format", "stl"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    const Json report = Json::parse(content(folder.path() / "case-left-A.report.json"));
    bool looked = false;
    for (const Json& check : report["checks"])
        if (check["id"] == "marks.accepted") {
            CHECK(check["verdict"] == "look");
            CHECK_THAT(check["message"].get<std::string>(), Contains("fascia-relief"));
            looked = true;
        }
    CHECK(looked);
    REQUIRE(run(folder.path(), {"mark", "case.json", "fascia", "--refuse", "--by", "T2"}).code == 0);
    const Run stopped = run(folder.path(), {"make", "case.json", "-o", ".", "--format", "stl", "--replace"});
    CHECK(stopped.code == 5);
    CHECK_THAT(stopped.error, Contains("fascia-relief") && Contains("refused"));
}

TEST_CASE("a cast without colours: said so, and a photograph needs its matches") {
    const tests::TemporaryFolder folder;
    put_cast(folder.path() / "cast.ply");
    REQUIRE(run(folder.path(),
                {"new", "cast.ply", "-o", "case.json", "--side", "left", "--unit", "in", "--by", "T1"})
                .code == 0);
    const Run none = run(folder.path(), {"marks", "case.json"});
    CHECK(none.code == 3);
    CHECK_THAT(none.error, Contains("no colours") && Contains("--photo"));
    const Run absent = run(folder.path(), {"marks", "case.json", "--photo", "sole.png"});
    CHECK(absent.code == 3);
    CHECK_THAT(absent.error, Contains("sole.png"));
    std::ofstream(folder.path() / "sole.png") << "not a picture";
    CHECK_THAT(run(folder.path(), {"marks", "case.json", "--photo", "sole.png"}).error, Contains("neither"));
    CHECK(run(folder.path(), {"marks", "case.json", "--match", "1,2=3,4,5"}).code == 2);
    CHECK(run(folder.path(), {"marks", "case.json", "--photo", "sole.png", "--match", "1,2"}).code == 2);
    CHECK(run(folder.path(), {"marks", "case.json", "--photo", "sole.png", "--draw", "x=1,2"}).code == 2);
}

TEST_CASE("inspect and the report tell every mark of the job: what, how large, where, who said so") {
    const tests::TemporaryFolder folder;
    put_inked_job(folder.path());
    const std::string bare = run(folder.path(), {"inspect", "case.json"}).out;
    CHECK_THAT(bare, Contains("12 mm across") && Contains("\"fascia\" (plantar fascia?)") &&
                         Contains("\"lesion\"?") && !Contains("lesion, lesion"));
    for (const std::vector<std::string>& words :
         {std::vector<std::string>{"marks", "case.json"},
          {"mark", "case.json", "fascia", "--accept", "--relief", "--by", "T2"},
          {"mark", "case.json", "fifth-base", "--refuse", "--by", "T3"}})
        REQUIRE(run(folder.path(), words).code == 0);
    CHECK_THAT(run(folder.path(), {"marks", "case.json"}).out,
               Contains("\"fascia\" (plantar fascia), ") && Contains("in the job already, accepted by T2"));
    const std::string text = run(folder.path(), {"inspect", "case.json"}).out;
    CHECK_THAT(text, Contains("Marks of the job") && Contains("\"fascia\", plantar fascia") &&
                         Contains("accepted by T2") && Contains("carries \"fascia-relief\"") &&
                         Contains("refused by T3") && Contains("\"lesion\" of the job"));
    CHECK_THAT(text, Contains("no person has accepted it"));
    const Json cast = Json::parse(run(folder.path(), {"--json", "--quiet", "inspect", "case.json"}).out)[0];
    const Json ring = named(cast["marks"], "lesion");
    CHECK(ring["state"] == "suggested");
    CHECK(ring["across_mm"].get<double>() == Approx(12.0).margin(0.6));  // drawn with a radius of 6 mm
    CHECK(named(cast["marks"], "fascia")["state"] == "accepted");
    CHECK(named(cast["marks"], "fascia")["carries"] == Json{"fascia-relief"});
    CHECK(named(cast["marks"], "fifth-base")["state"] == "refused");
    for (const Json& one : cast["ink"]) CHECK(named(cast["marks"], one["mark"])["kind"] == one["kind"]);
    const Run made = run(folder.path(), {"make", "case.json", "-o", ".", "--format", "stl"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    const Json report = Json::parse(content(folder.path() / "case-left-A.report.json"));
    CHECK(report["marks"] == cast["marks"]);
    CHECK_THAT(content(folder.path() / "case-left-A.report.txt"),
               Contains("\"fascia\", plantar fascia") && Contains("accepted by T2"));
}
