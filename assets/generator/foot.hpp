// The parametric foot: an implicit surface whose measures are known.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>

#include "assets/generator/foot_shape.hpp"
#include "engine/base/progress.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::generator {

class FootField;

/// What is true of a foot, exact to 1e-6 mm. Definitions: docs/decisions.md.
struct FootTruth {
    Side side = Side::right;
    /// Keys of engine/foot/landmarks.hpp: heel_centre, posterior_heel, bisection_lower, bisection_upper,
    /// first/second/fifth_head_plantar, first/fifth_head_border, fifth_base, navicular, medial_malleolus,
    /// lateral_malleolus. Besides them, under keys of its own: third/fourth_head_plantar, heel_lowest,
    /// arch_apex, toe_tip.
    std::map<std::string, Vec3> landmarks;
    double length_mm = 0.0;
    double ball_length_mm = 0.0;
    double forefoot_breadth_mm = 0.0;
    double heel_breadth_mm = 0.0;           ///< greatest width of the section at 0.16 L, below 0.15 L
    double arch_height_mm = 0.0;            ///< above the supporting plane
    double metatarsal_plane_deg = 0.0;      ///< phi, positive inverted
    double heel_bisection_deg = 0.0;        ///< beta, positive inverted
    double forefoot_to_rearfoot_deg = 0.0;  ///< phi - beta
};

/// A smooth (C2) foot in the design frame: +x heel to toes, +y medial, +z up, mm, origin under the heel
/// centre, the 2nd metatarsal head on +x, lowest point on z = 0, heel and the mean of heads 1 and 5 level.
/// It always looks like a right foot; a left one is mirrored when a cast is taken of it (cast.hpp).
/// Immutable and cheap to copy; safe from many threads.
class Foot {
  public:
    /// Solves the field's inner parameters so that the surface measures what `shape` asks. A fault names a
    /// dimension out of range, or a combination that no foot can have.
    static Outcome<Foot> make(const FootShape& shape);

    /// A foot made of random_foot(seed), or of the next of up to eight draws when its dimensions do not go
    /// together (about one in a thousand does not). Same seed, same foot.
    static Outcome<Foot> random(std::uint64_t seed);
    static Outcome<Foot> random(std::uint64_t seed, Population population);

    const FootShape& shape() const;
    const FootTruth& truth() const;

    /// Negative inside, positive outside, about the distance in mm near the surface. C2.
    double implicit(const Vec3& p) const;
    Vec3 gradient(const Vec3& p) const;
    /// Outward unit normal of the surface near p.
    Vec3 normal(const Vec3& p) const { return gradient(p).normalized(); }
    /// The surface point reached from p down the gradient, within 1e-9 mm of the surface; empty when p is
    /// too far from the surface to be led there.
    std::optional<Vec3> project(const Vec3& p) const;
    /// The first point of the sole straight above (x, y); empty off the foot.
    std::optional<Vec3> sole(double x, double y) const;

    /// Triangles with edges of about `edge_mm`, every point on the surface, closed but for the planar
    /// opening at the ankle height. Wound outward. Fault: edge below what 20 million triangles need, or
    /// above 3 mm (toes would run together); cancelled.
    Outcome<TriangleMesh> mesh(double edge_mm, Progress* progress = nullptr) const;
    /// The same with about this many triangles (within a few percent).
    Outcome<TriangleMesh> mesh_of(std::size_t triangles, Progress* progress = nullptr) const;

  private:
    explicit Foot(std::shared_ptr<const FootField> field) : field_(std::move(field)) {}

    std::shared_ptr<const FootField> field_;
};

}  // namespace archwright::generator
