// Commands: text and back, what they change, what they refuse, and that a refusal leaves no trace.
#include "engine/design/command.hpp"

#include <catch2/catch.hpp>
#include <fstream>
#include <map>
#include <set>
#include <sstream>

#include "engine/base/text.hpp"
#include "engine/design/command_apply.hpp"
#include "engine/design/command_table.hpp"
#include "engine/design/command_text.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/parameters.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_commands.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::design;
using Catch::Contains;

namespace {

Outcome<Applied> give(Job& job, const std::string& line) {
    const auto command = parse(line, job_commands());
    if (!command) return command.fault();
    return apply(*command, job, tests::without_cast());
}

/// What a refused command says; the job is as it was.
std::string refused(Job& job, const std::string& line) {
    const std::string before = write_job(job);
    const auto done = give(job, line);
    INFO(line);
    REQUIRE_FALSE(done.ok());
    CHECK(write_job(job) == before);
    return done.fault().message;
}

void done(Job& job, const std::string& line) {
    const auto outcome = give(job, line);
    INFO(line << ": " << (outcome ? "" : outcome.fault().message));
    REQUIRE(outcome.ok());
}

}  // namespace

TEST_CASE("commands: words, quotes, JSON and comments", "[commands]") {
    const auto words = [](const std::string& line) {
        std::vector<std::string> all;
        const auto read = command_words(line);
        REQUIRE(read.ok());
        for (const CommandWord& word : *read) all.push_back(word.text);
        return all;
    };
    using Words = std::vector<std::string>;
    CHECK(words("  a  b\tc ") == Words{"a", "b", "c"});
    CHECK(words("a # b") == Words{"a"});
    CHECK(words("a#b") == Words{"a#b"});
    CHECK(words(R"("a b" x"y z"w "" "\u00e9\n\"\\")") == Words{"a b", "xy zw", "", "é\n\"\\"});
    CHECK(words(R"("\ud83d\ude00")") == Words{"😀"});
    CHECK(words(R"(set x [[1, 2], [3, 4]] by=[ 5 ])") == Words{"set", "x", "[[1, 2], [3, 4]]", "by=[ 5 ]"});
    CHECK(words(R"({"a": "]} \" b"} c)") == Words{R"({"a": "]} \" b"})", "c"});
    CHECK(words("features[fascia].depth_mm") == Words{"features[fascia].depth_mm"});
    CHECK((*command_words("by=K1"))[0].name() == "by");
    CHECK((*command_words(R"("by"=K1)"))[0].name().empty());
    CHECK((*command_words("by=="))[0].value() == "=");
    const std::vector<std::string> broken{R"("a)",
                                          R"(a "b\)",
                                          "[1, 2",
                                          "[1}",
                                          "[1]x",
                                          R"("\q")",
                                          R"("\u12")",
                                          R"("\ud800")",
                                          R"("\u0000")",
                                          "a\x01",
                                          std::string(1'000'001, 'a')};
    for (const std::string& line : broken) {
        INFO(line.substr(0, 20));
        const auto read = command_words(line);
        REQUIRE_FALSE(read.ok());
        CHECK(read.fault().kind == FaultKind::usage);
    }
}

TEST_CASE("commands: whatever is printed parses to the same command", "[commands]") {
    std::mt19937_64 random(tests::seed());
    for (int i = tests::cases(20'000, 3'000, "commands printed and parsed"); i > 0; --i)
        for (const CommandKind& kind : {job_commands()[random() % job_commands().size()]}) {
            const Command command = tests::random_words(random, kind);
            const std::string line = print(command, job_commands());
            INFO(line);
            CHECK(line.find('\n') == std::string::npos);
            const auto back = parse(line, job_commands());
            if (!back) FAIL(back.fault().message);
            REQUIRE(*back == command);
            CHECK(print(*back, job_commands()) == line);
        }
}

TEST_CASE("commands: any bytes at all are read or refused", "[commands]") {
    std::mt19937_64 random(tests::seed());
    for (int i = tests::cases(100'000, 10'000, "lines of random bytes"); i > 0; --i) {
        std::string line = random() % 2 == 0 ? "set " : "";
        for (std::size_t n = random() % 40; n > 0; --n)
            line += random() % 3 == 0 ? static_cast<char>(random()) : R"( ab="\[]{},#u0)"[random() % 15];
        const auto command = parse(line, job_commands());
        if (!command || command->name.empty()) continue;
        const auto again = parse(print(*command, job_commands()), job_commands());
        REQUIRE(again.ok());
        CHECK(*again == *command);
    }
}

TEST_CASE("commands: the table is sound", "[commands]") {
    std::set<std::string> names, first_words, keys;
    for (const CommandKind& kind : job_commands()) {
        INFO(kind.name);
        CHECK(names.insert(kind.name).second);
        if (!kind.key.empty()) CHECK(keys.insert(kind.key).second);
        CHECK(kind.help.size() > 5);
        CHECK_FALSE(kind.label.empty());
        bool optional = false;
        std::set<std::string> arguments;
        for (const Argument& argument : kind.arguments) {
            INFO(argument.name);
            CHECK(arguments.insert(argument.name).second);
            CHECK_FALSE(argument.help.empty());
            if (argument.kind == Argument::Kind::choice) CHECK(argument.words.size() > 1);
            const bool number =
                argument.kind == Argument::Kind::number || argument.kind == Argument::Kind::whole;
            if (number) CHECK(argument.low < argument.high);
            if (argument.named) continue;
            CHECK_FALSE((optional && argument.required));  // by its place: nothing may be left out before it
            optional = optional || !argument.required;
        }
        for (std::size_t at = kind.label.find('{'); at != std::string::npos;
             at = kind.label.find('{', at + 1))
            CHECK(kind.find(kind.label.substr(at + 1, kind.label.find('}', at) - at - 1)));
    }
}

TEST_CASE("commands: what is not understood is told with the nearest", "[commands]") {
    Job job = tests::plain_job();
    CHECK_THAT(refused(job, "sett trim.cup_medial_mm 12"), Contains("\"set\""));
    CHECK_THAT(refused(job, "featur on x"), Contains("did you mean \"feature on\""));
    CHECK_THAT(refused(job, "feature polish x"), Contains("feature remove"));
    CHECK_THAT(refused(job, "set trim.cup_medal_mm 12"), Contains("trim.cup_medial_mm"));
    CHECK_THAT(refused(job, "set trim.cup_medial_mm 99"), Contains("between 4 and 40 mm"));
    CHECK_THAT(refused(job, "set trim.cup_medial_mm"), Contains("value is missing"));
    CHECK_THAT(refused(job, "set trim.cup_medial_mm 12 13"), Contains("one word too many"));
    CHECK_THAT(refused(job, "landmark confirm all bi=K1"), Contains("did you mean \"by\""));
    CHECK_THAT(refused(job, "landmark confirm heel_center by=K1"), Contains("\"heel_centre\""));
    CHECK_THAT(refused(job, "landmark set heel_centre 1,2 by=K1"), Contains("write X,Y,Z"));
    CHECK_THAT(refused(job, "state side=lft by=K1"), Contains("did you mean \"left\""));
    CHECK_THAT(refused(job, "state by=K1"), Contains("Say what you state"));
    CHECK_THAT(refused(job, "state side=left by=\"J. Doe\""), Contains("a code"));
    CHECK_THAT(refused(job, "feature add a groove foot=left"), Contains("no left foot"));
    CHECK_THAT(refused(job, "entry add trim.control {}"), Contains("trim.controls"));
    CHECK_THAT(refused(job, "set sign_offs []"), Contains("record"));
    CHECK_THAT(refused(job, "set landmarks.heel_centre.position [1,2,3]"), Contains("parameter"));
    CHECK_THAT(refused(job, "apply width-wid by=K1"), Contains("\"width-wide\""));
    CHECK_THAT(refused(job, "sign wall.least by=K1 reason=no"), Contains("does not stop this device"));
    done(job, "feature add fascia groove");
    CHECK_THAT(refused(job, "feature add fascia pad"), Contains("already"));
    CHECK_THAT(refused(job, "feature remove fasca"), Contains("did you mean \"fascia\""));
    CHECK_THAT(refused(job, "set features[fasca].depth_mm 2"), Contains("did you mean \"fascia\""));
    CHECK_THAT(refused(job, "set features[fascia].depth_mm 99"), Contains("between 0 and 10 mm"));
    CHECK_THAT(refused(job, "set features[].depth_mm 2"), Contains("brackets"));
    CHECK_THAT(refused(job, "feature move fascia 1"), Contains("the last place is 0"));
    Job both = job;
    both.left = both.right;
    CHECK_THAT(refused(both, "set trim.cup_medial_mm 12"), Contains("both feet"));
    done(both, "set left.trim.cup_medial_mm 12");
    done(both, "set trim.cup_medial_mm 13 foot=right");
    CHECK(both.left->trim.cup_medial_mm == 12);
    CHECK(both.right->trim.cup_medial_mm == 13);
}

TEST_CASE("commands: every parameter is reached, lists and their entries too", "[commands]") {
    std::mt19937_64 random(tests::seed());
    Job job;
    do job = tests::random_job(random);
    while (!job.right);
    job.left.reset();
    FootDesign& foot = *job.right;
    foot.features.resize(1);
    foot.features[0] = {};
    foot.features[0].name = "fascia";
    foot.features[0].kind = feature::Feature::Kind::groove;
    foot.wall.stations = {{0, 3}, {1, 2}};
    done(job, "set features[fascia].depth_mm 2.5mm");
    CHECK(foot.features[0].depth_mm == 2.5);
    done(job, "set features[0].points [[1, 2], [30, 4]]");
    CHECK(foot.features[0].points == std::vector<Vec2>{{1, 2}, {30, 4}});
    done(job,
         R"(set features[fascia].stations [{"along": 0, "width_mm": 11}, {"along": 1, "width_mm": 16}])");
    REQUIRE(foot.features[0].stations.size() == 2);
    done(job, "set features[fascia].stations[1].depth_mm 1.5");
    CHECK(foot.features[0].stations[1].depth_mm == 1.5);
    CHECK(*get(foot, "features[fascia].stations[1].width_mm") == "16");
    done(job, "set wall.stations[1].wall_mm 2.4");
    CHECK(foot.wall.stations[1].wall_mm == 2.4);
    done(job, "station add 0.5 2.8mm");
    CHECK(foot.wall.stations.size() == 3);
    CHECK(foot.wall.stations[1].wall_mm == 2.8);
    CHECK_THAT(refused(job, "set wall.stations[1].along 1"), Contains("in order"));
    CHECK_THAT(refused(job, "station add 0.5 3"), Contains("already"));
    done(job, "station remove 0");
    CHECK(foot.wall.stations[0].along == 0.5);
    done(job, "reset wall.stations");
    CHECK(foot.wall.stations.empty());
    done(job, "set trim.cup_medial_mm 17");
    done(job, "reset trim.cup_medial_mm");
    CHECK(foot.trim.cup_medial_mm == Trim{}.cup_medial_mm);
    done(job, "set features[fascia].least_wall_mm 1.5");
    done(job, "reset features[fascia].least_wall_mm");
    CHECK_FALSE(foot.features[0].least_wall_mm);
    CHECK_THAT(refused(job, "reset case"), Contains("no default"));
    done(job, R"(set order.asked "a b = \"c\"")");
    CHECK(job.order.asked == "a b = \"c\"");
    done(job, "region add stiff [[0,0],[10,0],[0,10]] 4 blend_mm=12");
    CHECK(foot.wall.regions.back().blend_mm == 12);
    CHECK(check_job(job).ok());
}

TEST_CASE("commands: answers to findings, and repairs", "[commands]") {
    Job job = tests::plain_job();
    FootDesign& foot = *job.right;
    foot.cast.unit.value = LengthUnit::centimetre;
    done(job, "answer dent 1,2,3 foot by=K1 note=\"always there\"");
    done(job, "answer crease 1,2,3 fault by=K1");
    REQUIRE(foot.answers.size() == 2);
    CHECK(foot.answers[0].note == "always there");
    // within 6 mm (0.6 of this file's cm) it is the same finding, beyond it another
    done(job, "answer dent 1.5,2,3 fault by=K2");
    REQUIRE(foot.answers.size() == 2);
    CHECK(foot.answers[1].is == Answer::Is::fault);
    CHECK(foot.answers[1].by == "K2");
    done(job, "answer dent 2.2,2,3 foot by=K2");
    CHECK(foot.answers.size() == 3);
    CHECK_THAT(refused(job, "answer bump 1,2,3 open by=K1"), Contains("Nobody"));
    CHECK_THAT(refused(job, "answer dent 9,2,3 open by=K1"), Contains("Nobody"));
    done(job, "answer dent 9,2,3 open by=K1 reach_mm=70mm");
    REQUIRE(foot.answers.size() == 2);
    CHECK(foot.answers[0].what == examine::Finding::Kind::crease);

    done(job, "repair add thumb dent [[1,2,3]] by=K1 reach_mm=9.5 reason=\"pressed in\"");
    REQUIRE(foot.repairs.size() == 1);
    CHECK(foot.repairs[0].reach_mm == 9.5);
    CHECK(foot.repairs[0].by == "K1");
    CHECK_THAT(refused(job, "repair add thumb dent [[1,2,3]] by=K1"), Contains("already"));
    refused(job, "repair add heel flat_heel [[1,2,3]] by=K1");  // what was there is not in the cast
    refused(job, "repair add none dent [] by=K1");
    done(job, "repair remove thumb");
    CHECK(foot.repairs.empty());
}

TEST_CASE("commands: marks, reliefs and pads", "[commands]") {
    Job job = tests::plain_job();
    FootDesign& foot = *job.right;
    done(job, "mark add nodule spot [[1,2,3]] meaning=lesion by=K1");
    done(job, "feature add relief cavity anchor=nodule");
    done(job, "feature add pad pad points=[[10,0]] at=0");
    CHECK(foot.features[0].name == "pad");
    done(job, "mark rename nodule lump");
    CHECK(foot.features[1].anchor == "lump");
    done(job, "mark move lump [[4,5,6]]");
    CHECK(foot.marks[0].points[0] == Vec3(4, 5, 6));
    foot.marks[0].source = foot::Landmark::Source::suggested;
    foot.marks[0].confidence = 0.5;
    done(job, "mark accept lump meaning=pain by=K2");
    CHECK(foot.marks[0].source == foot::Landmark::Source::set);
    CHECK(foot.marks[0].confidence == 1);
    CHECK(foot.marks[0].by == "K2");
    done(job, "mark refuse lump by=K3");
    CHECK(foot.marks[0].refused);
    CHECK_THAT(refused(job, "mark refuse nobody by=K3"), Contains("nobody"));
    done(job, "mark accept lump by=K2");
    CHECK_FALSE(foot.marks[0].refused);
    done(job, "mark relieve lump");
    CHECK(foot.features.back().anchor == "lump");
    done(job, "feature remove " + foot.features.back().name);
    CHECK_THAT(refused(job, "mark move lump [[4,5,6],[1,2,3]]"), Contains("a spot has one"));
    done(job, "feature move pad 1");
    CHECK(foot.features[1].name == "pad");
    done(job, "feature off pad");
    CHECK_FALSE(foot.features[1].on);
    done(job, "feature duplicate pad pad2");
    CHECK(foot.features[2].name == "pad2");
    CHECK(foot.features[2].points == foot.features[1].points);
    done(job, "feature on pad");
    done(job, "feature remove relief");
    done(job, "mark remove lump");
    CHECK(foot.marks.empty());
    CHECK(foot.features.size() == 2);
}

TEST_CASE("commands: random ones change a job wholly or not at all, and leave it fit for its file",
          "[commands]") {
    std::mt19937_64 random(tests::seed());
    std::map<std::string, int> taken, turned_away;
    Job job = tests::random_job(random);
    const int count = tests::cases(20'000, 2'000, "random commands");
    for (int i = count; i > 0; --i) {
        if (i % 200 == 0) job = tests::random_job(random);
        const Command command = tests::random_command(random, job);
        const std::string before = write_job(job), line = print(command, job_commands());
        INFO(line);
        const auto read = parse(line, job_commands());
        if (!read) FAIL(read.fault().message);
        const auto done = apply(*read, job, tests::without_cast());
        (done ? taken : turned_away)[command.name]++;
        if (!done) {
            CHECK(write_job(job) == before);
            CHECK(done.fault().kind != FaultKind::internal);
            CHECK(done.fault().message.size() > 10);
            continue;
        }
        CHECK_FALSE(done->label.empty());
        const auto fit = check_job(job);
        if (!fit) FAIL(fit.fault().message);
    }
    if (count >= 2'000)  // enough that each kind was possible now and then
        for (const CommandKind& kind : job_commands()) {
            INFO(kind.name << " was refused " << turned_away[kind.name] << " times");
            CHECK(taken[kind.name] > 0);
        }
    CHECK(taken["set"] > turned_away["set"]);
}

TEST_CASE("commands: docs/script.md holds the tables as the program writes them", "[commands][docs]") {
    std::ifstream in(std::string(ARCHWRIGHT_SOURCE_DIR) + "/docs/script.md");
    std::stringstream text;
    text << in.rdbuf();
    const std::string page = text.str(), begin = "<!-- generated: job commands -->\n",
                      end = "<!-- end of generated: job commands -->";
    const std::size_t from = page.find(begin), to = page.find(end);
    REQUIRE(from != std::string::npos);
    REQUIRE(to != std::string::npos);
    // If this fails: replace the part between the two marks by what command_reference() returns.
    CHECK(page.substr(from + begin.size(), to - from - begin.size()) == command_reference(job_commands()));
}
