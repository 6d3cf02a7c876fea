// One foot's shell while a relief, a pad or the wall map is edited, before the stages are done again.
#pragma once

#include <string>

#include "engine/build/device.hpp"
#include "engine/surface/shell_preview.hpp"

namespace archwright::build {

/// All that a job says of the wall map, as text: for whether it is another.
std::string wall_words(const design::FootDesign& foot);

/// Follows edits of the reliefs, the pads and the wall of a shaped device within some hundredths of a second,
/// without fitting a surface (surface::ShellPreview: what it shows and how near the finished shell it is).
/// Checks and figures are those of the shaped device until it is shaped again (Workbench::shape).
class FeaturePreview {
  public:
    /// `device` has been shaped (Workbench::shape) from `foot`.
    FeaturePreview(const Device& device, const design::FootDesign& foot);

    /// Lays the features and the wall of `foot`, which differs from the design before in reliefs, pads and
    /// wall alone. Faults: those of FeatureMap::lay, with the preview left as it was; internal where an
    /// aperture differs, which needs other triangles.
    Outcome<Done> edit(const design::FootDesign& foot);

    const surface::ShellMesh& mesh() const { return shell_.mesh(); }
    /// Points of the mesh that the last edit moved.
    std::size_t moved() const { return shell_.moved(); }

  private:
    surface::ShellPreview::Balls balls() const;

    Device device_;
    std::vector<feature::Feature> list_;
    std::string wall_;  ///< that is shown (wall_words)
    feature::FeatureMap features_;
    surface::ShellPreview shell_;
};

}  // namespace archwright::build
