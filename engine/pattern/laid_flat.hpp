// The shell's foot side laid flat, beside the plan of the foot in front of it.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/pattern/region.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/loop.hpp"
#include "engine/surface/trim_rule.hpp"

namespace archwright::pattern {

/// The foot side inside the trim line, developed: its (u,v), nearly without stretch, turned and shifted
/// (never scaled) so that the distal edge lies on its own plan as well as it can in the sense of least
/// squares (P. Schoenemann 1966). So the foot's plan in front of that edge joins it where the shell is flat.
/// mm, design frame: +x to the toes, +y medial.
class LaidFlat {
  public:
    /// Fault (check, stage "pattern") when no part of the trim line follows the rule's distal edge.
    static Outcome<LaidFlat> of(const surface::SplineSurface& foot_side, const surface::PeriodicCurve& trim,
                                const surface::TrimRule& rule);

    /// The trim line, counter-clockwise.
    const Ring& edge() const { return edge_; }
    /// The part of it along the distal edge, from the lateral corner to the medial one.
    const Ring& distal() const { return distal_; }
    /// Where a border begins to turn into its distal corner, and its direction there, forward.
    struct Departure {
        Vec2 at, forward;
    };
    const Departure& medial() const { return medial_; }
    const Departure& lateral() const { return lateral_; }

    /// Least and greatest principal stretch of the foot side over the flat, inside the trim line.
    double stretch_low() const { return stretch_low_; }
    double stretch_high() const { return stretch_high_; }
    /// Length of the trim line on the shell.
    double edge_on_shell_mm() const { return edge_on_shell_; }
    /// Greatest distance of the distal edge laid flat from the same edge in plan.
    double join_mm() const { return join_; }

    /// A place of the plan laid flat: over the shell by the surface vertically under it; beside the shell as
    /// far from its edge as in plan.
    Vec2 place(const Vec2& plan) const;

  private:
    Vec2 flat(const Vec2& uv) const { return turn_ * uv + shift_; }

    surface::SplineSurface foot_side_;
    Ring edge_, plan_edge_, distal_;
    Departure medial_, lateral_;
    Eigen::Matrix2d turn_ = Eigen::Matrix2d::Identity();
    Vec2 shift_ = Vec2::Zero();
    struct Start {
        Vec2 uv, plan;
    };
    std::vector<Start> starts_;  // inside the trim line
    double stretch_low_ = 1.0, stretch_high_ = 1.0, edge_on_shell_ = 0.0, join_ = 0.0;
};

}  // namespace archwright::pattern
