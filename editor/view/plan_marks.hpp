// What the plan shows beside the device itself: marks on the skin, the insole, another design's outline.
#pragma once

#include "editor/view/shown.hpp"
#include "engine/picture/board.hpp"

namespace archwright::editor::view {

/// Round dots along each mark; one that no person confirmed has a "?" on a plate.
void draw_skin_marks(picture::Canvas& canvas, const picture::PlanFrame& frame, const picture::Theme& theme,
                     const Shown& shown);
/// The insole, dotted.
void draw_insole(picture::Canvas& canvas, const picture::PlanFrame& frame, const picture::Theme& theme,
                 const Shown& shown);
/// Where the trim line goes past the insole less the clearance: in the stop colour, with a figure.
void draw_past_insole(picture::Canvas& canvas, const picture::PlanFrame& frame, const picture::Theme& theme,
                      const Shown& shown);
/// The trim line of another design, dashed.
void draw_other_outline(picture::Canvas& canvas, const picture::PlanFrame& frame, const picture::Theme& theme,
                        const Shown& other);

}  // namespace archwright::editor::view
