// The shells of Sze, Liu and Lo 2004 on which elements that move far are judged.
#pragma once

#include <string>
#include <vector>

#include "engine/flex/large_solver.hpp"
#include "tests/flex/grids.hpp"

namespace archwright::tests {

/// A benchmark under its whole load, and the displacements that are told of it.
struct LargeBenchmark {
    std::string name;
    flex::LargeProblem problem;
    struct Told {
        int point = 0, component = 0;
        double sign = 1.0;
    };
    std::vector<Told> told;

    double figure(const flex::LargeState& state, std::size_t i) const {
        return told[i].sign * state.moved[told[i].point][told[i].component];
    }
};

LargeBenchmark end_shear_strip(int n);
LargeBenchmark slit_annulus(int around, int across);
LargeBenchmark pinched_hemisphere(int n);
LargeBenchmark pulled_cylinder(int along, int around);
/// A shallow roof on two hinged edges, a force of 3000 down on its middle; wall 12.7 or 6.35.
LargeBenchmark hinged_roof(int n, double wall);

}  // namespace archwright::tests
