// Published shells that move far: K. Y. Sze, X. H. Liu and S. H. Lo, Popular benchmark problems for geometric
// nonlinear analysis of shells, Finite Elements in Analysis and Design 40 (2004) 1551-1569, whose figures are
// those of a commercial program's four-node element on meshes of theirs. Quoted from memory, and the
// annulus's table from programs that quote the same paper.
#include "tests/flex/large_shells.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;

namespace {

/// A row of a table: share of the whole load, and the displacements there; 0: not compared.
struct Row {
    double share = 0.0;
    std::vector<double> told;
};

/// Greatest difference of the curve from the table, as a share of each figure.
double off(const LargeBenchmark& shell, const std::vector<Row>& table) {
    LargeSteps steps;
    steps.shares.clear();
    for (const Row& row : table) steps.shares.push_back(row.share);
    const auto course = solve_large(shell.problem, steps);
    INFO((course ? std::string() : course.fault().message));
    REQUIRE(course);
    REQUIRE(course->whole);
    REQUIRE(course->states.size() == table.size());
    double worst = 0.0;
    for (std::size_t i = 0; i < table.size(); ++i)
        for (std::size_t k = 0; k < table[i].told.size(); ++k)
            if (table[i].told[k] != 0.0)
                worst =
                    std::max(worst, std::abs(shell.figure(course->states[i], k) / table[i].told[k] - 1.0));
    std::printf("%s, %zu points: at most %.2f %% off the table, %d rounds\n", shell.name.c_str(),
                shell.problem.model.points.size(), 100.0 * worst, course->rounds);
    return worst;
}

const std::vector<Row> shear{{0.1, {1.309, 0.103}}, {0.2, {2.493, 0.381}}, {0.3, {3.488, 0.763}},
                             {0.4, {4.292, 1.184}}, {0.5, {4.933, 1.604}}, {0.6, {5.444, 2.002}},
                             {0.7, {5.855, 2.370}}, {0.8, {6.190, 2.705}}, {0.9, {6.467, 3.010}},
                             {1.0, {6.698, 3.286}}};
const std::vector<Row> hemisphere{{0.05, {0.855, 0.955}}, {0.1, {1.499, 1.840}}, {0.2, {2.321, 3.261}},
                                  {0.3, {2.819, 4.339}},  {0.4, {3.158, 5.196}}, {0.5, {3.406, 5.902}},
                                  {0.6, {3.598, 6.497}},  {0.7, {3.750, 7.006}}, {0.8, {3.875, 7.448}},
                                  {0.9, {3.979, 7.835}},  {1.0, {4.067, 8.178}}};
const std::vector<Row> annulus{{0.05, {2.455, 3.370}},  {0.1, {4.277, 5.876}},   {0.2, {6.725, 9.160}},
                               {0.3, {8.340, 11.213}},  {0.4, {9.529, 12.661}},  {0.5, {10.468, 13.768}},
                               {0.6, {11.257, 14.674}}, {0.7, {11.970, 15.469}}, {0.8, {12.642, 16.202}},
                               {0.9, {13.282, 16.886}}, {1.0, {13.891, 17.528}}};
// past half its load one figure of the paper's table could not be had
const std::vector<Row> cylinder{{0.025, {0.819, 0.864, 0.872}},
                                {0.05, {1.260, 1.471, 1.493}},
                                {0.1, {1.707, 2.217, 2.293}},
                                {1.0, {2.768, 4.551, 0.0}}};

}  // namespace

TEST_CASE("a cantilever under an end shear force follows the published curve") {
    CHECK(off(end_shear_strip(16), shear) < 0.01);
}

TEST_CASE("a pinched hemisphere with a hole comes to the published curve as elements grow smaller") {
    const double coarse = off(pinched_hemisphere(16), hemisphere),
                 fine = off(pinched_hemisphere(32), hemisphere);
    CHECK(coarse < 0.07);
    CHECK(fine < 0.01);
}

TEST_CASE("an open cylinder pulled apart follows the published curve", "[unsanitized]") {
    CHECK(off(pulled_cylinder(24, 36), cylinder) < 0.015);
}

TEST_CASE("a slit annular plate comes to the published curve as elements grow smaller", "[unsanitized]") {
    const double coarse = off(slit_annulus(48, 6), annulus), fine = off(slit_annulus(80, 10), annulus);
    CHECK(coarse < 0.015);
    CHECK(fine < 0.007);
}

TEST_CASE("a hinged roof snaps through at the published load, thick or thin") {
    // 2230 or so of wall 12.7, 590 or so of 6.35: read off curves, so to a hundredth
    const auto limit = [](double wall) {
        const LargeBenchmark roof = hinged_roof(16, wall);
        const auto course = solve_large(roof.problem, {{1.0}});
        REQUIRE(course);
        REQUIRE_FALSE(course->snaps.empty());
        return 3000.0 * course->snaps.front().share;
    };
    CHECK(limit(12.7) == Approx(2230.0).epsilon(0.01));
    CHECK(limit(6.35) == Approx(590.0).epsilon(0.01));
}
