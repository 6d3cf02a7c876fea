// Faults of a cast through the stages: found, weighed, repaired on record; what is real is left.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "assets/generator/demo.hpp"
#include "engine/build/cast_verdict.hpp"
#include "engine/build/repair_effect.hpp"
#include "engine/build/repair_stage.hpp"
#include "engine/surface/lattice.hpp"
#include "tests/support/build_in_memory.hpp"

using namespace archwright;
using examine::Finding;

namespace {

Progress& quietly() {
    static Progress progress;
    return progress;
}

design::FootDesign with_landmarks(const generator::FootTruth& truth, LengthUnit unit) {
    design::FootDesign foot = tests::stated_foot(unit);
    for (const auto& [name, position] : truth.landmarks)
        if (const auto id = foot::landmark_id(name)) {
            foot::Landmark landmark;
            landmark.position = position;
            landmark.source = foot::Landmark::Source::set;
            landmark.sd_mm = 1.0;
            foot.landmarks[*id] = landmark;
        }
    return foot;
}

build::Received received(const std::shared_ptr<const build::CastFile>& cast, const design::FootDesign& foot,
                         Side side) {
    auto done = build::receive_stage(cast, foot, side, "job.json", quietly());
    if (!done) FAIL(done.fault().message);
    return std::move(*done);
}

build::Examined examined(const build::Received& received, const design::FootDesign& foot) {
    auto done = build::examine_stage(received, foot, quietly());
    if (!done) FAIL(done.fault().message);
    return std::move(*done);
}

const build::Examined::Call* nearest(const build::Examined& all, Finding::Kind kind, const Vec3& place) {
    const build::Examined::Call* best = nullptr;
    for (const auto& call : all.calls)
        if (call.finding.kind == kind &&
            (best == nullptr || (call.finding.place - place).norm() < (best->finding.place - place).norm()))
            best = &call;
    return best;
}

double forefoot(const build::Received& of) {
    return foot::find(of.measurements, "forefoot_to_rearfoot")->value;
}

// Greatest distance of one carpet from another within some mm of a place.
double greatest_apart(const surface::SplineSurface& a, const surface::SplineSurface& b, const Vec3& place,
                      double within) {
    const surface::Lattice fine = surface::Lattice::spaced(a.u, a.v, 0.5),
                           coarse = surface::Lattice::spaced(b.u, b.v, 4.0);
    const auto points = surface::sample_points(a, fine), starts = surface::sample_points(b, coarse);
    double most = 0.0;
    for (const Vec3& p : points) {
        if ((p - place).norm() > within) continue;
        std::size_t near = 0;
        for (std::size_t s = 0; s < starts.size(); ++s)
            if ((starts[s] - p).squaredNorm() < (starts[near] - p).squaredNorm()) near = s;
        Vec2 uv = coarse.uv(near);
        most = std::max(most, b.project(p, uv));
    }
    return most;
}

}  // namespace

TEST_CASE("the demonstration's air void is found, and repaired its forefoot reads what is true") {
    const auto cast = generator::demo_cast();
    REQUIRE(cast.ok());
    const auto air = generator::demo_void();
    REQUIRE(air.ok());
    const auto file = tests::cast_in_memory(cast->mesh, "demo");
    design::FootDesign foot = with_landmarks(cast->truth, LengthUnit::inch);
    foot.cast.inside_out = true;
    const build::Received before = received(file, foot, Side::left);
    CHECK(forefoot(before) == Approx(-6.4).margin(0.2));

    const build::Examined found = examined(before, foot);
    const Vec3 truly = before.standing.frame.to_design(air->top);
    const auto* bump = nearest(found, Finding::Kind::bump, truly);
    REQUIRE(bump != nullptr);
    CHECK((bump->finding.place - truly).norm() < 3.0);
    INFO(bump->finding.sentence);
    CHECK(bump->finding.depth_mm == Approx(1.6).margin(0.3));
    CHECK(std::abs(bump->finding.depth_mm - 1.6) < 1.96 * bump->finding.depth_sd_mm);
    const build::CastVerdict verdict = build::cast_verdict(found);
    CHECK(verdict.word == build::CastVerdict::Word::repair);
    REQUIRE(verdict.repairable.size() == 1);
    CHECK(&found.calls[static_cast<std::size_t>(verdict.repairable[0]) - 1] == bump);
    CHECK_THAT(build::next_steps(verdict, "JOB").front(), Catch::Contains("archwright repair JOB --finding"));

    auto repair = build::proposed_repair(*bump, before.standing.frame);
    REQUIRE(repair.ok());
    repair->name = "air-void";
    repair->by = "TECH";
    foot.repairs.push_back(*repair);
    const build::Received after = received(file, foot, Side::left);
    CHECK(forefoot(after) == Approx(-5.0).margin(0.2));
    REQUIRE(after.repaired);
    CHECK(after.repaired->figures[0].largest_mm == Approx(-1.6).margin(0.3));
    CHECK(after.repaired->figures[0].largest_mm == Approx(-bump->finding.depth_mm).margin(0.3));
    const auto listed = std::find_if(after.checks.begin(), after.checks.end(),
                                     [](const Check& c) { return c.id == "cast.repaired"; });
    REQUIRE(listed != after.checks.end());
    CHECK(listed->verdict == Verdict::look);
    CHECK_THAT(listed->message, Catch::Contains("air-void") && Catch::Contains("TECH"));
    // and it is not found again
    const build::Examined again = examined(after, foot);
    const auto* left = nearest(again, Finding::Kind::bump, truly);
    CHECK((left == nullptr || (left->finding.place - truly).norm() > 8.0));

    // the design with it and without it
    foot.repairs.clear();
    const auto surfaced = build::surface_stage(before, foot, quietly());
    REQUIRE(surfaced.ok());
    const auto effect = build::repair_effect(before, *surfaced, foot, Side::left, *repair, quietly());
    REQUIRE(effect.ok());
    CHECK(effect->samples > 1000);
    CHECK(*effect->forefoot_before_deg == Approx(forefoot(before)));
    CHECK(*effect->forefoot_after_deg == Approx(forefoot(after)));
    CHECK(effect->foot_side_mm < 0.3);  // the device ends behind the head: the angle is what changes
}

TEST_CASE("an answer stays with its finding, and a person's word turns a look into a pass", "[unsanitized]") {
    const auto cast = generator::demo_cast();
    REQUIRE(cast.ok());
    const auto file = tests::cast_in_memory(cast->mesh, "demo");
    design::FootDesign foot = with_landmarks(cast->truth, LengthUnit::inch);
    foot.cast.inside_out = true;
    const build::Received plain = received(file, foot, Side::left);
    const build::Examined before = examined(plain, foot);
    REQUIRE_FALSE(before.calls.empty());
    for (const auto& call : before.calls)
        foot.answers.push_back({call.finding.kind, call.in_scan, design::Answer::Is::foot, "TECH", ""});
    const build::Examined after = examined(plain, foot);
    REQUIRE(after.calls.size() == before.calls.size());
    for (const auto& call : after.calls) CHECK(call.answered == design::Answer::Is::foot);
    for (const Check& check : after.checks) CHECK(check.verdict == Verdict::pass);
    for (design::Answer& answer : foot.answers) answer.is = design::Answer::Is::fault;
    for (const Check& check : examined(plain, foot).checks) CHECK(check.verdict == Verdict::look);

    // an answer to a place where nothing is found any more stays on record
    foot.answers.push_back({Finding::Kind::dent, plain.standing.frame.to_scan(Vec3(60, 5, 3)),
                            design::Answer::Is::foot, "TECH-09", "seen on the foot"});
    const build::Examined with = examined(plain, foot);
    REQUIRE(with.elsewhere.size() == 1);
    const auto told = std::find_if(with.checks.begin(), with.checks.end(),
                                   [](const Check& c) { return c.id == "cast.answered"; });
    REQUIRE(told != with.checks.end());
    CHECK_THAT(told->message, Catch::Contains("TECH-09") && Catch::Contains("seen on the foot"));
}

TEST_CASE("a nodule that is marked as real is not called, not repaired, not smoothed away", "[unsanitized]") {
    const auto made = generator::Foot::make({});
    REQUIRE(made.ok());
    generator::CastSpec spec;
    spec.triangles = 120'000;
    spec.noise_mm = 0.05;
    const auto plain = generator::take_cast(*made, spec);
    spec.voids = {{Vec2(70, 6), 6.0, 2.0}};
    spec.dents = {{Vec2(70, -18), 7.0, 2.0}};
    const auto taken = generator::take_cast(*made, spec);
    REQUIRE(plain.ok());
    REQUIRE(taken.ok());
    const Side side = made->shape().side;
    const auto file = tests::cast_in_memory(taken->mesh, "nodule");
    design::FootDesign foot = with_landmarks(taken->truth, LengthUnit::millimetre);
    const Vec3 on = *made->sole(70, 6), beside = *made->sole(70, -18);
    design::Mark mark;
    mark.name = "nodule";
    mark.meaning = design::Mark::Meaning::lesion;
    mark.points = {generator::in_file(*made, spec, on)};
    foot.marks = {mark};
    const build::Received standing = received(file, foot, side);
    const Vec3 place = standing.standing.frame.to_design(mark.points[0]);
    // found, and told to lie on the mark; open to nobody. A suggestion decides nothing.
    const build::Examined marked = examined(standing, foot);
    const auto* on_it = nearest(marked, Finding::Kind::bump, place);
    REQUIRE(on_it != nullptr);
    CHECK((on_it->finding.place - place).norm() < 5.0);
    CHECK(on_it->on_mark == "nodule");
    CHECK_FALSE(on_it->open());
    foot.marks[0].source = foot::Landmark::Source::suggested;
    const build::Examined suggested = examined(standing, foot);
    const auto* still_open = nearest(suggested, Finding::Kind::bump, place);
    REQUIRE(still_open != nullptr);
    CHECK(still_open->open());

    design::Repair repair;
    repair.name = "wrong";
    repair.what = Finding::Kind::bump;
    repair.points = mark.points;
    repair.by = "TECH";
    foot.repairs = {repair};
    const build::Received over_suggestion = received(file, foot, side);
    const auto look = std::find_if(over_suggestion.checks.begin(), over_suggestion.checks.end(),
                                   [](const Check& c) { return c.id == "cast.repaired"; });
    REQUIRE(look != over_suggestion.checks.end());
    CHECK_THAT(look->message, Catch::Contains("suggested mark \"nodule\""));
    foot.marks[0].source = foot::Landmark::Source::set;
    const auto refused = build::receive_stage(file, foot, side, "job.json", quietly());
    REQUIRE_FALSE(refused.ok());
    CHECK_THAT(refused.fault().message, Catch::Contains("\"wrong\"") && Catch::Contains("\"nodule\""));

    // what a flat took away is not in the cast
    design::FootDesign flat = foot;
    flat.marks.clear();
    flat.repairs[0].what = Finding::Kind::flat_heel;
    const auto invented = build::receive_stage(file, flat, side, "job.json", quietly());
    REQUIRE_FALSE(invented.ok());
    CHECK_THAT(invented.fault().message, Catch::Contains("flattened heel") && Catch::Contains("\"wrong\""));

    // a dent beside it is repaired, a zone over both is smoothed: the nodule stays
    repair.name = "dent";
    repair.what = Finding::Kind::dent;
    repair.points = {generator::in_file(*made, spec, beside)};
    repair.reach_mm = 8.5;
    foot.repairs = {repair};
    surface::SmoothZone zone;
    zone.name = "arch";
    zone.outline = {{40, -20}, {100, -20}, {100, 22}, {40, 22}};
    foot.dress.smooth = {zone};
    const build::Received mended = received(file, foot, side);
    const auto with = build::surface_stage(mended, foot, quietly());
    if (!with) FAIL(with.fault().message);
    design::FootDesign bare = with_landmarks(plain->truth, LengthUnit::millimetre);
    const build::Received other = received(tests::cast_in_memory(plain->mesh, "plain"), bare, side);
    const auto without = build::surface_stage(other, bare, quietly());
    REQUIRE(without.ok());
    const Vec3 there = mended.standing.frame.to_design(mark.points[0]);
    const double height = greatest_apart(with->carpet.surface, without->carpet.surface, there, 5.0);
    INFO("height " << height << " of 2.0 mm");
    CHECK(height >= 0.95 * 2.0);
}
