// Where the bench's loads pass through a device, and which way they pull it.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/build/device.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/print/lay.hpp"

namespace archwright::print {

/// A place counts as loaded from this share of the greatest stress of all loads on (our choice).
inline constexpr double loaded_share = 0.5;

/// Shares of the greatest stress over the device's middle surface, and the pull of all loads.
class Loads {
  public:
    /// `middle` and the share of each of its triangles.
    Loads(TriangleMesh middle, std::vector<double> share, Pull pull, std::vector<std::string> told);

    /// Of the nearest place of the middle surface; 0 where that is further than `within_mm`.
    double at(const Vec3& p) const;
    const Pull& pull() const { return pull_; }
    /// Which loads these are, and which could not be put on.
    const std::vector<std::string>& told() const { return told_; }

    static constexpr double within_mm = 15.0;

  private:
    std::unique_ptr<const TriangleMesh> middle_;
    std::vector<double> share_;
    Pull pull_;
    std::vector<std::string> told_;
    std::unique_ptr<const Bvh> tree_;
};

/// The device under arch press, body weight and forefoot lift (flex::Bench, small deflections). Stress is the
/// greater von Mises stress of the two faces, over the one that a fiftieth of the area passes, so that the
/// edge of a load's disc does not count for all. Fault: cancelled, or no load can be put on the device.
Outcome<Loads> loads_of(const build::Device& device, const std::optional<double>& body_mass_kg,
                        Progress* progress);

}  // namespace archwright::print
