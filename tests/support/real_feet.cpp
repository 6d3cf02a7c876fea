#include "tests/support/real_feet.hpp"

#include <Eigen/Geometry>
#include <random>

#include "engine/scan/clean.hpp"
#include "engine/scan/read.hpp"
#include "tests/support/random_cases.hpp"

namespace archwright::tests {

const std::vector<RealFoot>& real_feet() {
    using enum Side;
    using enum LengthUnit;
    const Vec3 x = Vec3::UnitX(), y = Vec3::UnitY(), z = Vec3::UnitZ();
    static const std::vector<RealFoot> feet{
        {"standing_left_m.stl", left, metre, z, -y},
        {"standing_right_m.stl", right, metre, z, -y},
        {"relaxed_left_template_colour.ply", left, millimetre, z, x},
        {"relaxed_left_a_colour.ply", left, millimetre, z, x},
        {"relaxed_left_a_colour_yup_m.obj", left, metre, y, x},
        {"relaxed_right_b_colour.ply", right, millimetre, z, x},
        {"sculpted_base_left.stl", left, millimetre, z, -y},
        {"sculpted_male_left.stl", left, millimetre, z, -y},
        {"sculpted_heavy_left.stl", left, millimetre, z, -y},
        {"sculpted_female_right.stl", right, millimetre, z, -y},
        {"sculpted_child_right.stl", right, millimetre, z, -y},
        {"noisy_holes_left_colour.ply", left, millimetre, z, -y},
    };
    return feet;
}

const RealFoot& foot_without_sole() {
    static const RealFoot foot{"sole_missing_right.ply", Side::right, LengthUnit::millimetre, Vec3::UnitY(),
                               Vec3::UnitX()};
    return foot;
}

TriangleMesh real_foot(const RealFoot& foot) {
    const std::string folder = scans_folder();
    if (folder.empty()) return {};
    auto reading = scan::read_cast(folder + "/" + foot.file);
    if (!reading) return {};
    return scan::clean(reading->mesh).mesh;
}

Mat3 random_rotation(std::uint64_t seed) {
    std::mt19937_64 random(seed);
    // Numbers from the engine itself: the standard's distributions differ between libraries.
    const auto uniform = [&] { return static_cast<double>(random() >> 11) * 0x1.0p-53; };
    const double a = uniform(), b = 2.0 * std::numbers::pi * uniform(),
                 c = 2.0 * std::numbers::pi * uniform();
    // Shoemake 1992: even over all rotations.
    return Eigen::Quaterniond(std::sqrt(1 - a) * std::sin(b), std::sqrt(1 - a) * std::cos(b),
                              std::sqrt(a) * std::sin(c), std::sqrt(a) * std::cos(c))
        .toRotationMatrix();
}

}  // namespace archwright::tests
