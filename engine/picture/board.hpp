// The flat drawings: plan, sections, and maps, each in true scale in a box of the page.
#pragma once

#include <functional>
#include <optional>

#include "engine/picture/drafting.hpp"
#include "engine/picture/subject.hpp"

namespace archwright::picture {

/// What a map shows.
enum class MapKind {
    wall,       ///< the shell's wall on the foot side, isolines every 0.2 mm
    height,     ///< the sole above the ground, contours every 2 and 10 mm
    deviation,  ///< foot side against cast
    rigidity,   ///< bending rigidity over that of the base wall, (T / base)^3; isolines at round multiples
    bending,    ///< bending rigidity D, N mm: of one stuff E T^3 / (12 (1 - nu^2))
    mass,       ///< g per cm2 of the foot side: density x wall
};

/// What a map says of a place with this wall; nothing where the input lacks what it needs (base, material).
std::optional<double> of_wall(const PictureInput& input, MapKind kind, double wall_mm);
/// Beside every figure of rigidity: what it may be used for.
inline constexpr const char* rigidity_caution = "Initial stiffness, for comparison only";

/// The plan, seen from above, the sole as its print: hill shading with contours, trim line, outlines with
/// their figures, landmarks with names, section marks, rulers, scale bar, side words and the side letter.
void draw_plan(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject);

/// Where a plan stands in its box: rulers along the top and the left edge, the rest for the drawing.
struct PlanFrame {
    Box view, top, left;
    Axes axes;
    Box3 extent;  ///< what the drawing has to show; empty when there is nothing
};
/// Fits the sole and the shell into the box; a millimetre is 2 pixels where there is nothing to fit. `below`:
/// seen from below, as the sole is, not as its print.
PlanFrame plan_frame(const Box& box, const Subject& subject, bool below = false);
/// What a plan shows beside trim line, landmarks and cuts.
struct PlanParts {
    bool regions = true;  ///< of the wall
    bool reliefs = true;  ///< reliefs, pads, apertures
    bool marks = true;    ///< on the skin
    /// Draws over all lines and under every name; names keep off the boxes it gives back.
    std::function<std::vector<Box>(Canvas&)> over{};
};
/// All of the plan but its grid and the print of the sole: trim line, outlines with their figures, marks of
/// these cuts, landmarks, words, scale bar, side letter and rulers.
void draw_plan_lines(Canvas& canvas, const PlanFrame& frame, const Theme& theme, const Subject& subject,
                     const std::vector<SectionCut>& cuts, const PlanParts& parts = {});

/// A map of the device (or of the sole, for heights) in plan, with its legend. Without the shape it needs the
/// box says so.
void draw_map(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject, MapKind kind);

/// One section at the same scale both ways: cast, foot side, underside, ground, hatched wall and wall
/// figures. `scale` is pixels a mm, see section_scale.
void draw_section(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject,
                  const SectionCut& cut, double scale);

/// Where a section stands in its box.
struct SectionFrame {
    Axes axes;
    double ground_y = 0.0;  ///< of the page
};
/// In the middle, the ground over the row of figures.
SectionFrame section_frame(const Box& box, const Subject& subject, const SectionCut& cut, double scale);
/// The section wherever it was moved to; the row of figures stays at the bottom.
void draw_section(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject,
                  const SectionCut& cut, const SectionFrame& frame);

/// The largest scale at which every one of the sections fits a box of this size.
double section_scale(const Box& box, const Subject& subject, const std::vector<SectionCut>& cuts);

/// Wall figures along the foot side of a section, at least `apart` mm from each other across the page; the
/// least wall is always among them, and so is the least of every stretch below the least wall allowed,
/// however near to another. Places within 1.5 walls of the trim are left out.
std::vector<WallFigure> wall_figures(const Subject& subject, const SectionCut& cut, double apart);
/// Whether a wall counts as too thin, as the gate judges it; never where no least wall is asked.
bool too_thin(const Subject& subject, double wall_mm);

/// Where figures that want to stand at `wanted` (rising) stand so that neighbours are `apart` and all lie
/// within low to high, each moved as little as may be (least squares). Nearer than `apart` only where they do
/// not fit otherwise.
std::vector<double> spread(const std::vector<double>& wanted, double apart, double low, double high);

/// The scale of walls used by every view of a subject.
MapScale wall_scale(const Subject& subject);
/// And of distances of the foot side from the cast.
MapScale deviation_scale(const Subject& subject);

}  // namespace archwright::picture
