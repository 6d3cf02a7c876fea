// One job, one worker: a lock on a file that dies with whoever holds it.
#pragma once

#include <filesystem>
#include <optional>

#include "engine/base/outcome.hpp"

namespace archwright::exporters::batch {

/// A write lock on a whole file (POSIX record lock of the open file description), made when absent. The
/// kernel, or the file server, drops it when its holder ends, however it ends: a crash leaves the file, never
/// the lock. Works between threads, processes, and machines on a shared folder whose server keeps POSIX locks
/// (NFS does).
class FileLock {
  public:
    /// Nothing when somebody else holds it. Fault (output) when the file cannot be made or locked at all.
    static Outcome<std::optional<FileLock>> take(const std::filesystem::path& path);
    ~FileLock();
    FileLock(FileLock&& other) noexcept;
    FileLock& operator=(FileLock&& other) noexcept;
    FileLock(const FileLock&) = delete;
    FileLock& operator=(const FileLock&) = delete;

  private:
    explicit FileLock(int descriptor) : descriptor_(descriptor) {}
    int descriptor_ = -1;
};

}  // namespace archwright::exporters::batch
