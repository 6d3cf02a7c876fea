// The demonstration case LARK-2207: an invented left foot.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "assets/generator/cast.hpp"

namespace archwright::generator {

/// Case code and file name of the demonstration.
inline constexpr const char* demo_case = "LARK-2207";
inline constexpr const char* demo_cast_file = "lark-2207-left.ply";
inline constexpr const char* demo_truth_file = "lark-2207-left.truth.json";

/// Left foot, 246 mm, high arch, forefoot 5.0 degrees everted to the rearfoot.
FootShape demo_shape();
/// Prone plaster negative, PLY in inches, normals inward, an air void of 1.6 mm under the 1st metatarsal
/// head (the forefoot reads 6.4 degrees everted), ink: fascia with its nodule, 5th metatarsal base. `truth`
/// is that of the demo's foot.
CastSpec demo_spec(const FootTruth& truth);
/// The cast, always the same bytes.
Outcome<Cast> demo_cast();
/// The truth of what is drawn on the demo's cast: a point a mm along the fascia's line and
/// the ring round the nodule on it, the spot at the 5th metatarsal base; by name, in its file's own
/// coordinates (inches).
Outcome<std::map<std::string, std::vector<Vec3>>> demo_drawn();
/// Landmarks of the demo in its file's own coordinates (inches), and its figures, without making the mesh.
Outcome<FootTruth> demo_truth();

/// Where the air void stands out under the 1st metatarsal head: its top, in the cast file's coordinates, and
/// its radius in mm.
struct DemoVoid {
    Vec3 top = Vec3::Zero();
    double radius_mm = 0.0;
};
Outcome<DemoVoid> demo_void();

}  // namespace archwright::generator
