// Handles of what lies on the cast itself: landmarks, and marks on the skin.
#pragma once

#include "editor/view/handle.hpp"

namespace archwright::editor::view {

/// The landmark, where a person or the program put it. Set by a person's code.
Handles landmark_handles(const design::FootDesign& foot, foot::LandmarkId id,
                         const std::shared_ptr<const Sole>& sole);

/// The points of a mark; of one that was traced in many points some, evenly along it, that take their
/// neighbours along and leave what lies beyond the next where it is. Moved by a person's code.
Handles mark_handles(const design::Mark& mark, const std::shared_ptr<const Sole>& sole);

/// "suggested by the program, 72 % sure, ± 2.5 mm", "set by T4, ± 1.0 mm".
std::string source_words(const foot::Landmark& landmark);
/// "found by the program, 72 % sure", "by T4".
std::string source_words(const design::Mark& mark);

}  // namespace archwright::editor::view
