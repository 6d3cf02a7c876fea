// The demonstration device, a left one, as the pipeline delivers it: what other programs find in its files,
// and its foot against a survey.
#include <catch2/catch.hpp>

#include "assets/demo/demo_job.hpp"
#include "assets/generator/cast_file.hpp"
#include "assets/generator/demo.hpp"
#include "assets/generator/foot_shape.hpp"
#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/build/workbench.hpp"
#include "engine/design/job_file.hpp"
#include "engine/mesh/soundness.hpp"
#include "exporters/deliver.hpp"
#include "tests/outside/cgal_check.hpp"
#include "tests/outside/programs.hpp"
#include "tests/outside/sliced.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;

namespace {

struct Demo {
    tests::TemporaryFolder folder;
    generator::FootTruth truth;
    std::vector<design::Mark> marks;
    std::string sha256_of_cast;
    std::unique_ptr<build::Workbench> bench;
    build::Device device;
};

Demo& made_demo() {
    static const std::unique_ptr<Demo> made = [] {
        auto d = std::make_unique<Demo>();
        const std::filesystem::path folder = d->folder.path();
        const auto cast = generator::demo_cast();
        REQUIRE(cast.ok());
        const std::string bytes = generator::encode(cast->mesh, generator::CastFormat::ply_binary, "demo");
        REQUIRE(write_file(folder / generator::demo_cast_file, bytes).ok());
        d->truth = cast->truth;
        d->sha256_of_cast = sha256(bytes);
        auto marks = demo::demo_marks(*cast);
        if (!marks.ok()) FAIL(marks.fault().message);
        d->marks = std::move(*marks);
        const design::Job job = demo::demo_job(d->truth, d->sha256_of_cast, d->marks);
        REQUIRE(design::save_job(job, folder / "demo.json").ok());
        build::Setting setting;
        setting.job_path = folder / "demo.json";
        auto materials = design::load_materials(design::assets_folder() / "materials");
        REQUIRE(materials.ok());
        setting.materials = std::make_shared<const design::Materials>(std::move(*materials));
        d->bench = std::make_unique<build::Workbench>(std::move(setting));
        Progress progress;
        auto device = d->bench->build(job, Side::left, progress);
        if (!device.ok()) FAIL(device.fault().message);
        d->device = std::move(*device);
        exporters::DeliverySetting delivery;
        delivery.folder = folder;
        const auto delivered = exporters::deliver(job, {d->device}, delivery, progress);
        if (!delivered.ok()) FAIL(delivered.fault().message);
        return d;
    }();
    return *made;
}

}  // namespace

TEST_CASE("the demonstration's files: gmsh, prusa-slicer and CGAL") {
    const Demo& d = made_demo();
    const std::string stem = exporters::file_stem(d.device);
    const double volume = d.device.proved->solid_report.volume_mm3;
    CHECK(tests::cgal_self_intersections(d.device.shelled->mesh.mesh) == 0);
    if (tests::installed("prusa-slicer"))
        for (const char* const ending : {".stl", ".3mf"})
            CHECK(tests::slicing_trouble(d.folder.path(), stem + ending, d.device.made().mesh) == "");
    if (tests::installed("gmsh")) {
        const std::string text = tests::output_of(
            "gmsh " + stem + ".step -3 -clmax 2 -format msh2 -o f.msh -v 4", d.folder.path());
        INFO(text);
        CHECK(text.find("Found volume 1") != std::string::npos);
        CHECK(text.find("Found volume 2") == std::string::npos);
        // flat elements of 2 mm cut off the round rim
        CHECK(tests::number_after(text, "(volume = ").value_or(0.0) == Approx(volume).epsilon(1e-2));
    }
}

TEST_CASE("the demonstration's revision B is thinner where it was too stiff; in polypropylene it is sound") {
    Demo& d = made_demo();
    Progress progress;
    const auto made = [&](demo::Variant variant) {
        auto device =
            d.bench->build(demo::demo_job(d.truth, d.sha256_of_cast, d.marks, variant), Side::left, progress);
        if (!device.ok()) FAIL(device.fault().message);
        CHECK(tests::unsound(*device) == "");
        return std::move(*device);
    };
    const build::Device b = made(demo::Variant::revision_b);
    CHECK(b.revision == "B");
    const auto wall = [](const build::Device& device, double x, double y) {
        return device.shelled->wall->at(x, y);
    };
    CHECK(wall(d.device, 120, 30) == Approx(2.4).margin(0.01));
    CHECK(wall(b, 120, 30) == Approx(2.2).margin(0.01));
    CHECK(wall(b, 40, -25) == Approx(wall(d.device, 40, -25)).margin(1e-9));
    CHECK(b.proved->volume_mm3 < d.device.proved->volume_mm3);
    const build::Device pp = made(demo::Variant::polypropylene);
    CHECK(pp.shelled->material.key == "pp_homopolymer");
    CHECK(pp.proved->volume_mm3 == Approx(d.device.proved->volume_mm3).epsilon(1e-9));
    CHECK(pp.proved->mass_g < d.device.proved->mass_g);
}

TEST_CASE("the demonstration's foot lies within the survey") {
    const auto& measured = made_demo().device.received->measurements;
    const auto of = [&](const char* id) {
        const foot::Measurement* m = foot::find(measured, id);
        REQUIRE(m != nullptr);
        return m->value;
    };
    // the man's percentiles or the woman's, whichever the foot's length falls in first
    const double length = of("foot_length");
    const generator::Survey& women = generator::survey(generator::Population::woman);
    const generator::Survey& survey =
        length <= women.length_mm.high ? women : generator::survey(generator::Population::man);
    const auto within = [](double value, const generator::Percentiles& range) {
        CHECK(value >= range.low);
        CHECK(value <= range.high);
    };
    within(length, survey.length_mm);
    within(of("ball_length"), survey.ball_length_mm);
    within(of("forefoot_breadth"), survey.forefoot_breadth_mm);
    within(of("heel_breadth"), survey.heel_breadth_mm);
}
