// Patterns of devices on generated feet: what holds whatever is asked.
#include "engine/pattern/pattern.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "assets/generator/random.hpp"
#include "engine/base/text.hpp"
#include "engine/pattern/forefoot.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::pattern;
using design::Cover;

namespace {

constexpr std::size_t triangles = 60'000;

design::Materials materials() {
    auto loaded = design::load_materials(std::string(ARCHWRIGHT_SOURCE_DIR) + "/assets/materials");
    REQUIRE(loaded.ok());
    return *loaded;
}

// The stages a pattern needs; the gates are of no use to it.
Outcome<build::Device> shape(const TriangleMesh& mesh, const design::FootDesign& foot, Side side) {
    Progress progress;
    build::Device device;
    device.case_code = "TEST";
    device.revision = "A";
    device.side = side;
    auto received =
        build::receive_stage(tests::cast_in_memory(mesh, "cast"), foot, side, "job.json", progress);
    if (!received) return received.fault();
    device.received = std::make_shared<build::Received>(std::move(*received));
    auto surfaced = build::surface_stage(*device.received, foot, progress);
    if (!surfaced) return surfaced.fault();
    device.surfaced = std::make_shared<build::Surfaced>(std::move(*surfaced));
    auto shelled = build::shell_stage(*device.received, *device.surfaced, foot, materials(), progress);
    if (!shelled) return shelled.fault();
    device.shelled = std::make_shared<build::Shelled>(std::move(*shelled));
    return device;
}

Cover part(const std::string& name, Cover::Kind kind, Cover::Length length, double margin = 0.0) {
    Cover cover;
    cover.name = name;
    cover.kind = kind;
    cover.length = length;
    cover.margin_mm = margin;
    cover.material = "EVA";
    return cover;
}

Pattern draw(const build::Device& device, design::FootDesign foot, const Cover& cover) {
    foot.covers = {cover};
    const auto set = draw_patterns(device, foot, "");
    if (!set.ok()) FAIL(set.fault().message);
    REQUIRE(set->patterns.size() == 1);
    return set->patterns.front();
}

double area(const Region& region) {
    double sum = 0.0;
    for (const Ring& ring : region.rings()) sum += signed_area(ring);
    return sum;
}
// mm2 of a that b does not cover
double outside(const Ring& a, const Ring& b) {
    return area(Region(a).without(Region(b)));
}

double front(const Ring& ring) {
    double x = -1e300;
    for (const Vec2& p : ring) x = std::max(x, p.x());
    return x;
}

void sound(const Pattern& pattern) {
    CHECK(pattern.cut.size() >= 3);
    CHECK(signed_area(pattern.cut) > 0.0);
    CHECK(surface::Outline(pattern.cut).self_crossings() == 0);
    CHECK(pattern.area_mm2 == Approx(signed_area(pattern.cut)));
    for (const Vec2& p : pattern.cut) CHECK((std::isfinite(p.x()) && std::isfinite(p.y())));
}

}  // namespace

TEST_CASE("patterns: lengths nest, margins follow Steiner, an extension meets the shell", "[pattern]") {
    int full = 0;
    for (int i = tests::cases(60, 4, "devices with covers"); i > 0; --i) {
        auto job = tests::random_job(generator::mix(tests::seed() + 31'000 + static_cast<std::uint64_t>(i)),
                                     triangles);
        REQUIRE(job.ok());
        if (i % 2 == 0) job->foot.trim.first_ray_cutout.length_mm = 12.0;
        INFO(job->words << (i % 2 == 0 ? "; cut-out" : ""));
        const auto device = shape(job->cast.mesh, job->foot, job->side);
        if (!device.ok()) {  // a cut-out may have no room on this foot
            INFO(device.fault().message);
            REQUIRE(i % 2 == 0);
            continue;
        }
        const double cup_radius = device->surfaced->trim.least_radius_mm;

        const Pattern shell = draw(*device, job->foot, part("a", Cover::Kind::cover, Cover::Length::shell));
        sound(shell);
        const double length = shell.perimeter_mm;
        CHECK(shell.area_mm2 == Approx(signed_area(shell.shell_edge)).margin(0.005 * length));
        for (const double margin : {3.0, -2.0}) {
            const Pattern moved =
                draw(*device, job->foot, part("b", Cover::Kind::cover, Cover::Length::shell, margin));
            sound(moved);
            if (cup_radius > std::abs(margin) + 0.5)
                CHECK(moved.area_mm2 ==
                      Approx(shell.area_mm2 + margin * length + std::numbers::pi * margin * margin)
                          .margin(0.02 * length));
        }

        const Pattern sulcus = draw(*device, job->foot, part("c", Cover::Kind::cover, Cover::Length::sulcus));
        sound(sulcus);
        CHECK(outside(shell.cut, sulcus.cut) < 0.01 * length);
        CHECK(front(sulcus.cut) > front(shell.cut));
        Cover longer = part("c", Cover::Kind::cover, Cover::Length::sulcus);
        longer.distal_mm = 4.0;
        const Pattern long_sulcus = draw(*device, job->foot, longer);
        CHECK(front(long_sulcus.cut) - front(sulcus.cut) == Approx(4.0).margin(0.6));

        const Pattern extension =
            draw(*device, job->foot, part("d", Cover::Kind::extension, Cover::Length::sulcus));
        sound(extension);
        CHECK(outside(extension.cut, sulcus.cut) < 1.0);
        // it meets the distal edge and does not cover it: a knife's radius in the corners apart
        CHECK(area(Region(extension.cut).common(Region(shell.cut))) < 6.0);
        CHECK(area(Region(extension.cut).joined(Region(shell.cut))) > 0.97 * sulcus.area_mm2);
        Cover over = part("e", Cover::Kind::extension, Cover::Length::sulcus);
        over.overlap_mm = 10.0;
        const Pattern overlapping = draw(*device, job->foot, over);
        sound(overlapping);
        CHECK(overlapping.area_mm2 > extension.area_mm2 + 300.0);
        CHECK(outside(extension.cut, overlapping.cut) < 1.0);

        if (device->received->standing.length_estimated) continue;
        ++full;
        const Pattern toes = draw(*device, job->foot, part("f", Cover::Kind::cover, Cover::Length::full));
        sound(toes);
        // the sulcus' corners are rounder than the toes' sides there
        CHECK(outside(sulcus.cut, toes.cut) < 12.0);
        const auto profile = foot::survey(device->received->standing.mesh, false)->profile;
        CHECK(front(toes.cut) == Approx(profile.rear + profile.length).margin(0.02));
        CHECK(surface::Outline(toes.cut).self_crossings() == 0);
    }
    CHECK(full > 0);
}

TEST_CASE("patterns: a left foot is the mirror image of the right, seen from above", "[pattern][mirror]") {
    auto job = tests::random_job(generator::mix(tests::seed() + 32'000), triangles);
    REQUIRE(job.ok());
    TriangleMesh mirrored = job->cast.mesh;
    for (Vec3& p : mirrored.points) p.y() = -p.y();
    mirrored.flip();
    const auto one = shape(job->cast.mesh, job->foot, job->side);
    const auto two = shape(mirrored, job->foot, other(job->side));
    if (!one.ok()) FAIL(one.fault().message);
    if (!two.ok()) FAIL(two.fault().message);
    for (const Cover::Length length : {Cover::Length::shell, Cover::Length::sulcus}) {
        const Cover cover = part("top", Cover::Kind::cover, length, 2.0);
        const Pattern a = draw(*one, job->foot, cover), b = draw(*two, job->foot, cover);
        CHECK(a.area_mm2 == Approx(b.area_mm2).epsilon(1e-6));
        CHECK(a.perimeter_mm == Approx(b.perimeter_mm).epsilon(1e-6));
        const Ring seen_a = as_seen(a.cut, a.side), seen_b = as_seen(b.cut, b.side);
        Ring turned = seen_b;
        for (Vec2& p : turned) p.x() = -p.x();
        std::reverse(turned.begin(), turned.end());
        CHECK(area(Region(seen_a).without(Region(turned))) < 1e-2);
        CHECK(area(Region(turned).without(Region(seen_a))) < 1e-2);
        // medial of a right foot lies on the left of the page, toes up; of a left one on its right
        const Vec2 medial = as_seen(Vec2(0.0, 30.0), Side::right);
        CHECK((medial - Vec2(-30.0, 0.0)).norm() == 0.0);
        CHECK((as_seen(Vec2(0.0, 30.0), Side::left) - Vec2(30.0, 0.0)).norm() == 0.0);
        CHECK(as_seen(Vec2(100.0, 0.0), Side::left).y() == 100.0);
    }
}

TEST_CASE("patterns: a drawn outline is laid flat and nothing else touches it", "[pattern]") {
    auto job = tests::random_job(generator::mix(tests::seed() + 33'000), triangles);
    REQUIRE(job.ok());
    const auto device = shape(job->cast.mesh, job->foot, job->side);
    if (!device.ok()) FAIL(device.fault().message);
    Cover pad = part("pad", Cover::Kind::underlay, Cover::Length::full, 5.0);
    // a circle of 15 mm on the heel, where the sole is nearly level
    for (int k = 0; k < 16; ++k) {
        const double angle = 2.0 * std::numbers::pi * k / 16;
        pad.outline.emplace_back(4.0 + 15.0 * std::cos(angle), 15.0 * std::sin(angle));
    }
    const Pattern one = draw(*device, job->foot, pad);
    sound(one);
    const double plan = std::numbers::pi * 225.0;
    // the surface is no smaller than its plan, nor steeper here than 45 degrees; the flat by the stretch
    CHECK(one.area_mm2 > 0.98 * plan / (one.stretch_high * one.stretch_high));
    CHECK(one.area_mm2 < std::sqrt(2.0) * plan / (one.stretch_low * one.stretch_low));
    pad.margin_mm = 0.0;
    CHECK(draw(*device, job->foot, pad).area_mm2 == one.area_mm2);
    std::reverse(pad.outline.begin(), pad.outline.end());
    CHECK(draw(*device, job->foot, pad).area_mm2 == Approx(one.area_mm2).epsilon(1e-9));

    // one that crosses itself is refused by name
    design::FootDesign foot = job->foot;
    foot.covers = {pad};
    foot.covers.front().outline = {{0, 0}, {40, 20}, {40, 0}, {0, 20}};
    const auto crossed = draw_patterns(*device, foot, "");
    REQUIRE_FALSE(crossed.ok());
    CHECK(crossed.fault().kind == FaultKind::usage);
    CHECK_THAT(crossed.fault().message, Catch::Contains("\"pad\"") && Catch::Contains("crosses"));
    // a margin that eats the part up
    foot.covers = {part("thin", Cover::Kind::extension, Cover::Length::sulcus, -15.0)};
    foot.covers.front().distal_mm = -8.0;
    const auto eaten = draw_patterns(*device, foot, "");
    if (!eaten.ok()) CHECK_THAT(eaten.fault().message, Catch::Contains("\"thin\""));
}

TEST_CASE("patterns: what lies on the heel is compared with the room made for it", "[pattern]") {
    auto job = tests::random_job(generator::mix(tests::seed() + 34'000), triangles);
    REQUIRE(job.ok());
    design::FootDesign foot = job->foot;
    foot.dress.cover_mm = 3.0;
    const auto device = shape(job->cast.mesh, foot, job->side);
    if (!device.ok()) FAIL(device.fault().message);
    const auto room = [&](double thickness) {
        foot.covers = {part("top", Cover::Kind::cover, Cover::Length::shell),
                       part("front", Cover::Kind::extension, Cover::Length::sulcus)};
        foot.covers[0].thickness_mm = thickness;
        const auto set = draw_patterns(*device, foot, "");
        if (!set.ok()) FAIL(set.fault().message);
        for (const Check& check : set->checks)
            if (check.id == "pattern.room") return check;
        FAIL("no check of the room");
        return Check{};
    };
    CHECK(room(3.0).verdict == Verdict::pass);
    CHECK(room(4.5).verdict == Verdict::look);
    CHECK(*room(4.5).figure == 4.5);
    CHECK(room(1.5).verdict == Verdict::look);
    foot.covers.clear();
    const auto none = draw_patterns(*device, foot, "");
    REQUIRE(none.ok());
    CHECK(none->patterns.empty());
}
