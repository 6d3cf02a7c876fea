// The angles of a standing foot, each in one function. Degrees; positive = inverted = medial side up.
#pragma once

#include <optional>

#include "engine/base/vec.hpp"
#include "engine/foot/landmarks.hpp"

namespace archwright::foot {

constexpr double written_sigmas = 1.96;  ///< standard deviations of a written +-

/// A value with its uncertainty; a written +- is 1.96 standard deviations.
struct Figure {
    double value = 0.0;
    double uncertainty = 0.0;  ///< 1.96 sd, same unit
};

/// One point and the standard deviation of its place (mm, the same in x, y and z).
struct Marked {
    Vec3 position = Vec3::Zero();
    double sd_mm = 0.0;
};

/// The landmark as a marked point; nothing where the map has none.
std::optional<Marked> marked(const Landmarks& landmarks, LandmarkId id);

/// Heel bisection: lower point P, upper point Q on the back of the heel. beta = atan2(yP - yQ, zQ - zP):
/// inverted when the lower point is the more medial.
Figure heel_bisection(const Marked& lower, const Marked& upper);

/// Metatarsal plane: phi = atan2(z1 - z5, y1 - y5) from the plantar points of the 1st and 5th metatarsal
/// heads (their lowest points on the sole). With the 2nd and 5th: phi25 (a plantarflexed first ray shows as a
/// difference).
Figure metatarsal_plane(const Marked& medial_head, const Marked& fifth_head);

/// Forefoot-to-rearfoot angle FFRF = phi - beta, measured with the axis on +x and the cast pitched so that
/// the heel's lowest point and the mean of plantar MT1 and MT5 have equal z; independent of rotation about +x
/// only. Uncertainty by first-order propagation of the landmarks' own.
Figure forefoot_to_rearfoot(const Marked& bisection_lower, const Marked& bisection_upper,
                            const Marked& first_head, const Marked& fifth_head, const Vec3& heel_lowest);

/// Inclination of the line from the lateral to the medial malleolus in the y-z plane; rotation about +x only.
Figure malleolar_line(const Marked& lateral, const Marked& medial);

}  // namespace archwright::foot
