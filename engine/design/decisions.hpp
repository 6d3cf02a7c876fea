// What was decided, as it is compared: two designs of a foot setting by setting, past designs, and what
// became of an approval.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/json.hpp"

namespace archwright::design {

/// A setting of two designs that is not the same in both.
struct Setting {
    std::string name;           ///< as `set` takes it: "trim.cup_medial_mm", "features[fascia].depth_mm"
    std::string before, after;  ///< exact, a list in one line of JSON; empty: it has none there

    bool operator==(const Setting&) const = default;
};

/// Adds what differs of two trees. Entries of a list that have names are compared by name, one by one (an
/// entry that one of them lacks is one setting; order alone is another, named by the list); other entries by
/// their places. Null: not there.
void trees_that_differ(const std::string& name, const Json* before, const Json* after,
                       std::vector<Setting>& out);

/// All that the fingerprint looks at and that differs (engine/design/fingerprint.hpp): settings of the foot
/// by their names, "order...", "capture...", "case", "side", "unit", and of the cast "cast.sha256" and where
/// it stands. Empty exactly when the two fingerprints are the same.
std::vector<Setting> decisions_that_differ(const Job& before, Side side_before, const Job& after,
                                           Side side_after);

/// Keeps this foot's design with the newest revision, unless it is kept already. What nobody approved and no
/// revision ended with is let go, and the oldest beyond `most_past_bytes` in all.
void keep_past(Job& job, Side side);
inline constexpr std::size_t most_past_bytes = std::size_t{4} << 20;

/// A design as it was.
struct PastFoot {
    Job job;  ///< with this foot alone; revisions have their letters and nothing else
    Side side = Side::right;
    std::string revision;
    std::optional<Approval> approval;  ///< none: as it stood when the next revision began
};
/// Of a foot at a revision: as it was last approved, else as it stood when the next one began. Faults
/// (usage): no such revision, no such foot; (input): the job does not hold it, or what it holds was changed.
Outcome<PastFoot> past_foot(const Job& job, Side side, const std::string& letter,
                            const JobReading& reading = {});

/// What became of the approvals of one foot.
struct ApprovalState {
    std::optional<Approval> last;  ///< the newest there is
    bool holds = false;            ///< for the newest revision, as the design is
    bool known = false;            ///< whether the design it was given for is still held
    std::vector<Setting> changed;  ///< since then; only where known
    std::string words;             ///< one sentence
};
ApprovalState approval_state(const Job& job, Side side);

}  // namespace archwright::design
