// The demonstration's marks are found by their ink, where they were drawn.
#include <catch2/catch.hpp>
#include <cstdio>

#include "assets/demo/demo_job.hpp"
#include "assets/generator/demo.hpp"
#include "engine/mark/polyline.hpp"

using namespace archwright;

TEST_CASE("The marks of LARK-2207 are found where they were drawn, and bear the technician's code") {
    const auto cast = generator::demo_cast();
    REQUIRE(cast.ok());
    const auto marks = demo::demo_marks(*cast);
    if (!marks.ok()) FAIL(marks.fault().message);
    const auto drawn = generator::demo_drawn();
    REQUIRE(drawn.ok());
    REQUIRE(marks->size() == 3);
    constexpr double mm = 25.4;  // the file is in inches
    for (const design::Mark& mark : *marks) {
        INFO(mark.name);
        CHECK(mark.source == foot::Landmark::Source::set);
        CHECK(mark.by == "TECH-04");
        REQUIRE(drawn->count(mark.name) == 1);
        const bool closed = mark.kind == design::Mark::Kind::area;
        std::vector<Vec3> truth, found;
        for (const Vec3& p : drawn->at(mark.name)) truth.push_back(mm * p);
        for (const Vec3& p : mark.points) found.push_back(mm * p);
        const auto mean_off = [&](const std::vector<Vec3>& from, const std::vector<Vec3>& to) {
            double sum = 0.0;
            const auto points = from.size() > 1 ? mark::resampled(from, 0.5, closed) : from;
            for (const Vec3& p : points) sum += mark::distance(to, closed, p);
            return sum / static_cast<double>(points.size());
        };
        std::printf("demo: %s off by %.3f mm, drawn off by %.3f mm, %zu points, breadth %.2f mm\n",
                    mark.name.c_str(), mean_off(found, truth), mean_off(truth, found), found.size(),
                    mark.breadth_mm);
        CHECK(mean_off(found, truth) <= 0.3);
        CHECK(mean_off(truth, found) <= 0.3);
        if (mark.name == "fascia") CHECK(mark.meaning == design::Mark::Meaning::plantar_fascia);
        if (mark.name == "nodule") CHECK(closed);
        if (mark.name == "sore-base") CHECK(mark.kind == design::Mark::Kind::spot);
    }
}
