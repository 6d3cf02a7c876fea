// A preview while reliefs and pads are edited, against the shell that the stages make of the same design.
#include "engine/build/feature_preview.hpp"

#include <algorithm>
#include <catch2/catch.hpp>

#include "assets/generator/cast.hpp"
#include "assets/generator/foot.hpp"
#include "assets/generator/random.hpp"
#include "engine/build/stages.hpp"
#include "engine/build/trim_preview.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using feature::Feature;

namespace {

Feature relief(Feature::Kind kind, const char* name, std::vector<Vec2> points) {
    Feature f;
    f.kind = kind;
    f.name = name;
    f.points = std::move(points);
    return f;
}

struct Shaped {
    build::Device device;
    design::FootDesign foot;
};

build::Shelled shelled(const build::Device& device, const design::FootDesign& foot) {
    static const auto materials =
        design::load_materials(std::string(ARCHWRIGHT_SOURCE_DIR) + "/assets/materials");
    Progress progress;
    auto made = build::shell_stage(*device.received, *device.surfaced, foot, *materials, progress);
    INFO((made ? std::string() : made.fault().message));
    REQUIRE(made.ok());
    return std::move(*made);
}

// A generated foot with a groove that thins the wall, a cavity and a pad that the underside follows.
Shaped shaped() {
    generator::FootShape shape;
    shape.side = Side::left;
    const auto body = generator::Foot::make(shape);
    REQUIRE(body.ok());
    generator::CastSpec spec;
    spec.triangles = 60'000;
    const auto taken = generator::take_cast(*body, spec);
    REQUIRE(taken.ok());
    Shaped made;
    made.foot = tests::stated_foot(LengthUnit::millimetre);
    Feature groove = relief(Feature::Kind::groove, "groove", {{25.0, 2.0}, {60.0, 6.0}, {95.0, 4.0}});
    groove.width_mm = 9.0;
    groove.depth_mm = 1.2;
    groove.underside = Feature::Underside::stays;
    groove.least_wall_mm = 1.5;
    Feature cavity = relief(Feature::Kind::cavity, "cavity", {{60.0, -18.0}});
    cavity.depth_mm = 1.5;
    Feature pad = relief(Feature::Kind::pad, "pad", {{95.0, -8.0}});
    pad.height_mm = 1.5;
    made.foot.features = {groove, cavity, pad};
    Progress progress;
    const auto cast = tests::cast_in_memory(taken->mesh, "preview");
    auto received = build::receive_stage(cast, made.foot, Side::left, "job.json", progress);
    INFO((received ? std::string() : received.fault().message));
    REQUIRE(received.ok());
    made.device.side = Side::left;
    made.device.received = std::make_shared<build::Received>(std::move(*received));
    auto surfaced = build::surface_stage(*made.device.received, made.foot, progress);
    if (!surfaced) FAIL(surfaced.fault().message);
    made.device.surfaced = std::make_shared<build::Surfaced>(std::move(*surfaced));
    made.device.shelled = std::make_shared<build::Shelled>(shelled(made.device, made.foot));
    return made;
}

}  // namespace

TEST_CASE("A preview shows the shell that the stages make of the edited design", "[preview]") {
    const Shaped made = shaped();
    const surface::ShellMesh& start = made.device.shelled->mesh;
    for (int which = 0; which < 3; ++which) {
        design::FootDesign foot = made.foot;
        Feature& edited = foot.features[static_cast<std::size_t>(which)];
        edited.depth_mm += 0.7;
        edited.height_mm += 0.7;
        if (which == 1) edited.forward_mm += 3.0;
        if (which == 2) foot.features.erase(foot.features.begin() + 2);
        CAPTURE(which);
        build::FeaturePreview preview(made.device, made.foot);
        REQUIRE(preview.edit(foot).ok());
        const build::Shelled truth = shelled(made.device, foot);
        surface::ShellMesh wanted = start;
        surface::reevaluate(wanted, truth.shell);
        const std::size_t sides = start.foot_side_points + start.underside_points;
        double worst = 0.0, worst_rim = 0.0, most_change = 0.0;
        for (std::size_t k = 0; k < start.uv.size(); ++k) {
            const double off = (preview.mesh().mesh.points[k] - wanted.mesh.points[k]).norm();
            (k < sides ? worst : worst_rim) = std::max(k < sides ? worst : worst_rim, off);
            most_change = std::max(most_change, (start.mesh.points[k] - wanted.mesh.points[k]).norm());
        }
        CHECK(most_change > 0.6);  // there was something to follow
        // both fits, before and after, leave so much
        CHECK(worst <= made.device.shelled->fit_error_mm + truth.fit_error_mm + 0.01);
        CHECK(worst_rim < 0.1);
        CHECK(preview.moved() > 100);
        CHECK(preview.moved() < start.uv.size() / 2);
        CHECK(preview.mesh().mesh.triangles == start.mesh.triangles);
    }
}

TEST_CASE("A preview forgets nothing and keeps nothing: many edits end where one does", "[preview]") {
    const Shaped made = shaped();
    const int count = tests::cases(20, 4, "walks of edits");
    for (int i = 0; i < count; ++i) {
        generator::Random random(generator::mix(tests::seed() + 4'400 + static_cast<std::uint64_t>(i)), 5);
        const auto altered = [&] {
            design::FootDesign foot = made.foot;
            for (Feature& f : foot.features) {
                f.on = random.between(0.0, 1.0) > 0.2;
                f.depth_mm = random.between(0.5, 2.5);
                f.height_mm = random.between(0.5, 2.5);
                f.forward_mm = random.between(-8.0, 8.0);
                f.medial_mm = random.between(-4.0, 4.0);
                f.underside =
                    random.between(0.0, 1.0) > 0.5 ? Feature::Underside::stays : Feature::Underside::follows;
            }
            return foot;
        };
        build::FeaturePreview walked(made.device, made.foot), direct(made.device, made.foot);
        for (int step = 0; step < 4; ++step) REQUIRE(walked.edit(altered()).ok());
        design::FootDesign end = altered();
        for (Feature& f : end.features) f.depth_mm += 0.01;  // differs from the start everywhere
        REQUIRE(walked.edit(end).ok());
        REQUIRE(direct.edit(end).ok());
        const auto& start = made.device.shelled->mesh.mesh.points;
        double worst = 0.0;
        std::size_t same = 0;
        for (std::size_t k = 0; k < start.size(); ++k) {
            const Vec3 &a = walked.mesh().mesh.points[k], &b = direct.mesh().mesh.points[k];
            if (b == start[k]) continue;  // the fitted surface still stands there
            ++same;
            worst = std::max(worst, (a - b).norm());
        }
        CAPTURE(i, tests::seed(), same);
        // whether a hill is searched or climbed at once is decided by whole tiles of balls, and an edit near
        // by may decide it anew: the two tops agree to less than a thousandth
        CHECK(worst < 1e-3);
        CHECK(same > 100);
    }
}

TEST_CASE("A preview refuses what it cannot show and stays as it was", "[preview]") {
    const Shaped made = shaped();
    build::FeaturePreview preview(made.device, made.foot);
    const auto before = preview.mesh().mesh.points;
    design::FootDesign foot = made.foot;
    SECTION("an aperture needs other triangles") {
        Feature hole = relief(Feature::Kind::aperture, "hole", {{60.0, 0.0}});
        foot.features.push_back(hole);
        const auto done = preview.edit(foot);
        REQUIRE_FALSE(done.ok());
        CHECK(done.fault().message.find("aperture") != std::string::npos);
    }
    SECTION("a relief that cannot be laid") {
        foot.features[1].points = {{900.0, 0.0}};
        const auto done = preview.edit(foot);
        REQUIRE_FALSE(done.ok());
        CHECK(done.fault().message.find("cavity") != std::string::npos);
    }
    SECTION("nothing changed") {
        CHECK(preview.edit(foot).ok());
    }
    CHECK(preview.mesh().mesh.points == before);
    foot = made.foot;
    foot.features[0].depth_mm += 0.5;
    CHECK(preview.edit(foot).ok());
    CHECK(preview.mesh().mesh.points != before);
}

TEST_CASE("A preview follows the wall map: base, stations, regions over reliefs", "[preview][unsanitized]") {
    const Shaped made = shaped();
    const surface::ShellMesh& start = made.device.shelled->mesh;
    build::FeaturePreview preview(made.device, made.foot);
    design::WallRegion arch;
    arch.name = "arch";
    arch.outline = {{45, -12}, {45, 20}, {85, 22}, {85, -14}};
    arch.wall_mm = 4.4;
    arch.blend_mm = 14.0;
    design::FootDesign foot = made.foot;
    for (const std::string what : {"region", "moved", "base", "stations", "with a relief"}) {
        CAPTURE(what);
        if (what == "region") foot.wall.regions.push_back(arch);
        if (what == "moved")
            for (Vec2& p : foot.wall.regions[0].outline) p += Vec2(4.0, -3.0);
        if (what == "base") foot.wall.base_mm += 0.5;
        if (what == "stations") foot.wall.stations = {{0.2, 3.8}, {0.8, 2.9}};
        if (what == "with a relief") foot.features[0].depth_mm += 0.6, foot.wall.regions[0].wall_mm = 3.6;
        REQUIRE(preview.edit(foot).ok());
        CHECK(preview.moved() > 500);
        const build::Shelled truth = shelled(made.device, foot);
        surface::ShellMesh wanted = start;
        surface::reevaluate(wanted, truth.shell);
        const std::size_t sides = start.foot_side_points + start.underside_points;
        double worst = 0.0, most_change = 0.0;
        for (std::size_t k = 0; k < sides; ++k) {
            worst = std::max(worst, (preview.mesh().mesh.points[k] - wanted.mesh.points[k]).norm());
            most_change = std::max(most_change, (start.mesh.points[k] - wanted.mesh.points[k]).norm());
        }
        CHECK(most_change > 0.4);
        CHECK(worst <= made.device.shelled->fit_error_mm + truth.fit_error_mm + 0.01);
    }
    // and back to where it began
    REQUIRE(preview.edit(made.foot).ok());
    double off = 0.0;
    for (std::size_t k = 0; k < start.foot_side_points + start.underside_points; ++k)
        off = std::max(off, (preview.mesh().mesh.points[k] - start.mesh.points[k]).norm());
    CHECK(off <= made.device.shelled->fit_error_mm + 0.01);
}

TEST_CASE("A preview follows the trim line outward and inward", "[preview]") {
    const Shaped made = shaped();
    Progress progress;
    for (const double offset : {5.0, -4.0}) {
        CAPTURE(offset);
        design::FootDesign foot = made.foot;
        foot.trim.controls = {{0.55, true, offset}};
        foot.trim.cup_posterior_mm += 1.0;
        const auto preview = build::preview_trim(made.device, foot);
        if (!preview) FAIL(preview.fault().message);
        auto surfaced = build::surface_stage(*made.device.received, foot, progress);
        if (!surfaced) FAIL(surfaced.fault().message);
        build::Device exact = made.device;
        exact.surfaced = std::make_shared<build::Surfaced>(std::move(*surfaced));
        const build::Shelled truth = shelled(exact, foot);
        const auto edge_of = [](const surface::ShellMesh& mesh) {
            std::vector<Vec3> edge;
            for (std::size_t k = 0; k < mesh.edges.front().s.size(); ++k)
                edge.push_back(mesh.mesh.points[mesh.edges.front().upper + k]);
            return edge;
        };
        const auto apart = [](const std::vector<Vec3>& from, const std::vector<Vec3>& to) {
            double most = 0.0;
            for (const Vec3& p : from) {
                double least = 1e300;
                for (std::size_t k = 0; k < to.size(); ++k) {
                    const Vec3 &a = to[k], way = to[(k + 1) % to.size()] - a;
                    const double t = std::clamp((p - a).dot(way) / way.squaredNorm(), 0.0, 1.0);
                    least = std::min(least, (a + t * way - p).norm());
                }
                most = std::max(most, least);
            }
            return most;
        };
        const auto was = edge_of(made.device.shelled->mesh), shown = edge_of(preview->mesh),
                   wanted = edge_of(truth.mesh);
        CHECK(apart(wanted, was) > 0.7 * std::abs(offset));
        CHECK(apart(shown, wanted) < 0.4);
        CHECK(apart(wanted, shown) < 0.4);
        // its sides, reliefs smoothed over by the carpet's own knots
        const Bvh finished(truth.mesh.mesh);
        const std::size_t sides = preview->mesh.foot_side_points + preview->mesh.underside_points;
        std::vector<double> off;
        for (std::size_t k = 0; k < sides; ++k)
            off.push_back(finished.nearest(preview->mesh.mesh.points[k], 50.0)->distance);
        std::sort(off.begin(), off.end());
        CHECK(off[off.size() * 9 / 10] < 0.12);
        CHECK(off.back() < 1.0);
        CHECK(preview->mesh.mesh.triangles.size() < truth.mesh.mesh.triangles.size() / 2);
    }
    // a line that leaves the carpet is told, not drawn
    design::FootDesign foot = made.foot;
    foot.trim.controls = {{0.5, true, 30.0}};
    foot.trim.cup_posterior_mm = 60.0;
    CHECK_FALSE(build::preview_trim(made.device, foot).ok());
}
