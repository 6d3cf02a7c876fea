// Two surfaces registered: side and unit first, then starts, then the best of them settled; or the reason why
// they are not.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/registration/settle.hpp"

namespace archwright::registration {

/// Why two surfaces are not registered.
enum class Trouble {
    none,
    nothing_there,       ///< one of them has no surface, or none where they should agree
    wrong_unit,          ///< one is so many times the other (`factor`)
    wrong_side,          ///< the mirror image fits, this does not
    too_little_overlap,  ///< too few samples have a counterpart
    not_the_same,        ///< they lie too far apart everywhere: another foot, another device
    slides,              ///< the shape does not hold a motion: a plane, a cylinder, a sphere
    unsettled,           ///< the rounds came to no end
};
/// A word for programs: "wrong_unit".
const char* key(Trouble trouble);

struct Settings {
    /// Places known on both. Three or more that are not on one line give a start.
    std::vector<Pair> landmarks;
    std::vector<Motion> starts;  ///< motions to begin with; none and no landmarks: by the principal axes
    /// Where on the moving surface (its own coordinates) the two should agree; none: everywhere.
    std::function<bool(const Vec3& point, const Vec3& normal)> agrees;
    std::size_t samples = 4000;
    bool check_side = true, check_unit = true;
    double least_overlap = 0.4;  ///< share of the samples (our choice)
    /// Half of the surface has to lie nearer than this (our choice; docs/comparing.md has what feet give).
    double same_mm = 1.2;
    double least_held = 2e-3;  ///< a motion that is held less than this is free (our choice)
};

struct Registration {
    Trouble trouble = Trouble::none;
    std::string words;                ///< of the trouble: what, by how much, what to do
    double factor = 1.0;              ///< of wrong_unit: the moving one times this has the size of the other
    Fit fit;                          ///< of the surfaces as they are; of the last try where there is trouble
    double mirrored_median_mm = 0.0;  ///< what the mirror image would give; 0: not tried

    bool ok() const { return trouble == Trouble::none; }
};

/// Brings `moving` onto `fixed`. Both mm, normals outward. Same input, same motion, any number of threads.
/// Fault: cancelled alone; everything else is `trouble`.
Outcome<Registration> register_surfaces(const TriangleMesh& moving, const Fixed& fixed,
                                        const Settings& settings, Progress& progress);

/// The four motions that lay the principal axes of one on those of the other.
std::vector<Motion> by_axes(const Samples& moving, const Samples& fixed);

}  // namespace archwright::registration
