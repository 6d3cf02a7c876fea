// Are the landmarks where landmarks can be?
#pragma once

#include "engine/base/check.hpp"
#include "engine/foot/landmarks.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::foot {

/// "landmarks.marked": a look while the heel centre or a metatarsal head that the device hangs on is only
/// suggested by the program. Design frame.
Check check_marked(const Landmarks& landmarks);

/// "landmarks.place": landmarks of the job against the cast (a look beyond tolerance::landmark_off_look_mm
/// from its surface, a stop beyond landmark_off_stop_mm) and against what the shape suggests (a look beyond
/// landmark_apart_look_mm). Design frame.
Check check_places(const Landmarks& landmarks, const Landmarks& suggested, const TriangleMesh& cast);

}  // namespace archwright::foot
