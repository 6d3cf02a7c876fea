// A made device against its design: the scan of the finished shell laid on it, and what it measures.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/build/device.hpp"
#include "engine/registration/registration.hpp"

namespace archwright::compare {

/// A figure at or below `look` passes, above `stop` it stops.
struct Limit {
    double look = 0.0, stop = 0.0;
};

/// What a laboratory holds its devices to. Defaults are our choice, without a source; they are stated in
/// every report beside the figure.
struct MadeLimits {
    Limit surface_mm{0.5, 1.0};  ///< 95 of 100 places of a face lie nearer than this
    Limit wall_mm{0.2, 0.5};     ///< mean wall against the design's, of either sign
    Limit thin_mm{0.3, 0.6};     ///< 95 of 100 walls are thinner than the design by less than this
    Limit angle_deg{0.5, 1.0};   ///< a post's face against the design's
    double least_seen = 0.5;     ///< of a face's area, for it to be judged
};

/// Faces of a device.
enum class Face { foot_side, underside, rim, post_walls, post_floors };
inline constexpr std::size_t face_count = 5;
const char* title(Face face);
const char* key(Face face);
/// Which face a triangle of the device's mesh belongs to.
Face face_of(const surface::ShellMesh& mesh, std::size_t triangle);

struct FaceFigures {
    double design_mm2 = 0.0;  ///< area
    double seen = 0.0;        ///< share of it that the scan shows
    std::size_t points = 0;   ///< of the scan on it
    /// Along the design's outward normal, positive where there is more material than designed, mm.
    double mean_mm = 0.0, rms_mm = 0.0, most_added_mm = 0.0, most_taken_mm = 0.0;
    double within_mm = 0.0;  ///< 95 of 100 places lie nearer than this
    Vec3 worst = Vec3::Zero();
};

/// The wall along the design's normals, made against designed, where both faces were scanned, more than 1.5
/// walls from the rim and not over posts.
struct MadeWall {
    std::size_t places = 0;
    double mean_mm = 0.0, sd_mm = 0.0;          ///< made less designed
    double thinner_mm = 0.0, thicker_mm = 0.0;  ///< 95 of 100 are thinner (thicker) by less than this
    double least_mm = 0.0, least_designed_mm = 0.0;
    Vec3 least_where = Vec3::Zero();
};

/// A post's face: its plane in the scan against the design's.
struct MadePost {
    std::string name;  ///< "heel post" or "forefoot post", by where it lies
    Vec3 where = Vec3::Zero();
    double designed_deg = 0.0;  ///< standing on it the device, as it lies in its frame, is inverted by this
    double made_deg = 0.0;
    double pitch_off_deg = 0.0;  ///< made less designed, along the axis
    double height_off_mm = 0.0;  ///< at its middle, positive: higher up, nearer the foot
    double flat_mm = 0.0;        ///< root mean square about its own plane
};

struct Made {
    registration::Registration registration;  ///< of the scan (design frame's hand, mm) onto the design
    std::array<FaceFigures, face_count> faces;
    MadeWall wall;
    std::vector<MadePost> posts;
    /// Every point of the scan's mesh, for a map: not a number where it lies on nothing.
    std::vector<double> mm;
    TriangleMesh scan;  ///< laid on the design, design frame
    std::vector<Check> checks;

    const FaceFigures& of(Face face) const { return faces[static_cast<std::size_t>(face)]; }
    Verdict verdict() const;
};

/// Lays the scan on the design and measures. `scan` mm, in any place, as it was scanned: a left device's scan
/// is mirrored here as every left foot is. Winding is turned over when a closed scan is inside out. What does
/// not lie on the design is a check that stops, with its reason. Fault: cancelled; no shell.
Outcome<Made> verify_made(const build::Device& design, TriangleMesh scan, const MadeLimits& limits,
                          Progress& progress);

}  // namespace archwright::compare
