// A triangle renderer on the processor: depth buffer, nine samples a pixel, tiles in parallel.
#pragma once

#include <functional>
#include <limits>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"
#include "engine/picture/camera.hpp"
#include "engine/picture/colour_map.hpp"
#include "engine/picture/image.hpp"

namespace archwright::picture {

/// One visible place of a body, as its shader gets it.
struct Fragment {
    Vec3 position;        ///< design frame, mm
    Vec3 normal;          ///< unit, drawing's frame, turned towards the eye
    double facing = 1.0;  ///< normal . direction to the eye, 0..1
    double value = 0.0;   ///< interpolated from Body::values
    double mm_per_pixel = 1.0;
};
using Shader = std::function<Colour(const Fragment&)>;

/// Triangles with one way of being seen.
struct Body {
    const TriangleMesh* mesh = nullptr;
    std::size_t first = 0;  ///< triangles [first, last)
    std::size_t last = std::numeric_limits<std::size_t>::max();
    const std::vector<double>* values = nullptr;  ///< one per point; may be shorter: further points take 0
    Shader shader;                                ///< none: plain clay of `colour`
    Colour colour = Colour::hex(0xD9D5CC);
    bool glass = false;  ///< seen through; only its nearest layer is drawn, over everything behind it
};

/// A line in space with a width on the page, hidden by what stands before it.
struct Stroke {
    std::vector<Vec3> points;
    bool closed = false;
    Colour colour;
    double width = 1.5;    ///< device pixels
    double forward = 0.6;  ///< moved this much towards the eye, mm, to lie on its surface and not within
};

/// The floor: a 10 and 50 mm grid with soft shadows under the bodies, fading out around them.
struct Ground {
    double height = 0.0;  ///< mm
    Colour board, grid_10, grid_50, shadow;
};

struct Scene {
    std::vector<Body> bodies;
    std::vector<Stroke> strokes;
    const Ground* ground = nullptr;  ///< only seen from above
};

/// Light on clay: sky and floor, one soft key from the upper left, two weak fills, all turning with the
/// camera, so that a sole is as well lit as an instep. Returns the factor of the colour, about 0.4-1.1.
class Light {
  public:
    explicit Light(const Camera& camera);
    double on(const Fragment& fragment) const;
    /// The same held within what leaves a map's colours readable (0.78-1.12).
    double on_map(const Fragment& fragment) const;

  private:
    Vec3 sky_, key_, fill_left_, fill_right_, half_;
};

/// Draws over what the image holds. Every pixel is the mean of 3 x 3 samples. The same scene gives the same
/// pixels with any number of threads. `depth`, when given, receives z / w at the middle of every pixel
/// (infinity where nothing stands).
void render(const Scene& scene, const Camera& camera, Image& image, std::vector<double>* depth = nullptr);

}  // namespace archwright::picture
