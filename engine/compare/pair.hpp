// Two casts of one foot, or of a left and a right one, laid on one another: how far apart, where, and which
// figures differ by more than their uncertainty.
#pragma once

#include <array>

#include "engine/compare/device.hpp"
#include "engine/compare/surface.hpp"
#include "engine/registration/registration.hpp"

namespace archwright::compare {

/// Regions of a cast in the design frame. What lies before the roots of the toes, above the borders or on the
/// dorsum belongs to none.
enum class Region { heel, arch, forefoot, medial_border, lateral_border };
inline constexpr std::size_t region_count = 5;
const char* title(Region region);
const char* key(Region region);
/// Of a place with this outward normal on a foot of this length: the sole (its normal leans to the ground by
/// more than 45 degrees) by shares of the length from the heel's rear, 1/3 and 0.62; elsewhere below the
/// border's height the medial and the lateral border.
std::optional<Region> region_of(const Vec3& p, const Vec3& normal, double foot_length_mm);

struct RegionFigures {
    double mm2 = 0.0;  ///< area with a counterpart
    double mean_mm = 0.0, rms_mm = 0.0;
    double within_mm = 0.0;  ///< 95 of 100 of that area lie nearer than this
    double most_added_mm = 0.0, most_taken_mm = 0.0;
    Vec3 worst = Vec3::Zero();
};

/// A measurement of both casts, second less first.
struct MeasuredBoth {
    std::string id, title, unit;
    double first = 0.0, second = 0.0;
    double uncertainty = 0.0;  ///< of the difference, 1.96 sd, the two erring independently
    double difference() const { return second - first; }
    bool beyond_doubt() const { return std::abs(difference()) > uncertainty; }
};

struct CastPair {
    registration::Registration registration;  ///< the second onto the first, design frames
    bool mirrored = false;                    ///< a left foot against a right one
    TriangleMesh second;                      ///< laid on the first, first's design frame
    std::vector<double> mm;  ///< of its points: positive where the second is larger; not a number elsewhere
    std::array<RegionFigures, region_count> regions;
    std::vector<MeasuredBoth> measured;
    /// Where the second's forefoot lies once the two heels (the rear third of the soles) are laid on one
    /// another: the motion that then lays forefoot on forefoot, as shift at the ball (forward, medial, up,
    /// mm) and as turn about the foot's axis (degrees, positive: the second's forefoot is the more inverted).
    Vec3 forefoot_shift_mm = Vec3::Zero();
    double forefoot_turn_deg = 0.0;
    bool forefoot_known = false;
};

struct PairWishes {
    bool left_against_right = false;  ///< sides may differ: one is seen in the mirror
    double same_mm = 0.0;             ///< registration::Settings::same_mm; 0: that default
};

/// Registers the soles behind the toes from where both stand, then measures. Sides that differ without being
/// asked for, and everything that keeps two casts from lying on one another, is registration.trouble. Fault:
/// cancelled alone.
Outcome<CastPair> compare_casts(const build::Received& first, const build::Received& second,
                                const PairWishes& wishes, Progress& progress);

}  // namespace archwright::compare
