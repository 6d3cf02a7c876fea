#include "engine/build/device.hpp"

#include <algorithm>

namespace archwright::build {

Verdict Device::verdict() const {
    Verdict worst = Verdict::pass;
    for (const Check& check : checks) worst = std::max(worst, check.verdict);
    return worst;
}

const surface::ShellMesh& Device::made() const {
    return lettered && lettered->mesh ? *lettered->mesh : shelled->mesh;
}

double Device::mass_g() const {
    constexpr double mm3_per_cm3 = 1000.0;
    return made().mesh.volume() / mm3_per_cm3 * shelled->material.density_g_cm3.value;
}

std::vector<Check> Device::open_stops() const {
    std::vector<Check> stops;
    for (const Check& check : checks)
        if (check.verdict == Verdict::stop) stops.push_back(check);
    return stops;
}

}  // namespace archwright::build
