// Ink drawn on generated feet is found where it was drawn.
#include "engine/mark/find_ink.hpp"

#include <catch2/catch.hpp>
#include <cstdio>
#include <numeric>

#include "engine/base/parallel.hpp"
#include "engine/scan/receive_as.hpp"
#include "tests/mark/scored.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/real_feet.hpp"

using namespace archwright;

namespace {

double mean(const std::vector<double>& values) {
    return values.empty()
               ? 0.0
               : std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

void append(std::vector<double>& all, const std::vector<double>& more) {
    all.insert(all.end(), more.begin(), more.end());
}

}  // namespace

TEST_CASE("Ink of a quarter's contrast and more under uneven light is found where it was drawn") {
    const int count = tests::cases(60, 4, "inked feet");
    tests::Score all;
    int feet = 0;
    for (int k = 0; k < count; ++k) {
        const std::uint64_t seed = tests::seed() + static_cast<std::uint64_t>(k);
        const auto inked = tests::inked_foot(seed, {});
        if (!inked) continue;
        ++feet;
        const auto found = mark::find_ink(inked->standing);
        REQUIRE(found.ok());
        const tests::Score one = tests::score(*found, inked->drawn);
        INFO("seed " << seed);
        all.drawn += one.drawn;
        all.found += one.found;
        all.false_marks += one.false_marks;
        append(all.line_mm, one.line_mm);
        append(all.spot_mm, one.spot_mm);
        append(all.covered, one.covered);
    }
    REQUIRE(feet >= count - count / 10 - 1);
    std::printf("ink: %d of %d found on %d feet, %.2f false a foot, centre lines %.3f mm, spots %.3f mm\n",
                all.found, all.drawn, feet, static_cast<double>(all.false_marks) / feet, mean(all.line_mm),
                mean(all.spot_mm));
    CHECK(tests::share_holds(all.found, all.drawn, 0.95));
    CHECK(static_cast<double>(all.false_marks) <= 0.25 * feet + 1.0);
    CHECK(mean(all.line_mm) <= 0.3);
    CHECK(mean(all.spot_mm) <= 0.3);
}

namespace {

std::optional<foot::Standing> real_standing(const std::string& file) {
    for (const tests::RealFoot& foot : tests::real_feet()) {
        if (foot.file != file) continue;
        const TriangleMesh mesh = tests::real_foot(foot);
        if (mesh.points.empty()) return std::nullopt;
        scan::Stated stated;
        stated.side = foot.side;
        stated.unit = foot.unit;
        const auto reception = scan::receive_as(foot.side, mesh, std::nullopt, stated, nullptr);
        if (!reception) return std::nullopt;
        auto standing = foot::stand(mesh, *reception, foot.side, foot.unit, {});
        if (standing) return std::move(*standing);
    }
    return std::nullopt;
}

}  // namespace

TEST_CASE("Skin without ink gives few marks", "[unsanitized]") {
    if (tests::scans_folder().empty()) return tests::skipped("no real feet: skin without ink");
    for (const char* file : {"relaxed_left_template_colour.ply", "relaxed_left_a_colour.ply",
                             "relaxed_left_a_colour_yup_m.obj", "relaxed_right_b_colour.ply"}) {
        INFO(file);
        const auto standing = real_standing(file);
        REQUIRE(standing);
        const auto found = mark::find_ink(*standing);
        REQUIRE(found.ok());
        CHECK(found->size() <= 1);
    }
}

TEST_CASE("The four dots of the noisy scan are found, and little else", "[unsanitized]") {
    if (tests::scans_folder().empty()) return tests::skipped("no real feet: four dots");
    const auto standing = real_standing("noisy_holes_left_colour.ply");
    REQUIRE(standing);
    const auto found = mark::find_ink(*standing);
    REQUIRE(found.ok());
    // middles of the points that have the dots' colours in the file, mm: two green, magenta, blue
    for (const Vec3& dot : {Vec3(186.2, -148.0, -816.3), Vec3(228.9, -139.7, -815.4),
                            Vec3(207.4, -75.3, -809.6), Vec3(207.9, 9.7, -814.1)}) {
        const Vec3 at = standing->frame.to_design(dot);
        double best = 1e9;
        for (const mark::InkMark& one : *found)
            if (one.kind == mark::Kind::spot) best = std::min(best, (one.points.front() - at).norm());
        CHECK(best < 1.0);
    }
    CHECK(found->size() <= 6);
}

TEST_CASE("Ink is the same for any number of threads; a cast without colours has none; it can be cancelled",
          "[unsanitized]") {
    auto inked = tests::inked_foot(tests::seed(), {.triangles = 60'000});
    REQUIRE(inked);
    std::vector<mark::InkMark> usual;
    for (const int threads : {1, 2, 8}) {
        set_thread_count(threads);
        const auto found = mark::find_ink(inked->standing);
        REQUIRE(found.ok());
        if (threads == 1) usual = *found;
        REQUIRE(found->size() == usual.size());
        for (std::size_t i = 0; i < usual.size(); ++i) {
            CHECK((*found)[i].points == usual[i].points);
            CHECK((*found)[i].confidence == usual[i].confidence);
            CHECK((*found)[i].sentence == usual[i].sentence);
        }
    }
    set_thread_count(0);
    Progress progress;
    progress.cancel();
    const auto cancelled = mark::find_ink(inked->standing, &progress);
    REQUIRE_FALSE(cancelled.ok());
    CHECK(cancelled.fault().kind == FaultKind::cancelled);
    inked->standing.mesh.colours.clear();
    CHECK(mark::find_ink(inked->standing)->empty());
}
