// Left or right, from the shape, as a vote of cues.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/side.hpp"
#include "engine/scan/receive_proposal.hpp"

namespace archwright::scan {

/// One piece of evidence about the side.
struct Cue {
    std::string name;      ///< "arch height", "front outline", "dorsal ridge", ...
    bool applies = false;  ///< false where the cast has nothing to show for it (cut toes, no dorsum)
    double value = 0.0;    ///< in `unit`; positive agrees with a right foot
    std::string unit;
    double vote = 0.0;    ///< -1..1, value over the value that makes a full vote; + agrees with a right foot
    double weight = 1.0;  ///< of the vote
};

/// Proposes the side from the cues. Clear when the weighted vote passes side_vote_clear and the arch cue,
/// where it applies, does not contradict it.
Proposal<Side> propose_side(const std::vector<Cue>& cues);

/// The check "side": pass when stated and not contradicted; look when only proposed, or contradicted weakly;
/// a stop that cannot be signed when a clear vote contradicts what was stated, or nothing was stated and the
/// vote is not clear.
Check check_side(const Proposal<Side>& proposal, const std::optional<Side>& stated);

}  // namespace archwright::scan
