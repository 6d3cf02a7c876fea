// Drawings of what the documents define, each made of the engine's own results on the demonstration's foot.
#pragma once

#include <vector>

#include "assets/drawings/page.hpp"
#include "engine/base/outcome.hpp"

namespace archwright::drawings {

/// The angles of balance: heel bisection, metatarsal plane, forefoot to rearfoot.
Outcome<Drawing> balance_angles();
/// The platform under the metatarsal heads: across them, and back from them.
Outcome<Drawing> balance_platform();
/// A cast as it stands and as an inverted pour.
Outcome<Drawing> balance_pour();
/// Arch fill and expansions: in plan and in section.
Outcome<Drawing> dress_additions();
/// A medial heel skive: plane, angle, depth, extent.
Outcome<Drawing> skive();
/// A cover's pattern: the foot with its shell from above, and the shell laid flat with sulcus and toes.
Outcome<Drawing> cover_pattern();
/// The trim line's rule in plan, and its heights along the border.
Outcome<Drawing> trim_rule();

/// First-ray cut-out, lateral flange, scalloped lateral edge.
Outcome<Drawing> trim_features();

/// A groove with its wall kept and thinned, and a metatarsal dome by its leading edge.
Outcome<Drawing> reliefs();

/// Ink on the demonstration's cast, and the marks found by it.
Outcome<Drawing> marks();

/// Rearfoot post with one face and with two, lift and ground, flat contact.
Outcome<Drawing> posts();

/// All of them, in this order. The first fault, with the drawing's name before it.
Outcome<std::vector<Drawing>> all_drawings();

}  // namespace archwright::drawings
