// The field behind the foot: its anatomy as smooth parts, and the inner parameters that are solved for.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "assets/generator/foot.hpp"
#include "assets/generator/smooth.hpp"

namespace archwright::generator {

/// Inner parameters: each is tied to one measure and moved until the surface measures what is asked.
struct FootTuning {
    double heel_radius, heel_x;  ///< heel breadth; rearmost point
    double heel_y, forefoot_y;   ///< heel centre and 2nd head on y = 0
    double ball_x;               ///< ball length
    double breadth_extra;        ///< forefoot breadth
    double toe_reach;            ///< foot length
    double arch;                 ///< arch height
    double twist;                ///< forefoot-to-rearfoot angle (radians)
    double fore_lift;            ///< heel and forefoot level
    double ground;               ///< lowest point on z = 0
};

/// Implicit foot in the design frame. The parts are laid in an untwisted base frame (heel vertical, heads
/// level); the point is carried back into it by a twist about +x that grows from the heel's angle to the
/// forefoot's, as the midtarsal joint does it.
class FootField {
  public:
    FootField(const FootShape& shape, const FootTuning& tuning);

    double operator()(const Vec3& p) const;
    /// Value and gradient.
    Dual dual(const Vec3& p) const;
    /// From the base frame to the design frame.
    Vec3 to_design(const Vec3& base) const;

    const FootShape& shape() const { return shape_; }
    const FootTruth& truth() const { return truth_; }
    void set_truth(FootTruth truth) { truth_ = std::move(truth); }
    Box3 box() const;

    /// No gradient near the surface is longer than this (tested); bounds how far the surface can be.
    static constexpr double steepest = 1.8;

    // Where to look for landmarks, base frame.
    const std::array<Vec3, 5>& heads() const { return heads_; }
    Vec3 toe_tip(int toe) const { return toes_[static_cast<std::size_t>(toe)].pulp.b; }
    const Bone& navicular() const { return navicular_; }
    const Bone& fifth_base() const { return fifth_base_; }
    const Bone& medial_malleolus() const { return medial_malleolus_; }
    const Bone& lateral_malleolus() const { return lateral_malleolus_; }

  private:
    struct Toe {
        Bone proximal, pulp;
    };

    template <class T>
    T evaluate(const Point<T>& design) const;
    template <class T>
    Point<T> to_base(const Point<T>& design) const;
    template <class T>
    T body(const Point<T>& p) const;
    template <class T>
    T outline(const Point<T>& p) const;
    template <class T>
    T sole(const Point<T>& p) const;
    template <class T>
    T toes(const Point<T>& p) const;
    template <class T>
    T leg(const Point<T>& p) const;

    FootShape shape_;
    FootTuning tuning_;
    FootTruth truth_;

    double length_, breadth_, scale_;      // scale_: against a foot of 246 mm
    double head_x_, head_y_, head_curve_;  // heads lie on x = head_x_ - head_curve_ (y - head_y_)^2
    double beta_;
    std::array<Vec3, 5> heads_;
    std::array<double, 5> head_round_;
    std::vector<Bone> plan_;
    std::array<Toe, 5> toes_;
    Bone navicular_, fifth_base_, medial_malleolus_, lateral_malleolus_;
    Spline ridge_, ridge_y_, round_, wall_z_, rim_;
};

}  // namespace archwright::generator
