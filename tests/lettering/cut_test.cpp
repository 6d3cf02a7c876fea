// Letters in shells over surfaces whose every figure is known.
#include "engine/lettering/cut.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "engine/base/tolerances.hpp"
#include "engine/foot/frame.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/surface/plan_loop.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "engine/surface/underside.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::lettering;

namespace {

struct Made {
    surface::Shell shell;
    surface::ShellMesh mesh;
    Vec2 middle;
};

Made shell_over(const tests::AnalyticSurface& s, double wall = 3.0) {
    const surface::SplineSurface carpet = s.carpet(24, 24);
    const auto sides = surface::roll_underside(carpet, [wall](const Vec2&, const Vec3&) { return wall; });
    REQUIRE(sides.ok());
    Made made{{carpet, sides->foot_side, sides->underside, tests::foot_trim(s, 4.0), {}}, {}, {}};
    auto mesh = surface::mesh_shell(made.shell);
    REQUIRE(mesh.ok());
    made.mesh = std::move(*mesh);
    made.middle = Vec2(0.5 * s.length_u, 0.5 * s.length_v);
    return made;
}

// The volume between a stroke's flanks and its floor: the profile carried along, and a frustum of a cone
// for the two round ends together.
double stroke_volume(const Style& style, double length, bool open) {
    const double run = flank_run_mm(style), R = 0.5 * style.stroke_mm, r = R - run, d = style.depth_mm;
    return length * d * (style.stroke_mm - run) +
           (open ? std::numbers::pi * d / 3.0 * (R * R + R * r + r * r) : 0.0);
}

void check_sound(const surface::ShellMesh& mesh) {
    const Soundness sound = find_soundness(mesh.mesh);
    CHECK(sound.sound());
    CHECK(sound.components == 1);
    CHECK(self_intersections(mesh.mesh, 4).empty());
    for (std::size_t k = 0; k < mesh.mesh.triangles.size(); ++k) {
        const bool foot = k < mesh.foot_side_end;
        for (const std::int32_t c : mesh.mesh.triangles[k])
            if (foot) CHECK(static_cast<std::size_t>(c) < mesh.foot_side_points);
    }
    CHECK(mesh.uv.size() == mesh.mesh.points.size());
    CHECK(mesh.walls_end <= mesh.mesh.triangles.size());
}

}  // namespace

TEST_CASE("depth, breadth and volume of strokes on plane, gutter, ridge and cup meet the closed forms",
          "[cut]") {
    for (const tests::AnalyticSurface& s : {tests::plane(110, 70), tests::cylinder(110, 70, 50),
                                            tests::cylinder(110, 70, -45), tests::sphere(110, 70, 90)}) {
        const Made made = shell_over(s);
        for (const bool raised : {false, true}) {
            const Style style{6.0, 1.0, 0.4};
            for (const char* text : {"-0O-", ".", "0"}) {
                const Layout layout = set_lines({text}, style);
                const Chart chart = chart_at(made.shell.underside, made.middle, 25.0, false);
                const auto cut = cut_letters(made.shell, made.mesh, chart, layout, style, raised);
                REQUIRE(cut.ok());
                INFO(s.name << " " << text << (raised ? " raised" : " engraved"));
                check_sound(cut->mesh);
                double truth = 0.0;
                for (const Letter& letter : layout.letters) {
                    Layout one;
                    one.letters = {letter};
                    truth += stroke_volume(style, one.stroke_length(),
                                           letter.character == '-' || letter.character == '.');
                }
                // engraved and raised have the same triangles but for the letters: chords and, but for its
                // square, the bend of the surface fall out between them
                const auto other = cut_letters(made.shell, made.mesh, chart, layout, style, !raised);
                REQUIRE(other.ok());
                const double twice = cut->mesh.mesh.volume() - other->mesh.mesh.volume();
                CHECK((raised ? twice : -twice) == Approx(2.0 * truth).epsilon(truth < 1.0 ? 0.03 : 0.012));
                // depth against the exact underside, by the nearest place of it
                for (const std::int32_t k : cut->floor) {
                    Vec2 uv = cut->mesh.uv[static_cast<std::size_t>(k)];
                    const double d =
                        made.shell.underside.project(cut->mesh.mesh.points[static_cast<std::size_t>(k)], uv);
                    CHECK(d == Approx(style.depth_mm).margin(1e-3));
                }
                // nothing moved but the letters: every other point lies on the exact shell as before
                for (std::size_t k = 0; k < made.mesh.foot_side_points; ++k)
                    REQUIRE(cut->mesh.mesh.points[k] == made.mesh.mesh.points[k]);
            }
        }
    }
}

TEST_CASE("the breadth of a stroke, probed across it", "[cut]") {
    const Made made = shell_over(tests::cylinder(110, 70, 60));
    const Style style{8.0, 1.2, 0.4};
    const Layout layout = set_lines({"-"}, style);
    const Chart chart = chart_at(made.shell.underside, made.middle, 0.0, false);
    const auto cut = cut_letters(made.shell, made.mesh, chart, layout, style, false);
    REQUIRE(cut.ok());
    const Bvh tree(cut->mesh.mesh);
    const Vec2 middle =
        layout.letters.front().strokes.front()[0] * 0.5 + layout.letters.front().strokes.front()[1] * 0.5;
    for (double y = -1.0; y <= 1.0; y += 0.02) {
        const surface::SurfacePoint at = made.shell.underside.first(chart.uv(middle + Vec2(0.0, y)));
        // from outside inward
        const auto hit = tree.ray(at.s - at.normal(), at.normal(), 0.0, 3.0);
        REQUIRE(hit.has_value());
        const double depth = hit->t - 1.0;
        const double into =
            (0.5 * style.stroke_mm - std::abs(y)) * std::tan(flank_deg * std::numbers::pi / 180.0);
        CHECK(depth == Approx(std::clamp(into, 0.0, style.depth_mm)).margin(0.03));
    }
}

TEST_CASE("letters read from below, of a left and of a right device", "[cut]") {
    const Made made = shell_over(tests::plane(110, 70));
    const Style style{8.0, 1.1, 0.4};
    const Layout layout = set_lines({"F"}, style);
    for (const Side side : {Side::right, Side::left})
        for (const double turn : {0.0, 90.0, 180.0, -35.0}) {
            const bool left = side == Side::left;
            const Chart chart = chart_at(made.shell.underside, made.middle, turn, left);
            const auto cut = cut_letters(made.shell, made.mesh, chart, layout, style, false);
            REQUIRE(cut.ok());
            const TriangleMesh out = foot::to_export(cut->mesh.mesh, side);
            // As a reader turns the device over and looks at it from below: with +x to their right, -y is
            // up. The end of the line is turned to medial: +y of a right device, -y of a left one.
            const double a = turn * std::numbers::pi / 180.0 * (left ? -1.0 : 1.0);
            const Vec2 along(std::cos(a), std::sin(a)), up(std::sin(a), -std::cos(a));
            const Vec3 centre =
                foot::to_export(std::vector<Vec2>{made.shell.underside.point(made.middle).head<2>()}, side)
                    .front()
                    .homogeneous();
            double stem = -1e9, top = -1e9, right_end = -1e9, low = 1e9, high_of_right = 0.0;
            for (const std::int32_t k : cut->floor) {
                const Vec2 p = out.points[static_cast<std::size_t>(k)].head<2>() - centre.head<2>();
                const double x = p.dot(along), y = p.dot(up);
                if (x > right_end) {
                    right_end = x;
                    high_of_right = y;
                }
                low = std::min(low, y);
                if (y < -2.0) stem = std::max(stem, x);  // below the middle there is the stem alone
                top = std::max(top, y);
            }
            INFO(word(side) << " turned " << turn);
            CHECK(stem < -0.5);          // the stem stands at the left
            CHECK(high_of_right > 2.0);  // the longer bar is the upper one
            CHECK(right_end > 1.0);
            CHECK(low < -3.0);
            CHECK(top > 3.0);
        }
}

TEST_CASE("random texts anywhere on random surfaces are sound", "[cut]") {
    std::mt19937_64 random(tests::seed());
    const auto between = [&](double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random);
    };
    for (int i = tests::cases(200, 12, "texts on analytic shells"); i > 0; --i) {
        const std::vector<tests::AnalyticSurface> shapes{
            tests::plane(110, 70), tests::cylinder(110, 70, 35), tests::cylinder(110, 70, -35),
            tests::saddle(110, 70, 60, -50), tests::torus(110, 70, 90, 40)};
        const auto& s = shapes[random() % shapes.size()];
        const Made made = shell_over(s, 4.0);
        std::string text;
        for (std::size_t n = 1 + random() % 8; n > 0; --n) text += characters[random() % characters.size()];
        const Style style{between(4.0, 7.0), between(0.7, 0.9), between(0.2, 0.45)};
        const Layout layout = set_lines({text}, style);
        const Vec2 place = made.middle + Vec2{between(-12, 12), between(-6, 6)};
        const double turn = between(-180, 180);
        const Chart chart = chart_at(made.shell.underside, place, turn, random() % 2 == 0);
        INFO(s.name << " \"" << text << "\" " << style.height_mm);
        const Room room = room_at(made.shell, made.mesh, chart, layout, style);
        if (layout.letters.empty() || room.clearance_mm < tolerance::lettering_rim_mm) continue;
        const bool raised = random() % 2 == 0;
        const auto cut = cut_letters(made.shell, made.mesh, chart, layout, style, raised);
        REQUIRE(cut.ok());
        check_sound(cut->mesh);
        const auto other = cut_letters(made.shell, made.mesh, chart, layout, style, !raised);
        REQUIRE(other.ok());
        const double volume = cut->mesh.mesh.volume() - other->mesh.mesh.volume();
        CHECK((raised ? volume : -volume) > layout.stroke_length() * style.depth_mm * 0.5);
    }
}

TEST_CASE("room is what is left to the nearest edge, and a place is found where it is", "[place]") {
    Made made = shell_over(tests::plane(110, 70));
    const Style style{5.0, 0.9, 0.4};
    const Layout dot = set_lines({"."}, style);
    const auto hole = surface::plan_loop(made.shell.foot_side, [&] {
        std::vector<Vec2> circle;
        const Vec2 c = made.shell.foot_side.point(made.middle).head<2>();
        for (int k = 0; k < 24; ++k)
            circle.push_back(
                c + 9.0 * Vec2(std::cos(k * std::numbers::pi / 12), std::sin(k * std::numbers::pi / 12)));
        return circle;
    }());
    REQUIRE(hole.ok());
    made.shell.apertures.push_back({"heel", *hole, {}});
    auto mesh = surface::mesh_shell(made.shell);
    REQUIRE(mesh.ok());
    made.mesh = std::move(*mesh);
    const auto room_of = [&](const Vec2& off, const Layout& layout) {
        const Chart chart = chart_at(made.shell.underside, made.middle + off, 0.0, false);
        return room_at(made.shell, made.mesh, chart, layout, style);
    };
    // the dot's middle stands at the foot of its line
    const double down = 0.5 * (style.height_mm - style.stroke_mm);
    const Room beside = room_of({20.0, -down}, dot);
    CHECK(beside.clearance_mm == Approx(std::hypot(20.0, 0.0) - 9.0 - 0.45).margin(0.3));
    CHECK(beside.from.find("heel") != std::string::npos);
    CHECK(room_of({3.0, 0.0}, dot).clearance_mm < 0.0);
    CHECK(room_of({500.0, 0.0}, dot).clearance_mm < 0.0);
    CHECK(room_of({500.0, 0.0}, dot).from == "the trim line");

    const Layout word = set_lines({"AB-12"}, style);
    const auto found = find_place(made.shell, word, {});
    REQUIRE(found.has_value());
    const Room room = room_at(made.shell, made.mesh, *found, word, style);
    CHECK(room.clearance_mm >= tolerance::lettering_rim_mm);
    CHECK(cut_letters(made.shell, made.mesh, *found, word, style, false).ok());
    CHECK_FALSE(find_place(made.shell, set_lines({"ABCDEFGHIJKLMNOPQRSTUVWXYZ"}, style), {}).has_value());
    CHECK_FALSE(chart_over(made.shell.underside, {900.0, 0.0}, {}).has_value());
}
