// The exact solid of a shell: trimmed B-spline faces, closed, one body. No library type shows here.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "engine/base/outcome.hpp"
#include "engine/base/vec.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::solid {

/// A boundary representation, immutable and cheap to copy. Frame and unit (mm) are those of what it was
/// built from.
class Solid {
  public:
    struct Body;  ///< the library's own shape, known inside engine/solid only
    explicit Solid(std::shared_ptr<const Body> body) : body_(std::move(body)) {}
    const Body& body() const { return *body_; }

  private:
    std::shared_ptr<const Body> body_;
};

/// What was measured on a solid; nothing here is assumed from how it was built.
struct SolidReport {
    bool valid = false;             ///< the topology check finds no fault (it does not see far self-overlap)
    bool one_closed_solid = false;  ///< exactly one solid of one shell, every edge shared by two faces
    int faces = 0;
    double volume_mm3 = 0.0;         ///< relative error below tolerance::solid_volume_relative
    double edge_deviation_mm = 0.0;  ///< greatest distance between an edge and either face's own image of it
    Box3 box;                        ///< of the faces' control points and the edges, mm: holds the solid
    std::string fault;               ///< empty when sound; else one sentence
    std::optional<Vec3> where;       ///< place of the fault, in the solid's frame
};

/// Direct topology, no Boolean operations: foot side, underside and rim faces over one trim line, which is
/// cut into four pieces. Square rim: one ruled face a piece; bevelled: three, sharing edges; rounded: one,
/// cubic across (surface::rim_rows). Apertures are further borders of both sides with rims of the same kinds;
/// posts are further borders of the underside, with four ruled walls down to a flat floor each. Foot side and
/// underside keep the knots they need to lie within tolerance::solid_face_mm of the shell's. Fault "solid"
/// when the library refuses or an edge cannot be brought within tolerance::edge_mm of its faces; faults of
/// surface::check_loops.
Outcome<Solid> build_solid(const surface::Shell& shell);

/// One post alone as a body: `top` within its curve, its four walls, its floor. Faults as build_solid.
Outcome<Solid> build_post(const surface::SplineSurface& top, const surface::Post& post);

/// Mirrored in the plane y = 0 (left feet on their way out): control points change the sign of y and nothing
/// else; faces keep pointing outward.
Outcome<Solid> mirrored(const Solid& solid);

/// The report of the mirror image in the plane y = 0: the same figures, places turned over.
SolidReport mirrored(const SolidReport& report);

/// Checks topology, closedness, volume and edges; some 0.1-0.3 s for a featured shell.
SolidReport examine(const Solid& solid);

/// Area of the whole boundary, mm2, relative error below tolerance::solid_volume_relative; seconds for a
/// featured shell. Fault (internal) when the library refuses.
Outcome<double> area(const Solid& solid);

}  // namespace archwright::solid
