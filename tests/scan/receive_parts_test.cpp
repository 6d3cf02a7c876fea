// Units, votes, samples and rims by closed forms.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "engine/base/tolerances.hpp"
#include "engine/scan/receive_samples.hpp"
#include "engine/scan/rim.hpp"
#include "engine/scan/side.hpp"
#include "engine/scan/unit.hpp"

using namespace archwright;

namespace {

/// A tube of radius 40 about z, from z = 0 to a rim at 60 + wave(angle), `n` points round.
template <class Wave>
TriangleMesh tube(int n, int rows, Wave&& wave) {
    TriangleMesh mesh;
    for (int j = 0; j <= rows; ++j)
        for (int i = 0; i < n; ++i) {
            const double a = 2.0 * std::numbers::pi * i / n;
            mesh.points.emplace_back(40.0 * std::cos(a), 40.0 * std::sin(a), (60.0 + wave(a)) * j / rows);
        }
    for (int j = 0; j < rows; ++j)
        for (int i = 0; i < n; ++i) {
            const int a = j * n + i, b = j * n + (i + 1) % n;
            mesh.triangles.push_back({a, b, b + n});
            mesh.triangles.push_back({a, b + n, a + n});
        }
    return mesh;
}

const BoundaryLoop& upper(const TriangleMesh& mesh, const std::vector<BoundaryLoop>& loops) {
    const auto height = [&](const BoundaryLoop& l) { return mesh.points[l.points.front()].z(); };
    return height(loops[0]) > height(loops[1]) ? loops[0] : loops[1];
}

}  // namespace

TEST_CASE("The unit follows from the foot's length, and two plausible units are asked about", "[receive]") {
    const auto proposed = [](double length) {
        return scan::propose_unit(scan::unit_candidates(length, false), std::nullopt);
    };
    for (const auto& [length, unit] :
         std::vector<std::pair<double, LengthUnit>>{{246.0, LengthUnit::millimetre},
                                                    {24.6, LengthUnit::centimetre},
                                                    {9.685, LengthUnit::inch},
                                                    {0.246, LengthUnit::metre},
                                                    {130.0, LengthUnit::millimetre},
                                                    {6.1, LengthUnit::inch}}) {
        INFO(length);
        CHECK(proposed(length).clear);
        CHECK(proposed(length).value == unit);
    }
    // 12.4: a child's 124 mm in cm, an adult's 315 mm in inches
    const auto either = proposed(12.4);
    CHECK_FALSE(either.clear);
    CHECK(either.value == LengthUnit::inch);
    CHECK(either.reason.find("124") != std::string::npos);
    CHECK(either.reason.find("315") != std::string::npos);
    CHECK_FALSE(proposed(1000.0).clear);

    // a declared unit decides between two, but not against the shape
    const auto candidates = scan::unit_candidates(12.4, false);
    CHECK(scan::propose_unit(candidates, LengthUnit::centimetre).clear);
    CHECK_FALSE(scan::propose_unit(candidates, LengthUnit::millimetre).clear);
    const auto p = scan::propose_unit(candidates, LengthUnit::centimetre);
    CHECK(scan::check_unit(p, candidates, LengthUnit::centimetre, LengthUnit::inch).verdict == Verdict::look);
    CHECK(scan::check_unit(p, candidates, std::nullopt, LengthUnit::metre).verdict == Verdict::stop);
    CHECK(scan::check_unit(proposed(12.4), candidates, std::nullopt, std::nullopt).verdict == Verdict::stop);
}

TEST_CASE("The side is a vote that the arch may veto", "[receive]") {
    const auto cue = [](double vote, double weight = 1.0, bool applies = true) {
        return scan::Cue{"cue", applies, vote * 10.0, "mm", vote, weight};
    };
    CHECK(scan::propose_side({cue(1), cue(1), cue(0.5)}).clear);
    CHECK(scan::propose_side({cue(1), cue(1), cue(0.5)}).value == Side::right);
    CHECK(scan::propose_side({cue(-1), cue(-1), cue(0.5)}).value == Side::left);
    CHECK_FALSE(scan::propose_side({cue(0.2), cue(0.1), cue(-0.1)}).clear);
    CHECK_FALSE(scan::propose_side({cue(-0.3), cue(1), cue(1)}).clear);
    CHECK(
        scan::propose_side({cue(0.9), cue(0, 1, false), cue(0, 1, false)}).clear);  // the arch alone carries
    CHECK_FALSE(scan::propose_side({cue(1, 1, false)}).clear);
    const auto right = scan::propose_side({cue(1), cue(1)});
    CHECK(scan::check_side(right, Side::right).verdict == Verdict::pass);
    CHECK(scan::check_side(right, Side::left).verdict == Verdict::stop);
    CHECK_FALSE(scan::check_side(right, Side::left).signable);
    CHECK(scan::check_side(right, std::nullopt).verdict == Verdict::look);
    const auto weak = scan::propose_side({cue(0.1), cue(0.1)});
    CHECK(scan::check_side(weak, Side::left).verdict == Verdict::look);
    CHECK(scan::check_side(weak, std::nullopt).verdict == Verdict::stop);
}

TEST_CASE("Samples stand for equal areas whatever the triangles' sizes", "[receive]") {
    // One square of two triangles beside one of 2 x 50 x 50: each must get half the samples, evenly.
    TriangleMesh mesh;
    mesh.points = {{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}};
    mesh.triangles = {{0, 1, 2}, {0, 2, 3}};
    for (int i = 0; i <= 50; ++i)
        for (int j = 0; j <= 50; ++j) mesh.points.emplace_back(1.0 + i / 50.0, j / 50.0, 0.0);
    for (int i = 0; i < 50; ++i)
        for (int j = 0; j < 50; ++j) {
            const int a = 4 + 51 * i + j;
            mesh.triangles.push_back({a, a + 51, a + 52});
            mesh.triangles.push_back({a, a + 52, a + 1});
        }
    const scan::Samples samples = scan::take_samples(mesh, 4000);
    REQUIRE(samples.size() == 4000);
    CHECK(samples.area_each == Approx(2.0 / 4000.0));
    std::array<int, 8> in_eighth{};  // quarters of each square along x
    for (const Vec3& p : samples.position) ++in_eighth[static_cast<std::size_t>(std::min(7.0, p.x() * 4.0))];
    for (const int n : in_eighth) CHECK(std::abs(n - 500) < 40);

    std::vector<std::uint8_t> usable(mesh.triangles.size(), 1);
    usable[0] = usable[1] = 0;
    for (const Vec3& p : scan::take_samples(mesh, 1000, usable).position) CHECK(p.x() > 1.0);
    CHECK(scan::take_samples({}, 100).size() == 0);
}

TEST_CASE("A rim's raggedness is that of its course, not its curve", "[rim]") {
    const auto examined = [](const TriangleMesh& mesh, std::vector<std::uint8_t>& usable) {
        const Topology topology = find_topology(mesh);
        const auto loops = boundary_loops(mesh, topology);
        REQUIRE(loops.size() == 2);
        const BoundaryLoop& rim = upper(mesh, loops);
        return scan::examine_rim(mesh, topology, rim, scan::opening_of(mesh, rim, Vec3::Zero()), 1.0, usable);
    };
    std::vector<std::uint8_t> usable;
    const auto smooth = examined(tube(500, 60, [](double) { return 0.0; }), usable);
    CHECK(smooth.perimeter_mm == Approx(2.0 * std::numbers::pi * 40.0).epsilon(1e-3));
    CHECK((smooth.normal - Vec3::UnitZ()).norm() < 1e-9);
    CHECK(smooth.ragged_mm < 0.05);
    CHECK_FALSE(smooth.folded);
    CHECK(usable.empty());

    // slow waves (one round the rim, 10 mm high) are its course
    CHECK(examined(tube(500, 60, [](double a) { return 10.0 * std::sin(a); }), usable).ragged_mm < 0.2);
    CHECK(usable.empty());

    // fast ones (5 mm long, 3 mm high) are raggedness: 95th percentile of |3 sin| is 3 sin(85.5 degrees),
    // less what the smoothing, which runs along the torn rim, follows
    const TriangleMesh torn = tube(1000, 60, [](double a) { return 3.0 * std::sin(50.0 * a); });
    const auto ragged = examined(torn, usable);
    CHECK(ragged.ragged_mm == Approx(3.0 * std::sin(radians(85.5))).epsilon(0.2));
    REQUIRE(usable.size() == torn.triangles.size());
    double dropped = 0.0;
    for (std::size_t i = 0; i < usable.size(); ++i) {
        const double z = torn.points[torn.triangles[i][0]].z();
        if (!usable[i]) {
            dropped += torn.area(i);
            CHECK(z > 45.0);
        } else {
            CHECK(z < 62.0);
        }
    }
    CHECK(dropped == Approx(ragged.excluded_mm2).epsilon(1e-9));
}

TEST_CASE("A rim that turns back on itself is folded", "[rim]") {
    // the upper 9 mm of the tube turned outwards and down again over a rounding of 1.5 mm
    TriangleMesh mesh = tube(400, 200, [](double) { return 9.0; });
    for (Vec3& p : mesh.points) {
        const double over = p.z() - 60.0;
        if (over <= 0.0) continue;
        const double turn = std::min(over / 1.5, std::numbers::pi);
        const double straight = std::max(0.0, over - 1.5 * std::numbers::pi);
        const double r = 40.0 + 1.5 * (1.0 - std::cos(turn));
        const double z = 60.0 + 1.5 * std::sin(turn) - straight;
        const double scale = r / std::hypot(p.x(), p.y());
        p = Vec3(scale * p.x(), scale * p.y(), z);
    }
    const Topology topology = find_topology(mesh);
    const auto loops = boundary_loops(mesh, topology);
    REQUIRE(loops.size() == 2);
    const BoundaryLoop& rim = mesh.points[loops[0].points.front()].z() > 1.0 ? loops[0] : loops[1];
    std::vector<std::uint8_t> usable;
    const auto report =
        scan::examine_rim(mesh, topology, rim, scan::opening_of(mesh, rim, Vec3(0, 0, 20)), 1.0, usable);
    CHECK(report.folded);
    CHECK(report.folded_mm > 0.9 * report.perimeter_mm);
    REQUIRE(!usable.empty());
    int folded_kept = 0, sound_lost = 0;
    for (std::size_t i = 0; i < usable.size(); ++i) {
        const Vec3& p = mesh.points[mesh.triangles[i][0]];
        if (std::hypot(p.x(), p.y()) > 42.9) folded_kept += usable[i];
        if (std::hypot(p.x(), p.y()) < 40.1 && p.z() < 55.0) sound_lost += !usable[i];
    }
    CHECK(folded_kept == 0);
    CHECK(sound_lost == 0);
}
