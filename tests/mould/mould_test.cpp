// Moulds: of shapes known in closed form, of random jobs, of real feet.
#include <catch2/catch.hpp>
#include <iostream>
#include <numbers>

#include "assets/generator/random.hpp"
#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/mould/exact.hpp"
#include "engine/mould/mould.hpp"
#include "engine/mould/thinning.hpp"
#include "engine/surface/trim_region.hpp"
#include "tests/mould/judge_mould.hpp"
#include "tests/support/analytic_shells.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using tests::judge_mould;

namespace {

mould::Mould must(const Outcome<mould::Mould>& made) {
    if (!made.ok()) FAIL(made.fault().message);
    return *made;
}

}  // namespace

TEST_CASE("the mould of a plate has the volume of its frusta") {
    const tests::Plate plate = tests::plate(surface::Rim::Kind::square);
    mould::MouldSetting setting;
    setting.scribe_depth_mm = 0.1;
    setting.scribe_width_mm = 0.4;
    const mould::Mould made = must(mould::make_mould(plate.shell.foot_side, plate.shell.trim, {}, setting));
    judge_mould(made, plate.shell.foot_side, plate.shell.trim, setting);
    // a convex outline grown by w has area A + L w + pi w^2 (Steiner); the wall's offset grows with depth
    const double a = tests::enclosed_area(plate.shell.trim), l = tests::length(plate.shell.trim);
    const double w0 = setting.margin_mm, h = setting.base_mm, t = std::tan(radians(setting.draft_deg));
    const double w1 = w0 + h * t, pi = std::numbers::pi;
    const double body =
        a * h + (l * (w1 * w1 - w0 * w0) / 2.0 + pi * (w1 * w1 * w1 - w0 * w0 * w0) / 3.0) / t;
    const double groove = 0.5 * setting.scribe_depth_mm * setting.scribe_width_mm * l;
    CHECK(made.height_mm == Approx(h).margin(1e-9));
    CHECK(made.mesh.volume() == Approx(body - groove).epsilon(3e-4));
    CHECK(made.bridged == 0);
    CHECK(made.undercut_mm2 == 0.0);
    CHECK(made.least_draft_deg == Approx(setting.draft_deg).margin(0.1));
}

TEST_CASE("the exact mould of a plate is the frustum of its outline") {
    const tests::Plate plate = tests::plate(surface::Rim::Kind::square);
    mould::MouldSetting setting;
    setting.shrinkage_percent = 2.0;
    const mould::Mould made = must(mould::make_mould(plate.shell.foot_side, plate.shell.trim, {}, setting));
    const auto exact = mould::exact_mould(plate.shell.foot_side, plate.shell.trim, made, setting);
    if (!exact.ok()) FAIL(exact.fault().message);
    const solid::SolidReport report = solid::examine(*exact);
    CHECK(report.valid);
    CHECK(report.one_closed_solid);
    // Steiner: the outline grown by z tan(draft) at depth z, all of it scaled
    const double scale = 1.0 / 0.98, a = tests::enclosed_area(plate.shell.trim) * scale * scale;
    const double l = tests::length(plate.shell.trim) * scale, h = setting.base_mm * scale;
    const double t = std::tan(radians(setting.draft_deg)), pi = std::numbers::pi;
    CHECK(report.volume_mm3 ==
          Approx(a * h + l * t * h * h / 2.0 + pi * t * t * h * h * h / 3.0).epsilon(2e-4));
    CHECK(report.box.low.z() == Approx(0.0).margin(1e-6));
}

TEST_CASE("shrinkage makes the whole mould larger and nothing else") {
    const tests::Cap cap = tests::cap(16, 48);
    mould::MouldSetting setting;
    const mould::Mould plain = must(mould::make_mould(cap.shell.foot_side, cap.shell.trim, {}, setting));
    judge_mould(plain, cap.shell.foot_side, cap.shell.trim, setting);
    setting.shrinkage_percent = 1.5;
    const mould::Mould grown = must(mould::make_mould(cap.shell.foot_side, cap.shell.trim, {}, setting));
    CHECK(grown.mesh.volume() == Approx(plain.mesh.volume() / std::pow(0.985, 3)).epsilon(1e-9));
    // the foot side is the sphere, to the chord
    const Vec3 top = plain.mesh.points[plain.mesh.triangles[0][0]];
    CHECK(plain.mesh.box().high.z() == Approx(plain.height_mm));
    CHECK(top.allFinite());
}

TEST_CASE("a sheet over a hemisphere is half as thick in the mean, and over a disc as its cap is") {
    const auto hemisphere = [](int rings, int spokes, double r) {
        TriangleMesh mesh;
        mesh.points.push_back({0.0, 0.0, r});
        for (int i = 1; i <= rings; ++i)
            for (int k = 0; k < spokes; ++k) {
                const double a = 0.5 * std::numbers::pi * i / rings, b = 2.0 * std::numbers::pi * k / spokes;
                mesh.points.push_back(
                    {r * std::sin(a) * std::cos(b), r * std::sin(a) * std::sin(b), r * std::cos(a)});
            }
        const auto at = [&](int i, int k) { return i == 0 ? 0 : 1 + (i - 1) * spokes + k % spokes; };
        for (int i = 0; i < rings; ++i)
            for (int k = 0; k < spokes; ++k) {
                if (i > 0) mesh.triangles.push_back({at(i, k), at(i + 1, k), at(i, k + 1)});
                mesh.triangles.push_back({at(i + 1, k), at(i + 1, k + 1), at(i, k + 1)});
            }
        return mesh;
    };
    // area 2 pi r^2 over a shadow of pi r^2: half, with an error that falls as the square of the mesh's step
    const double r = 40.0;
    double before = 1.0;
    for (const int rings : {20, 40, 80}) {
        const TriangleMesh mesh = hemisphere(rings, 4 * rings, r);
        const auto thin =
            mould::estimate_thinning(mesh, mesh.triangles.size(), mesh.triangles.size(), 4.0, 20.0);
        const double error = std::abs(thin.mean_mm - 2.0);
        CHECK(error < 0.35 * before);
        before = error;
        if (rings < 80) continue;
        CHECK(thin.mean_mm == Approx(2.0).epsilon(1e-4));
        // the cap over a disc of radius c about the pole: area 2 pi r (r - sqrt(r^2 - c^2)), shadow pi c^2
        const double c = 20.0;
        CHECK(thin.thickness_mm[0] ==
              Approx(4.0 * c * c / (2.0 * r * (r - std::sqrt(r * r - c * c)))).epsilon(0.01));
        CHECK(thin.least_mm < 2.0);
        CHECK(thin.least_where.z() < 0.5 * r);  // low on its side
    }
    // a slope of 60 degrees everywhere: cosine 1/2
    TriangleMesh slope;
    slope.points = {
        {0, 0, 0}, {50, 0, 50 * std::tan(radians(60.0))}, {0, 80, 0}, {50, 80, 50 * std::tan(radians(60.0))}};
    slope.triangles = {{0, 1, 2}, {1, 3, 2}};
    const auto even = mould::estimate_thinning(slope, 2, 2, 3.0, 10.0);
    for (const double t : even.thickness_mm) CHECK(t == Approx(1.5).epsilon(1e-9));
    CHECK(even.least_mm == Approx(1.5).epsilon(1e-9));
}

TEST_CASE("figures that cannot be are refused by name") {
    const tests::Plate plate = tests::plate(surface::Rim::Kind::square);
    const auto refused = [&](auto&& change, const std::string& word) {
        mould::MouldSetting setting;
        change(setting);
        const auto made = mould::make_mould(plate.shell.foot_side, plate.shell.trim, {}, setting);
        REQUIRE(!made.ok());
        CHECK(made.fault().kind == FaultKind::usage);
        CHECK(made.fault().message.find(word) != std::string::npos);
    };
    refused([](mould::MouldSetting& s) { s.draft_deg = 0.0; }, "draft");
    refused([](mould::MouldSetting& s) { s.draft_deg = std::nan(""); }, "draft");
    refused([](mould::MouldSetting& s) { s.margin_mm = 1.0; }, "margin");
    refused([](mould::MouldSetting& s) { s.base_mm = 1e9; }, "base");
    refused([](mould::MouldSetting& s) { s.shrinkage_percent = 6.0; }, "shrinkage");
    refused([](mould::MouldSetting& s) { s.scribe_depth_mm = 9.0; }, "scribed");
}

TEST_CASE("moulds of random jobs are sound, drafted and scribed on the trim") {
    const int count = tests::cases(60, 6, "moulds of random jobs");
    int made_count = 0, bridged = 0, marked = 0;
    double least = 90.0;
    for (int k = 0; k < count; ++k) {
        const auto job = tests::random_job(generator::mix(tests::seed() + 120'000 + k), 30'000);
        REQUIRE(job.ok());
        INFO(k << ": " << job->words);
        const auto cast = tests::cast_in_memory(job->cast.mesh, "generated");
        const auto device = tests::build_in_memory(cast, job->foot, job->side);
        if (!device.ok()) continue;  // what cannot be a device is not this test's
        std::mt19937_64 random(generator::mix(tests::seed() + 130'000 + k));
        mould::MouldSetting setting;
        setting.draft_deg = tests::uniform(random, 2.0, 12.0);
        setting.margin_mm = tests::uniform(random, 3.0, 10.0);
        setting.base_mm = tests::uniform(random, 5.0, 25.0);
        setting.shrinkage_percent = tests::uniform(random, 0.0, 2.0);
        setting.mirrored = job->side == Side::left;
        setting.text = {job->side == Side::left ? "L" : "R", "LARK-2207", "A"};
        setting.marks = {{"heel", Vec2(20, 0), Vec2(-1, 0)}, {"axis", Vec2(20, 0), Vec2(1, 0)}};
        const surface::Shell& shell = device->shelled->shell;
        const auto made = mould::make_mould(shell.foot_side, shell.trim, shell.apertures, setting);
        if (!made.ok()) {
            FAIL_CHECK(made.fault().message);
            continue;
        }
        ++made_count;
        bridged += made->bridged > 0 ? 1 : 0;
        marked += made->marked.size() == 2 ? 1 : 0;
        judge_mould(*made, shell.foot_side, shell.trim, setting);
        CHECK(made->marked.size() == 2);
        CHECK(!made->text.empty());
        least = std::min(least, made->least_draft_deg - setting.draft_deg);
        // every fifth point of the shell's foot side lies on the mould
        const Bvh bvh(made->mesh);
        double far = 0.0;
        const surface::ShellMesh& mesh = device->shelled->mesh;
        const surface::TrimRegion inside{surface::Outline(shell.trim)};
        for (std::size_t p = 0; p < mesh.foot_side_points; p += 5) {
            if (inside.distance(mesh.uv[p], 3.0) < 2.0 * setting.scribe_width_mm) continue;
            const auto near = bvh.nearest(made->placed(mesh.mesh.points[p]), 5.0);
            REQUIRE(near);
            bool by_aperture = false;
            for (const surface::Aperture& a : shell.apertures)
                by_aperture = by_aperture || surface::Outline(a.curve).distance(mesh.uv[p]) < 2.0;
            if (!by_aperture) far = std::max(far, near->distance);
        }
        CHECK(far < 2.5 * tolerance::chord_mm);
    }
    std::cout << "  " << made_count << " moulds, " << bridged
              << " with a hollow bridged; least draft less asked " << rounded(least, 3) << " degrees\n";
    CHECK(made_count > 0);
}
