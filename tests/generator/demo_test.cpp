// The demonstration cast is the case that its documents tell of.
#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <set>

#include "assets/generator/cast_file.hpp"
#include "assets/generator/demo.hpp"
#include "assets/generator/truth_file.hpp"
#include "engine/base/parallel.hpp"
#include "engine/base/units.hpp"
#include "engine/mesh/soundness.hpp"
#include "tests/generator/measured.hpp"

using namespace archwright;
using namespace archwright::generator;

namespace {

const Cast& demo() {
    static const Cast cast = [] {
        Outcome<Cast> made = demo_cast();
        if (!made) throw std::runtime_error(made.fault().message);
        return std::move(made).value();
    }();
    return cast;
}

/// The demo's mesh back in the design frame, mm, wound outward.
TriangleMesh in_design_frame() {
    TriangleMesh mesh = demo().mesh;
    const Eigen::Matrix4d back = demo().design_to_file.inverse();
    for (Vec3& p : mesh.points) p = (back * p.homogeneous()).head<3>();
    return mesh;  // inward in a mirrored frame: the mirror back turns it over once
}

}  // namespace

TEST_CASE("LARK-2207 is a left foot of 246 mm whose truth is 5.0 degrees everted") {
    const FootTruth& truth = demo().truth;
    CHECK(truth.side == Side::left);
    CHECK(truth.length_mm == Approx(246.0).margin(1e-6));
    CHECK(truth.forefoot_to_rearfoot_deg == Approx(-5.0).margin(1e-6));
    CHECK(truth.heel_bisection_deg == Approx(0.0).margin(1e-6));
    CHECK(truth.arch_height_mm == Approx(24.0).margin(1e-6));
}

TEST_CASE("The air void of the demo makes the forefoot read 6.4 degrees everted") {
    const TriangleMesh mesh = in_design_frame();
    const Outcome<Foot> foot = Foot::make(demo_shape());
    REQUIRE(foot.ok());
    const auto& at = foot->truth().landmarks;
    const auto lowest = [&](const char* key) {
        return tests::farthest(mesh, -Vec3::UnitZ(),
                               [&](const Vec3& p) { return (p - at.at(key)).norm() < 7; });
    };
    const Vec3 m1 = lowest("first_head_plantar"), m5 = lowest("fifth_head_plantar");
    CHECK(at.at("first_head_plantar").z() - m1.z() == Approx(1.6).margin(0.25));  // noise 0.06, three sigma
    const double reads = degrees(
        std::atan2(m1.z() - m5.z(), at.at("first_head_plantar").y() - at.at("fifth_head_plantar").y()));
    CHECK(reads == Approx(-6.4).margin(0.2));
    // without the scanner's noise
    const Vec3 head = at.at("first_head_plantar");
    const double raised = fault_height(*foot, demo_spec(foot->truth()), head);
    CHECK(raised == Approx(1.6).margin(1e-9));
    const double exact = degrees(std::atan2(head.z() - raised - at.at("fifth_head_plantar").z(),
                                            head.y() - at.at("fifth_head_plantar").y()));
    CHECK(exact == Approx(-6.4).margin(0.05));
}

TEST_CASE("The demo's file is in inches, coloured, inside-out, of about 150 thousand triangles") {
    const TriangleMesh& mesh = demo().mesh;
    CHECK(static_cast<double>(mesh.triangles.size()) == Approx(150'000).epsilon(0.04));
    CHECK(mesh.colours.size() == mesh.points.size());
    const Vec3 back = demo().truth.landmarks.at("posterior_heel"), tip = demo().truth.landmarks.at("toe_tip");
    CHECK((tip - back).norm() * 25.4 == Approx(246.0).margin(3.0));  // not parallel to the axis
    const Soundness s = find_soundness(mesh);
    CHECK(s.non_manifold_edges == 0);
    CHECK(s.misoriented_edges == 0);
    CHECK(s.non_manifold_points == 0);
    CHECK(s.components == 1);
    CHECK(self_intersections(mesh, 1).empty());
    // triangles face the foot's inside: seen in the design frame, whose mirror turns them over, outward
    const Outcome<Foot> foot = Foot::make(demo_shape());
    REQUIRE(foot.ok());
    const TriangleMesh design = in_design_frame();
    const auto normals = design.point_normals();
    std::size_t outward = 0;
    for (std::size_t i = 0; i < normals.size(); ++i)
        if (normals[i].dot(foot->gradient(design.points[i])) > 0.0) ++outward;
    CHECK(outward == normals.size());
    std::set<TriangleMesh::Colour> colours(mesh.colours.begin(), mesh.colours.end());
    CHECK(colours.size() > 100);
}

TEST_CASE("The demo's truth alone is that of its cast") {
    const Outcome<FootTruth> truth = demo_truth();
    REQUIRE(truth.ok());
    REQUIRE(truth->landmarks.size() == demo().truth.landmarks.size());
    for (const auto& [key, p] : truth->landmarks) CHECK(p == demo().truth.landmarks.at(key));
    for (const char* key : {"heel_centre", "posterior_heel", "bisection_lower", "bisection_upper",
                            "first_head_plantar", "second_head_plantar", "fifth_head_plantar",
                            "first_head_border", "fifth_head_border", "fifth_base", "navicular"}) {
        INFO(key);
        CHECK(truth->landmarks.count(key) == 1);
    }
    CHECK(truth_json(*truth, LengthUnit::inch, demo().design_to_file).find("\"unit\": \"in\"") !=
          std::string::npos);
}

TEST_CASE("The demo has the same bytes for any number of threads") {
    const auto bytes = [] {
        const Outcome<Cast> cast = demo_cast();
        return cast ? encode(cast->mesh, CastFormat::ply_binary, demo_case) : std::string();
    };
    const std::string usual = encode(demo().mesh, CastFormat::ply_binary, demo_case);
    for (int threads : {1, 2, 8}) {
        set_thread_count(threads);
        CHECK(bytes() == usual);
    }
    set_thread_count(0);
}
