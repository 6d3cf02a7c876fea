// The picture of an examined cast: what it marks and where, what it says of repairs, and that it says it all.
#include "engine/picture/cast_sheet.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "assets/generator/cast.hpp"
#include "engine/build/stages.hpp"
#include "engine/examine/image.hpp"
#include "engine/picture/badges.hpp"
#include "engine/picture/cast_words.hpp"
#include "engine/picture/finding_outline.hpp"
#include "engine/picture/local_relief.hpp"
#include "engine/picture/paragraph.hpp"
#include "engine/picture/repair_change.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::picture;
using examine::Finding;

namespace {

/// A level sheet of nodes half a mm apart, x and y from 0, seen from below; its points lifted by `height`.
template <class Height>
examine::HeightMap sheet(double length, double breadth, Height&& height) {
    examine::HeightMap map;
    map.nu = static_cast<int>(length / map.step_mm) + 1;
    map.nv = static_cast<int>(breadth / map.step_mm) + 1;
    for (int i = 0; i < map.nu; ++i)
        for (int j = 0; j < map.nv; ++j) {
            const double x = i * map.step_mm, y = j * map.step_mm, h = height(x, y);
            map.valid.push_back(1);
            map.height.push_back(static_cast<float>(h));
            map.position.emplace_back(x, y, -h);  // away from the foot is down
            map.away.push_back(-Vec3::UnitZ());
        }
    return map;
}

double dome(double x, double y, double radius) {
    const double s = (x * x + y * y) / (radius * radius);
    return s < 1.0 ? (1.0 - s) * (1.0 - s) : 0.0;
}

Finding dent_at(const Vec3& place, double across) {
    Finding f;
    f.place = place;
    f.length_mm = f.breadth_mm = across;
    f.depth_mm = -2.0;
    f.depth_sd_mm = 0.2;
    f.certainty = Finding::Certainty::certain;
    f.sentence = "A round dimple.";
    f.advice_words = "Fill it from the surface round it.";
    return f;
}

/// A foot with one dent under its 5th head, received, and what a person asks of it.
struct CastInHand {
    Vec3 dent = Vec3::Zero();  ///< in the scan
    build::Received received;
    build::Examined examined;
    design::FootDesign foot;

    void repair_it() {
        design::Repair one;
        one.name = "thumb";
        one.points = {dent};
        one.reach_mm = 10.0;
        one.by = "KM";
        one.reason = "the foot has no hollow there";
        foot.repairs = {one};
        const auto& r = received.reception;
        auto done =
            examine::repair(received.cast->cleaning.mesh, {1.0, r.inside_out.value, r.toes.value, r.up.value},
                            {{one.name, one.points, one.reach_mm}});
        REQUIRE(done);
        received.repaired = std::make_shared<examine::Repaired>(std::move(*done));
    }
    Vec3 design(const Vec3& scan) const { return received.standing.frame.to_design(scan); }
};

constexpr double dent_radius = 8.0, dent_depth = 2.0;

CastInHand received_cast(Side side) {
    generator::FootShape shape;
    shape.side = side;
    const auto foot = generator::Foot::make(shape);
    REQUIRE(foot);
    const auto truth = foot->truth().landmarks.at("fifth_head_plantar");
    generator::CastSpec spec;
    spec.triangles = 60'000;
    const Vec2 at = truth.head<2>() + Vec2(-24.0, 14.0);
    spec.dents = {{at, dent_radius, dent_depth}};
    const auto cast = generator::take_cast(*foot, spec);
    REQUIRE(cast);
    auto file = std::make_shared<build::CastFile>();
    file->name = "invented.ply";
    file->cleaning.mesh = cast->mesh;
    CastInHand out;
    scan::Stated stated;
    stated.side = side;
    stated.unit = LengthUnit::millimetre;
    Progress progress;
    auto received = build::first_look(file, stated, progress);
    if (!received) FAIL(received.fault().message);
    out.received = std::move(*received);
    auto examined = build::examine_stage(out.received, {}, progress);
    if (!examined) FAIL(examined.fault().message);
    out.examined = std::move(*examined);
    const auto sole = foot->sole(at.x(), at.y());
    REQUIRE(sole);
    out.dent = generator::in_file(*foot, spec, *sole);
    return out;
}

bool says(const Picture& picture, const std::string& text) {
    return std::find(picture.written.begin(), picture.written.end(), text) != picture.written.end();
}
std::string all_words(const Picture& picture) {
    std::string all;
    for (const std::string& line : picture.written) all += line + " ";
    return all;
}

}  // namespace

TEST_CASE("local relief: a tilted plane is level up to its borders and round a hole; a dent stays") {
    examine::HeightMap plane = sheet(90, 60, [](double x, double y) { return 3.0 + 0.08 * x - 0.05 * y; });
    for (int i = 60; i < 90; ++i)
        for (int j = 0; j < 40; ++j) plane.valid[plane.index(i, j)] = 0;
    for (const double h : local_relief(plane)) REQUIRE(std::abs(h) < 1e-4);  // heights are floats

    for (const double radius : {3.0, 6.0, 11.0}) {
        INFO(radius);
        const auto map = sheet(140, 120, [&](double x, double y) {
            return 1.0 + 0.03 * x - 1.5 * dome(x - 70, y - 60, radius);
        });
        // at its middle the plane is the mean with Gaussian weights: in polar coordinates
        double mean = 0.0;
        for (double r = 0.005; r < radius; r += 0.01)
            mean += dome(r, 0, radius) * r / (local_reach_mm * local_reach_mm) *
                    std::exp(-0.5 * r * r / (local_reach_mm * local_reach_mm)) * 0.01;
        const double here = local_relief(map)[map.index(140, 120)];
        CHECK(here == Approx(-1.5 * (1.0 - mean)).margin(0.01));
        CHECK(here < -1.5 * 0.79);
    }
}

TEST_CASE("badges stand off each other, off what is taken, and within their box") {
    const int n = tests::cases(400, 40, "crowds of badges");
    std::mt19937_64 random(tests::seed());
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    const Box box{10.0, 20.0, 500.0, 700.0};
    const std::vector<Box> taken{{10.0, 20.0, 60.0, 40.0}, {200.0, 300.0, 100.0, 30.0}};
    for (int c = 0; c < n; ++c) {
        std::vector<Vec2> anchors, half;
        const Vec2 crowd(box.x + box.w * unit(random), box.y + box.h * unit(random));
        const int count = 2 + static_cast<int>(40.0 * unit(random));
        for (int i = 0; i < count; ++i) {
            const Vec2 p = crowd + 30.0 * Vec2(unit(random) - 0.5, unit(random) - 0.5);
            anchors.emplace_back(std::clamp(p.x(), box.x, box.right()),
                                 std::clamp(p.y(), box.y, box.bottom()));
            half.emplace_back(9.0 + 6.0 * unit(random), 9.0);
        }
        const std::vector<Vec2> at = place_badges(anchors, half, box, taken);
        REQUIRE(at.size() == anchors.size());
        std::vector<Box> boxes = taken;
        for (std::size_t i = 0; i < at.size(); ++i) {
            const Box b{at[i].x() - half[i].x(), at[i].y() - half[i].y(), 2 * half[i].x(), 2 * half[i].y()};
            CHECK((b.x >= box.x && b.y >= box.y && b.right() <= box.right() && b.bottom() <= box.bottom()));
            CHECK(std::none_of(boxes.begin(), boxes.end(), [&](const Box& o) { return o.meets(b); }));
            boxes.push_back(b);
        }
    }
}

TEST_CASE("the outline of a dent is its circle as far as the foot goes") {
    const examine::HeightMap map = sheet(60, 40, [](double, double) { return 0.0; });
    const SoleRelief sole(map);
    for (const double y : {20.0, 4.0}) {
        const auto chains = outline_of(dent_at({30, y, 0}, 16.0), sole);
        REQUIRE(chains.size() == 1);
        CHECK(chains[0].closed == (y == 20.0));
        for (const Vec3& p : chains[0].points) {
            CHECK((p - Vec3(30, y, 0)).norm() == Approx(8.0).margin(0.02));
            CHECK((p.y() >= 0.0 && p.y() <= 40.0));
        }
        const double inside = y == 20.0 ? 0.0 : std::acos(4.0 / 8.0);  // half the angle beyond the border
        CHECK(chains[0].length() == Approx(8.0 * (2 * std::numbers::pi - 2 * inside)).epsilon(0.01));
    }
    // above the sole, beyond its edge, at its wall: not on it
    for (const Vec3& off : {Vec3(30, 20, 40), Vec3(30, 60, 0), Vec3(-20, 20, 0)})
        CHECK(outline_of(dent_at(off, 16.0), sole).empty());
    Finding crease = dent_at({30, 20, 0}, 30.0);
    for (double y = -11.0; y <= 60.0; y += 2.0) crease.line.emplace_back(30.0, y, 0.0);
    const auto line = outline_of(crease, sole);
    REQUIRE(line.size() == 1);
    CHECK(line[0].points.front().y() == Approx(-3.0));
    CHECK(line[0].points.back().y() == Approx(43.0));
}

TEST_CASE("the outline of a flattened heel is where the plane cuts the round") {
    // a ball of 60 mm pressed flat by 2.5 mm: a circle of sqrt(60^2 - 57.5^2) = 17.1 mm; 0.25 mm above it the
    // ball is sqrt(60^2 - 57.25^2) = 18.0 mm wide
    const auto map = sheet(80, 70, [](double x, double y) {
        return std::min(57.5, std::sqrt(3600.0 - (x - 40) * (x - 40) - (y - 35) * (y - 35)));
    });
    Finding f = dent_at({40, 35, -57.5}, 34.0);
    f.kind = Finding::Kind::flat_heel;
    const SoleRelief sole(map);
    const auto chains = outline_of(f, sole);
    REQUIRE(chains.size() == 1);
    CHECK(chains[0].closed);
    for (const Vec3& p : chains[0].points)
        CHECK((p.head<2>() - Vec2(40, 35)).norm() == Approx(17.7).margin(0.8));
}

TEST_CASE("the outline of a hole goes round what was not seen") {
    auto map = sheet(60, 50, [](double, double) { return 0.0; });
    for (int i = 0; i < map.nu; ++i)
        for (int j = 0; j < map.nv; ++j)
            if (std::hypot(0.5 * i - 30, 0.5 * (0.5 * j - 25)) < 4.0) map.valid[map.index(i, j)] = 0;
    Finding f = dent_at({30, 25, 0}, 16.0);
    f.kind = Finding::Kind::hole;
    f.breadth_mm = 8.0;
    const SoleRelief sole(map);
    const auto chains = outline_of(f, sole);
    REQUIRE(!chains.empty());
    Box3 extent;
    for (const Chain& chain : chains)
        for (const Vec3& p : chain.points) extent.add(p);
    CHECK(extent.size().x() == Approx(8.0 + 3.0).margin(1.2));
    CHECK(extent.size().y() == Approx(16.0 + 3.0).margin(1.2));
}

TEST_CASE("sizes have one rule of decimals, and the page's own signs") {
    Finding f = dent_at(Vec3::Zero(), 22.4);
    f.breadth_mm = 21.6;
    CHECK(size_of(f) == "22 mm across, 2.0 \u00B1 0.4 mm into the foot");
    f.breadth_mm = 9.96;
    CHECK(size_of(f) == "22.4 \u00D7 10.0 mm, 2.0 \u00B1 0.4 mm into the foot");
    f.kind = Finding::Kind::rough;
    f.depth_mm = 0.123;
    CHECK(size_of(f) == "22.4 \u00D7 10.0 mm, 0.12 mm rms");
    CHECK(typeset("933 mm^2, 12 mm3, 2 +- 1, 3 mm2") == "933 mm\u00B2, 12 mm\u00B3, 2 \u00B1 1, 3 mm\u00B2");
}

TEST_CASE("no word of a paragraph is lost, however narrow it is") {
    const Canvas canvas(1, 1, 1.0);
    const Type type;
    const std::string text = "A step of 0.9 \u00B1 0.2 mm crosses the sole; incomprehensibilities  included.";
    for (const double width : {400.0, 120.0, 40.0, 1.0}) {
        std::string back;
        for (const std::string& line : lines_of(canvas, text, width, type)) {
            back += line;
            if (width > 20.0) CHECK(canvas.measure(line, type) <= width);
        }
        const auto letters = [](std::string words) {
            std::erase(words, ' ');
            return words;
        };
        CHECK(letters(back) == letters(text));
    }
}

TEST_CASE("a repaired cast shows what was repaired, by whom and how far", "[unsanitized]") {
    for (const Side side : {Side::left, Side::right}) {
        CastInHand cast = received_cast(side);
        INFO(word(side));
        const CastSheetCase named("WREN-0001", &cast.foot);
        const auto as_it_came = draw_cast_sheet(cast.received, cast.examined, side, named, {});
        REQUIRE(as_it_came);
        CHECK(says(*as_it_came, "Cast as received, invented.ply"));
        CHECK(all_words(*as_it_came).find("Repairs") == std::string::npos);
        CHECK(says(*as_it_came, side == Side::left ? "L" : "R"));
        for (const char* word : {"medial", "lateral", "toes", "heel"}) CHECK(says(*as_it_came, word));
        for (const std::string& cut : as_it_came->shortened) FAIL_CHECK("cut to fit: " << cut);

        cast.repair_it();
        const auto repaired = draw_cast_sheet(cast.received, cast.examined, side, named, {});
        REQUIRE(repaired);
        CHECK(says(*repaired, "Cast with 1 repair, invented.ply"));
        for (const char* word : {"Repairs", "thumb", "R1", "before", "after", "moved", "Moved, mm"})
            CHECK(says(*repaired, word));
        CHECK(all_words(*repaired).find("asked by KM: the foot has no hollow there.") != std::string::npos);
        CHECK(says(*repaired, size_of(cast.received.repaired->figures[0])));
        for (const std::string& cut : repaired->shortened) FAIL_CHECK("cut to fit: " << cut);
        // with nothing found it speaks of the repair, not of a cast without fault
        build::Examined nothing = cast.examined;
        nothing.calls.clear();
        const auto clean = draw_cast_sheet(cast.received, nothing, side, named, {});
        REQUIRE(clean);
        CHECK(says(*clean, "No fault was found on the cast as it was repaired."));
        CHECK_FALSE(says(*clean, "No fault was found on this cast."));
    }
}

TEST_CASE("the map of a repair's movement is the dent it filled") {
    CastInHand cast = received_cast(Side::left);
    cast.repair_it();
    const SoleRelief sole(cast.examined.map);
    const RepairChange change = change_of(cast.received, sole, 30.0);
    REQUIRE(change.after.points.size() == change.moved.size());
    REQUIRE(change.relief_before.size() == change.moved.size());
    CHECK(change.greatest_mm ==
          Approx(std::abs(cast.received.repaired->figures[0].largest_mm)).epsilon(0.03));
    const Vec3 middle = cast.design(cast.dent);
    double most_apart = 0.0;
    for (std::size_t k = 0; k < change.moved.size(); ++k) {
        const double r = (change.before.points[k] - middle).norm();
        if (r > 11.5) CHECK(change.moved[k] == 0.0);
        // a fill moves away from the foot, by the dent's own depth there
        const double was = dent_depth * dome(r, 0, dent_radius);
        if (r < 6.0) most_apart = std::max(most_apart, std::abs(change.moved[k] - was));
    }
    CHECK(most_apart < 0.6);  // 0.14 mm rms of what was there, at the 90th percentile (docs/examine.md)
}

TEST_CASE("what the sole does not show is not marked on it, and is seen from its own side", "[unsanitized]") {
    CastInHand cast = received_cast(Side::right);
    build::Examined bare = cast.examined;
    bare.calls.clear();
    const auto without = draw_cast_sheet(cast.received, bare, Side::right, {"WREN-0001"}, {});
    REQUIRE(without);
    const TriangleMesh& mesh = cast.received.standing.mesh;
    Vec3 ankle = mesh.points.front();
    for (const Vec3& p : mesh.points)
        if (p.z() > ankle.z()) ankle = p;
    Finding tear = dent_at(ankle, 9.0);
    tear.kind = Finding::Kind::tear;
    build::Examined one = bare;
    one.calls.emplace_back().finding = tear;
    const auto with = draw_cast_sheet(cast.received, one, Side::right, {"WREN-0001"}, {});
    REQUIRE(with);
    CHECK(all_words(*with).find("not on the sole, " + std::to_string(std::lround(ankle.z())) +
                                " mm above the ground") != std::string::npos);
    CHECK(std::any_of(with->written.begin(), with->written.end(),
                      [](const std::string& text) { return text.rfind("from ", 0) == 0; }));
    // the print of the sole has the same pixels: 490 of its 608 across are left of the legend
    for (int y = 80; y < 1000; ++y)
        for (int x = 0; x < 490; ++x) REQUIRE(with->image.at(x, y) == without->image.at(x, y));
}

TEST_CASE("a long list says all of every finding: the sheet grows", "[unsanitized]") {
    CastInHand cast = received_cast(Side::right);
    const Finding first = dent_at(cast.design(cast.dent), 16.0);
    cast.examined.calls.clear();
    for (int i = 0; i < 26; ++i) {
        build::Examined::Call call;
        call.finding = first;
        call.finding.sentence = "Finding " + std::to_string(i) + " is a round dimple of the list.";
        call.finding.advice_words =
            "Fill it from the surface round it, unless the foot has this hollow. Next time hold the foot by "
            "the toes or behind the heads with flat fingers, and keep it off the table, end of " +
            std::to_string(i) + ".";
        cast.examined.calls.push_back(call);
    }
    PictureSettings settings;
    settings.height = 900;
    const auto picture = draw_cast_sheet(cast.received, cast.examined, Side::right, {"WREN-0001"}, settings);
    REQUIRE(picture);
    CHECK(picture->image.height > 900);
    const std::string all = all_words(*picture);
    for (int i = 0; i < 26; ++i) CHECK(all.find("end of " + std::to_string(i) + ".") != std::string::npos);
    for (const std::string& cut : picture->shortened) FAIL_CHECK("cut to fit: " << cut);
    // beyond any page it counts what it left out
    while (cast.examined.calls.size() < 400) cast.examined.calls.push_back(cast.examined.calls.front());
    const auto most = draw_cast_sheet(cast.received, cast.examined, Side::right, {"WREN-0001"}, settings);
    REQUIRE(most);
    CHECK(most->image.height == 6000);
    CHECK(all_words(*most).find("more in the report") != std::string::npos);
    settings.width = 480;
    settings.height = 360;
    CHECK(draw_cast_sheet(cast.received, cast.examined, Side::right, {"WREN-0001"}, settings));
}
