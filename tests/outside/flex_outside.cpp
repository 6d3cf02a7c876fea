// Deflections as CalculiX finds them: the same supports, walls by nodal thickness, its quadratic shells
// (S8R).
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <sstream>

#include "engine/base/text.hpp"
#include "engine/flex/linear.hpp"
#include "tests/flex/grids.hpp"
#include "tests/outside/programs.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;

namespace {

constexpr int along = 60, across = 28;
constexpr double tip_n = -10.0, middle_n = -50.0, modulus_mpa = 1350.0, poisson = 0.42;

Grid shell_of(int times, const std::array<double, 2>& wall) {
    return foot_shell(times * along, times * across,
                      [&](double u, double) { return wall[0] + (wall[1] - wall[0]) * u; });
}

/// It reads no field of more than 20 characters.
std::string field(double value) {
    return rounded(value, 9);
}

/// The deck: nodes at half our spacing (the middles of its elements' sides), numbered from 1.
std::string deck(const Grid& fine) {
    std::ostringstream out;
    out << "*NODE,NSET=NALL\n";
    for (std::size_t p = 0; p < fine.model.points.size(); ++p) {
        const Vec3& at = fine.model.points[p];
        out << p + 1 << "," << field(at.x()) << "," << field(at.y()) << "," << field(at.z()) << "\n";
    }
    const auto node = [&](int i, int j) { return fine.at(i, j) + 1; };
    out << "*ELEMENT,TYPE=S8R,ELSET=EALL\n";
    for (int e = 0; e < along * across; ++e) {
        const int i = 2 * (e / across), j = 2 * (e % across);
        out << e + 1 << "," << node(i, j) << "," << node(i + 2, j) << "," << node(i + 2, j + 2) << ","
            << node(i, j + 2) << "," << node(i + 1, j) << "," << node(i + 2, j + 1) << ","
            << node(i + 1, j + 2) << "," << node(i, j + 1) << "\n";
    }
    // without the parameter on the section's card the table of walls is passed over in silence
    out << "*MATERIAL,NAME=M\n*ELASTIC\n"
        << exact(modulus_mpa) << "," << exact(poisson)
        << "\n*SHELL SECTION,ELSET=EALL,MATERIAL=M,NODAL THICKNESS\n3.\n*NODAL THICKNESS\n";
    for (int i = 0; i <= 2 * along; ++i)
        for (int j = 0; j <= 2 * across; ++j)
            if (i % 2 == 0 || j % 2 == 0)
                out << node(i, j) << "," << field(fine.model.wall_mm[fine.at(i, j)]) << "\n";
    out << "*BOUNDARY\n";
    for (int j = 0; j <= 2 * across; ++j) out << node(0, j) << ",1,6\n";
    const int tip = node(2 * along, across), middle = node(along, across);
    out << "*STEP\n*STATIC\n*CLOAD\n"
        << tip << ",3," << exact(tip_n) << "\n"
        << middle << ",3," << exact(middle_n) << "\n*NSET,NSET=OUT\n"
        << tip << "," << middle << "\n*NODE PRINT,NSET=OUT\nU\n*END STEP\n";
    return out.str();
}

/// The displacement along z that it prints for a node; not a number where it prints none.
double printed(const std::string& table, int node) {
    std::istringstream lines(table);
    std::string line;
    while (std::getline(lines, line)) {
        std::istringstream words(line);
        std::string number, x, y, z;
        if (words >> number >> x >> y >> z && number == std::to_string(node))
            return parse_number(z).value_or(std::nan(""));
    }
    return std::nan("");
}

}  // namespace

TEST_CASE("flex: three shells clamped at the heel end, within 2 % of CalculiX") {
    if (!installed("ccx")) return;
    for (const std::array<double, 2>& wall :
         {std::array<double, 2>{4.0, 2.0}, std::array<double, 2>{3.0, 3.0},
          std::array<double, 2>{2.5, 4.0}}) {
        CAPTURE(wall[0], wall[1]);
        Grid ours = shell_of(1, wall);
        ours.model.lamina = Lamina::isotropic(modulus_mpa, poisson);
        LinearCase load_case;
        load_case.load = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(ours.model.points.size()));
        for (int j = 0; j <= across; ++j) hold(load_case, ours.at(0, j), {0, 1, 2, 3, 4, 5});
        const int tip = freedom(ours.at(along, across / 2), 2);
        const int middle = freedom(ours.at(along / 2, across / 2), 2);
        load_case.load[tip] = tip_n;
        load_case.load[middle] = middle_n;
        const auto solved = solve_linear(ours.model, load_case);
        REQUIRE(solved);

        const TemporaryFolder folder;
        const Grid fine = shell_of(2, wall);
        std::ofstream(folder.path() / "shell.inp") << deck(fine);
        const std::string said = output_of("OMP_NUM_THREADS=2 ccx -i shell; cat shell.dat", folder.path());
        const double at_tip = printed(said, fine.at(2 * along, across) + 1);
        const double at_middle = printed(said, fine.at(along, across) + 1);
        INFO("tip " << solved->displacement[tip] << " against " << at_tip << ", middle "
                    << solved->displacement[middle] << " against " << at_middle);
        INFO(said.substr(said.size() > 600 ? said.size() - 600 : 0));
        REQUIRE(std::isfinite(at_tip));
        CHECK(solved->displacement[tip] == Approx(at_tip).epsilon(0.02));
        CHECK(solved->displacement[middle] == Approx(at_middle).epsilon(0.02));
    }
}
