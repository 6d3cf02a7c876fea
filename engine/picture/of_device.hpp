// What a picture shows of a device, or of a cast that has none yet.
#pragma once

#include "engine/build/device.hpp"
#include "engine/picture/subject.hpp"

namespace archwright::picture {

/// Of a device with a shell, and the order of its foot. Without the gates' results the least wall is left
/// out. The device must outlive the input.
PictureInput input_of(const build::Device& device, const design::FootDesign& foot);
/// The same with the outlines of its reliefs and pads (feature_outlines) known already.
PictureInput input_of(const build::Device& device, const design::FootDesign& foot,
                      std::vector<PlanOutline> outlines);
/// Of a cast that stands.
PictureInput input_of(const build::Received& received, Side side);

/// The foot's marks in plan, `frame` from the cast file to the design frame; refused ones are left out.
std::vector<PlanMark> plan_marks(const design::FootDesign& foot, const foot::Frame& frame);

/// Outlines of reliefs and pads in plan: where each reaches half of the depth or height it asks for, on the
/// foot side. What is stuck on is left out.
std::vector<PlanOutline> feature_outlines(const build::Shelled& shelled);

}  // namespace archwright::picture
