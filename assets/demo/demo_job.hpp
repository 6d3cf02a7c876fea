// The order and design of the demonstration case LARK-2207 (invented).
#pragma once

#include "assets/generator/foot.hpp"
#include "engine/design/job.hpp"

namespace archwright::demo {

/// The job for the demo's cast. `truth` has the landmarks in the cast file's own coordinates; they stand in
/// the job as a person would have set them.
design::Job demo_job(const generator::FootTruth& truth, const std::string& cast_sha256);

}  // namespace archwright::demo
