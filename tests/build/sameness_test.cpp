// The same job is the same bytes, however many threads make it (docs/decisions.md, Sameness of bytes).
#include <catch2/catch.hpp>
#include <cstring>

#include "assets/generator/random.hpp"
#include "engine/base/parallel.hpp"
#include "engine/solid/step_file.hpp"
#include "exporters/report.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;

namespace {

struct Made {
    std::vector<double> points;
    std::vector<Triangle> triangles;
    std::string step, report;
};

Made make(const tests::RandomJob& random) {
    auto device =
        tests::build_in_memory(tests::cast_in_memory(random.cast.mesh, "cast"), random.foot, random.side);
    if (!device.ok()) FAIL(device.fault().message);
    Made made;
    const TriangleMesh& mesh = device->shelled->mesh.mesh;
    for (const Vec3& p : mesh.points) made.points.insert(made.points.end(), p.begin(), p.end());
    made.triangles = mesh.triangles;
    const auto step = solid::step_text(device->proved->solid, {"SAME"});
    REQUIRE(step.ok());
    made.step = *step;
    design::Job job;
    job.case_code = "SAME";
    job.foot(random.side) = random.foot;
    made.report = exporters::report_json(job, *device, {});
    return made;
}

}  // namespace

TEST_CASE("1, 2 and 8 threads make the same bytes", "[unsanitized]") {
    for (int i = tests::cases(30, 2, "jobs made by 1, 2 and 8 threads"); i > 0; --i) {
        const auto random =
            tests::random_job(generator::mix(tests::seed() + 7000 + static_cast<std::uint64_t>(i)), 60'000);
        REQUIRE(random.ok());
        INFO(random->words);
        set_thread_count(1);
        const Made one = make(*random);
        for (const int threads : {2, 8}) {
            INFO(threads << " threads");
            set_thread_count(threads);
            const Made many = make(*random);
            REQUIRE(many.points.size() == one.points.size());
            CHECK(std::memcmp(many.points.data(), one.points.data(), one.points.size() * sizeof(double)) ==
                  0);
            CHECK((many.triangles == one.triangles));
            CHECK((many.step == one.step));
            CHECK((many.report == one.report));
        }
        set_thread_count(0);
    }
}
