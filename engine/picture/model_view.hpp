// The device in space.
#pragma once

#include "engine/picture/drafting.hpp"
#include "engine/picture/subject.hpp"

namespace archwright::picture {

enum class ModelView {
    on_foot,  ///< from medial and plantar, the cast as glass within the shell
    alone,    ///< the shell by itself from medial and above, on the ground, coloured by wall
    below,    ///< the shell's underside straight from below, toes to the right; its letters can be read
};

/// Renders a view into a box, with side words where they belong and the three axes in a corner.
void draw_model(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject, ModelView view);

}  // namespace archwright::picture
