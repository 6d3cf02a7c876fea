// Files: mapped for reading, written whole or not at all.
#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>
#include <memory>
#include <span>
#include <string>

#include "engine/base/outcome.hpp"

namespace archwright {

/// A file's bytes, mapped read-only. Empty files give an empty span.
class MappedFile {
  public:
    static Outcome<std::shared_ptr<const MappedFile>> open(const std::filesystem::path& path);
    ~MappedFile();
    MappedFile(const MappedFile&) = delete;
    MappedFile& operator=(const MappedFile&) = delete;

    std::span<const std::byte> bytes() const { return {data_, size_}; }
    std::string_view text() const { return {reinterpret_cast<const char*>(data_), size_}; }

  private:
    MappedFile() = default;
    const std::byte* data_ = nullptr;
    std::size_t size_ = 0;
};

/// Writes a file whole or not at all: a temporary beside the target, flushed, fsynced, then renamed over it.
/// `verify`, when given, reads the temporary back before the rename; its fault keeps the target as it was.
/// A signal that ends the process cannot leave a half-written target; temporaries are named
/// ".<name>.<random>.part" and removed on failure.
Outcome<Done> write_file(const std::filesystem::path& target, std::span<const std::byte> bytes,
                         const std::function<Outcome<Done>(const std::filesystem::path&)>& verify = {});
Outcome<Done> write_file(const std::filesystem::path& target, const std::string& text,
                         const std::function<Outcome<Done>(const std::filesystem::path&)>& verify = {});

/// The same for libraries that insist on writing by name: `produce` writes to the path it is given.
Outcome<Done> produce_file(const std::filesystem::path& target,
                           const std::function<Outcome<Done>(const std::filesystem::path&)>& produce,
                           const std::function<Outcome<Done>(const std::filesystem::path&)>& verify = {});

/// Removes temporaries of writes still under way; safe in a signal handler (unlink only).
void remove_unfinished_files() noexcept;

}  // namespace archwright
