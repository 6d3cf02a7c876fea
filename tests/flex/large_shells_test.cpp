// Published shells that move far.
#include <catch2/catch.hpp>
#include <cstdio>

#include "tests/flex/large_shells.hpp"

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;

TEST_CASE("tables of shells that move far", "[.][far-table]") {
    const std::vector<double> shares{0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0};
    const auto tell = [&](const LargeBenchmark& shell, const std::string& mesh) {
        LargeSteps steps;
        steps.shares = shares;
        const auto course = solve_large(shell.problem, steps);
        if (!course) {
            std::printf("%s, %s: %s\n", shell.name.c_str(), mesh.c_str(), course.fault().message.c_str());
            return;
        }
        std::printf("%s, %s: %d steps, %d rounds, %d factors, whole %d, left %.1e\n", shell.name.c_str(),
                    mesh.c_str(), course->steps, course->rounds, course->factored, course->whole,
                    course->unbalanced_n);
        for (const LargeState& state : course->states) {
            std::printf("  %.3f", state.share);
            for (std::size_t i = 0; i < shell.told.size(); ++i) std::printf(" %8.4f", shell.figure(state, i));
            std::printf("\n");
        }
        for (const SnapThrough& snap : course->snaps)
            std::printf("  snaps at %.5f falls to %.5f point %d jump %.3f\n", snap.share, snap.falls_to,
                        snap.point, snap.jump_mm);
    };
    for (const int n : {16, 32}) tell(end_shear_strip(n), std::to_string(n));
    for (const int n : {16, 32}) tell(hinged_roof(n, 12.7), std::to_string(n));
    tell(hinged_roof(16, 6.35), "16 thin");
    for (const int n : {16, 32}) tell(pinched_hemisphere(n), std::to_string(n));
    for (const int n : {16, 24}) tell(pulled_cylinder(n, 3 * n / 2), std::to_string(n));
    for (const int n : {48, 80}) tell(slit_annulus(n, n / 8), std::to_string(n));
}
