// The stages as pure functions: each of the job and the stage before it.
#pragma once

#include "engine/build/device.hpp"

namespace archwright::build {

/// Before there is a job: what a cast seems to be. Proposals stand beside what a person stated; the foot
/// stands under the stated, else the proposed, side and unit. Checks may say stop: it is for looking only.
Outcome<Received> first_look(std::shared_ptr<const CastFile> cast, const scan::Stated& stated,
                             Progress& progress);

/// Unit and side stated or clearly proposed; the foot stands, landmarks are there, measurements taken.
/// Faults (FaultKind::ask) name what has to be stated and the command to type.
Outcome<Received> receive_stage(std::shared_ptr<const CastFile> cast, const design::FootDesign& foot,
                                Side side, const std::string& job_name, Progress& progress);

/// Whether an answer was given to this very finding: same kind, same place but for what repairs and newer
/// versions move it.
bool is_about(const design::Answer& answer, const Examined::Call& call, double mm_per_unit);

/// What a person or a mark says of a finding, a sentence; empty: nothing.
std::string said_of(const Examined::Call& call);

/// Faults of the cast as it stands, caliper sizes, and what a person answered.
Outcome<Examined> examine_stage(const Received& received, const design::FootDesign& foot, Progress& progress);

/// The rule of the trim line on the dressed surface: heights are above its datum, and the cover's more.
surface::TrimRule dressed_rule(surface::TrimRule rule, const surface::Dressed& dressed,
                               const surface::Dress& dress);

/// The carpet over the sole and the trim line on it.
Outcome<Surfaced> surface_stage(const Received& received, const design::FootDesign& foot, Progress& progress);

/// Reliefs and pads, wall map, the two sides, the rim, the mesh.
Outcome<Shelled> shell_stage(const Received& received, const Surfaced& surfaced,
                             const design::FootDesign& foot, const design::Materials& materials,
                             Progress& progress);

/// Every gate on the finished shell.
Outcome<Proved> prove_stage(const Surfaced& surfaced, const Shelled& shelled, Progress& progress);

}  // namespace archwright::build
