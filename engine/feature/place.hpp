// Where a feature lies on the dressed carpet.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/feature/feature.hpp"
#include "engine/foot/landmarks.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/trim_walk.hpp"

namespace archwright::feature {

/// A point of the carpet.
struct Spot {
    Vec2 uv = Vec2::Zero();
    Vec3 p = Vec3::Zero();
};

/// What features are placed by; design frame.
struct Site {
    const surface::SplineSurface& carpet;  ///< the dressed one
    const foot::Landmarks& landmarks;
    /// Marks of the job by name, in the design frame.
    std::map<std::string, std::vector<Vec3>> marks;
    /// Names of marks that a person refused: nothing may lie on them.
    std::set<std::string> refused_marks{};
};

/// A check of the stage "features" that names the feature.
Fault fault_of(const Feature& feature, const std::string& what, std::optional<Vec3> where = {});

/// Lays places of the plan and points in space on a carpet.
class Layer {
  public:
    explicit Layer(const surface::SplineSurface& carpet);

    /// The place of the sole straight above or below (x, y); nothing where there is none within 6 mm.
    std::optional<Spot> at(const Vec2& plan) const;
    /// The place of the carpet nearest to a point in space.
    Spot nearest(const Vec3& p) const;

  private:
    const surface::SplineSurface& carpet_;
    surface::PlanIndex index_;
    surface::Lattice lattice_;
    std::vector<Vec3> points_;  ///< at its nodes
};

/// The points of a feature on the carpet: one for a spot, along the line, or round the curve; moved as it
/// says. Faults (stage "features", naming the feature): neither anchor nor points, an unknown anchor with
/// what there is, a mark that was refused, a place that is not on the sole.
Outcome<std::vector<Spot>> place_of(const Feature& feature, const Site& site, const Layer& layer);

}  // namespace archwright::feature
