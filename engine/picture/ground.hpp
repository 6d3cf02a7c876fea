// The floor of a model view.
#pragma once

#include <vector>

#include "engine/picture/renderer.hpp"

namespace archwright::picture {

/// Shades the floor: grid lines kept about a pixel wide at any distance, and contact shadows looked up in a
/// small map of exp(-height / 11 mm), blurred.
class GroundShader {
  public:
    GroundShader(const Ground& ground, const std::vector<Body>& bodies, const Camera& camera);
    /// Colour at a pixel over `behind`; unchanged where the floor is not seen.
    Colour at(const Vec2& pixel, const Colour& behind) const;

  private:
    double shadow(const Vec3& p) const;

    static constexpr int cells_ = 160;
    const Ground& ground_;
    const Camera& camera_;
    Vec2 low_ = Vec2::Zero(), centre_ = Vec2::Zero();
    double cell_mm_ = 1.0;
    double reach_ = 1.0;  ///< mm from the centre at which the grid begins to fade
    std::vector<double> shadow_;
};

}  // namespace archwright::picture
