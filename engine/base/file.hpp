// Files: read whole, written whole or not at all.
#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>
#include <memory>
#include <span>
#include <string>

#include "engine/base/outcome.hpp"

namespace archwright {

/// A file's bytes in memory. A copy and no mapping: a mapped file that another program cuts short ends the
/// process that reads it.
class FileBytes {
  public:
    /// Faults (input) name the file: absent, no regular file, more bytes than `most` (nothing is read then),
    /// changed while it was read.
    static Outcome<FileBytes> read(const std::filesystem::path& path,
                                   std::size_t most = std::size_t{16} << 30U);

    std::span<const std::byte> bytes() const { return {data_.get(), size_}; }
    std::string_view text() const { return {reinterpret_cast<const char*>(data_.get()), size_}; }

  private:
    std::unique_ptr<std::byte[]> data_;
    std::size_t size_ = 0;
};

/// Writes a file whole or not at all: a temporary beside the target, flushed, fsynced, then renamed over it.
/// `verify`, when given, reads the temporary back before the rename; its fault keeps the target as it was.
/// A signal that ends the process cannot leave a half-written target; temporaries are named
/// ".<name>.<random>.part" and removed on failure; what a killed process left is removed by a later write of
/// the same file (remove_abandoned).
Outcome<Done> write_file(const std::filesystem::path& target, std::span<const std::byte> bytes,
                         const std::function<Outcome<Done>(const std::filesystem::path&)>& verify = {});
Outcome<Done> write_file(const std::filesystem::path& target, const std::string& text,
                         const std::function<Outcome<Done>(const std::filesystem::path&)>& verify = {});

/// The same for libraries that insist on writing by name: `produce` writes to the path it is given.
Outcome<Done> produce_file(const std::filesystem::path& target,
                           const std::function<Outcome<Done>(const std::filesystem::path&)>& produce,
                           const std::function<Outcome<Done>(const std::filesystem::path&)>& verify = {});

/// Removes what killed processes left in `folder`: entries whose names begin and end so and that nobody has
/// touched for an hour. No write of ours takes so long.
void remove_abandoned(const std::filesystem::path& folder, const std::string& begin, const std::string& end);

/// Removes temporaries of writes still under way; safe in a signal handler (unlink only).
void remove_unfinished_files() noexcept;

}  // namespace archwright
