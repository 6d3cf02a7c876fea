// What a mark may mean, from where it lies and what shape it has.
#pragma once

#include "engine/foot/stand.hpp"
#include "engine/mark/trace.hpp"

namespace archwright::mark {

/// Fills guess, name, confidence and sentence. Rules of thumb of the trade, no source: a line along the sole
/// under the medial arch is the plantar fascia, one up the back of the heel its bisection, one all round the
/// trim; a ring encloses a lesion; a spot at a malleolus, at the navicular or the base of the 5th metatarsal
/// stands for that bone; another one on the sole is where it hurts.
void guess(const foot::Standing& standing, Traced& found);

}  // namespace archwright::mark
