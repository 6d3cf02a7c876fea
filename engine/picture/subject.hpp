// What a picture is of, and what is worked out once for all its views.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/side.hpp"
#include "engine/foot/landmarks.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/picture/level_curves.hpp"
#include "engine/surface/wall_measure.hpp"

namespace archwright::picture {

/// A closed outline drawn in the plan, design frame (x, y), mm.
struct PlanOutline {
    enum class Kind { wall_region, hollow, raised, aperture, post };
    Kind kind = Kind::wall_region;
    std::string name;  ///< written beside it; may be empty
    std::vector<Vec2> points;
    double value_mm = 0.0;  ///< wall of a region, depth or height of a feature
    std::string feature{};  ///< name of the relief or pad it is of; empty: of none
};

/// A skin mark drawn in the plan, design frame (x, y), mm.
struct PlanMark {
    std::string name;
    std::vector<Vec2> points;  ///< one of a spot; along a line; round an area
    bool area = false;
    bool open = false;       ///< found, and no person has accepted it: its name is followed by "?"
    double across_mm = 0.0;  ///< of a spot's ink; 0: not known
};

/// Everything a picture may show. What is null or empty is left out. All geometry in the design frame, mm;
/// pointers must outlive the call.
struct PictureInput {
    Side side = Side::right;
    std::string case_code;  ///< for example "LARK-2207"
    std::string title;      ///< for example "Revision B"
    const TriangleMesh* cast = nullptr;
    const surface::Shell* shell = nullptr;
    const surface::ShellMesh* shell_mesh = nullptr;
    std::vector<const TriangleMesh*> parts;  ///< bodies of their own that go with the shell
    foot::Landmarks landmarks;
    const surface::WallGate* walls = nullptr;  ///< for the least wall and its place
    std::vector<PlanOutline> outlines;
    std::vector<PlanMark> marks;
    double base_wall_mm = 0.0;  ///< 0: not stated
    double asked_low_mm = 0.0;  ///< least and greatest wall of the map inside the trim; 0: not stated
    double asked_high_mm = 0.0;
    double minimum_wall_mm = 0.0;  ///< walls below are marked; 0: none
    std::vector<Check> checks;
};

/// An upright section plane.
struct SectionCut {
    int axis = 0;  ///< 0: frontal, the plane x = at; 1: sagittal, the plane y = at; 2: along `line`
    double at = 0.0;
    std::string letter;  ///< on the disc in plan and head
    std::string title;
    std::vector<Vec2>
        line{};  ///< of axis 2: two places of the plan, mm; the drawing runs from one to the other

    /// Signed distance of a place from the plane.
    double off(const Vec3& p) const;
    /// The coordinate that runs across the drawing: y, x, or along the line from its first place.
    double across(const Vec3& p) const;
    /// The place of the plane with this coordinate at this height.
    Vec3 place(double across, double z) const;
};
/// Section of a mesh by its plane.
std::vector<Chain> cut_section(const TriangleMesh& mesh, const SectionCut& cut, const FaceRange& range = {});

/// A wall figure of a section.
struct WallFigure {
    Vec3 foot_side, underside;  ///< where it was measured, and the nearest place across
    double wall_mm = 0.0;       ///< true distance in space, not in the cutting plane
};

/// The input with walls, edges and sections worked out.
class Subject {
  public:
    explicit Subject(const PictureInput& input);

    const PictureInput& input() const { return input_; }
    Side side() const { return input_.side; }
    bool has_cast() const { return input_.cast != nullptr && !input_.cast->triangles.empty(); }
    bool has_shell() const {
        return input_.shell_mesh != nullptr && !input_.shell_mesh->mesh.triangles.empty();
    }
    const TriangleMesh& cast() const { return *input_.cast; }
    const TriangleMesh& shell() const { return input_.shell_mesh->mesh; }
    FaceRange foot_side() const { return {0, input_.shell_mesh->foot_side_end}; }
    FaceRange underside() const {
        return {input_.shell_mesh->foot_side_end, input_.shell_mesh->underside_end};
    }

    /// The plane everything rests on: the lowest point of the shell and its parts, else of the cast.
    double ground() const { return ground_; }
    const Box3& shell_box() const { return shell_box_; }
    /// Wall at every point of the shell's mesh, mm: nearest distance in space between the two sides; above a
    /// post, through it.
    const std::vector<double>& walls() const { return walls_; }
    /// Whether a point of the foot side lies above a post; never without the exact shell.
    bool over_post(std::size_t point) const { return !over_posts_.empty() && over_posts_[point] != 0; }
    /// Foot side against cast at every point of the foot side, mm: positive where it stands into the foot.
    /// Worked out on first use.
    const std::vector<double>& deviations() const;
    /// Wall at one place of the foot side.
    WallFigure wall_at(const Vec3& foot_side) const;

    /// The two edges of the trim line in space, closed; empty without a shell.
    const std::vector<Vec3>& foot_edge() const { return foot_edge_; }
    const std::vector<Vec3>& under_edge() const { return under_edge_; }
    /// The edges of apertures on the foot side, and the further edges below: of apertures on the underside,
    /// of posts where they begin and round their floors. Closed.
    const std::vector<std::vector<Vec3>>& hole_edges() const { return hole_edges_; }
    const std::vector<std::vector<Vec3>>& lower_edges() const { return lower_edges_; }
    /// Frontal sections at heel centre, midfoot and forefoot, and the sagittal one along the axis.
    const std::vector<SectionCut>& cuts() const { return cuts_; }

  private:
    void choose_cuts();
    void find_edges(const surface::Shell& exact);
    void find_posts(const surface::Shell& exact);

    const PictureInput& input_;
    double ground_ = 0.0;
    Box3 shell_box_;
    TriangleMesh underside_mesh_, foot_side_mesh_;
    std::unique_ptr<Bvh> underside_tree_, foot_side_tree_;
    std::vector<double> walls_;
    mutable std::vector<double> deviations_;
    std::vector<char> over_posts_;
    std::vector<Vec3> foot_edge_, under_edge_;
    std::vector<std::vector<Vec3>> hole_edges_, lower_edges_;
    std::vector<SectionCut> cuts_;
};

}  // namespace archwright::picture
