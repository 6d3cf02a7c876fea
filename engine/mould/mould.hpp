// The positive mould a sheet is drawn over: the foot side of a shell, carried on past its trim line to a flat
// base.
#pragma once

#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::mould {

/// A rib on the wall where a half line in plan leaves the mould, from the margin's edge down to the base. (A
/// notch would be undercut where the wall is steep.)
struct IndexMark {
    std::string name;
    Vec2 from = Vec2::Zero(), towards = Vec2::UnitX();  ///< design frame
};

struct MouldSetting {
    double draft_deg = 5.0;          ///< least angle of margin and wall against the way the sheet comes off
    double margin_mm = 6.0;          ///< of the foot side's own slope beyond the trim line, along it
    double base_mm = 10.0;           ///< of wall under the lowest place of the margin
    double scribe_width_mm = 1.0;    ///< of the groove along the trim line and along apertures
    double scribe_depth_mm = 0.5;    ///< square to the surface
    double shrinkage_percent = 0.0;  ///< the mould is 1 / (1 - this) times as large
    std::vector<IndexMark> marks;
    double mark_width_mm = 4.0, mark_depth_mm = 1.5;
    std::vector<std::string> text;  ///< one line, engraved in the base, parts in order of their weight
    bool mirrored = false;          ///< the mould leaves as its mirror image: letters are turned about
    double chord_mm = tolerance::chord_mm;
};

/// Triangles [0, top_end) are the foot side, [.., groove_end) the scribed grooves, [.., margin_end) the
/// margin,
/// [.., wall_end) the wall, the rest the base. Frame of the mould: that of the design turned half round about
/// x, so that the sole is up, its base at z = 0, mm, grown by the shrinkage.
struct Mould {
    TriangleMesh mesh;
    std::size_t top_end = 0, groove_end = 0, margin_end = 0, wall_end = 0;
    double scale = 1.0;
    double height_mm = 0.0;  ///< of all
    /// The trim line on the surface, and the groove's floor under it, point for point.
    std::vector<Vec3> trim, scribed;
    double least_draft_deg = 90.0;  ///< of margin and wall
    Vec3 least_draft_where = Vec3::Zero();
    /// Of the foot side above the scribed line: what looks down, so that the formed sheet is sprung off.
    double undercut_mm2 = 0.0, steepest_deg = 0.0;  ///< the latter against the way off; 0: none looks down
    Vec3 undercut_where = Vec3::Zero();
    std::size_t bridged = 0;          ///< hollows of the trim line too narrow for a margin, filled across
    std::vector<std::string> marked;  ///< marks that found their place
    std::string text;                 ///< as it stands in the base; empty: it has no room
    double text_height_mm = 0.0;

    /// A place of the design frame as it lies in the mould's.
    Vec3 placed(const Vec3& design) const {
        return scale * Vec3(design.x(), -design.y(), base_z - design.z());
    }
    /// And back.
    Vec3 in_design(const Vec3& place) const {
        const Vec3 p = place / scale;
        return {p.x(), -p.y(), base_z - p.z()};
    }
    double base_z = 0.0;  ///< of the base in the design frame
};

/// Fault (usage, stage "mould") naming the figure that cannot be.
Outcome<Done> check(const MouldSetting& setting);

/// Makes the mould of a shell's foot side inside its trim line: exact surface points within the chord, the
/// groove's floor straight under the trim line, the margin along the surface's own slope (no steeper than the
/// draft lets it), the wall at the draft, the base flat. Sound and free of crossings, or a fault (stage
/// "mould") that names the place. Faults of surface::mesh_region.
Outcome<Mould> make_mould(const surface::SplineSurface& foot_side, const surface::PeriodicCurve& trim,
                          const std::vector<surface::Aperture>& apertures, const MouldSetting& setting);

/// Least angle between the faces [begin, end) and the vertical, degrees, negative where one looks down, and
/// where. Faces that have no area are passed over.
double least_draft_deg(const TriangleMesh& mesh, std::size_t begin, std::size_t end, Vec3& where);

}  // namespace archwright::mould
