// STEP on disk: whole, checked, or not at all.
#include "exporters/step.hpp"

#include <catch2/catch.hpp>

#include "tests/support/analytic_shells.hpp"
#include "tests/support/disk_trouble.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;

TEST_CASE("A solid written as STEP is read back before it is called done") {
    const tests::TemporaryFolder folder;
    const auto built = solid::build_solid(tests::plate(surface::Rim::Kind::rounded).shell);
    REQUIRE(built.ok());
    solid::SolidReport report = solid::examine(*built);
    const auto path = folder.path() / "plate.step";
    SECTION("as it is") {
        const auto schema = GENERATE(solid::StepSchema::ap242, solid::StepSchema::ap214);
        const auto done = exporters::write_step(*built, report, {"DEMO-01 left"}, path, schema);
        INFO((done ? std::string() : done.fault().message));
        REQUIRE(done.ok());
        const auto read = solid::read_step(path);
        REQUIRE(read.ok());
        CHECK(read->product == "DEMO-01 left");
    }
    SECTION("a volume that is not the solid's stops it") {
        report.volume_mm3 *= 1.001;
        CHECK_FALSE(exporters::write_step(*built, report, {"DEMO-01 left"}, path).ok());
        CHECK(tests::holds_nothing(folder.path()));
    }
    SECTION("a box that is not the solid's stops it") {
        report.box.high.y() += 0.01;
        CHECK_FALSE(exporters::write_step(*built, report, {"DEMO-01 left"}, path).ok());
        CHECK(tests::holds_nothing(folder.path()));
    }
    SECTION("an unsound solid stops it") {
        report.valid = false;
        CHECK_FALSE(exporters::write_step(*built, report, {"DEMO-01 left"}, path).ok());
        CHECK(tests::holds_nothing(folder.path()));
    }
}

TEST_CASE("A device or folder that refuses a STEP file keeps nothing") {
    const auto built = solid::build_solid(tests::plate(surface::Rim::Kind::square).shell);
    REQUIRE(built.ok());
    const solid::SolidReport report = solid::examine(*built);
    tests::leaves_nothing([&](const std::filesystem::path& path) {
        return exporters::write_step(*built, report, {"DEMO-01 left"}, path);
    });
}
