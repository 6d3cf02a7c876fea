// Lines laid on a surface, and what varies along them.
#pragma once

#include <cstddef>
#include <vector>

#include "engine/base/vec.hpp"
#include "engine/feature/feature.hpp"
#include "engine/feature/place.hpp"
#include "engine/surface/monotone.hpp"

namespace archwright::feature {

/// A fine polyline in space; the last point may equal the first.
class SurfaceLine {
  public:
    explicit SurfaceLine(std::vector<Vec3> points);

    struct Foot {
        double distance = 0.0;  ///< straight, in space
        double along = 0.0;     ///< length of the line up to the nearest point
        std::size_t piece = 0;
    };
    Foot nearest(const Vec3& p) const;
    double length() const { return along_.back(); }
    const std::vector<Vec3>& points() const { return points_; }

  private:
    // Spheres round runs of pieces: what is further than the nearest run can be is not looked at.
    struct Run {
        Vec3 centre;
        double radius;
    };
    std::vector<Vec3> points_;
    std::vector<double> along_;
    std::vector<Run> runs_;
};

/// The natural cubic spline over chord length (C. de Boor 1978) through the spots' places in (u,v), laid on
/// the carpet every half millimetre.
std::vector<Spot> smooth_line(const std::vector<Spot>& through, const surface::SplineSurface& carpet);

/// A value along a groove: a MonotoneCurve through its stations, or the same everywhere when there are none.
class Along {
  public:
    Along(const std::vector<GrooveStation>& stations, double otherwise, double GrooveStation::*value);
    double at(double t) const;

  private:
    surface::MonotoneCurve curve_;
    double otherwise_ = 0.0;
};

}  // namespace archwright::feature
