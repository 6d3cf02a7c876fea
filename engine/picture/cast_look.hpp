// Ways of looking at a cast in true scale: its sole as the print, or from one of its sides.
#pragma once

#include "engine/picture/drafting.hpp"
#include "engine/picture/renderer.hpp"

namespace archwright::picture {

/// One way of looking, placed on the page. Orthographic.
class CastLook {
  public:
    /// The sole as its print, as print_sole shows it.
    static CastLook sole(Side side, const Axes& axes);
    /// From the side that a surface with this normal (design frame) faces most; `middle` (design frame) at a
    /// place of the page, in this scale (pixels a mm).
    static CastLook facing(Side side, const Vec3& normal, const Vec3& middle, const Vec2& at, double scale);

    /// Where a place (design frame) lands on the page.
    Vec2 at(const Vec3& p) const { return camera_.project(p).head<2>(); }
    double scale() const { return camera_.pixels_per_mm(); }
    /// From where it is seen, for example "from medial".
    const char* words() const { return words_; }

    /// Plaster in the light of this look; of values on their scale in the same light, hatched beyond its
    /// ends. A value that is not a number is plaster.
    Shader plaster(const Theme& theme) const;
    Shader map(const Theme& theme, const MapScale& scale) const;

    /// Draws bodies over what the canvas holds in a box.
    void draw(Canvas& canvas, const Box& box, std::vector<Body> bodies) const;

  private:
    CastLook(const Camera& camera, const char* words) : camera_(camera), words_(words) {}
    void place(const Vec3& middle, const Vec2& at, double scale);
    Vec3 sun() const;

    Camera camera_;  ///< in logical pixels of the page
    Vec3 middle_ = Vec3::Zero();
    const char* words_;
};

}  // namespace archwright::picture
