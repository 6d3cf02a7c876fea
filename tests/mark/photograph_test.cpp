// A photograph rendered of a coloured foot, with perspective and the lens's distortion, laid on the bare
// cast.
#include "engine/mark/photograph.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdio>

#include "assets/generator/random.hpp"
#include "engine/mark/find_ink.hpp"
#include "engine/mesh/bvh.hpp"
#include "tests/mark/camera.hpp"
#include "tests/mark/scored.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using generator::Random;
using mark::Match;
using mark::View;
using tests::clicked, tests::random_camera;

namespace {

/// What that camera sees of the coloured cast, on grey.
scan::Raster rendered(const foot::Standing& standing, const View& view, std::size_t width, std::size_t height,
                      Random& random) {
    TriangleMesh mesh = standing.mesh;
    for (Vec3& p : mesh.points) p = mark::to_view(standing, p);
    const Bvh bvh(mesh);
    scan::Raster raster{width, height, {}};
    raster.pixels.assign(width * height, TriangleMesh::Colour{90, 92, 96});
    for (std::size_t row = 0; row < height; ++row)
        for (std::size_t column = 0; column < width; ++column) {
            Vec3 from, way;
            view.ray(Vec2(static_cast<double>(column) + 0.5, static_cast<double>(row) + 0.5), from, way);
            const auto hit = bvh.ray(from, way, 0.0, 2000.0);
            if (!hit) continue;
            const Triangle& t = mesh.triangles[static_cast<std::size_t>(hit->triangle)];
            const Vec3 p = from + hit->t * way;
            Vec3 shares;
            const Vec3 normal = mesh.normal2(static_cast<std::size_t>(hit->triangle));
            for (int k = 0; k < 3; ++k) {
                const Vec3 &a = mesh.points[static_cast<std::size_t>(t[(k + 1) % 3])],
                           &b = mesh.points[static_cast<std::size_t>(t[(k + 2) % 3])];
                shares[k] = (b - a).cross(p - a).dot(normal) / normal.squaredNorm();
            }
            Vec3 colour = Vec3::Zero();
            for (int k = 0; k < 3; ++k) {
                const auto& c = mesh.colours[static_cast<std::size_t>(t[static_cast<std::size_t>(k)])];
                colour += shares[k] * Vec3(c[0], c[1], c[2]);
            }
            for (int k = 0; k < 3; ++k)
                raster.pixels[row * width + column][static_cast<std::size_t>(k)] =
                    static_cast<std::uint8_t>(std::clamp(colour[k] + 2.0 * random.normal(), 0.0, 255.0));
        }
    return raster;
}

/// Places all over the sole that face the camera within 45 degrees (a wall seen nearly edge-on stretches any
/// error): how far each is carried from where it was seen, mean and greatest, mm.
std::pair<double, double> carried_off(const foot::Standing& standing, const View& camera, const View& found) {
    double sum = 0.0, worst = 0.0, count = 0.0;
    const Bvh bvh(standing.mesh);
    const double length = standing.foot_length_mm;
    for (double x = -0.05; x < 0.66; x += 0.06)
        for (double y = -0.1; y <= 0.1; y += 0.05) {
            const Vec3 from(x * length, y * length, -50.0);
            const auto hit = bvh.ray(from, Vec3::UnitZ(), 0.0, 200.0);
            if (!hit) continue;
            const Vec3 p = from + hit->t * Vec3::UnitZ();
            const auto pixel = camera.seen(mark::to_view(standing, p));
            if (!pixel) continue;
            const Vec3 normal = standing.mesh.normal2(static_cast<std::size_t>(hit->triangle)).normalized();
            const Vec3 way =
                (mark::from_view(standing, -(camera.rotation.transpose() * camera.translation)) - p)
                    .normalized();
            if (normal.dot(way) < 0.7) continue;
            const auto there = mark::carried(standing, found, {*pixel});
            if (!there) continue;
            const double off = (there->front() - p).norm();
            sum += off;
            worst = std::max(worst, off);
            count += 1.0;
        }
    return {count > 0.0 ? sum / count : 1e9, worst};
}

}  // namespace

TEST_CASE("A photograph with perspective and distortion lies within 1 mm over the sole", "[unsanitized]") {
    const int count = tests::cases(40, 3, "photographs");
    double all_mean = 0.0, all_worst = 0.0;
    int held = 0, cameras = 0;
    for (int k = 0; k < count; ++k) {
        const std::uint64_t seed = tests::seed() + static_cast<std::uint64_t>(k);
        tests::InkAsked asked;
        asked.triangles = 40'000;
        const auto foot = tests::inked_foot(seed, asked);
        if (!foot) continue;
        Random random(seed, 91);
        for (int view = 0; view < 4; ++view) {
            const View camera = random_camera(random, foot->standing, 3000, 2000);
            const auto matches = clicked(foot->standing, camera, 10, 0.3, random);
            REQUIRE(matches.size() >= 8);
            const Vec3 up =
                mark::to_view(foot->standing, Vec3(0, 0, 1)) - mark::to_view(foot->standing, Vec3::Zero());
            const auto fitted = mark::fit_view(matches, up, 3000, 2000);
            REQUIRE(fitted.ok());
            CHECK(fitted->left_out_mm.size() == matches.size());
            const auto [mean, worst] = carried_off(foot->standing, camera, fitted->view);
            INFO("seed " << seed << " view " << view << " worst " << worst << " mm");
            all_mean += mean;
            all_worst = std::max(all_worst, worst);
            ++cameras;
            held += worst <= 1.0 ? 1 : 0;
            CHECK(worst <= 1.5);
        }
    }
    std::printf("photographs: %d cameras, mean %.3f mm, worst %.3f mm, within 1 mm %d\n", cameras,
                all_mean / cameras, all_worst, held);
    CHECK(tests::share_holds(held, cameras, 0.95));
}

TEST_CASE("Exact matches give the camera back; three and four give a simpler one that says so") {
    const auto foot = tests::inked_foot(tests::seed(), {.triangles = 40'000});
    REQUIRE(foot);
    Random random(tests::seed(), 92);
    const Vec3 up =
        mark::to_view(foot->standing, Vec3(0, 0, 1)) - mark::to_view(foot->standing, Vec3::Zero());
    View camera = random_camera(random, foot->standing, 3000, 2000);
    camera.radial = 0.0;
    auto matches = clicked(foot->standing, camera, 9, 0.0, random);
    for (Match& m : matches) m.pixel = *camera.seen(m.point);
    const auto full = mark::fit_view(matches, up, 3000, 2000);
    REQUIRE(full.ok());
    CHECK(full->view.model == View::Model::distorted);
    for (const double off : full->residual_mm) CHECK(off < 0.1);  // the usual camera pulls a little
    CHECK(carried_off(foot->standing, camera, full->view).second < 0.5);
    const std::vector<Match> four{matches[0], matches[2], matches[4], matches[6]};
    const auto perspective = mark::fit_view(four, up, 3000, 2000);
    REQUIRE(perspective.ok());
    CHECK(perspective->view.model == View::Model::perspective);
    const std::vector<Match> three{matches[0], matches[3], matches[6]};
    const auto parallel = mark::fit_view(three, up, 3000, 2000);
    REQUIRE(parallel.ok());
    CHECK(parallel->view.model == View::Model::parallel);
    CHECK(parallel->left_out_mm.empty());
    CHECK(parallel->check.verdict == Verdict::look);
    for (const double off : parallel->residual_mm) CHECK(off < 0.05);
    std::printf("photograph by 9, 4, 3 exact matches: worst %.2f, %.2f, %.2f mm over the sole\n",
                carried_off(foot->standing, camera, full->view).second,
                carried_off(foot->standing, camera, perspective->view).second,
                carried_off(foot->standing, camera, parallel->view).second);
}

TEST_CASE("Ink on a rendered photograph is found on the bare cast") {
    const auto foot = tests::inked_foot(tests::seed() + 1, {});
    REQUIRE(foot);
    Random random(tests::seed(), 93);
    const View camera = random_camera(random, foot->standing, 2400, 1600);
    const scan::Raster picture = rendered(foot->standing, camera, 2400, 1600, random);
    foot::Standing bare = foot->standing;
    bare.mesh.colours.clear();
    const auto matches = clicked(bare, camera, 10, 0.2, random);
    const Vec3 up = mark::to_view(bare, Vec3(0, 0, 1)) - mark::to_view(bare, Vec3::Zero());
    const auto fitted = mark::fit_view(matches, up, 2400, 1600);
    REQUIRE(fitted.ok());
    const auto found = mark::find_ink(bare, fitted->view, picture);
    if (!found.ok()) FAIL(found.fault().message);
    const tests::Score score = tests::score(*found, foot->drawn);
    double off = 0.0;
    for (const double each : score.line_mm) off += each / static_cast<double>(score.line_mm.size());
    std::printf("photograph: %d of %d found, %d false, lines %.2f mm\n", score.found, score.drawn,
                score.false_marks, off);
    CHECK(score.found >= score.drawn - 1);
    CHECK(score.false_marks <= 1);
    CHECK(off <= 1.0);
}

TEST_CASE("Matches that tell nothing are refused with what to do") {
    const Vec3 up = Vec3::UnitZ();
    const auto message = [&](const std::vector<Match>& matches) {
        const auto fitted = mark::fit_view(matches, up, 1000, 800);
        REQUIRE_FALSE(fitted.ok());
        CHECK(fitted.fault().kind == FaultKind::usage);
        return fitted.fault().message;
    };
    const Match a{{100, 100}, {0, 0, 0}}, b{{500, 100}, {100, 0, 0}}, c{{900, 100}, {200, 0, 0}},
        off{{2000, 100}, {0, 50, 0}};
    CHECK(message({a, b}).find("three") != std::string::npos);
    CHECK(message({a, b, c}).find("line") != std::string::npos);
    CHECK(message({a, a, a}).find("one place") != std::string::npos);
    CHECK(message({a, b, off}).find("not on the photograph") != std::string::npos);
}
