// What most commands begin with: the job read, its foot chosen, a workbench for it.
#pragma once

#include <memory>

#include "engine/base/replace_file.hpp"
#include "engine/build/workbench.hpp"
#include "engine/design/command_apply.hpp"
#include "engine/design/job.hpp"
#include "exporters/command/options.hpp"

namespace archwright::exporters::command {

/// Reads the job; `known`: what keep_job has to find there again. Fault as design::read_job.
Outcome<design::Job> open_job(const std::filesystem::path& path, const CastOptions& reading,
                              FileKnown* known = nullptr);

/// Writes it back where the file is still as it was known: of two people at one job the later is refused, and
/// nothing is lost. Fault as design::save_job.
Outcome<Done> keep_job(const design::Job& job, const std::filesystem::path& path, const CastOptions& reading,
                       const FileKnown& known);

/// Reads the job, does the commands in order, and writes it back: all of them or none. Tells what was done,
/// or hands it to `what` for the caller to tell. `around` lacks foot and materials alone. What contradicts
/// the shape is kept and told as a fault (design::Applied::objection).
Exit change_job(Console& console, const std::filesystem::path& path, const std::optional<Side>& foot,
                const CastOptions& reading, const std::vector<design::Command>& commands,
                design::Surroundings around, std::vector<design::Applied>* what = nullptr);

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

/// A picture may be written to `target`: its name ends in .png, and it is none of the files it comes from.
/// Nothing is checked for an empty name. Fault: usage, of `stage`.
Outcome<Done> picture_may_go(const std::filesystem::path& target, const char* stage,
                             const std::vector<std::filesystem::path>& from);

}  // namespace archwright::exporters::command
