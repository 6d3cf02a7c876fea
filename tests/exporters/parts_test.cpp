// A delivery with parts of their own: a file and a body each, and none left behind by the next design.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>

#include "assets/generator/random.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/scan/read.hpp"
#include "exporters/deliver.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using feature::Feature;
namespace fs = std::filesystem;

namespace {

std::string text_of(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

}  // namespace

TEST_CASE("plug, pad and post are delivered as files and bodies of their own, and go with their design") {
    auto random = tests::random_job(generator::mix(tests::seed() + 95'000), 40'000);
    REQUIRE(random.ok());
    INFO(random->words);
    design::FootDesign& foot = random->foot;
    Feature plug;
    plug.name = "heel.plug";
    plug.points = {Vec2(20, 0)};
    plug.part = {"eva_soft", 0.3, 0.0, 0.0};
    Feature pad;
    pad.name = "pad";
    pad.kind = Feature::Kind::pad;
    pad.points = {Vec2(75, -5)};
    pad.part.material = "eva_medium";
    foot.features = {plug, pad};
    foot.posts.rearfoot.on = true;
    foot.posts.rearfoot.width_mm = 32.0;
    foot.posts.rearfoot.part = {"eva_firm", 0.1};  // apart: our reader joins points in one place
    const auto cast = tests::cast_in_memory(random->cast.mesh, "parts");
    design::Job job;
    job.case_code = "TEST";
    job.foot(random->side) = foot;
    const auto device = tests::build_in_memory(cast, foot, random->side);
    if (!device.ok()) FAIL(device.fault().message);
    REQUIRE(tests::unsound(*device) == "");
    REQUIRE(device->shelled->parts.size() == 3);

    const tests::TemporaryFolder folder;
    exporters::DeliverySetting setting;
    setting.folder = folder.path();
    Progress progress;
    const auto delivered = exporters::deliver(job, {*device}, setting, progress);
    if (!delivered.ok()) FAIL(delivered.fault().message);
    const std::string stem = exporters::file_stem(*device);
    std::vector<std::string> names;
    for (const auto& file : delivered->front().files) names.push_back(file.name);
    for (const std::string name : {"-heel.plug", "-pad", "-rearfoot-post"})
        for (const char* ending : {".stl", ".step"}) {
            INFO(stem + name + ending);
            CHECK(std::count(names.begin(), names.end(), stem + name + ending) == 1);
            CHECK(fs::exists(folder.path() / (stem + name + ending)));
        }
    // the 3MF holds shell and parts; each STL is one of its bodies
    const auto all = scan::read_cast(folder.path() / (stem + ".3mf"));
    REQUIRE(all.ok());
    CHECK(find_soundness(all->mesh).components == 4);
    double sum = 0.0;
    for (const std::string name : {"", "-heel.plug", "-pad", "-rearfoot-post"}) {
        const auto one = scan::read_cast(folder.path() / (stem + name + ".stl"));
        REQUIRE(one.ok());
        CHECK(find_soundness(one->mesh).components == 1);
        CHECK(one->mesh.volume() > 0.0);
        sum += one->mesh.volume();
    }
    CHECK(all->mesh.volume() == Approx(sum).epsilon(1e-4));
    const std::string report = text_of(folder.path() / (stem + ".report.txt"));
    for (const char* words :
         {"Parts of their own", "\"heel.plug\"", "from the flank of its seat", "EVA foam, firm"})
        CHECK(report.find(words) != std::string::npos);
    const std::string json = text_of(folder.path() / (stem + ".report.json"));
    CHECK(json.find("\"clearance_mm\"") != std::string::npos);

    // a delivery of STL alone in between leaves no STEP behind that the report forgets
    setting.replace = true;
    setting.formats = {exporters::Format::stl};
    const auto stl_alone = exporters::deliver(job, {*device}, setting, progress);
    if (!stl_alone.ok()) FAIL(stl_alone.fault().message);
    setting.replace = false;
    setting.formats = {exporters::Format::stl, exporters::Format::step, exporters::Format::three_mf};
    std::ofstream(folder.path() / (stem + "-pad.step")) << "ISO-10303-21;";  // as an older program left it

    // the next design has no pad: its files may not stay beside the new report
    job.foot(random->side)->features[1].on = false;
    const auto next = tests::build_in_memory(cast, *job.foot(random->side), random->side);
    if (!next.ok()) FAIL(next.fault().message);
    CHECK_FALSE(exporters::deliver(job, {*next}, setting, progress).ok());
    CHECK(fs::exists(folder.path() / (stem + "-pad.stl")));
    setting.replace = true;
    const auto again = exporters::deliver(job, {*next}, setting, progress);
    if (!again.ok()) FAIL(again.fault().message);
    CHECK_FALSE(fs::exists(folder.path() / (stem + "-pad.stl")));
    CHECK_FALSE(fs::exists(folder.path() / (stem + "-pad.step")));
    CHECK(fs::exists(folder.path() / (stem + "-heel.plug.stl")));
}
