// The order and design of the demonstration case LARK-2207 (invented).
#pragma once

#include "assets/generator/foot.hpp"
#include "engine/design/job.hpp"

namespace archwright::demo {

/// The order in printed PA11; its revision B ("too stiff": the distal-medial wall 2.2 instead of 2.4 mm); and
/// the same device in polypropylene, to be milled.
enum class Variant { pa11, revision_b, polypropylene };

/// The job for the demo's cast. `truth` has the landmarks in the cast file's own coordinates; they stand in
/// the job as a person would have set them.
design::Job demo_job(const generator::FootTruth& truth, const std::string& cast_sha256,
                     Variant variant = Variant::pa11);

}  // namespace archwright::demo
