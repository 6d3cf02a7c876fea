// The foot's plan in front of the shell: how far and how wide a part cut from sheet goes there.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/design/job.hpp"
#include "engine/foot/survey.hpp"
#include "engine/pattern/laid_flat.hpp"

namespace archwright::pattern {

/// The sulcus, the crease between ball and toes, in front of the line through the borders of the 1st and 5th
/// metatarsal heads, as shares of the foot's length: at the heads, and how much more half-way between them.
/// Least squares over the highest places of the sole there on seven scans nobody here made (1.5 % of the
/// length rms).
inline constexpr double sulcus_share = 0.085;
inline constexpr double sulcus_bow_share = 0.06;

/// What is known of the foot in front of its shell. Design frame, mm.
struct Forefoot {
    foot::Profile profile;  ///< borders of the foot in plan
    surface::TrimRule rule;
    double foot_length_mm = 0.0;
    bool toes_cut = false;  ///< the cast ends before the toes do

    /// x of the sulcus at y: a parabola by sulcus_share and sulcus_bow_share, moved forward by `distal_mm`;
    /// beyond the heads along its tangents.
    double sulcus_x(double y, double distal_mm) const;
};

/// From the corners of the shell's distal edge forward: along a cubic from the direction of each border into
/// the foot's border at its metatarsal head, along the foot's borders, and round the end: the sulcus, or the
/// convex outline of the toes, each moved forward by `distal_mm`. Behind, straight from corner to corner
/// under the shell. Fault (ask, stage "pattern") when the toes are wanted and the cast has none; (check) when
/// the end would lie behind the shell's edge.
Outcome<Region> in_front(const Forefoot& forefoot, const LaidFlat& laid, design::Cover::Length length,
                         double distal_mm);

/// Corners outward in front of the line through two places rounded with a radius; behind it nothing changes.
Region rounded_ahead(const Region& region, double radius, const Vec2& lateral, const Vec2& medial);

}  // namespace archwright::pattern
