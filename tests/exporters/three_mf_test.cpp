// 3MF out; read back by lib3mf inside write_three_mf, and here as a zip of XML.
#include "exporters/three_mf.hpp"

#include <catch2/catch.hpp>
#include <chrono>
#include <fstream>
#include <thread>

#include "engine/mesh/soundness.hpp"
#include "engine/scan/read.hpp"
#include "tests/support/disk_trouble.hpp"
#include "tests/support/temporary_folder.hpp"
#include "tests/support/thin_shapes.hpp"

using namespace archwright;

namespace {

std::string bytes_of(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

std::vector<exporters::NamedMesh> two_bodies() {
    return {{"DEMO-01 left shell", tests::ball(20.0, 32)},
            {"DEMO-01 left post", tests::box(Vec3(30, 0, 0), Vec3(40, 10, 5))}};
}

}  // namespace

TEST_CASE("Two bodies written as 3MF read back, and the same input gives the same bytes") {
    const tests::TemporaryFolder folder;
    const auto path = folder.path() / "a.3mf";
    const auto done = exporters::write_three_mf(two_bodies(), {"DEMO-01 left", "2026-03-04"}, path);
    INFO((done ? std::string() : done.fault().message));
    REQUIRE(done.ok());
    const std::string bytes = bytes_of(path);
    CHECK(bytes.substr(0, 2) == "PK");
    // The zip's clock counts in steps of two seconds.
    std::this_thread::sleep_for(std::chrono::milliseconds(2100));
    REQUIRE(exporters::write_three_mf(two_bodies(), {"DEMO-01 left", "2026-03-04"}, folder.path() / "b.3mf")
                .ok());
    CHECK(bytes_of(folder.path() / "b.3mf") == bytes);
    REQUIRE(exporters::write_three_mf(two_bodies(), {"DEMO-01 right", ""}, path).ok());
    CHECK(bytes_of(path) != bytes);
}

TEST_CASE("Bodies of a 3MF carry their materials, each named once") {
    const tests::TemporaryFolder folder;
    auto bodies = two_bodies();
    bodies.push_back({"DEMO-01 left plug", tests::box(Vec3(50, 0, 0), Vec3(60, 10, 5)), "EVA foam, soft"});
    bodies[0].material = "Polypropylen \xc3\xa4 <\"&\">";  // written and read back as it is
    bodies[1].material = "EVA foam, soft";
    const auto path = folder.path() / "a.3mf";
    const auto done = exporters::write_three_mf(bodies, {"DEMO-01 left", "2026-03-04"}, path);
    INFO((done ? std::string() : done.fault().message));
    REQUIRE(done.ok());
    auto none = bodies;
    for (auto& body : none) body.material.clear();
    REQUIRE(exporters::write_three_mf(none, {"DEMO-01 left", "2026-03-04"}, folder.path() / "b.3mf").ok());
    CHECK(bytes_of(folder.path() / "b.3mf") != bytes_of(path));
    // and our own reader finds as many bodies
    const auto read = scan::read_cast(path);
    REQUIRE(read.ok());
    CHECK(find_soundness(read->mesh).components == 3);
}

TEST_CASE("Thin triangles leave a 3MF closed") {
    const tests::TemporaryFolder folder;
    const double width = GENERATE(1e-7, 3e-6, 1e-4);
    const auto done =
        exporters::write_three_mf({{"thin", tests::ball_with_slivers(20.0, 24, width, Vec3(200, 80, 30))}},
                                  {"thin", ""}, folder.path() / "thin.3mf");
    INFO((done ? std::string() : done.fault().message));
    CHECK(done.ok());
}

TEST_CASE("An open body or none is not written as 3MF") {
    const tests::TemporaryFolder folder;
    auto bodies = two_bodies();
    bodies[1].mesh.triangles.pop_back();
    CHECK_FALSE(exporters::write_three_mf(bodies, {"x", ""}, folder.path() / "a.3mf").ok());
    CHECK_FALSE(exporters::write_three_mf({}, {"x", ""}, folder.path() / "a.3mf").ok());
    CHECK(tests::holds_nothing(folder.path()));
}

TEST_CASE("A device or folder that refuses a 3MF keeps nothing") {
    tests::leaves_nothing([](const std::filesystem::path& path) {
        return exporters::write_three_mf(two_bodies(), {"DEMO-01 left", ""}, path);
    });
}
