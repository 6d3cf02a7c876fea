#pragma once

#include <cstdlib>
#include <filesystem>
#include <string>

namespace archwright::tests {

/// A folder of one test's own, removed at its end.
class TemporaryFolder {
  public:
    TemporaryFolder() {
        std::string form = (std::filesystem::temp_directory_path() / "archwright-test-XXXXXX").string();
        path_ = ::mkdtemp(form.data());
    }
    ~TemporaryFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    TemporaryFolder(const TemporaryFolder&) = delete;
    TemporaryFolder& operator=(const TemporaryFolder&) = delete;
    const std::filesystem::path& path() const { return path_; }

  private:
    std::filesystem::path path_;
};

}  // namespace archwright::tests
