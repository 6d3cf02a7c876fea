// Whole examinations: the demonstration, places to leave, threads, words, what cannot be examined.
#include <catch2/catch.hpp>
#include <cstring>

#include "assets/generator/demo.hpp"
#include "engine/base/parallel.hpp"
#include "engine/examine/examine.hpp"
#include "engine/scan/clean.hpp"
#include "engine/scan/receive_as.hpp"
#include "tests/examine/faulty_casts.hpp"

namespace archwright::tests {

namespace {

using examine::Finding;

const foot::Standing& demo_standing() {
    static const foot::Standing standing = [] {
        const auto cast = generator::demo_cast();
        const TriangleMesh mesh = scan::clean(cast->mesh).mesh;
        scan::Stated stated;
        stated.unit = LengthUnit::inch;
        stated.side = Side::left;
        const auto reception = scan::receive_as(Side::left, mesh, std::nullopt, stated);
        return foot::stand(mesh, *reception, Side::left, LengthUnit::inch, {}).value();
    }();
    return standing;
}

const Finding* certain_of(const std::vector<Finding>& all, Finding::Kind kind) {
    for (const Finding& f : all)
        if (f.kind == kind && f.certainty == Finding::Certainty::certain) return &f;
    return nullptr;
}

}  // namespace

TEST_CASE("the demonstration's air void under the 1st metatarsal head is found, and nothing else is called") {
    const auto found = examine::examine(demo_standing());
    REQUIRE(found);
    const Finding* air = certain_of(found->findings, Finding::Kind::bump);
    REQUIRE(air != nullptr);
    const Vec3 head =
        demo_standing().frame.to_design(generator::demo_truth()->landmarks.at("first_head_plantar"));
    CHECK((air->place - head).head<2>().norm() < 2.5);
    CHECK(air->depth_mm == Approx(1.6).margin(0.5));
    CHECK(air->breadth_mm == Approx(22.0).margin(4.0));
    for (const Finding& f : found->findings)
        CHECK((&f == air || f.certainty == Finding::Certainty::question));
    CHECK(found->noise_mm == Approx(0.06).margin(0.01));
    CHECK(found->map.size() == found->map.height.size());
}

TEST_CASE("an examination is the same for any number of threads", "[unsanitized]") {
    const auto made = generated_cast(31, Faults::marks);
    REQUIRE(made);
    std::vector<std::vector<Finding>> all;
    std::vector<std::vector<float>> heights;
    for (const int threads : {1, 2, 8}) {
        set_thread_count(threads);
        auto found = examine::examine(made->standing);
        REQUIRE(found);
        all.push_back(found->findings);
        heights.push_back(found->map.height);
    }
    set_thread_count(0);
    for (std::size_t t = 1; t < all.size(); ++t) {
        REQUIRE(all[t].size() == all[0].size());
        CHECK(std::memcmp(heights[t].data(), heights[0].data(), heights[0].size() * sizeof(float)) == 0);
        for (std::size_t k = 0; k < all[0].size(); ++k) {
            CHECK(all[t][k].sentence == all[0][k].sentence);
            CHECK(all[t][k].place == all[0][k].place);
            CHECK(all[t][k].depth_mm == all[0][k].depth_mm);
        }
    }
}

TEST_CASE("every finding says why, what to do, and lies on the cast", "[unsanitized]") {
    for (const Faults faults : {Faults::marks, Faults::seam, Faults::heel}) {
        const auto made = generated_cast(52, faults);
        REQUIRE(made);
        const auto found = examine::examine(made->standing);
        REQUIRE(found);
        REQUIRE(!found->findings.empty());
        double before = 1e300;
        for (const Finding& f : found->findings) {
            INFO(examine::key(f.kind) << ": " << f.sentence);
            CHECK(f.sentence.find_first_of("0123456789") != std::string::npos);
            CHECK(f.sentence.back() == '.');
            CHECK(f.advice_words.size() > 40);
            CHECK((f.confidence > 0.0 && f.confidence < 1.0));
            CHECK(std::isfinite(f.depth_mm));
            CHECK(f.depth_sd_mm > 0.0);
            double nearest = 1e300;
            for (const Vec3& p : made->standing.mesh.points)
                nearest = std::min(nearest, (p - f.place).norm());
            CHECK(nearest < 2.0);
            const bool has_line = f.kind == Finding::Kind::crease || f.kind == Finding::Kind::seam;
            CHECK(f.line.empty() != has_line);
            const double weight = (f.certainty == Finding::Certainty::certain ? 1.0 : 0.0);
            CHECK(weight <= before);  // the certain ones come first
            before = weight;
        }
    }
}

TEST_CASE("a cast without landmarks or without a sole, and a cancelled examination, are faults") {
    foot::Standing without = demo_standing();
    without.landmarks.clear();
    const auto no_heads = examine::examine(without);
    REQUIRE(!no_heads);
    CHECK(no_heads.fault().stage == "examine");
    CHECK(no_heads.fault().message.find("metatarsal heads") != std::string::npos);

    foot::Standing empty = demo_standing();
    std::erase_if(empty.mesh.triangles, [&](const Triangle& t) {
        return empty.mesh.points[static_cast<std::size_t>(t[0])].z() < 25.0;
    });
    CHECK(!examine::examine(empty));

    Progress progress;
    progress.cancel();
    const auto cancelled = examine::examine(demo_standing(), &progress);
    REQUIRE(!cancelled);
    CHECK(cancelled.fault().kind == FaultKind::cancelled);
}

}  // namespace archwright::tests
