// Standing: one mirror, any start, the ground under heel and heads, and what the generated foot knows.
#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>

#include "assets/generator/cast.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/foot/measure.hpp"
#include "engine/foot/stand.hpp"
#include "engine/foot/survey.hpp"
#include "engine/scan/clean.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/real_feet.hpp"

using namespace archwright;
using foot::LandmarkId;
using foot::Standing;

namespace {

double farthest(const TriangleMesh& a, const TriangleMesh& b) {
    if (a.points.size() != b.points.size() || a.triangles != b.triangles) return 1e300;
    double worst = 0.0;
    for (std::size_t i = 0; i < a.points.size(); ++i)
        worst = std::max(worst, (a.points[i] - b.points[i]).norm());
    return worst;
}

double farthest(const foot::Landmarks& a, const foot::Landmarks& b) {
    if (a.size() != b.size()) return 1e300;
    double worst = 0.0;
    for (const auto& [id, landmark] : a) {
        const auto it = b.find(id);
        if (it == b.end()) return 1e300;
        worst = std::max(worst, (landmark.position - it->second.position).norm());
    }
    return worst;
}

Standing stood(const TriangleMesh& mesh, Side side, LengthUnit unit, const foot::Landmarks& set = {}) {
    const auto r = scan::receive(mesh, std::nullopt, {});
    REQUIRE(r.ok());
    auto standing = foot::stand(mesh, *r, side, unit, set);
    if (!standing.ok()) FAIL(standing.fault().message);
    return std::move(*standing);
}

/// The scan's mirror image in the plane across `axis`, still wound outward.
TriangleMesh mirrored(TriangleMesh mesh, int axis) {
    for (Vec3& p : mesh.points) p[axis] = -p[axis];
    mesh.flip();
    return mesh;
}

struct Named {
    std::string name;
    TriangleMesh mesh;
    Side side;
    LengthUnit unit;
};

/// Generated casts, and the real feet where they are.
std::vector<Named> feet(int generated) {
    std::vector<Named> all;
    for (int k = 0; k < generated; ++k) {
        const std::uint64_t seed = tests::seed() + 40 + static_cast<std::uint64_t>(k);
        const auto made = generator::Foot::random(seed);
        REQUIRE(made);
        generator::CastSpec spec;
        spec.triangles = 40'000;
        spec.kind = k % 2 == 0 ? generator::CastSpec::Kind::foot_surface
                               : generator::CastSpec::Kind::plaster_negative;
        spec.rotation = tests::random_rotation(seed);
        spec.noise_mm = 0.05;
        const auto cast = generator::take_cast(*made, spec);
        REQUIRE(cast.ok());
        all.push_back({"generated " + std::to_string(seed), scan::clean(cast->mesh).mesh, made->shape().side,
                       spec.unit});
    }
    if (tests::scans_folder().empty())
        tests::skipped("real feet: ../shared/scans is absent");
    else
        for (const tests::RealFoot& f : tests::real_feet())
            all.push_back({f.file, tests::real_foot(f), f.side, f.unit});
    return all;
}

}  // namespace

TEST_CASE("A foot and its mirror image stated with the other side are the same foot", "[stand]") {
    for (const Named& f : feet(tests::cases(20, 2, "generated feet and their mirror images"))) {
        const Standing as_is = stood(f.mesh, f.side, f.unit);
        for (int axis = 0; axis < 3; ++axis) {
            INFO(f.name << ", mirrored across axis " << axis);
            const Standing other_side = stood(mirrored(f.mesh, axis), other(f.side), f.unit);
            CHECK(farthest(as_is.mesh, other_side.mesh) < tolerance::mirror_mm);
            CHECK(farthest(as_is.landmarks, other_side.landmarks) < tolerance::mirror_mm);
        }
    }
}

TEST_CASE("Where a foot comes to stand does not depend on where it started", "[stand]") {
    for (const Named& f : feet(tests::cases(10, 1, "generated feet from leaning starts"))) {
        const auto r = scan::receive(f.mesh, std::nullopt, {});
        REQUIRE(r.ok());
        const auto as_is = foot::stand(f.mesh, *r, f.side, f.unit, {});
        REQUIRE(as_is.ok());
        const Vec3 up = r->up.value, toes = r->toes.value, across = up.cross(toes);
        for (const auto& [axis, turn] : std::vector<std::pair<Vec3, double>>{
                 {toes, 10.0}, {toes, -10.0}, {across, 8.0}, {across, -8.0}, {up, 8.0}, {up, -8.0}}) {
            scan::Reception leaning = *r;
            const Mat3 t = Eigen::AngleAxisd(radians(turn), axis.normalized()).toRotationMatrix();
            leaning.up.value = t * up;
            leaning.toes.value = t * toes;
            const auto again = foot::stand(f.mesh, leaning, f.side, f.unit, {});
            INFO(f.name << ", turned " << turn);
            REQUIRE(again.ok());
            CHECK(farthest(as_is->mesh, again->mesh) < tolerance::mirror_mm);
        }
    }
}

TEST_CASE("A standing foot is in the design frame", "[stand]") {
    for (const Named& f : feet(tests::cases(20, 2, "generated feet standing"))) {
        INFO(f.name);
        const Standing s = stood(f.mesh, f.side, f.unit);
        // a rotation, nothing else; and there and back
        CHECK((s.frame.rotation * s.frame.rotation.transpose() - Mat3::Identity()).cwiseAbs().maxCoeff() <
              1e-14);
        CHECK(s.frame.rotation.determinant() == Approx(1.0));
        const Vec3 p(0.3, -0.2, 0.5);
        CHECK((s.frame.to_scan(s.frame.to_design(p)) - p).norm() < 1e-12 / s.frame.mm_per_unit * 1e3);
        const foot::Landmarks back = foot::to_design(foot::to_scan(s.landmarks, s.frame), s.frame);
        CHECK(farthest(back, s.landmarks) < 1e-9);

        // outward: the sole looks down
        double down = 0.0, all = 0.0;
        for (std::size_t i = 0; i < s.mesh.triangles.size(); ++i) {
            const Vec3 n = s.mesh.normal2(i);
            if (s.mesh.points[s.mesh.triangles[i][0]].z() > 3.0 || std::abs(n.z()) < 0.8 * n.norm()) continue;
            all += n.norm();
            down -= n.z();
        }
        CHECK(down > 0.8 * all);

        const auto survey = foot::survey(s.mesh, s.length_estimated);
        REQUIRE(survey);
        // the three resting points are level, nothing behind the toes is below the ground
        CHECK(std::abs(survey->heel_low.z() - survey->first_low.z()) < 1e-6);
        CHECK(std::abs(survey->heel_low.z() - survey->fifth_low.z()) < 1e-6);
        CHECK(std::abs(survey->lowest) < 1e-9);
        CHECK(survey->heel_centre.norm() < 1e-6);
        // the axis passes 45 % of the way from the 1st to the 5th head
        const Vec3 way = survey->first_border + 0.45 * (survey->fifth_border - survey->first_border);
        CHECK(std::abs(way.y()) < 1e-6);
        CHECK(way.x() > 0.4 * s.foot_length_mm);
        // medial is +y: the arch is there
        const auto medial = foot::sole_height(s.mesh, 0.3 * s.foot_length_mm, 0.08 * s.foot_length_mm);
        const auto lateral = foot::sole_height(s.mesh, 0.3 * s.foot_length_mm, -0.08 * s.foot_length_mm);
        if (medial && lateral) CHECK(*medial > *lateral);
    }
}

TEST_CASE("Landmarks set by a person are kept, and the axis follows the 2nd head", "[stand]") {
    const auto made = generator::Foot::make({});
    REQUIRE(made.ok());
    for (const Side side : {Side::right, Side::left}) {
        generator::FootShape shape;
        shape.side = side;
        const auto given = generator::Foot::make(shape);
        REQUIRE(given.ok());
        generator::CastSpec spec;
        spec.triangles = 60'000;
        spec.unit = LengthUnit::inch;
        spec.rotation = tests::random_rotation(5);
        spec.translation_mm = Vec3(120.0, -40.0, 30.0);
        const auto cast = generator::take_cast(*given, spec);
        REQUIRE(cast.ok());
        foot::Landmarks set;
        for (const LandmarkId id : {LandmarkId::second_head_plantar, LandmarkId::heel_centre}) {
            foot::Landmark l;
            l.position = cast->truth.landmarks.at(foot::key(id));
            l.source = foot::Landmark::Source::set;
            l.sd_mm = tolerance::set_landmark_sd_mm;
            set[id] = l;
        }
        const Standing s = stood(cast->mesh, side, LengthUnit::inch, set);
        const auto& second = s.landmarks.at(LandmarkId::second_head_plantar);
        CHECK(second.source == foot::Landmark::Source::set);
        CHECK(second.sd_mm == tolerance::set_landmark_sd_mm);
        CHECK(std::abs(second.position.y()) < 1e-9);
        const Vec3& centre = s.landmarks.at(LandmarkId::heel_centre).position;
        CHECK(centre.head<2>().norm() < 1e-9);
        // laid on the cast, whose facets lie a little inside the foot
        CHECK(25.4 * (foot::to_scan(s.landmarks, s.frame).at(LandmarkId::second_head_plantar).position -
                      set.at(LandmarkId::second_head_plantar).position)
                         .norm() <
              0.02);
    }
}

TEST_CASE("Suggestions and measurements against feet whose truth is known", "[measure]") {
    const int count = tests::cases(60, 6, "generated feet measured");
    struct Worst {
        double most = 0.0, sum = 0.0;
        int n = 0;
        void add(double e) {
            most = std::max(most, std::abs(e));
            sum += std::abs(e);
            ++n;
        }
    };
    std::map<std::string, Worst> errors;
    for (int k = 0; k < count; ++k) {
        const std::uint64_t seed = tests::seed() + 400 + static_cast<std::uint64_t>(k);
        const auto made = generator::Foot::random(seed);
        REQUIRE(made);
        generator::CastSpec spec;
        spec.triangles = 80'000;
        spec.rotation = tests::random_rotation(seed);
        const auto cast = generator::take_cast(*made, spec);
        REQUIRE(cast.ok());
        const Standing s = stood(cast->mesh, made->shape().side, spec.unit);
        // on a strongly everted forefoot the lowest point "of the 5th head" slides to the middle heads
        if (s.frame.to_design(cast->truth.landmarks.at("fifth_head_plantar")).y() > -10.0) continue;
        for (const auto& [id, landmark] : s.landmarks) {
            const auto it = cast->truth.landmarks.find(foot::key(id));
            if (it != cast->truth.landmarks.end())
                errors[foot::key(id)].add((landmark.position - s.frame.to_design(it->second)).norm());
        }
        const auto measured = foot::measure(s);
        const generator::FootTruth& truth = cast->truth;
        const auto compare = [&](const char* id, double is) {
            const auto* m = foot::find(measured, id);
            REQUIRE(m != nullptr);
            errors[std::string("= ") + id].add(m->value - is);
            CHECK(m->uncertainty > 0.0);
        };
        compare("foot_length", truth.length_mm);
        compare("ball_length", truth.ball_length_mm);
        compare("forefoot_breadth", truth.forefoot_breadth_mm);
        compare("heel_breadth", truth.heel_breadth_mm);
        // with the landmarks where they truly are, the angle is the truth, whatever the foot stands on
        foot::Landmarks set;
        for (const auto& [key, at] : truth.landmarks)
            if (const auto id = foot::landmark_id(key)) {
                set[*id].position = at;
                set[*id].source = foot::Landmark::Source::set;
                set[*id].sd_mm = tolerance::set_landmark_sd_mm;
            }
        const auto exact = foot::measure(stood(cast->mesh, made->shape().side, spec.unit, set));
        const auto* ffrf = foot::find(exact, "forefoot_to_rearfoot");
        REQUIRE(ffrf != nullptr);
        INFO("seed " << seed);
        CHECK(ffrf->value == Approx(truth.forefoot_to_rearfoot_deg).margin(0.5));
        errors["= forefoot_to_rearfoot, set"].add(ffrf->value - truth.forefoot_to_rearfoot_deg);
        const auto* suggested = foot::find(measured, "forefoot_to_rearfoot");
        REQUIRE(suggested != nullptr);
        errors["= forefoot_to_rearfoot, suggested"].add(suggested->value - truth.forefoot_to_rearfoot_deg);
        CHECK(std::abs(suggested->value - truth.forefoot_to_rearfoot_deg) < suggested->uncertainty);
    }
    for (const auto& [name, w] : errors)
        std::printf("%-36s mean %5.2f, worst %5.2f\n", name.c_str(), w.sum / w.n, w.most);
    // Limits in mm: what a person then need not move far; means over feet of every shape.
    for (const auto& [name, limit] : std::map<std::string, double>{{"heel_centre", 2.5},
                                                                   {"posterior_heel", 3.0},
                                                                   {"first_head_border", 3.0},
                                                                   {"fifth_head_border", 3.0},
                                                                   {"first_head_plantar", 4.0},
                                                                   {"fifth_head_plantar", 4.0},
                                                                   {"second_head_plantar", 4.0},
                                                                   {"fifth_base", 6.0},
                                                                   {"bisection_lower", 4.0},
                                                                   {"bisection_upper", 6.0},
                                                                   {"= foot_length", 1.0},
                                                                   {"= ball_length", 2.0},
                                                                   {"= forefoot_breadth", 1.5},
                                                                   {"= heel_breadth", 0.5}}) {
        INFO(name);
        REQUIRE(errors[name].n > 0);
        CHECK(errors[name].sum / errors[name].n < limit);
    }
}

TEST_CASE("A scan without heel or heads is refused", "[stand]") {
    const auto made = generator::Foot::make({});
    const auto cast = generator::take_cast(*made, {});
    REQUIRE(cast.ok());
    auto r = scan::receive(cast->mesh, std::nullopt, {});
    REQUIRE(r.ok());
    scan::Reception unknown = *r;
    unknown.toes.value = unknown.up.value;
    CHECK_FALSE(foot::stand(cast->mesh, unknown, Side::right, LengthUnit::millimetre, {}).ok());
    TriangleMesh heel = cast->mesh;  // the rear third only
    std::erase_if(heel.triangles, [&](const Triangle& t) { return heel.points[t[0]].x() > 40.0; });
    scan::Reception rear = *r;
    rear.usable.clear();
    const auto refused = foot::stand(heel, rear, Side::right, LengthUnit::millimetre, {});
    if (refused.ok()) CHECK(refused->foot_length_mm < 120.0);  // stood on what it took for heads: short
    CHECK_FALSE(foot::stand({}, rear, Side::right, LengthUnit::millimetre, {}).ok());
}

TEST_CASE("Real feet: landmarks in their places", "[suggest]") {
    if (tests::scans_folder().empty()) {
        tests::skipped("real feet: ../shared/scans is absent");
        return;
    }
    std::printf("%-34s %6s %6s %6s %6s %6s %6s %6s %6s %6s\n", "shares of the length", "L mm", "MT1", "MT5",
                "width", "heel w", "arch h", "index", "beta", "FFRF");
    for (const tests::RealFoot& f : tests::real_feet()) {
        INFO(f.file);
        const Standing s = stood(tests::real_foot(f), f.side, f.unit);
        const double length = s.foot_length_mm;
        const double rear = s.landmarks.at(LandmarkId::posterior_heel).position.x();
        const Vec3 first = s.landmarks.at(LandmarkId::first_head_border).position;
        const Vec3 fifth = s.landmarks.at(LandmarkId::fifth_head_border).position;
        const auto measured = foot::measure(s);
        const auto value = [&](const char* id) {
            const auto* m = foot::find(measured, id);
            return m == nullptr ? std::nan("") : m->value;
        };
        std::printf("%-34s %6.1f %6.3f %6.3f %6.1f %6.1f %6.1f %6.2f %6.1f %6.1f\n", f.file.c_str(), length,
                    (first.x() - rear) / length, (fifth.x() - rear) / length, value("forefoot_breadth"),
                    value("heel_breadth"), value("arch_height"), value("arch_index"), value("heel_bisection"),
                    value("forefoot_to_rearfoot"));
        // geometry of feet: windows and proportions of the survey
        CHECK(length > 190.0);
        CHECK(length < 280.0);
        CHECK((first.x() - rear) / length > 0.63);
        CHECK((first.x() - rear) / length < 0.77);
        CHECK((fifth.x() - rear) / length > 0.53);
        CHECK((fifth.x() - rear) / length < 0.68);
        CHECK(first.x() > fifth.x());
        CHECK(value("forefoot_breadth") / length > 0.31);
        CHECK(value("forefoot_breadth") / length < 0.46);
        CHECK(value("heel_breadth") / length > 0.20);
        CHECK(value("heel_breadth") / length < 0.34);
        CHECK(value("arch_height") > 0.0);
        CHECK(value("arch_height") < 0.12 * length);
        CHECK(value("arch_index") >= 0.0);
        CHECK(value("arch_index") < 0.45);
        CHECK(std::abs(value("heel_bisection")) < 15.0);
    }
    // one foot in two files, one coarser, in other units and axes, must agree
    const Standing fine = stood(tests::real_foot(tests::real_feet()[3]), Side::left, LengthUnit::millimetre);
    const Standing coarse = stood(tests::real_foot(tests::real_feet()[4]), Side::left, LengthUnit::metre);
    CHECK(fine.foot_length_mm == Approx(coarse.foot_length_mm).margin(1.0));
    CHECK(foot::find(foot::measure(fine), "forefoot_breadth")->value ==
          Approx(foot::find(foot::measure(coarse), "forefoot_breadth")->value).margin(1.0));
    CHECK(foot::find(foot::measure(fine), "heel_breadth")->value ==
          Approx(foot::find(foot::measure(coarse), "heel_breadth")->value).margin(1.0));
}
