// 3MF, mm.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::exporters {

/// One body of a 3MF file.
struct NamedMesh {
    std::string name;   ///< UTF-8, for example "DEMO-01 left shell"
    TriangleMesh mesh;  ///< closed, export frame, mm
    /// Name of its material, UTF-8; empty: none is written.
    std::string material{};
};

struct ThreeMfWords {
    std::string title;  ///< job code and side
    std::string date;   ///< creation date of the job, "YYYY-MM-DD"; empty: none is written
};

/// Writes bodies as one 3MF package: unit millimetre, object names, metadata (Title, Application, and
/// CreationDate when given), the bodies' materials as base materials of the core specification (each name
/// once, with a display colour of its own tone), pinned UUIDs and time stamps, so the same input gives the
/// same bytes. Read back with lib3mf (unit, names, materials, manifold and oriented, box, volume) before it
/// replaces the target.
Outcome<Done> write_three_mf(const std::vector<NamedMesh>& bodies, const ThreeMfWords& words,
                             const std::filesystem::path& target);

}  // namespace archwright::exporters
