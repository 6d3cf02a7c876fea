// Devices and folders that refuse to be written.
#pragma once

#include <filesystem>
#include <functional>

#include "engine/base/outcome.hpp"

namespace archwright::tests {

bool holds_nothing(const std::filesystem::path& folder);

/// Requires that `write` faults and leaves nothing behind: in a folder that is not there, in a read-only one
/// (skipped for root, who may write everywhere) and on a device that is full after one kilobyte; and that an
/// older file of the name keeps its bytes.
void leaves_nothing(const std::function<Outcome<Done>(const std::filesystem::path&)>& write);

}  // namespace archwright::tests
