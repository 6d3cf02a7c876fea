// What the plan shows beside the device itself: the insole, what is past it, the outlines of another step.
#pragma once

#include "editor/view/shown.hpp"
#include "engine/picture/board.hpp"

namespace archwright::editor::view {

/// The insole, dotted.
void draw_insole(picture::Canvas& canvas, const picture::PlanFrame& frame, const picture::Theme& theme,
                 const Shown& shown);
/// Where the trim line goes past the insole less the clearance: in the stop colour, with a figure; the boxes
/// of the figures.
std::vector<picture::Box> draw_past_insole(picture::Canvas& canvas, const picture::PlanFrame& frame,
                                           const picture::Theme& theme, const Shown& shown);

/// The lines of a step of the history, kept while its device is not.
struct StepOutline {
    Side side = Side::right;
    std::uint64_t edition = 0;
    std::vector<Vec2> trim;                  ///< design frame, mm
    std::vector<std::vector<Vec2>> reliefs;  ///< of reliefs, pads and apertures
};
StepOutline outline_of(const Shown& shown);
/// Of a device that is not shown: its trim line alone.
StepOutline outline_of(const build::Device& device);
/// In the accent, dashed.
void draw_step_outline(picture::Canvas& canvas, const picture::PlanFrame& frame, const picture::Theme& theme,
                       const StepOutline& step);
/// The trim line of another design, dashed.
void draw_other_outline(picture::Canvas& canvas, const picture::PlanFrame& frame, const picture::Theme& theme,
                        const Shown& other);

}  // namespace archwright::editor::view
