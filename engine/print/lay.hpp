// A body laid for printing: which way is up, and what that makes of it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/print/printer.hpp"

namespace archwright::print {

/// Skin within this of the layers' plane is a flat, degrees (our choice).
inline constexpr double flat_within_deg = 10.0;

/// How a body comes out with `up` away from the plate.
struct Laid {
    Vec3 up = Vec3::UnitZ();  ///< unit, in the body's frame
    double height_mm = 0.0;
    double overhang_mm2 = 0.0;  ///< skin that looks down and lies flatter than the limit, off the plate
    double plate_mm2 = 0.0;     ///< skin that lies on the plate
    double columns_mm3 = 0.0;   ///< under the overhang, straight down to the plate
    double support_mm3 = 0.0;   ///< the same, ending where the body lies below; 0 until asked for
    Vec3 overhang_where = Vec3::Zero();  ///< its largest piece
    double flat_mm2 = 0.0;               ///< the largest patch of flats that hang together
    Vec3 flat_where = Vec3::Zero();
    double across = 0.0;  ///< share of what the loads pull that pulls layers apart (Pull::across)
    double score = 0.0;   ///< the less the better
};

/// Which way the loads pull the stuff: a symmetric tensor of trace 1 over the body's directions (our measure:
/// sum of area and principal stress squared along its direction), or none where nothing is known.
struct Pull {
    std::optional<Mat3> tensor;
    /// up . tensor . up: the share square to the layers. None known: nothing counts.
    double across(const Vec3& up) const { return tensor ? up.dot(*tensor * up) : 0.0; }
};

/// A body's skin, gathered for being laid many ways. Refers to the mesh.
class Skin {
  public:
    explicit Skin(const TriangleMesh& mesh);
    explicit Skin(TriangleMesh&&) = delete;

    /// `up` unit. `overhang_deg` against the layers' plane; 0: nothing overhangs.
    Laid laid(const Vec3& up, double overhang_deg) const;
    /// The volume of the supports of such a lay: the overhanging skin's shadow carried down to the first
    /// skin below it, or to the plate.
    double supports(const Vec3& up, double overhang_deg) const;
    double area() const { return area_; }
    double volume() const { return volume_; }
    const TriangleMesh& mesh() const { return mesh_; }
    /// Corners of the body's hull seen along `up` in axes x, y across it (the box fits as the hull does).
    std::vector<Vec2> outline(const Mat3& turn) const;

  private:
    const TriangleMesh& mesh_;
    std::vector<Vec3> normals_;  ///< unit; zero of a sliver
    std::vector<double> areas_;
    std::vector<Vec3> far_points_;  ///< those that may be outermost some way
    std::vector<std::int32_t> opposite_;
    double area_ = 0.0, volume_ = 0.0;
};

/// How a body is turned and put on the plate: z up, its lowest place at 0, the middle of its box at x = y =
/// 0.
struct Placed {
    Mat3 turn = Mat3::Identity();  ///< body to printer
    Vec3 shift = Vec3::Zero();     ///< after it
    Vec3 size = Vec3::Zero();      ///< of its box, mm
    bool fits = false;             ///< in the printer's room
    TriangleMesh of(const TriangleMesh& mesh) const;
};

/// Turned about z to where it fits best: of all whole degrees the one that leaves most room on the
/// tighter side.
Placed place_on(const Skin& skin, const Vec3& up, const Vec3& room);

struct Proposal {
    Laid laid, as_it_stands;  ///< as it stands: +z of its frame up
    Placed placed, standing;
    bool fits = false;  ///< some way; else `laid` is the way that goes furthest towards it
};

/// The lay of least score among 642 ways spread evenly and the six along the axes, refined about the best.
/// Score: weights times height over the printer's, columns under the overhang over the body's own volume,
/// flat over the printer's limit (2 at most), the share across the layers. Ways that do not fit are taken
/// only where none does. Fault: cancelled.
Outcome<Proposal> propose(const Skin& skin, const Printer& printer, const Pull& pull, Progress* progress);

/// In words, of a device in the design frame: "toes up by 62 degrees, medial border up by 4 degrees".
std::string words_of_up(const Vec3& up);

}  // namespace archwright::print
