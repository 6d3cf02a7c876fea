// A shell as a deck for CalculiX, and what it prints.
#pragma once

#include <array>
#include <filesystem>
#include <istream>
#include <map>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "engine/base/vec.hpp"
#include "engine/flex/bench_stand.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::tests {

/// A middle surface's triangles with the middles of their sides: places in (u,v), corners first (numbered as
/// the points of the middle), and six nodes a triangle as CalculiX orders them.
struct QuadraticMesh {
    std::vector<Vec2> uv;
    std::vector<std::array<int, 6>> triangles;
};
QuadraticMesh quadratic(const flex::Middle& middle);
/// Our elements of half the size: four in each triangle, their corners on the middle surface.
flex::Model quartered(const surface::Shell& shell, const QuadraticMesh& mesh, const flex::Lamina& lamina);

/// A text in the making; nodes are numbered from 1 here.
class CalculixDeck {
  public:
    /// Quadratic shells (S6) at the middle between foot side and underside; the wall node by node.
    void shells(const surface::Shell& shell, const QuadraticMesh& mesh);
    /// Quadratic wedges (C3D15) between underside and foot side, moved by turn and shift; node c of the
    /// middle surface's corner is halfway up.
    void wedges(const surface::Shell& shell, const QuadraticMesh& mesh, const Mat3& turn, const Vec3& shift);
    void material(double modulus_mpa, double poisson);
    /// Rigid ground at z = 0 under the wedges, without friction.
    void ground();
    void hold(int node, int first, int last);
    /// One step; prints the displacements of all loaded nodes. `far`: with large deflections (NLGEOM).
    void press(const std::map<int, double>& down_n, bool contact, bool far = false);

    int corner(int point) const { return first_corner_ + point; }
    std::string text() const;
    /// What it prints for the nodes that were loaded: down positive, mm. Empty: it found nothing; `said` is
    /// what it said.
    std::map<int, double> run(const std::filesystem::path& folder, const std::string& name,
                              std::string& said) const;

  private:
    std::ostringstream nodes_, elements_, after_, step_;
    std::vector<std::size_t> near_ground_;  ///< wedges
    std::vector<std::string> held_;
    std::vector<int> loaded_;
    int first_corner_ = 1, count_ = 0;
    std::size_t triangles_ = 0;
};

/// A force by shares at the corners, downwards, by node.
std::map<int, double> down_forces(const CalculixDeck& deck, const std::vector<double>& shares, double load);

/// The device lying on rigid, smooth ground under a load: wedges over the triangles of the middle surface.
CalculixDeck pressed_deck(const flex::BenchSubject& subject, const flex::BenchBody& body,
                          const flex::BenchLoad& load, const flex::BenchPose& pose, double press_n);

/// What a deck of wedges says: the middle surface of its wedges and of their quarters (places in it, wall,
/// what may touch the ground below at z = 0), and its load and supports.
struct WedgesRead {
    flex::Model model, quarters;  ///< the quarters' first points are the model's
    std::vector<Vec3> under, quarters_under;
    std::map<int, double> down_n;           ///< by point
    std::vector<std::pair<int, int>> held;  ///< point and component
};
WedgesRead read_wedges(std::istream& deck);

}  // namespace archwright::tests
