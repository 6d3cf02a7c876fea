// Handles that stand in a section alone: the height and the angle of a post.
#pragma once

#include "editor/view/handle.hpp"
#include "engine/picture/subject.hpp"

namespace archwright::editor::view {

/// Of a rearfoot or forefoot post where this section cuts it: "height", at the middle of its floor; in a
/// section across the foot "angle" too, at the medial end of the floor (of a rearfoot post with motion at the
/// lateral one, on the face that bears the angle). The floor is laid anew as the order has it now, under the
/// shell that is shown. None where it is not made, or the section passes beside it.
Handles post_section_handles(const design::FootDesign& foot, const std::string& name,
                             const build::Device& device, const picture::SectionCut& cut);

}  // namespace archwright::editor::view
