// Two surfaces compared: how far one lies from the other along its own normals.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::compare {

/// Nothing farther from a surface than this is its counterpart, mm.
inline constexpr double reach_mm = 30.0;

/// A surface to be judged: points with their outward unit normals, and the triangles between them, mm.
struct Sheet {
    std::vector<Vec3> points, normals;
    std::vector<Triangle> triangles;  ///< of `points`
    std::size_t first_point = 0;      ///< place of points[0] in the mesh it was taken from
};

/// Foot side and underside of a shell: points of its mesh, brought onto the exact surfaces, so that no chord
/// is mistaken for a difference, and letters of the underside left out. Normals point out of the shell.
Sheet foot_side(const surface::Shell& shell, const surface::ShellMesh& mesh);
Sheet underside(const surface::Shell& shell, const surface::ShellMesh& mesh);
/// Every point of a mesh that a triangle uses, its normals by area.
Sheet sheet_of(const TriangleMesh& mesh);

/// A surface that others are judged by. Never changed; queries are safe from several threads at once.
class Reference {
  public:
    /// Triangles as they are, turned over where asked (a cast seen from its shell).
    explicit Reference(TriangleMesh mesh, bool turned_over = false);
    /// Foot side or underside of a shell: found by its triangles, then exactly.
    static Reference foot_side(const surface::Shell& shell, const surface::ShellMesh& mesh);
    static Reference underside(const surface::Shell& shell, const surface::ShellMesh& mesh);

    /// t of the nearest point p + t n of it that faces as n does, |t| <= reach_mm. At its edge a point beside
    /// the normal counts too, no more than edge_mm beside it. Nothing where it has no counterpart.
    std::optional<double> along(const Vec3& p, const Vec3& n) const;

  private:
    Reference(const surface::SplineSurface& exact, const surface::ShellMesh& mesh, std::size_t first,
              std::size_t last, double facing);
    double exactly(const Vec3& p, const Vec3& n, double t, std::int32_t triangle) const;

    std::unique_ptr<TriangleMesh> mesh_;  ///< the tree keeps a reference to it
    std::unique_ptr<Bvh> tree_;
    std::optional<surface::SplineSurface> exact_;
    std::vector<Vec2> uv_;
};

/// Where much was added or taken away.
struct Peak {
    Vec3 where = Vec3::Zero();
    double mm = 0.0;
};

/// One surface against another, point by point.
struct Difference {
    /// Of each point of the sheet, along its outward normal: positive where it lies farther out than the
    /// other (there is more of it now). Not a number where the other has no counterpart.
    std::vector<double> mm;
    double most_added_mm = 0.0, most_taken_mm = 0.0;  ///< greatest of either sign, both without sign
    double mean_mm = 0.0, rms_mm = 0.0;               ///< over the area that has a counterpart
    double added_mm3 = 0.0, taken_mm3 = 0.0;          ///< integrals of either sign over that area
    double area_mm2 = 0.0;                            ///< of the sheet
    double alone_mm2 = 0.0;                           ///< without a counterpart
    /// The largest of both signs, each the greatest within peaks_apart_mm, larger first: at most most_peaks
    /// of each sign, none below felt_mm.
    std::vector<Peak> peaks;

    static constexpr double peaks_apart_mm = 20.0;
    static constexpr std::size_t most_peaks = 3;
    /// Less than this is no difference to a person: half of what a 0.1 mm printer layer shows.
    static constexpr double felt_mm = 0.05;
};

/// Fault (cancelled) alone.
Outcome<Difference> difference(const Sheet& now, const Reference& other, Progress& progress);

}  // namespace archwright::compare
