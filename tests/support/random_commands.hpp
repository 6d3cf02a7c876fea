// Commands as persons might give them, all kinds, most of them possible on the job at hand.
#pragma once

#include <random>

#include "engine/design/command.hpp"
#include "engine/design/command_apply.hpp"
#include "engine/design/job.hpp"

namespace archwright::tests {

/// A random command of the table for this job; every argument is of its kind. Some are refused by the job.
design::Command random_command(std::mt19937_64& random, const design::Job& job);

/// Any arguments of their kinds, texts with every nasty character, whatever the job holds.
design::Command random_words(std::mt19937_64& random, const design::CommandKind& kind);

/// Surroundings of a job in memory: statements need no cast, every check a job may sign stops its device.
design::Surroundings without_cast();

}  // namespace archwright::tests
