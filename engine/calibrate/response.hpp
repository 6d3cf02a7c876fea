// How one device answers one load on the virtual bench, for every modulus, spring and friction.
#pragma once

#include <array>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/flex/bench.hpp"

namespace archwright::calibrate {

/// What holds a device on a bench beside the plate itself.
struct Restraint {
    double distal_spring_n_mm = 0.0;  ///< in plane, along the whole distal edge
    double friction = 0.3;
};

/// A spring as a share of holding fast, k / (k + 50 N/mm), 0 to 1: the deflection of a linear shell on a
/// spring is a straight line of it where the shell itself gives 1 mm in plane under 50 N (a 3 mm shell of
/// polypropylene), and nearly so elsewhere.
double grip_of(double spring_n_mm);
double spring_of(double grip);
/// The firmest grip that is told from holding fast: 4950 N/mm.
inline constexpr double most_grip = 0.99, most_friction = 1.0;

/// At which springs and frictions the bench is run, and how far up.
struct ResponsePlan {
    std::vector<double> grips;      ///< rising from 0
    std::vector<double> frictions;  ///< rising
    double most_load_n = 0.0;       ///< at the table's modulus
    double element_mm = 3.0;
    /// As real devices do, whatever their wall.
    flex::Deflections deflections = flex::Deflections::large;
    Vec2 moved = Vec2::Zero();  ///< of the load, mm
};
/// Grips and frictions that interpolate to better than 1 % of a deflection (the tests hold it); only the ones
/// that are known where they are known.
ResponsePlan response_plan(const Restraint* known_spring, const Restraint* known_friction);

/// On rigid ground a shell of s times the modulus, on a spring k, under F lies as one of the modulus itself
/// does on k / s under F / s: all forces of the balance are divided by s, friction's bounds with them, also
/// where deflections are large. So a table over load, spring and friction answers for every modulus. Cubic
/// between its places, straight beyond them.
class Response {
  public:
    /// Runs the bench at every place of the plan. Fault of the bench; a load that no device of this kind
    /// bears is halved, down to `least_load_n`.
    static Outcome<Response> of(flex::Bench& bench, flex::LoadCase load_case, const ResponsePlan& plan,
                                double least_load_n, Progress* progress);

    struct At {
        double deflection_mm = 0.0, slide_mm = 0.0;  ///< from the unloaded table's zero: differences count
    };
    At at(double load_n, double modulus_scale, const Restraint& restraint) const;
    /// Puts the table right about one place: the bench itself is run with this modulus on these supports at
    /// the loads (N, as measured, rising, two or more), and what it says otherwise is added along the load
    /// from now on, whatever the modulus and the supports. Replaces what was added before. Returns the
    /// greatest difference from what stood, mm. Fault of the bench; the table then stays as it was.
    Outcome<double> put_right(flex::Bench& bench, const ResponsePlan& plan,
                              const std::vector<double>& loads_n, double modulus_scale,
                              const Restraint& restraint, Progress* progress);
    /// The load at which the arch comes to rest on the ground, N; the table's end where it does not.
    double touchdown_n(double modulus_scale, const Restraint& restraint) const;
    flex::LoadCase load_case() const { return load_case_; }
    double most_load_n() const { return loads_.back(); }

  private:
    struct Curve {
        std::vector<double> deflection, slide;  ///< at the loads
        double touchdown = 0.0;
    };
    At from_table(double load, double grip, double friction) const;
    At put_right_by(double load) const;
    const Curve& curve(std::size_t grip, std::size_t friction) const {
        return curves_[grip * frictions_.size() + friction];
    }

    flex::LoadCase load_case_ = flex::LoadCase::arch_press;
    std::vector<double> loads_, grips_, frictions_;
    std::vector<Curve> curves_;
    /// What the bench says otherwise, at loads over the modulus's scale; empty where nothing was put right.
    std::vector<double> right_loads_;
    std::vector<At> right_;
};

/// What each value has in the curve at `place`: cubic Hermite through values at rising places with the slopes
/// of the parabola through each place and its neighbours (C. de Boor, A Practical Guide to Splines, ch. IV,
/// Bessel's interpolation); straight beyond them.
struct CurveWeights {
    std::size_t first = 0, count = 0;
    std::array<double, 4> weight{};

    CurveWeights(const std::vector<double>& places, double place);
    template <class Values>
    double of(const Values& values) const {
        double sum = 0.0;
        for (std::size_t i = 0; i < count; ++i) sum += weight[i] * values[first + i];
        return sum;
    }
};

}  // namespace archwright::calibrate
