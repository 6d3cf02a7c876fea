// What most commands begin with: the job read, its foot chosen, a workbench for it.
#pragma once

#include <memory>

#include "engine/build/workbench.hpp"
#include "engine/design/job.hpp"
#include "exporters/command/options.hpp"

namespace archwright::exporters::command {

/// Reads the job. Fault as design::read_job.
Outcome<design::Job> open_job(const std::filesystem::path& path, const CastOptions& reading);

/// Writes it back. Fault as design::save_job.
Outcome<Done> keep_job(const design::Job& job, const std::filesystem::path& path, const CastOptions& reading);

/// The only foot of the job, or the one named. Fault (usage) when there is no choice to be made for a person.
Outcome<Side> choose_foot(const design::Job& job, const std::optional<Side>& named);

/// Every foot of the job, or the one named.
Outcome<std::vector<Side>> choose_feet(const design::Job& job, const std::optional<Side>& named);

/// A workbench for a job at `path`, with the materials loaded.
Outcome<std::shared_ptr<build::Workbench>> open_bench(const std::filesystem::path& path,
                                                      const CastOptions& reading);

/// The fault with what the order of these feet tells besides, so that a person hears of everything at once.
/// Only where the design was stopped (ask, check, a wrong job): what is in the way on disk has nothing to do
/// with the order.
Fault with_order(Fault fault, const design::Job& job, const std::vector<Side>& feet,
                 const build::Workbench& bench);

/// The cast of one foot, opened and checked against the job's SHA-256.
Outcome<std::shared_ptr<const build::CastFile>> cast_in_hand(const design::Job& job, Side side,
                                                             const std::filesystem::path& path,
                                                             const CastOptions& reading, Progress& progress);

/// The job and the files it names: what no command may write over.
std::vector<std::filesystem::path> inputs_of(const design::Job& job, const std::filesystem::path& path,
                                             const CastOptions& reading);

/// Landmarks of the standing foot in the scan's own coordinates, as a job holds them.
foot::Landmarks scan_landmarks(const foot::Standing& standing);

}  // namespace archwright::exporters::command
