// Inside engine/solid only: the volume within B-spline and plane faces, integrated span by span.
#pragma once

#include <TopoDS_Shape.hxx>
#include <optional>

namespace archwright::solid {

/// Volume enclosed by the faces of a closed shape, mm3, positive when they face outward: the sum over the
/// faces of the integral of z dx dy (divergence theorem). In (u,v) each is turned into one along the face's
/// borders (Green's theorem); Gauss' rule between the knots is exact across the spans, since the integrand is
/// a polynomial there, and of high order along the borders. So the error is that of rounding and of the
/// borders' own images. Empty where a face is neither plane nor a B-spline without weights of degree 5 or
/// less, or a border has no image on it. `middle_z`: a height about which the shape lies, so that little
/// cancels.
std::optional<double> volume_within(const TopoDS_Shape& shape, double middle_z);

}  // namespace archwright::solid
