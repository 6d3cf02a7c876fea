// Job files: what is written reads back, and what is wrong is named.
#include "engine/design/job_file.hpp"

#include <catch2/catch.hpp>
#include <clocale>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::design;

namespace {

/// The plain job's text with one piece replaced.
std::string with(const std::string& piece, const std::string& replacement) {
    std::string text = write_job(tests::plain_job());
    const std::size_t at = text.find(piece);
    REQUIRE(at != std::string::npos);
    return text.replace(at, piece.size(), replacement);
}

std::string trouble(const std::string& text) {
    const auto job = parse_job(text, "specimen.json");
    REQUIRE_FALSE(job.ok());
    return job.fault().message;
}

std::string golden(const std::string& name) {
    const auto file = FileBytes::read(std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / "tests/golden" / name);
    REQUIRE(file.ok());
    return std::string(file->text());
}

}  // namespace

TEST_CASE("job: random valid jobs read back as they were written", "[job]") {
    std::mt19937_64 random(tests::seed());
    for (int i = tests::cases(2000, 100, "job round trips"); i > 0; --i) {
        const Job job = tests::random_job(random);
        const std::string text = write_job(job);
        const auto back = parse_job(text, "job.json");
        INFO(text << (back ? "" : back.fault().message));
        REQUIRE(back.ok());
        REQUIRE(write_job(*back) == text);
        REQUIRE(text.back() == '\n');
        REQUIRE(check_job(job).ok());
    }
}

TEST_CASE("job: a German locale changes nothing", "[job][locale]") {
    std::mt19937_64 random(tests::seed());
    const Job job = tests::random_job(random);
    const std::string plain = write_job(job);
    const std::string before = std::setlocale(LC_ALL, nullptr);
    if (std::setlocale(LC_ALL, "de_DE.utf8") == nullptr) {
        tests::skipped("no German locale on this machine (tests/run.sh makes one with localedef)");
        return;
    }
    const std::string german = write_job(job);
    const auto back = parse_job(plain, "job.json");
    const std::string again = back ? write_job(*back) : back.fault().message;
    std::setlocale(LC_ALL, before.c_str());
    CHECK(german == plain);
    CHECK(again == plain);
}

TEST_CASE("job: version 1 files load for ever", "[job][golden]") {
    const std::string text = golden("job-version-1.json");
    const auto job = parse_job(text, "job-version-1.json");
    INFO((job ? std::string() : job.fault().message));
    REQUIRE(job.ok());
    CHECK(job->case_code == "WREN-1042");
    CHECK(job->revision() == "B");
    REQUIRE(job->left);
    CHECK_FALSE(job->right);
    const FootDesign& foot = *job->left;
    CHECK(foot.side.by == StatedBy::person);
    CHECK(foot.cast.unit.value == LengthUnit::inch);
    CHECK(foot.cast.unit.by == StatedBy::proposed);
    CHECK(foot.landmarks.at(foot::LandmarkId::fifth_head_border).position == Vec3(6.75, -1.5, 0.5));
    CHECK(foot.trim.cup_posterior_mm == 16);
    CHECK(foot.trim.controls.size() == 1);
    CHECK(foot.wall.stations.at(1).wall_mm == 2.4);
    CHECK(foot.wall.regions.at(0).outline.size() == 4);
    CHECK(foot.rim.kind == surface::Rim::Kind::bevelled);
    CHECK(foot.material == "pa11");
    CHECK(foot.sign_offs.at(0).check == "carpet.fit");
    CHECK(foot.approvals.at(0).revision == "A");
    CHECK(foot.marks.at(0).meaning == Mark::Meaning::plantar_fascia);
    CHECK(job->order.body_mass_kg == 68.0);
    // As long as version 1 is the newest, all that was read is written again, with the keys added since.
    const std::string again = write_job(*job);
    std::istringstream lines(text);
    std::size_t at = 0;
    for (std::string line; std::getline(lines, line);) {
        if (line.find_first_of(":,") == std::string::npos) continue;  // brackets
        if (line.ends_with(",")) line.pop_back();
        at = again.find(line, at);
        INFO(line);
        REQUIRE(at != std::string::npos);
    }
    CHECK(write_job(*parse_job(again, "again")) == again);
}

TEST_CASE("job: unknown keys are refused with the nearest known one", "[job][specimen]") {
    CHECK_THAT(trouble(with("cup_posterior_mm", "cup_postrior_mm")),
               Catch::Contains("right.trim.cup_postrior_mm") && Catch::Contains("\"cup_posterior_mm\""));
    CHECK_THAT(trouble(with("cup_posterior_mm", "cup_posterior_cm")),
               Catch::Contains("kept in mm") && Catch::Contains("\"cup_posterior_mm\""));
    CHECK_THAT(trouble(with("\"base_mm\"", "\"base_inch\"")), Catch::Contains("kept in mm"));
    CHECK_THAT(trouble(with("\"material\"", "\"zzzzzzzzzzzzzzzz\"")),
               Catch::Contains("the keys here are side, cast"));
    CHECK_THAT(trouble(with("\"order\"", "\"patient_name\": \"x\", \"order\"")),
               Catch::Contains("patient_name"));
    CHECK_THAT(
        trouble(with("\"landmarks\": {}", "\"landmarks\": {\"heel_center\": {\"position\": [0, 0, 0]}}")),
        Catch::Contains("no landmark") && Catch::Contains("heel_centre"));
}

TEST_CASE("job: wrong values are refused with path, range and what to write", "[job][specimen]") {
    CHECK_THAT(trouble(with("\"cup_posterior_mm\": 14", "\"cup_posterior_mm\": 99")),
               Catch::Contains("right.trim.cup_posterior_mm is 99 mm: it must lie between 4 and 40 mm"));
    CHECK_THAT(trouble(with("\"cup_posterior_mm\": 14", "\"cup_posterior_mm\": \"14,5\"")),
               Catch::Contains("a text (\"14,5\")") && Catch::Contains("decimal point"));
    CHECK_THAT(trouble(with("\"cup_posterior_mm\": 14", "\"cup_posterior_mm\": null")),
               Catch::Contains("is null"));
    CHECK_THAT(trouble(with("\"cup_posterior_mm\": 14", "\"cup_posterior_mm\": [14]")),
               Catch::Contains("a list"));
    CHECK_THAT(trouble(with("\"cup_posterior_mm\": 14", "\"cup_posterior_mm\": 1e308")),
               Catch::Contains("1e+308"));
    CHECK_THAT(trouble(with("\"cup_posterior_mm\": 14", "\"cup_posterior_mm\": 1e309")),
               Catch::Contains("too large"));
    CHECK_THAT(trouble(with("\"kind\": \"rounded\"", "\"kind\": \"round\"")),
               Catch::Contains("square, bevelled, rounded") && Catch::Contains("did you mean \"rounded\""));
    CHECK_THAT(trouble(with("\"insensate_foot\": false", "\"insensate_foot\": 0")),
               Catch::Contains("true or false"));
    CHECK_THAT(trouble(with("\"regions\": []", "\"regions\": {}")), Catch::Contains("a list in [ ]"));
    CHECK_THAT(trouble(with("\"regions\": []", "\"regions\": [3]")),
               Catch::Contains("right.wall.regions[0]"));
    CHECK_THAT(
        trouble(with("\"regions\": []", "\"regions\": [{\"name\": \"a\", \"outline\": [[0, 0], [1, 1]]}]")),
        Catch::Contains("right.wall.regions[0].outline has 2 entries: it must have 3 to 400"));
    CHECK_THAT(trouble(with("\"regions\": []", "\"regions\": [{\"name\": \"a\"}]")),
               Catch::Contains("right.wall.regions[0].outline is missing"));
    CHECK_THAT(
        trouble(with("\"stations\": []",
                     "\"stations\": [{\"along\": 0.5, \"wall_mm\": 3}, {\"along\": 0.5, \"wall_mm\": 2}]")),
        Catch::Contains("stations must stand in order"));
    CHECK_THAT(
        trouble(with("\"features\": []",
                     "\"features\": [{\"name\": \"g\", \"kind\": \"groove\", \"points\": [[20, 0], [80, 0]], "
                     "\"stations\": [{\"along\": 0.5}, {\"along\": 0.3}]}]")),
        Catch::Contains("features[0].stations[1].along is 0.3: stations must stand in order"));
    CHECK_THAT(trouble(with("\"landmarks\": {}", "\"landmarks\": {\"heel_centre\": {\"position\": [0, 0]}}")),
               Catch::Contains("three numbers"));
    CHECK_THAT(trouble(with("\"letter\": \"A\"", "\"letter\": \"B\"")), Catch::Contains("this one is A"));
    CHECK_THAT(trouble(with("\"right\": {", "\"left\": 3, \"right\": {")),
               Catch::Contains("left is a number"));
    CHECK_THAT(trouble(with("\"path\": \"cast.stl\",", "")), Catch::Contains("right.cast.path is missing"));
    CHECK_THAT(trouble(with(std::string(64, 'a'), std::string(63, 'a'))),
               Catch::Contains("64 hexadecimal digits"));
    CHECK_THAT(trouble(with("\"by\": \"nobody\"", "\"by\": \"person\"")), Catch::Contains("right.side.code"));
    CHECK_THAT(trouble(with("\"by\": \"nobody\"", "\"by\": \"proposed\"")),
               Catch::Contains("right.side.evidence"));
}

TEST_CASE("job: every problem of a file is listed, up to ten", "[job][specimen]") {
    std::string text = with("\"cup_posterior_mm\": 14", "\"cup_posterior_mm\": 99");
    text.replace(text.find("\"base_mm\": 3.2"), 14, "\"base_mm\": -1");
    const std::string message = trouble(text);
    CHECK_THAT(message,
               Catch::Contains("cup_posterior_mm") && Catch::Contains("right.wall.base_mm is -1 mm"));
    std::string many;
    for (int i = 0; i < 30; ++i) many += "\"q" + std::to_string(i) + "\": 1, ";
    CHECK_THAT(trouble(with("\"order\"", many + "\"order\"")), Catch::Contains("and 20 more"));
}

TEST_CASE("job: codes are codes, and never names of people", "[job][specimen]") {
    for (const std::string bad : {"Mary Smith", "../x", "a/b", "", "-a", "é", "a.b", "x\\u0000y"})
        CHECK_THAT(trouble(with("\"WREN-1042\"", "\"" + bad + "\"")),
                   Catch::Contains("never a person's name"));
    CHECK_FALSE(parse_job(with("WREN-1042", std::string(33, 'a')), "x").ok());
    CHECK(parse_job(with("WREN-1042", std::string(32, 'a')), "x").ok());
}

TEST_CASE("job: dates are days of the calendar", "[job][specimen]") {
    for (const std::string bad :
         {"2026-02-29", "2026-13-01", "26-01-01", "2026-1-1", "2026-04-31", "1900-02-29"})
        CHECK_FALSE(
            parse_job(with("\"letter\": \"A\"", "\"letter\": \"A\", \"date\": \"" + bad + "\""), "x").ok());
    CHECK(parse_job(with("\"letter\": \"A\"", "\"letter\": \"A\", \"date\": \"2028-02-29\""), "x").ok());
}

TEST_CASE("job: versions and formats that are not ours are refused", "[job][specimen]") {
    CHECK_THAT(trouble(with("\"version\": 1", "\"version\": 2")), Catch::Contains("use a newer program"));
    CHECK_THAT(trouble(with("\"version\": 1", "\"version\": 0")), Catch::Contains("\"version\": 1"));
    CHECK_THAT(trouble(with("\"version\": 1", "\"version\": 1.5")), Catch::Contains("no whole number"));
    CHECK_THAT(trouble(with("\"version\": 1", "\"version\": 1e300")), Catch::Contains("newer program"));
    CHECK_THAT(trouble("[]"), Catch::Contains("is no job"));
    CHECK_THAT(trouble("{}"), Catch::Contains("is no job"));
    CHECK_THAT(trouble(with("archwright job", "another")), Catch::Contains("is no job"));
    CHECK_THAT(
        trouble(R"({"format": "archwright job", "version": 1, "case": "A", "revisions": [{"letter": "A"}]})"),
        Catch::Contains("no foot"));
}

TEST_CASE("job: any damage to a byte gives a job or a message, never harm", "[job][fuzz]") {
    std::mt19937_64 random(tests::seed());
    const std::string good = golden("job-version-1.json");
    for (int i = tests::cases(20'000, 1000, "damaged jobs"); i > 0; --i) {
        std::string text = good;
        for (std::uint64_t k = 1 + random() % 3; k > 0; --k) {
            const std::size_t at = random() % text.size();
            if (random() % 3 == 0)
                text.erase(at, 1 + random() % 20);
            else
                text[at] = static_cast<char>(random() % 256);
        }
        const auto job = parse_job(text, "damaged.json");
        if (job)
            CHECK(parse_job(write_job(*job), "again").ok());
        else
            CHECK_FALSE(job.fault().message.empty());
    }
}

TEST_CASE("job: saving writes all or nothing", "[job]") {
    const tests::TemporaryFolder folder;
    const auto path = folder.path() / "job.json";
    Job job = tests::plain_job();
    REQUIRE(save_job(job, path).ok());
    const auto back = read_job(path);
    REQUIRE(back.ok());
    CHECK(write_job(*back) == write_job(job));

    job.right->trim.cup_posterior_mm = 1000;
    const auto refused = save_job(job, path);
    REQUIRE_FALSE(refused.ok());
    CHECK_THAT(refused.fault().message, Catch::Contains("right.trim.cup_posterior_mm"));
    job = tests::plain_job();
    job.order.body_mass_kg = std::numeric_limits<double>::quiet_NaN();
    CHECK_FALSE(save_job(job, path).ok());
    job = tests::plain_job();
    job.right->trim.cup_posterior_mm = std::numeric_limits<double>::infinity();
    CHECK_FALSE(save_job(job, path).ok());
    CHECK(write_job(*read_job(path)) == write_job(tests::plain_job()));
    CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 1);

    CHECK_FALSE(read_job(folder.path() / "missing.json").ok());
}

TEST_CASE("job: paths stay in the job's folder", "[job][path]") {
    for (const std::string bad :
         {"/etc/passwd", "../cast.stl", "a/../../b.stl", "..", "C:\\\\cast.stl", "a\\\\b.stl"}) {
        CHECK_THAT(trouble(with("cast.stl", bad)), Catch::Contains("right.cast.path"));
    }
    JobReading outside;
    outside.allow_outside = true;
    CHECK(parse_job(with("cast.stl", "../cast.stl"), "x", outside).ok());
    CHECK(parse_job(with("cast.stl", "a..b/cast..stl"), "x").ok());

    const tests::TemporaryFolder folder;
    namespace fs = std::filesystem;
    const fs::path jobs = folder.path() / "jobs", elsewhere = folder.path() / "jobs-elsewhere";
    fs::create_directories(jobs / "casts");
    fs::create_directories(elsewhere);
    std::ofstream(elsewhere / "cast.stl") << "x";
    std::ofstream(jobs / "casts" / "cast.stl") << "x";
    fs::create_symlink(elsewhere / "cast.stl", jobs / "linked.stl");
    fs::create_directory_symlink(elsewhere, jobs / "folder");
    fs::create_symlink(jobs / "casts" / "cast.stl", jobs / "inner.stl");
    const fs::path job = jobs / "job.json";
    REQUIRE(resolve(job, "casts/cast.stl").ok());
    CHECK(fs::equivalent(*resolve(job, "casts/cast.stl"), jobs / "casts" / "cast.stl"));
    CHECK(resolve(job, "inner.stl").ok());
    CHECK(resolve(job, "not-there-yet.stl").ok());
    CHECK_FALSE(resolve(job, "linked.stl").ok());
    CHECK_FALSE(resolve(job, "folder/cast.stl").ok());
    CHECK_FALSE(resolve(job, "../jobs-elsewhere/cast.stl").ok());
    CHECK_FALSE(resolve(job, (elsewhere / "cast.stl").string()).ok());
    CHECK(resolve(job, "linked.stl", true).ok());
    CHECK(fs::equivalent(*resolve(job, (elsewhere / "cast.stl").string(), true), elsewhere / "cast.stl"));
}

TEST_CASE("job: lettering that says nothing, cannot be lettered or cannot be made is named", "[job]") {
    const auto trouble = [](const auto& change) {
        Job job = tests::plain_job();
        job.right->lettering.on = true;
        change(job.right->lettering);
        const auto checked = check_job(job);
        return checked.ok() ? std::string() : checked.fault().message;
    };
    CHECK(trouble([](Lettering&) {}).empty());
    CHECK(trouble([](Lettering& l) { l.text = "R2 / 17-C."; }).empty());
    const auto nothing = [](Lettering& l) {
        l.case_code = l.side = l.revision = false;
        l.text = "  ";
    };
    CHECK(trouble(nothing).find("says nothing") != std::string::npos);
    CHECK(trouble([&](Lettering& l) { nothing(l), l.on = false; }).empty());
    CHECK(trouble([](Lettering& l) { l.text = "Wren"; }).find("right.lettering.text") != std::string::npos);
    CHECK(trouble([](Lettering& l) { l.text = std::string(25, 'A'); }).find("25") != std::string::npos);
    CHECK(trouble([](Lettering& l) { l.height_mm = 3; }).find("lettering.stroke_mm") != std::string::npos);
    CHECK(trouble([](Lettering& l) { l.depth_mm = 1.0; }).find("lettering.depth_mm") != std::string::npos);
}
