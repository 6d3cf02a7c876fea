// The insole as it lies in the shoe of a right foot: heel at the origin, toes along +x, medial on +y.
#pragma once

#include "engine/base/side.hpp"
#include "engine/shoe/outline.hpp"

namespace archwright::shoe {

/// Where an insole's breadths are taken, as shares of its length from the heel: the heel's as a foot's own
/// (engine/foot), the ball's at its usual place (common practice, no source).
inline constexpr double heel_share = 0.16;
inline constexpr double ball_share = 0.70;

/// An outline in its own pose: its rear on x = 0, the middle of its breadth at heel and ball on y = 0.
struct Insole {
    Outline outline;
    double length_mm = 0.0;   ///< extent along x
    double ball_mm = 0.0;     ///< breadth at ball_share of the length
    double heel_mm = 0.0;     ///< breadth at heel_share of the length
    double turned_deg = 0.0;  ///< by which the drawing was turned, counter-clockwise as it is seen

    /// Finds the pose of a drawing, seen from above, of the insole of foot `drawn`; a left one is mirrored.
    /// The axis joins the middles of the breadth at heel and ball (first the axis of least moment, then
    /// repeated until it stays); the heel is the narrower end (breadths at 0.3 and 0.7 of the length). Faults
    /// (input) begin with `name`: ends alike, or a length outside shortest_insole_mm ... longest_insole_mm.
    static Outcome<Insole> posed(const Outline& drawing, Side drawn, const std::string& name);

    /// A symmetric outline of exactly this length, breadth at the ball and breadth at the heel. Our own
    /// construction, no last's: a heel end half as long as it is broad (at most heel_share of the length),
    /// straight sides to 0.2 of the length, a cubic without slope at its ends to the ball, a half ellipse
    /// round the toes. Faults (usage) name the size that makes no insole: the heel broader than the ball, or
    /// the ball than 0.6 of the length.
    static Outcome<Insole> of_sizes(double length_mm, double ball_mm, double heel_mm);
};

}  // namespace archwright::shoe
