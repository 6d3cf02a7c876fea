// What a picture is of, and what is worked out once for all its views.
#pragma once

#include <algorithm>
#include <memory>
#include <mutex>
#include <string>
#include <utility>
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
    std::string words{};    ///< in place of the figure: "2 x rigidity"
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
    double rigidity_n_mm2 = 0.0;   ///< bending rigidity over the cube of the wall; 0: not known
    double density_g_cm3 = 0.0;    ///< of the shell's material; 0: not known
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
    /// The same plane, run along the same way.
    bool same_plane(const SectionCut& other) const {
        return axis == other.axis && at == other.at && line == other.line;
    }
};
/// Section of a mesh by its plane.
std::vector<Chain> cut_section(const TriangleMesh& mesh, const SectionCut& cut, const FaceRange& range = {});

/// How far a drawing of a section reaches across and up, mm.
struct SectionReach {
    double low = 1e300, high = -1e300, top = 0.0;

    void add(double across) {
        low = std::min(low, across);
        high = std::max(high, across);
    }
};

/// A wall figure of a section.
struct WallFigure {
    Vec3 foot_side, underside;  ///< where it was measured, and the nearest place across
    double wall_mm = 0.0;       ///< true distance in space, not in the cutting plane
};

/// Whether two meshes of a shell differ in nothing but where their points lie.
bool same_triangles(const surface::ShellMesh& a, const surface::ShellMesh& b);

/// The input with walls, edges and sections; each is worked out when it is first asked for, and the same
/// whichever thread asks and whatever was asked before.
class Subject {
  public:
    /// `like`: another of the same foot, made before; what is the same in both is taken over from it. Where
    /// the two shells have the same triangles, trees keep their form and only walls that can have changed are
    /// measured again: the answers are those of a subject made by itself. Nothing of `like` is held.
    explicit Subject(const PictureInput& input, const Subject* like = nullptr);
    ~Subject();

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
    const std::vector<double>& walls() const;
    /// Walls that were measured for it; the others were taken over.
    std::size_t walls_measured() const;
    /// Whether a point of the foot side lies above a post; never without the exact shell.
    bool over_post(std::size_t point) const { return !over_posts_.empty() && over_posts_[point] != 0; }
    /// Foot side against cast at every point of the foot side, mm: positive where it stands into the foot.
    /// Worked out on first use.
    const std::vector<double>& deviations() const;
    /// Wall at one place of the foot side.
    WallFigure wall_at(const Vec3& foot_side) const;
    /// The foot side alone, its points numbered as the shell's, and its tree. With a shell only.
    const TriangleMesh& foot_side_mesh() const;
    const Bvh& foot_side_tree() const;

    /// The two edges of the trim line in space, closed; empty without a shell.
    const std::vector<Vec3>& foot_edge() const { return edges_->foot; }
    const std::vector<Vec3>& under_edge() const { return edges_->under; }
    /// The edges of apertures on the foot side, and the further edges below: of apertures on the underside,
    /// of posts where they begin and round their floors. Closed.
    const std::vector<std::vector<Vec3>>& hole_edges() const { return edges_->holes; }
    const std::vector<std::vector<Vec3>>& lower_edges() const { return edges_->lower; }
    /// Frontal sections at heel centre, midfoot and forefoot, and the sagittal one along the axis.
    const std::vector<SectionCut>& cuts() const { return cuts_; }
    /// Of a section: the shell, and the cast as high as the shell and a little more. The last few are kept.
    SectionReach reach(const SectionCut& cut) const;

  private:
    struct Sides;   // both sides with their trees
    struct Walls;   // and the walls between them
    struct Edges {  // of the exact shell
        std::vector<Vec3> foot, under;
        std::vector<std::vector<Vec3>> holes, lower;
    };

    void choose_cuts();
    static Edges edges_of(const surface::Shell& exact);
    void find_posts(const surface::Shell& exact);
    const Sides& sides() const;
    std::shared_ptr<const Sides> sides_known() const;
    std::shared_ptr<const Walls> walls_known() const;
    std::shared_ptr<const Sides> make_sides() const;
    std::shared_ptr<const Walls> make_walls() const;

    const PictureInput& input_;
    double ground_ = 0.0;
    Box3 shell_box_;
    std::shared_ptr<const Sides> like_sides_;  // of another subject, whose triangles are these
    std::shared_ptr<const Walls> like_walls_;
    mutable std::mutex mutex_;  // of what is worked out later
    mutable std::once_flag sides_once_, walls_once_, deviations_once_;
    mutable std::shared_ptr<const Sides> sides_;
    mutable std::shared_ptr<const Walls> walls_;
    mutable std::vector<double> deviations_;
    std::vector<char> over_posts_;
    std::shared_ptr<const Edges> edges_;
    std::vector<SectionCut> cuts_;
    mutable std::mutex reach_mutex_;
    mutable std::vector<std::pair<SectionCut, SectionReach>> reaches_;  ///< newest last
};

}  // namespace archwright::picture
