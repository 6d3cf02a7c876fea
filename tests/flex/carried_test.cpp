// The bench's answer at places of the shell's own surfaces.
#include "engine/flex/carried.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>

#include "tests/flex/grids.hpp"
#include "tests/flex/random_shell.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;

TEST_CASE("a rigid motion and one stress everywhere are carried as they are") {
    const int count = cases(20, 5, "carried");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 5, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        BenchResult result;
        result.model = foot_shell(20, 10, [](double, double) { return 3.0; }).model;
        const double x = random.between(-0.01, 0.01);
        const double y = random.between(-0.01, 0.01);
        const double z = random.between(-0.01, 0.01);
        const Vec3 turn(x, y, z), shift(100.0 * y, 200.0 * z, 50.0 * x);
        const std::size_t points = result.model.points.size();
        result.displacement.resize(6 * static_cast<Eigen::Index>(points));
        for (std::size_t p = 0; p < points; ++p) {
            result.displacement.segment<3>(6 * static_cast<Eigen::Index>(p)) =
                shift + turn.cross(result.model.points[p]);
            result.displacement.segment<3>(6 * static_cast<Eigen::Index>(p) + 3) = turn;
        }
        const double pull = random.between(1.0, 20.0);
        result.stress.resize(result.model.triangles.size());
        for (ElementStress& stress : result.stress) {
            stress.foot_side.xx = pull;   // uniaxial: von Mises is the stress itself
            stress.underside.xy = -pull;  // shear: times the root of 3
        }
        std::vector<Vec3> places;
        for (int k = 0; k < 200; ++k) {
            const double along = random.between(0.0, static_cast<double>(points) - 1.0);
            const double dx = random.between(-2.0, 2.0);
            const double dz = random.between(-3.0, 3.0);
            places.push_back(result.model.points[static_cast<std::size_t>(along)] + Vec3(dx, 0, dz));
        }
        const CarriedFlex carried = carried_to(result, places);
        for (std::size_t k = 0; k < places.size(); ++k) {
            CHECK((carried.moved[k] - (shift + turn.cross(places[k]))).norm() < 1e-9);
            CHECK(carried.foot_side_mpa[k] == Approx(pull));
            CHECK(carried.underside_mpa[k] == Approx(std::sqrt(3.0) * pull));
        }
    }
}
