// How the order wants the cast to stand, and the cast stood that way.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/outcome.hpp"
#include "engine/foot/angles.hpp"
#include "engine/foot/rest.hpp"
#include "engine/foot/stand.hpp"

namespace archwright::foot {

/// What the order asks. Angles in degrees, positive = inverted = medial side up.
struct Balance {
    enum class Method {
        as_it_stands,    ///< on its own lowest points
        heel_bisection,  ///< the heel bisection at heel_deg
        malleolar,       ///< the malleolar line at malleolar_deg
        inverted_pour,   ///< the heel bisection at pour_deg: a large inversion, its arch refilled by dressing
    };
    enum class Second { medial_malleolus, navicular, fifth_base };
    enum class Forefoot { as_it_is, platform };

    Method method = Method::as_it_stands;
    double heel_deg = 0.0;
    std::optional<double> malleolar_deg;                 ///< no default
    Second malleolar_second = Second::medial_malleolus;  ///< the line runs from the lateral malleolus to it
    std::optional<double> pour_deg;                      ///< no default
    double heel_height_mm = 0.0;  ///< of the shoe's heel above its ball: pitches the cast, toes down
    Forefoot forefoot = Forefoot::as_it_is;
    double intrinsic_deg = 0.0;        ///< I: what the platform corrects, with the deformity's sign
    double platform_length_mm = 12.0;  ///< level along the axis, back from the plantar heads
    double platform_blend_mm = 35.0;   ///< from there into the arch
};

/// Angles of a cast as it stands; those whose landmarks are absent are left out.
struct Posture {
    std::optional<Figure> heel_bisection, metatarsal_plane, malleolar;
    std::optional<Figure> forefoot;  ///< inclination of the forefoot F = FFRF + heel bisection
};

/// A cast stood as asked.
struct Balanced {
    Standing standing;                 ///< moved, z = 0 at its lowest point behind the toes
    Mat3 rotation = Mat3::Identity();  ///< from the cast as it stood: about +y (pitch), then +x (balance)
    double pitch_deg = 0.0;            ///< positive: toes down
    double inversion_deg = 0.0;        ///< about +x; positive: inverted
    Posture before, after;
    std::optional<double> platform_deg;     ///< F - I, the platform's tilt about +x
    std::optional<double> heel_effect_deg;  ///< of an inverted pour: what is expected at the heel
    std::optional<Rest> rest;               ///< as the cast lay by itself, under its middle
    /// Air under heel, heads and 5th base as it lay so, mm, with their names.
    std::vector<std::pair<const char*, double>> gaps;
    double rocking_deg = 0.0;              ///< between the planes it lies on as its load wanders
    Vec2 rocking_shift = Vec2::Zero();     ///< of the load, to the plane turned furthest; design frame, mm
    Vec2 rocking_ways_deg = Vec2::Zero();  ///< that turn along the foot and across it
    std::vector<std::string> words;        ///< what was done, sentences
    std::vector<Check> checks;
};

/// Inversion of the pour to the correction expected at the heel: 5:1 (J Am Podiatr Med Assoc 1986;76:275; 25
/// degrees give about 5, common practice).
inline constexpr double pour_ratio = 5.0;

/// Stands the cast as asked: about +y for the heel height, then about +x, then the lowest point behind the
/// toes to z = 0 and the heel centre back over the origin. Faults (ask) name a landmark or a value that the
/// method needs and the job has not.
Outcome<Balanced> balance(const Standing& standing, const Balance& asked);

/// What is left of the forefoot's inclination F after intrinsic correction I and extrinsic post E: F - I - E.
inline double remainder_deg(double forefoot, double intrinsic, double extrinsic) {
    return forefoot - intrinsic - extrinsic;
}

}  // namespace archwright::foot
