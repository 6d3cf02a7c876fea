// A finished shell that follows its reliefs, pads and wall map while they are edited: no surface is fitted,
// every point is put where the fit would bring it.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <vector>

#include "engine/surface/node_marks.hpp"
#include "engine/surface/shell.hpp"
#include "engine/surface/wall_field.hpp"

namespace archwright::surface {

/// The mesh of a shell whose fields change. The foot side is carpet + height n and the underside carpet - t'
/// n with t' read from the balls themselves (`roll_underside` fits splines to just these), so points lie
/// within that fit's residual of the finished shell. Only points that what has changed can reach are moved.
/// Triangles, trim, apertures, and the posts' floors stay as they were made.
class ShellPreview {
  public:
    /// The balls of two sheets (BallLayer) at a place of the carpet where the wall map asks for `wall_mm`;
    /// the first is the foot side's. Called from several threads at once.
    using Balls =
        std::function<std::array<Ball, 2>(const Vec2& uv, const Vec3& carpet_point, double wall_mm)>;

    /// `shell` with its mesh, the wall map, and the balls it was made of.
    ShellPreview(Shell shell, ShellMesh mesh, const WallFunction& wall, const Balls& balls);

    /// Other balls within `boxes` (of the carpet, design frame); outside them they are as before. `wall`: the
    /// wall map is another, wherever that may be; empty: as it was.
    void change(const std::vector<Box3>& boxes, const Balls& balls, const WallFunction& wall = {});

    const ShellMesh& mesh() const { return mesh_; }
    /// Points moved by the last change, of all.
    std::size_t moved() const { return moved_count_; }

  private:
    struct Base {
        Vec3 s, n;  // of the carpet
        double asked_mm;
    };

    void mark_apart();
    double wall_through(const Vec3& s, const Vec3& n, const Vec2& uv) const;
    SurfacePoint foot_side(const Vec2& uv, const Balls& balls) const;
    SurfacePoint underside(const Vec2& uv) const;
    void move_edges(const Balls& balls);

    Shell shell_;
    ShellMesh mesh_;
    WallFunction wall_;
    Lattice lattice_;
    LatticeFrames frames_;
    std::vector<double> asked_;  // at the nodes
    std::array<std::vector<Ball>, 2> balls_;
    std::vector<BallSheet> sheets_;
    NodeMarks apart_;          // nodes at which the sheets differ
    std::vector<Base> base_;   // under each point of the sides
    std::vector<char> stale_;  // points whose wall is of an older map
    std::vector<double>
        exits_;  // of the second sheet, under each underside point; not a number until asked for
    std::vector<char> moved_;
    std::size_t moved_count_ = 0;
};

}  // namespace archwright::surface
