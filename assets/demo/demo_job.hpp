// The order and design of the demonstration case LARK-2207 (invented).
#pragma once

#include "assets/generator/cast.hpp"
#include "engine/design/job.hpp"
#include "engine/foot/stand.hpp"

namespace archwright::demo {

/// The order in printed PA11; its revision B ("too stiff": the distal-medial wall 2.2 instead of 2.4 mm); and
/// the same device in polypropylene, to be milled.
enum class Variant { pa11, revision_b, polypropylene };

/// The demo's cast standing by itself, with its landmarks as the technician set them.
Outcome<foot::Standing> demo_standing(const generator::Cast& cast);

/// The marks of the demo's cast: found by their ink, accepted and named by the technician; in the cast file's
/// own coordinates. Fault: one of the three is not found.
Outcome<std::vector<design::Mark>> demo_marks(const generator::Cast& cast);

/// The job for the demo's cast. `truth` has the landmarks in the cast file's own coordinates; they stand in
/// the job as a person would have set them. `marks`: demo_marks.
design::Job demo_job(const generator::FootTruth& truth, const std::string& cast_sha256,
                     const std::vector<design::Mark>& marks, Variant variant = Variant::pa11);

}  // namespace archwright::demo
