// What a clinician reads beside the picture: asked and measured, cautions, who signed for what.
#pragma once

#include <string>
#include <vector>

#include "engine/build/device.hpp"

namespace archwright::exporters::preview {

/// One line of the table; `asked` or `measured` may be empty.
struct FigureRow {
    std::string name, asked, measured;
};

/// Arch, trim line, wall, reliefs and pads, size and mass of one device. Lengths to 0.1 mm, walls, depths
/// and heights of reliefs and pads to 0.01 mm, as the device report has them.
std::vector<FigureRow> figure_rows(const build::Device& device, const design::FootDesign& foot);

/// What a person has to see before answering: stops that nobody signed for, then the order's cautions.
std::vector<Check> to_be_seen(const build::Device& device);
/// The other looks, in the order of the checks.
std::vector<Check> other_looks(const build::Device& device);

/// Of one foot: everything that was signed for, and whether it still holds.
struct SignedFor {
    design::SignOff sign_off;
    std::string title;  ///< of the check, where the device has it; else its key
    bool holds = false;
};
std::vector<SignedFor> signed_for(const design::Job& job, const build::Device& device);

}  // namespace archwright::exporters::preview
