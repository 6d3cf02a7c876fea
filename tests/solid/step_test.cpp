// STEP out and back, and the same bytes whatever came before.
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "engine/base/hash.hpp"
#include "engine/solid/step_file.hpp"
#include "tests/support/analytic_shells.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using solid::StepSchema;
using surface::Rim;

namespace {

solid::Solid rounded_trough() {
    tests::Trough trough = tests::trough(24);
    trough.shell.rim.kind = Rim::Kind::rounded;
    const auto built = solid::build_solid(trough.shell);
    REQUIRE(built.ok());
    return *built;
}

std::string text_of(const solid::Solid& solid, const solid::StepWords& words,
                    StepSchema schema = StepSchema::ap242) {
    const auto text = solid::step_text(solid, words, schema);
    REQUIRE(text.ok());
    return *text;
}

void save(const std::filesystem::path& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
}

}  // namespace

TEST_CASE("A STEP file reads back as the solid it was written from") {
    const auto rim = GENERATE(Rim::Kind::square, Rim::Kind::bevelled, Rim::Kind::rounded);
    const auto schema = GENERATE(StepSchema::ap242, StepSchema::ap214);
    const tests::Plate plate = tests::plate(rim);
    const auto built = solid::build_solid(plate.shell);
    REQUIRE(built.ok());
    const tests::TemporaryFolder folder;
    const std::string text = text_of(*built, {"DEMO-01 left"}, schema);
    save(folder.path() / "plate.step", text);
    CHECK(text.find(schema == StepSchema::ap242 ? "AP242_MANAGED_MODEL" : "AUTOMOTIVE_DESIGN") !=
          std::string::npos);
    const auto read = solid::read_step(folder.path() / "plate.step");
    INFO((read ? std::string() : read.fault().message));
    REQUIRE(read.ok());
    CHECK(read->report.valid);
    CHECK(read->report.one_closed_solid);
    CHECK(read->report.faces == solid::examine(*built).faces);
    CHECK(read->report.volume_mm3 == Approx(plate.volume).epsilon(2e-5));
    CHECK(read->product == "DEMO-01 left");
    CHECK(read->unit == "millimetre");
}

TEST_CASE("A mirrored solid stays mirrored through STEP") {
    const auto left = solid::mirrored(rounded_trough());
    REQUIRE(left.ok());
    const solid::SolidReport before = solid::examine(*left);
    const tests::TemporaryFolder folder;
    save(folder.path() / "left.step", text_of(*left, {"DEMO-01 left"}));
    const auto read = solid::read_step(folder.path() / "left.step");
    REQUIRE(read.ok());
    CHECK(read->report.valid);
    CHECK(read->report.volume_mm3 == Approx(before.volume_mm3).epsilon(2e-5));
    CHECK((read->report.box.low - before.box.low).norm() < 1e-5);
    CHECK((read->report.box.high - before.box.high).norm() < 1e-5);
}

TEST_CASE("STEP bytes do not depend on what was written before", "[determinism]") {
    const solid::Solid trough = rounded_trough();
    const auto plate = solid::build_solid(tests::plate(Rim::Kind::bevelled).shell);
    REQUIRE(plate.ok());
    const std::string first = text_of(trough, {"DEMO-01 right"});
    const std::string other = text_of(*plate, {"DEMO-02 left"}, StepSchema::ap214);
    const std::string second = text_of(trough, {"DEMO-01 right"});
    CHECK(first == second);
    CHECK(text_of(*plate, {"DEMO-02 left"}, StepSchema::ap214) == other);
    CHECK(text_of(rounded_trough(), {"DEMO-01 right"}) == first);  // a solid built anew
    CHECK(first.find("1970-01-01T00:00:00") != std::string::npos);
    CHECK(text_of(trough, {"DEMO-01 right", "2026-03-04T00:00:00"}).find("2026-03-04") != std::string::npos);
}

// Run by the test below in a process of its own.
TEST_CASE("Write STEP bytes for another process", "[.step-bytes]") {
    const char* const path = std::getenv("ARCHWRIGHT_STEP_OUT");
    REQUIRE(path != nullptr);
    save(path, text_of(rounded_trough(), {"DEMO-01 right"}));
}

TEST_CASE("Another process writes the same STEP bytes", "[determinism]") {
    const tests::TemporaryFolder folder;
    const std::string out = (folder.path() / "other.step").string();
    const std::string self = std::filesystem::read_symlink("/proc/self/exe").string();
    text_of(rounded_trough(), {"something else first"});  // moves this process's counters on
    const std::string command = "ARCHWRIGHT_STEP_OUT='" + out + "' '" + self + "' '[.step-bytes]' >/dev/null";
    REQUIRE(std::system(command.c_str()) == 0);
    std::ifstream file(out, std::ios::binary);
    const std::string theirs((std::istreambuf_iterator<char>(file)), std::istreambuf_iterator<char>());
    CHECK(sha256(theirs) == sha256(text_of(rounded_trough(), {"DEMO-01 right"})));
}

TEST_CASE("Words that STEP cannot hold become plain") {
    const std::string text = text_of(rounded_trough(), {"J\xc3\xbcrg's \\X2\\ \n1"});
    CHECK(text.find("J__rg''s _X2_ _1") != std::string::npos);
}

TEST_CASE("Reading refuses what is not one solid") {
    const tests::TemporaryFolder folder;
    const std::string text = text_of(rounded_trough(), {"DEMO-01 right"});
    const auto refused = [&](const std::string& content) {
        save(folder.path() / "bad.step", content);
        const auto read = solid::read_step(folder.path() / "bad.step");
        return !read || !read->report.valid || !read->report.one_closed_solid;
    };
    CHECK(refused(""));
    CHECK(refused("solid nonsense\nendsolid\n"));
    CHECK(refused(text.substr(0, text.size() / 2)));
    CHECK_FALSE(solid::read_step(folder.path() / "absent.step").ok());
    // A face taken out of the shell: a reader repairs it into an open shell.
    const std::size_t shell = text.find("CLOSED_SHELL('',(");
    REQUIRE(shell != std::string::npos);
    const std::size_t begin = shell + 17, end = text.find(',', begin);
    CHECK(refused(text.substr(0, begin) + text.substr(end + 1)));
}
