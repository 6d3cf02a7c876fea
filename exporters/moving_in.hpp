// From a folder of finished files to their places.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "engine/base/outcome.hpp"

namespace archwright::exporters {

/// A folder for files under way, inside the target folder so that moving is renaming; gone with the object.
class Staging {
  public:
    static Outcome<Staging> in(const std::filesystem::path& folder);
    ~Staging();
    Staging(Staging&& other) noexcept;
    Staging(const Staging&) = delete;
    Staging& operator=(const Staging&) = delete;

    const std::filesystem::path& path() const { return path_; }
    /// Renames the named files over those of the same name in the target folder, in this order.
    Outcome<Done> move_in(const std::vector<std::string>& names) const;

  private:
    explicit Staging(std::filesystem::path folder) : folder_(std::move(folder)) {}
    std::filesystem::path folder_, path_;
};

/// Whole files: name and bytes.
using NamedFiles = std::vector<std::pair<std::string, std::string>>;

/// The first of them that stands in the folder with other bytes, or cannot be read there.
std::optional<std::filesystem::path> differs_there(const std::filesystem::path& folder,
                                                   const NamedFiles& files);

/// Writes all of them and only then moves them in, in this order. Fault (output) of the folder or a file.
Outcome<Done> put_together(const std::filesystem::path& folder, const NamedFiles& files);

/// Every name a delivery of this stem may use but for parts of their own.
std::vector<std::string> names_of(const std::string& stem);

/// File name, without its ending, of one part of a delivery.
std::string part_stem(const std::string& stem, const std::string& part);

/// Files of parts that the report of this stem in the folder tells of.
std::vector<std::string> part_files_there(const std::filesystem::path& folder, const std::string& stem);

/// The design whose files stand in the folder under this stem: its fingerprint from the report there, "?"
/// when any of `names` is there but no report that can be read, empty when there is nothing.
std::string fingerprint_there(const std::filesystem::path& folder, const std::string& stem,
                              const std::vector<std::string>& names);

/// Whether two names lead to the same file (both exist).
bool same_file(const std::filesystem::path& a, const std::filesystem::path& b);

}  // namespace archwright::exporters
