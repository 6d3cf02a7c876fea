// Standing casts with faults that are known.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "engine/examine/finding.hpp"
#include "engine/foot/stand.hpp"

namespace archwright::tests {

/// A fault as it was made. Design frame of the standing cast, mm.
struct TrueFault {
    examine::Finding::Kind kind;
    Vec3 place;                 ///< on the cast
    double height_mm = 0.0;     ///< + away from the foot; a heel: how far it was pressed in
    double radius_mm = 0.0;     ///< of a dent, bump or patch; a crease: full width at half height
    std::vector<Vec3> line;     ///< of a crease or seam
    std::vector<Vec3> normals;  ///< of the foot along it
};

struct FaultyCast {
    std::string name;
    foot::Standing standing;
    std::vector<TrueFault> faults;
    double noise_mm = 0.0;
};

/// What a cast is given, chosen by its seed: nothing; dents, creases and a bump; a seam and more; a
/// flattened heel and more. Sizes from half the smallest that must be found to twice it and over.
enum class Faults { none, marks, seam, heel };
Faults faults_of(std::uint64_t seed);

/// A random foot of the generator with random faults of the generator, received and stood like any cast.
/// Nothing when the shapes drawn make no foot or no sole to lay faults on (rare).
std::optional<FaultyCast> generated_cast(std::uint64_t seed, Faults faults);

/// A foot nobody here made, its triangles divided until their edges are 1 mm, with faults of profiles the
/// detectors do not know (elliptic, cosine, sech^2) laid along its normals, and noise. `index` in
/// real_feet(); nothing where the folder is absent.
std::optional<foot::Standing> real_standing(std::size_t index);
FaultyCast with_faults(const foot::Standing& real, const std::string& name, std::uint64_t seed,
                       Faults faults);

}  // namespace archwright::tests
