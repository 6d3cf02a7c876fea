// The outline and the resting points of a foot that lies roughly in the design frame. Exact plane sections
// and extreme points, no raster: the figures follow the foot continuously, so that standing converges.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::foot {

/// Shares of the foot's length from the rearmost point.
namespace share {
inline constexpr double heel_centre = 0.16;
inline constexpr double first_head_from = 0.64;
inline constexpr double first_head_to = 0.76;
inline constexpr double fifth_head_from = 0.54;
inline constexpr double fifth_head_to = 0.67;
inline constexpr double toe_roots = 0.78;  ///< a device ends behind them; beyond, the toes
inline constexpr double ball = 0.741;      ///< ANSUR: ball of foot length over foot length
inline constexpr double axis_way = 0.45;   ///< of the way from the 1st to the 5th head, where the axis passes
}  // namespace share

/// Borders in plan of what lies below a height, at stations of 1 % of the foot length. +y is medial.
struct Profile {
    static constexpr int stations = 100;  ///< station k is at k % of the length; 0 and 100 are the ends
    double rear = 0.0;                    ///< x of the rearmost point
    double length = 1.0;                  ///< mm
    std::array<double, stations + 1> medial{};
    std::array<double, stations + 1> lateral{};  ///< NaN, both, where nothing is

    double x(int station) const { return rear + length * station / stations; }
    double share_at(double x_) const { return (x_ - rear) / length; }
    bool has(int station) const;
    /// Interpolated between stations; nothing outside.
    std::optional<double> medial_at(double x) const;
    std::optional<double> lateral_at(double x) const;
    std::optional<double> middle_at(double x) const;
};

struct Survey {
    Profile profile;
    bool length_estimated = false;
    Vec3 heel_low = Vec3::Zero();  ///< lowest point of the heel
    Vec3 first_low = Vec3::Zero();
    Vec3 fifth_low = Vec3::Zero();
    Vec3 first_border = Vec3::Zero();  ///< most medial point in the 1st head's window
    Vec3 fifth_border = Vec3::Zero();
    Vec2 heel_centre = Vec2::Zero();  ///< in plan
    double lowest = 0.0;              ///< z of the lowest point behind the toe roots
    double lowest_toe = 0.0;          ///< z of the lowest point of the toes; `lowest` where there are none
};

/// Surveys a mesh (mm; toes roughly +x, medial +y, up roughly +z). `toes_cut`: the length is estimated from
/// the ball. Nothing when heel or heads are not there.
std::optional<Survey> survey(const TriangleMesh& mesh, bool toes_cut);
/// The same for points that are moved while their triangles stay.
std::optional<Survey> survey(std::span<const Vec3> points, std::span<const Triangle> triangles,
                             bool toes_cut);

/// Height limits in mm for a foot of this length (35 and 60 mm of a 260 mm foot).
double border_height(double length);
double heel_height(double length);

/// Lowest z of the surface at a place in plan; nothing where there is none.
std::optional<double> sole_height(const TriangleMesh& mesh, double x, double y);

}  // namespace archwright::foot
