// Of a groove: where its depth comes and goes, and stations of width and depth along it.
#pragma once

#include "editor/view/handle.hpp"
#include "engine/feature/line.hpp"

namespace archwright::editor::view {

/// The line of a groove as it lies on the sole.
struct GrooveLine {
    std::shared_ptr<const feature::SurfaceLine> line;
    std::function<Vec3(double along_mm, double across_mm)> at;  ///< beside the line, medial positive
};

/// Discs at the lateral edge, where the depth is in full from the start and to the end ("fade start", "fade
/// end"); and how a place on the line gets a station with the width and depth that the groove has there
/// (Handles::add_size).
void add_groove_ends(Handles& out, const feature::Feature& groove, const GrooveLine& line,
                     const std::shared_ptr<const Sole>& sole);

/// Takes station `number` out: what width and depth of a groove's handle do with Alt.
std::function<Outcome<Moved>()> station_remover(const feature::Feature& groove, std::size_t number);

}  // namespace archwright::editor::view
