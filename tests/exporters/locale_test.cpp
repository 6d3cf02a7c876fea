// A process whose locale writes decimal commas, in another time zone, writes the same bytes.
#include <stdlib.h>
#include <time.h>

#include <catch2/catch.hpp>
#include <locale>
#include <stdexcept>

#include "engine/base/file.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "exporters/step.hpp"
#include "exporters/stl.hpp"
#include "exporters/three_mf.hpp"
#include "tests/support/analytic_shells.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;

namespace {

std::string bytes_read(const std::filesystem::path& path) {
    const auto file = FileBytes::read(path);
    REQUIRE(file.ok());
    return std::string(file->text());
}

std::vector<std::string> files() {
    const tests::TemporaryFolder folder;
    const surface::Shell shell = tests::plate(surface::Rim::Kind::rounded).shell;
    const auto mesh = surface::mesh_shell(shell);
    REQUIRE(mesh.ok());
    const auto solid = solid::build_solid(shell);
    REQUIRE(solid.ok());
    const std::filesystem::path stl = folder.path() / "a.stl", mf = folder.path() / "a.3mf",
                                step = folder.path() / "a.step";
    REQUIRE(exporters::write_stl(mesh->mesh, "DEMO-01 left", stl).ok());
    REQUIRE(
        exporters::write_three_mf({{"DEMO-01 left shell", mesh->mesh}}, {"DEMO-01 left", "2026-03-04"}, mf)
            .ok());
    REQUIRE(exporters::write_step(*solid, solid::examine(*solid), {"DEMO-01 left"}, step).ok());
    return {bytes_read(stl), bytes_read(mf), bytes_read(step)};
}

}  // namespace

TEST_CASE("decimal commas and another time zone change no byte of a file") {
    const std::vector<std::string> plain = files();
    const std::locale before;
    try {
        std::locale::global(std::locale("de_DE.utf8"));  // C and C++ alike
    } catch (const std::runtime_error&) {
        tests::skipped("no German locale on this machine (tests/run.sh makes one with localedef)");
        return;
    }
    setenv("TZ", "Pacific/Chatham", 1);
    tzset();
    const std::vector<std::string> german = files();
    unsetenv("TZ");
    tzset();
    std::locale::global(before);
    REQUIRE(german.size() == plain.size());
    for (std::size_t i = 0; i < plain.size(); ++i) {
        INFO("file " << i);
        CHECK((german[i] == plain[i]));
    }
}
