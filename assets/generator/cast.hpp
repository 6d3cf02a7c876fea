// A cast as a scanner sees it: a foot, its faults, its marks, and the frame of a file.
#pragma once

#include <Eigen/Geometry>
#include <optional>
#include <vector>

#include "assets/generator/foot.hpp"
#include "engine/base/units.hpp"

namespace archwright::generator {

/// Places are (x, y) of the design frame in mm, on the sole; heights and depths are measured along the
/// normal of the foot. "Into the foot" means a surface nearer the bones.

/// Smooth dimple pressed into the foot: depth (1 - (r/R)^2)^2.
struct Dent {
    Vec2 at = Vec2::Zero();
    double radius_mm = 8.0;  ///< 6 to 11: dents measured are 12 to 22 mm wide
    double depth_mm = 2.0;
};
/// Ridge (height > 0, away from the foot) or furrow (< 0) along a bowed line, of Gaussian section.
struct Crease {
    Vec2 from = Vec2::Zero(), to = Vec2::Zero();
    double bow_mm = 0.0;    ///< how far the middle of the line lies off its chord
    double width_mm = 2.0;  ///< full width at half height
    double height_mm = 1.0;
};
/// Overlap of two plaster layers across the sole, medial to lateral: a step that fades behind itself.
struct Seam {
    double x_mm = 90.0;  ///< where it crosses y = 0
    double skew_deg = 0.0;
    double width_mm = 1.5;  ///< over which the step rises
    double height_mm = 1.0;
    double fade_mm = 30.0;
};
/// Dome away from the foot: what air under it leaves. Height (1 - (r/R)^2)^2.
struct AirVoid {
    Vec2 at = Vec2::Zero();
    double radius_mm = 10.0;
    double height_mm = 1.6;
};
/// Heel set down before the plaster was hard: all below a plane is pushed up to it.
struct HeelFlat {
    double depth_mm = 1.5;
    double tilt_about_x_deg = 0.0, tilt_about_y_deg = 0.0;
};
/// Patch of rough surface: random field of this rms and grain.
struct Roughness {
    Vec2 at = Vec2::Zero();
    double radius_mm = 14.0, rms_mm = 0.3, grain_mm = 1.5;
};

/// Ink: a drawn line or a spot; contrast 0 (not seen) to 1 (black).
struct InkLine {
    std::vector<Vec2> path;
    double width_mm = 1.2;
    double contrast = 0.5;
    bool closed = false;
};
struct InkSpot {
    Vec2 at = Vec2::Zero();
    double radius_mm = 4.0;
    double contrast = 0.5;
    bool on_lateral_border = false;  ///< at the 5th metatarsal base (at is ignored)
};
struct Colours {
    std::vector<InkLine> lines;
    std::vector<InkSpot> spots;
    TriangleMesh::Colour ground = {226, 221, 208};  ///< plaster
    TriangleMesh::Colour ink = {52, 48, 120};       ///< indelible pencil
    double uneven_light = 0.35;                     ///< share of the brightness that varies over the foot
    double grain = 0.015;                           ///< rms of the colour noise, share of full scale
};

/// Upper edge of a plaster negative, open over the dorsum as a slipper cast is.
struct Rim {
    std::optional<double> height_mm;        ///< mean round the heel, over the supporting plane; unset: 0.21 L
    std::optional<double> front_height_mm;  ///< mean round the forefoot; unset: 0.10 L
    double raggedness_mm = 2.5;             ///< amplitude of its waviness
    int tears = 3;                          ///< narrow notches
    double tear_depth_mm = 7.0;
    double fold_mm = 0.0;         ///< length of rim folded inward; 0: none
    double fold_at_deg = 90.0;    ///< azimuth of the fold about the heel centre; 0 toes, 90 medial
    double fold_span_deg = 50.0;  ///< how far round it goes
};

/// Round hole in the scan where the scanner saw nothing.
struct Hole {
    Vec2 at = Vec2::Zero();
    double radius_mm = 4.0;
};

struct CastSpec {
    enum class Kind {
        foot_surface,      ///< the skin up to the ankle opening, normals outward
        plaster_negative,  ///< the inside of a slipper cast up to its rim, normals towards the foot's inside
    };
    Kind kind = Kind::foot_surface;

    LengthUnit unit = LengthUnit::millimetre;
    Mat3 rotation = Mat3::Identity();  ///< design frame (mirrored for a left foot) to file axes; proper
    Vec3 translation_mm = Vec3::Zero();
    std::optional<bool> inside_out;  ///< true: triangles face the foot's inside; unset: as the kind gives

    double noise_mm = 0.0;  ///< white along the normal, plus 0.3 of it in long waves
    std::vector<Dent> dents;
    std::vector<Crease> creases;
    std::optional<Seam> seam;
    std::vector<AirVoid> voids;
    std::optional<HeelFlat> heel_flat;
    std::vector<Roughness> rough;

    std::optional<Colours> colours;
    Rim rim;                             ///< plaster_negative only
    std::optional<double> toe_cut_x_mm;  ///< everything beyond this x is missing
    std::vector<Hole> holes;
    int debris = 0;              ///< loose crumbs beside the cast
    double outer_wall_mm = 0.0;  ///< plaster's outer surface too, this far outside (4 to 6); 0: not scanned
    bool sole_missing = false;   ///< the scanner saw the foot from above only
    std::size_t triangles = 150'000;
    std::uint64_t seed = 1;
};

struct Cast {
    TriangleMesh mesh;  ///< file units and file axes
    FootTruth
        truth;  ///< landmarks in file units and axes (those the cast still has); figures in mm and degrees
    Eigen::Matrix4d design_to_file =
        Eigen::Matrix4d::Identity();  ///< with the left foot's mirror and the unit
};

/// Takes the cast of a foot. As in real scans, a ragged rim may touch itself in a point, a fold passes
/// through the wall at its ends, and an outer wall crosses itself in the clefts of the toes. Faults: a size
/// that is not finite or not positive, too many triangles, a rotation that is not proper, a place off the
/// sole.
Outcome<Cast> take_cast(const Foot& foot, const CastSpec& spec, Progress* progress = nullptr);

/// A place of the foot (its design frame, mm) in the coordinates of the cast's file.
Vec3 in_file(const Foot& foot, const CastSpec& spec, const Vec3& p);

/// The truth of the cast alone, without making the mesh.
Outcome<FootTruth> truth_in_file(const Foot& foot, const CastSpec& spec);

/// The usual shape of a foot under plaster: toes close together.
FootShape under_plaster(FootShape shape);

/// Height of all faults of the spec at a point of the foot's surface, mm, positive away from the foot;
/// without noise and roughness. What examination should find.
double fault_height(const Foot& foot, const CastSpec& spec, const Vec3& surface_point);

}  // namespace archwright::generator
