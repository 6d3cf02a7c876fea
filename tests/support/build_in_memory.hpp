// Devices from meshes in memory, and random jobs on generated feet.
#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "assets/generator/cast.hpp"
#include "engine/build/device.hpp"
#include "engine/build/stages.hpp"

namespace archwright::tests {

/// The cast as if read from a file of this mesh.
std::shared_ptr<const build::CastFile> cast_in_memory(const TriangleMesh& file_mesh, const std::string& name);

/// A foot whose side and unit a person stated; defaults for the rest.
design::FootDesign stated_foot(LengthUnit unit);

/// All stages, proved.
Outcome<build::Device> build_in_memory(const std::shared_ptr<const build::CastFile>& cast,
                                       const design::FootDesign& foot, Side side);

/// The foot of a file, as the command `new` writes it: side and unit proposed, not stated; defaults for the
/// rest.
struct ProposedFoot {
    std::shared_ptr<const build::CastFile> cast;
    scan::Reception reception;
    design::FootDesign foot;
};
Outcome<ProposedFoot> proposed_foot(const std::string& path);

/// Sound in every respect: no stop among the checks, no fault. Empty when so; else what is wrong.
std::string unsound(const build::Device& device);

/// A random foot, a cast of it in a random file frame, unit, winding, with noise and faults now and then, and
/// a random valid design for it.
struct RandomJob {
    generator::Cast cast;
    Side side = Side::right;
    LengthUnit unit = LengthUnit::millimetre;
    design::FootDesign foot;
    std::string words;  ///< what it is, for messages
};
Outcome<RandomJob> random_job(std::uint64_t seed, std::size_t triangles);

}  // namespace archwright::tests
