// Skin marks as a technician meets them: ink found, offered, accepted, refused, relieved; words in, files
// out.
#include <array>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "assets/generator/cast_file.hpp"
#include "assets/generator/demo.hpp"
#include "engine/base/text.hpp"
#include "engine/picture/image.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using Catch::Contains;
using tests::content, tests::put_cast, tests::Run, tests::run;
using Json = nlohmann::json;
namespace fs = std::filesystem;

namespace {

// two places on the sole of the demonstration's cast
const std::string here = "1.9489,3.1920,6.0323", there = "3.0255,3.4609,6.1431";

/// The demonstration's cast under a job without marks.
void put_inked_job(const fs::path& folder, const std::string& name = "case", bool coloured = true) {
    auto cast = generator::demo_cast();
    REQUIRE(cast.ok());
    if (!coloured) cast->mesh.colours.clear();
    REQUIRE(
        generator::write_cast(folder / "cast.ply", cast->mesh, generator::CastFormat::ply_binary, "t").ok());
    const Run made = run(
        folder, {"new", "cast.ply", "-o", name + ".json", "--side", "left", "--unit", "in", "--by", "T1"});
    INFO(made.out << made.error);
    REQUIRE(made.code == 0);
    if (coloured)
        CHECK_THAT(made.out,
                   Contains("Ink found on the cast") && Contains("archwright marks " + name + ".json"));
}

/// Pixels of a pinhole camera's picture of that cast, 1200 x 1600 from below the sole, and what they show:
/// places of the cast file, exact to a tenth of a pixel.
const std::vector<std::pair<std::array<double, 2>, std::string>> seen_below{
    {{557.8, 1537.4}, "-2.5118,2.3237,4.7335"}, {{462.2, 1379.3}, "-1.4227,2.7509,4.0258"},
    {{663.3, 1377.7}, "-1.3467,2.5669,5.5041"}, {{715.6, 1136.6}, "0.3913,2.9556,5.8750"},
    {{559.3, 1029.8}, "1.2189,2.7424,4.6233"},  {{739.7, 926.0}, "1.9489,3.1920,6.0323"},
    {{755.3, 779.3}, "3.0255,3.4609,6.1431"},   {{428.6, 774.3}, "3.0170,3.5993,3.6486"},
    {{429.5, 635.7}, "3.9785,4.0466,3.6838"},   {{583.4, 668.3}, "3.8228,3.7411,4.8301"}};

/// Words that match place k with the pixel `pixel` gives for it.
template <class Pixel>
std::vector<std::string> matched(Pixel&& pixel) {
    std::vector<std::string> words{"--photo", "sole.png"};
    for (std::size_t k = 0; k < seen_below.size(); ++k) {
        const std::array<double, 2> at = pixel(k);
        words.insert(words.end(),
                     {"--match", exact(at[0]) + "," + exact(at[1]) + "=" + seen_below[k].second});
    }
    return words;
}

/// The words of a command as a shell takes them: blanks part them, quotes hold them together.
std::vector<std::string> words_of(const std::string& line) {
    std::vector<std::string> words;
    std::string word;
    bool quoted = false;
    for (const char c : line + " ") {
        if (c == '"') quoted = !quoted;
        if (c == '"' || (c != ' ' && (quoted || c != '#'))) {
            if (c != '"') word += c;
            continue;
        }
        if (quoted) {
            word += c;
            continue;
        }
        if (!word.empty()) words.push_back(word);
        word.clear();
        if (c == '#') break;
    }
    return words;
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
    CHECK(mark({"tender", "--at", here, "--meaning", "pain"}).code == 0);
    CHECK(named(marks_of(folder.path()), "tender")["meaning"] == "pain");
    CHECK(mark({"tender", "--at", here, there}).code == 2);  // it is a spot
    CHECK(mark({"way", "--at", here, there}).code == 0);
    CHECK(named(marks_of(folder.path()), "way")["kind"] == "line");

    const std::string before = content(folder.path() / "case.json");
    CHECK(mark({"band"}).code == 2);
    CHECK(mark({"band", "--accept", "--refuse"}).code == 2);
    CHECK(mark({"bond", "--accept"}).code == 2);
    CHECK_THAT(mark({"bond", "--accept"}).error, Contains("\"band\""));
    CHECK(mark({"lesion", "--relief"}).code == 2);
    CHECK(mark({"band", "--meaning", "nonsense"}).code == 2);
    CHECK(mark({"band", "--at", "1,2"}).code == 2);
    // 80 mm below the sole, which looks to +y in this file: how far, and in which unit, is told
    const Run off = mark({"way", "--at", here, "1.9489,6.3416,6.0323"});
    CHECK(off.code == 2);
    CHECK_THAT(off.error, Contains("Point 2 lies") && Contains("mm from the cast") && Contains("unit in"));
    CHECK_THAT(off.error, Contains("Nothing was changed"));
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

TEST_CASE("every command of docs/marks.md does on the demonstration what it says") {
    const tests::TemporaryFolder folder;
    put_inked_job(folder.path(), "mine");
    std::istringstream lines(content(fs::path(ARCHWRIGHT_SOURCE_DIR) / "docs" / "marks.md"));
    int typed = 0;
    for (std::string line; std::getline(lines, line);) {
        const std::string begins = "    archwright ";
        if (line.rfind(begins, 0) != 0) continue;
        const Run ran = run(folder.path(), words_of(line.substr(begins.size())));
        INFO(line << "\n" << ran.out << ran.error);
        CHECK(ran.code == 0);
        ++typed;
    }
    CHECK(typed >= 7);
    const Json marks = Json::parse(content(folder.path() / "mine.json"))["left"]["marks"];
    CHECK(named(marks, "fascia")["by"] == "TECH-04");
    CHECK(named(marks, "fifth-base")["meaning"] == "pain");
    CHECK(named(marks, "nodule")["by"] == "TECH-04");
    CHECK(named(marks, "tender")["refused"] == true);
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

TEST_CASE("a photograph draws what holds, and says how well; what does not hold draws nothing") {
    const tests::TemporaryFolder folder;
    put_inked_job(folder.path(), "case", false);
    const picture::Image grey(1200, 1600, picture::Colour::hex(0x808080));
    REQUIRE(picture::write_png(grey, folder.path() / "sole.png").ok());
    const std::string before = content(folder.path() / "case.json");
    const auto marks = [&](std::vector<std::string> words, const std::vector<std::string>& draw) {
        words.insert(words.begin(), {"--json", "--quiet", "marks", "case.json"});
        words.insert(words.end(), draw.begin(), draw.end());
        const Run ran = run(folder.path(), words);
        INFO(ran.out << ran.error);
        return ran;
    };
    const auto as_seen = [](std::size_t k) { return seen_below[k].first; };
    const std::vector<std::string> fascia{"--draw", "fascia=490,865;510,1050;530,1230", "--by", "T2"};
    // one name twice; points that were seen elsewhere; a mirrored picture: nothing is saved, drawn or found
    CHECK(
        marks(matched(as_seen), {"--draw", "x=490,865;510,1050", "--draw", "x=520,900", "--by", "T2"}).code ==
        2);
    for (const std::vector<std::string>& draw : {fascia, std::vector<std::string>{}}) {
        const Run wild =
            marks(matched([](std::size_t k) { return seen_below[(7 * k + 3) % 10].first; }), draw);
        CHECK(wild.code == 5);
        CHECK_THAT(wild.out + wild.error, Contains("mm rms") && Contains("look at every match"));
        const Run mirror =
            marks(matched([](std::size_t k) {
                      return std::array<double, 2>{1200.0 - seen_below[k].first[0], seen_below[k].first[1]};
                  }),
                  draw);
        CHECK(mirror.code == 2);
        CHECK_THAT(mirror.out + mirror.error, Contains("mirrored"));
    }
    CHECK(content(folder.path() / "case.json") == before);
    // exact matches: the fit is in the answer and stays with the mark
    const Run drawn = marks(matched(as_seen), fascia);
    REQUIRE(drawn.code == 0);
    const Json answer = Json::parse(drawn.out);
    CHECK(answer["drawn"][0]["name"] == "fascia");
    CHECK(answer["photo"]["verdict"] == "pass");
    CHECK(answer["photo"]["rms_mm"].get<double>() < 0.1);
    const Json mark = named(marks_of(folder.path()), "fascia");
    CHECK(mark["kind"] == "line");
    CHECK_THAT(mark["note"].get<std::string>(),
               Contains("\"sole.png\"") && Contains("photo.fit: pass") && Contains("mm rms"));
    // the cast has no colours, and its marks are told all the same
    const std::string text = run(folder.path(), {"inspect", "case.json"}).out;
    CHECK_THAT(text, Contains("\"fascia\"") && Contains("accepted by T2") && Contains("photo.fit: pass"));
    CHECK_THAT(text, Contains("no colours"));
    CHECK_THAT(text, !Contains("marks drawn on it are not in the file"));
    // matches that hold badly: the look stays with the mark
    const Run look = marks(matched([](std::size_t k) {
                               auto at = seen_below[k].first;
                               if (k == 6) at[0] += 14.0;  // some 3.5 mm
                               return at;
                           }),
                           {"--draw", "doubtful=490,865;510,1050", "--by", "T2"});
    REQUIRE(look.code == 0);
    CHECK(Json::parse(look.out)["photo"]["verdict"] == "look");
    CHECK_THAT(named(marks_of(folder.path()), "doubtful")["note"].get<std::string>(),
               Contains("photo.fit: look") && Contains("Look at match 7"));
}
