// Asking a device for a stiffness: the walls that give it.
#pragma once

#include <functional>

#include "engine/ask/question.hpp"
#include "engine/ask/trial.hpp"
#include "engine/build/workbench.hpp"

namespace archwright::ask {

/// Builds the device anew with another wall map, nothing else of it changed.
using Rebuild = std::function<Outcome<Built>(const design::Wall& wall, Progress& progress)>;

/// Finds walls within their limits under which the device does what is asked, those that change least (sum of
/// squares of the logarithms of their ratios) where several could. Trial walls go on the bench by their
/// middle surface alone (Trial); what is answered was built whole and run on the bench, and where the two
/// differ the aim is set right and the search goes on. Walls are those a job can say (to 0.001). `foot`: what
/// the device was built from. Faults: usage (stage "ask") of the question; those of the bench on the device
/// as it is; of building it with the walls found.
Outcome<Answer> ask(const Built& built, const design::FootDesign& foot,
                    const std::optional<double>& body_mass_kg, const Question& question,
                    const Rebuild& rebuild, Progress& progress);

/// By the shell's stage alone, of a device that stands.
Rebuild rebuild_shell(const Built& built, const design::FootDesign& foot,
                      std::shared_ptr<const design::Materials> materials);

/// The same of one foot of a job, built on that bench. The job stays as it is.
Outcome<Answer> ask(build::Workbench& workbench, const design::Job& job, Side side, const Question& question,
                    Progress& progress);

/// Stiffness of a device to be measured against, under the target's load on the question's support; with
/// large deflections unless the question asks for small ones, as ask() then takes them.
Outcome<double> reference_stiffness(const build::Device& device, const std::optional<double>& body_mass_kg,
                                    const Target& target, const Question& question, Progress& progress);

/// The question without what only a device can tell. Fault (usage, stage "ask").
Outcome<Done> check_question(const Question& question);

}  // namespace archwright::ask
