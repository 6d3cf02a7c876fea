// Colours of a cast: plaster under uneven light, with ink on it.
#pragma once

#include "assets/generator/cast.hpp"
#include "assets/generator/sole_line.hpp"
#include "assets/generator/waves.hpp"

namespace archwright::generator {

class Ink {
  public:
    /// Fault: a mark off the sole.
    static Outcome<Ink> lay(const Foot& foot, const CastSpec& spec);

    /// Colour of a vertex at a point of the foot's surface.
    TriangleMesh::Colour colour(const Vec3& p, std::size_t vertex) const;

  private:
    Ink(const Colours& colours, std::uint64_t seed);

    /// Share of ink at p, 0 to 1.
    double cover(const Vec3& p) const;

    struct Line {
        SoleLine line;
        double half_width, contrast;
    };
    struct Spot {
        Vec3 at;
        double radius, contrast;
    };
    Colours colours_;
    std::uint64_t seed_;
    std::vector<Line> lines_;
    std::vector<Spot> spots_;
    Waves light_;
};

}  // namespace archwright::generator
