// A scan laid on its sole: samples in a working frame, its outline in plan, its length.
#pragma once

#include <vector>

#include "engine/scan/receive_proposal.hpp"
#include "engine/scan/receive_samples.hpp"

namespace archwright::scan {

/// Every length of the working frame is of a foot made 260 mm long, so that limits in mm fit all feet and
/// the unit of the file need not be known.
inline constexpr double nominal_length = 260.0;

/// File coordinates to the working frame: +x heel to toes, +z up, +y completing a right-handed frame (medial
/// for a right foot, lateral for a left one: nothing is mirrored here). working = scale * rotation * p -
/// origin.
struct Posture {
    Mat3 rotation = Mat3::Identity();  ///< rows: toes, left of them, up
    Vec3 origin = Vec3::Zero();        ///< rearmost, mid-width, lowest point
    double scale = 1.0;                ///< nominal mm per file unit

    Vec3 to_working(const Vec3& p) const { return scale * (rotation * p) - origin; }
    Vec3 to_file(const Vec3& w) const { return rotation.transpose() * (w + origin) / scale; }
    Vec3 up() const { return rotation.row(2).transpose(); }
    Vec3 toes() const { return rotation.row(0).transpose(); }
};

/// Left and right border of what lies below a height, at stations along x.
struct Outline {
    static constexpr int stations = 80;
    double first = 0.0;               ///< x of the rear end
    double step = 1.0;                ///< between stations
    std::vector<double> right, left;  ///< y; NaN where nothing is

    double x(int k) const { return first + (k + 0.5) * step; }
    int at(double x_) const;
    double width(int k) const {
        return left[static_cast<std::size_t>(k)] - right[static_cast<std::size_t>(k)];
    }
    double middle(int k) const {
        return 0.5 * (left[static_cast<std::size_t>(k)] + right[static_cast<std::size_t>(k)]);
    }
    bool has(int k) const { return width(k) == width(k); }
};

/// Samples in the working frame.
struct Plan {
    Posture posture;
    std::vector<Vec3> position, normal;
    double scan_length = nominal_length;  ///< nominal mm along x of what is there
    double height = 0.0;                  ///< of the highest sample
    bool toes_cut = false;
    Outline outline;  ///< of what lies below 35 nominal mm

    /// Share of the foot's length at x, 0 heel to 1 toes.
    static double share(double x) { return x / nominal_length; }
    Outline outline_below(double z) const;
};

/// Lays the samples on the plane across `up`, with the long axis of their plan along x and the toes by the
/// vote of width, leg and toe height (or as stated).
struct Laying {
    Plan plan;
    Proposal<Vec3> toes;
};
/// `rim`: points of the largest opening, file coordinates: tells whether the toes are cut.
Laying lay(const Samples& samples, const Vec3& up, const std::optional<Vec3>& stated_toes,
           const std::vector<Vec3>& rim);

}  // namespace archwright::scan
