// Draws for the tests of making.
#pragma once

#include <random>

#include "engine/mesh/triangle_mesh.hpp"
#include "engine/mill/cutter.hpp"

namespace archwright::tests {

struct Draw {
    std::mt19937_64 engine;
    explicit Draw(std::uint64_t seed) : engine(seed) {}

    double between(double low, double high) {
        return low + (high - low) * (static_cast<double>(engine() >> 11U) * 0x1p-53);
    }
    int of(int count) { return static_cast<int>(engine() % static_cast<std::uint64_t>(count)); }
    Vec3 point(double size) {
        const double x = between(-size, size), y = between(-size, size), z = between(-size, size);
        return {x, y, z};
    }
    mill::Cutter cutter() {
        mill::Cutter cutter;
        cutter.diameter = between(1.0, 16.0);
        const int kind = of(3);
        const double share = between(0.05, 0.95);
        cutter.corner_radius = kind == 0 ? 0.0 : kind == 1 ? cutter.radius() : share * cutter.radius();
        cutter.shank_diameter = cutter.diameter;
        return cutter;
    }
};

}  // namespace archwright::tests
