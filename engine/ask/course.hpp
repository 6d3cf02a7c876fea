// A device taken up to its load in two steps, with all that its answer was found from.
#pragma once

#include <Eigen/Core>
#include <array>
#include <memory>
#include <optional>
#include <vector>

#include "engine/flex/bench_load.hpp"
#include "engine/flex/bench_stand.hpp"

namespace archwright::ask {

/// A load that stands on the same points of the shell, by the same shares, whatever its wall.
struct Loading {
    flex::LoadCase load_case = flex::LoadCase::arch_press;
    double load = 0.0;     ///< N, torsion N mm
    double preload = 0.0;  ///< under which it settles; held: 0
    flex::BenchSupport support;
    flex::BenchLoad placed;  ///< on the built device
    bool far = false;        ///< with large deflections
};

/// A body put down (or held) under a loading, not yet loaded.
struct Stood {
    std::shared_ptr<const flex::BenchBody> body;
    std::shared_ptr<flex::BenchStand> stand;
    flex::BenchLoad load;  ///< with its way up

    bool on_ground(const Loading& loading) const { return flex::on_ground(loading.load_case); }
    /// Whose product with the displacement is the load's own deflection (mm; torsion: degrees).
    Eigen::VectorXd measured(const Loading& loading) const;
};
/// Faults of the bench: it finds no rest under the load.
Outcome<Stood> put_on_bench(const flex::BenchSubject& subject, std::shared_ptr<const flex::BenchBody> body,
                            const Loading& loading, Progress* progress);

/// How one place answers, held fast: for what changes while nothing opens, closes, sticks or slides.
enum class Held : char { open, sticks, slides };

/// The state under one load.
struct Step {
    double load = 0.0;
    Eigen::VectorXd displacement;
    std::vector<Held> places;               ///< of the contacts; none when the heel is held
    std::vector<Vec3> anchors;              ///< where friction held on as this load came
    double rigid_n_mm = 0.0;                ///< stiffness that stood for rigid ground
    std::optional<flex::LargeState> far{};  ///< with large deflections; `displacement` are its freedoms
};

struct Course {
    Stood stood;
    std::vector<Step> steps;  ///< preload and load; held: the load alone
    double deflection = 0.0;  ///< of the load's own mean, from the settled state
    double stiffness = 0.0;   ///< secant from the preload to the load

    /// Of what touches, sticks and slides, and the places it rests on as it is put down: where these differ a
    /// kink lies between two courses.
    std::vector<char> state() const;
};

/// Faults of the bench and its solver; input where it gives by nothing. `begin`: a course of a wall near
/// by, to begin from.
Outcome<Course> take_course(const flex::BenchSubject& subject, std::shared_ptr<const flex::BenchBody> body,
                            const Loading& loading, const Course* begin, Progress* progress);

}  // namespace archwright::ask
