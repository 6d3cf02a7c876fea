// The virtual bench: a built shell under five named loads.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/flex/lamina.hpp"
#include "engine/flex/model.hpp"
#include "engine/flex/stress.hpp"
#include "engine/surface/shell.hpp"
#include "engine/surface/trim_rule.hpp"

namespace archwright::flex {

/// Named loads. On the ground: the shell lies on it as it rests under that very load, its heel located along
/// it by one point, the load square to the ground. Held: all that lies within 18 mm of the heel centre in
/// plan is held fast, no ground.
enum class LoadCase {
    arch_press,     ///< disc of 30 mm at the arch's apex, down; 14.9 % of the body's weight
    heel_pressure,  ///< disc of 40 mm at the heel centre, down; 60 % of the body's weight
    body_weight,    ///< 60 % of the body's weight on the heel, 8 % on the lateral midfoot, down
    forefoot_lift,  ///< held heel; the distal edge is pulled up, 10 N
    torsion,        ///< held heel; the distal edge is turned about the axis, 500 N mm, medial side up
};
const char* key(LoadCase load);    ///< "arch-press", ... as commands and reports name it
const char* title(LoadCase load);  ///< the trade's words
inline constexpr LoadCase all_load_cases[] = {LoadCase::arch_press, LoadCase::heel_pressure,
                                              LoadCase::body_weight, LoadCase::forefoot_lift,
                                              LoadCase::torsion};
/// Loads that are put on, N (torsion: N mm): below, rounding settles what touches; above, nothing is linear.
inline constexpr double least_load = 1.0, most_load = 5000.0;
struct LoadUnits {
    const char *load, *deflection, *stiffness;  ///< "N", "mm", "N/mm"
};
LoadUnits units(LoadCase load);
/// A figure of the bench with three digits that mean something.
std::string bench_figure(double value);
/// Stands beside every figure of the bench.
inline constexpr const char* bench_caution = "Initial stiffness, for comparison only";

struct BenchSubject {
    const surface::Shell* shell = nullptr;
    std::vector<surface::Post> stuck_posts;   ///< stuck on: carry, do not stiffen
    const surface::TrimRule* rule = nullptr;  ///< heel centre and heads
    Lamina lamina;
    std::optional<Sheet> sheet{};  ///< of a laminate: goes before the lamina
    double strength_mpa = 0.0;
    double body_mass_kg = 75.0;
};

struct BenchSupport {
    double friction = 0.3;            ///< between shell and ground
    double distal_spring_n_mm = 0.0;  ///< in plane, along the whole distal edge: a shoe's grip
    double bed_n_mm3 = 0.0;           ///< foundation modulus of what it stands on; 0: rigid
    /// What it stands on seen from the side, as a shoe's bed: mm forward of the heel centre and height, with
    /// rising first figures; level across, level before the first and after the last, smooth between. Empty:
    /// a plane.
    std::vector<Vec2> bed_shape;

    bool operator==(const BenchSupport&) const = default;
};
/// Fault (usage) naming the figure of a support that cannot be.
Outcome<Done> check_support(const BenchSupport& support);

/// Whether a shell's own movement counts: `automatic` takes large deflections where its wall is under
/// `thin_wall_mm` over more than `thin_share` of it, or where small ones move it by more than a tenth of its
/// arch.
enum class Deflections { automatic, small, large };
const char* key(Deflections deflections);  ///< "auto", "small", "large"
inline constexpr double thin_wall_mm = 4.0, thin_share = 0.05;

struct BenchSetting {
    double element_mm = 3.0;
    Deflections deflections = Deflections::automatic;
    BenchSupport support;
    Vec2 moved = Vec2::Zero();   ///< of the load, in plan, mm
    std::optional<double> load;  ///< instead of the case's own: N, torsion N mm
    /// Loads the curve is told at, as rising shares of the load that end with 1; on the ground the first is
    /// the preload. Empty: a twentieth, a tenth, a quarter, a half and the whole.
    std::vector<double> steps;
    bool sensitivity = true;  ///< always by small deflections
    bool further = true;      ///< past the load, where that is told

    bool operator==(const BenchSetting&) const = default;
};

struct BenchPoint {
    double load = 0.0;             ///< N; torsion: N mm
    double deflection = 0.0;       ///< of the load's own mean, from the settled state, mm; torsion: degrees
    double distal_slide_mm = 0.0;  ///< of the distal edge's mean along the ground, forward, likewise
    double arch_n = 0.0;  ///< on the ground: what it gives to the medial half between heel and distal part
};
/// Greatest von Mises stress on one face.
struct BenchStress {
    double mpa = 0.0;
    Vec3 at = Vec3::Zero();
    double utilisation = 0.0;  ///< over the strength
};
struct BenchVariation {
    std::string what;              ///< "2 mm forward", "friction 0", ...
    std::optional<double> change;  ///< of the stiffness, as a share: 0.05 is 5 % stiffer
    std::string why_not;           ///< where there is none
    bool support = false;          ///< of the support, else of the placement
};

/// A load at which the shell goes over into another shape at once.
struct BenchSnap {
    double load = 0.0;       ///< N; torsion: N mm
    double falls_to = 0.0;   ///< what it bears at the least while it goes over
    Vec3 at = Vec3::Zero();  ///< the place that moves most, before it moves
    double jump_mm = 0.0;    ///< how far it goes under that load; 0: no end of it was found
};

/// Stands beside figures of small deflections that are `large`.
inline constexpr const char* large_caution =
    "It moves so far that small deflections, which are reckoned with, say too little";
/// A deflection (mm, degrees) no bench tells from nothing, and the slip that friction needs here to be full.
inline constexpr double least_deflection = 0.01;

struct BenchResult {
    LoadCase load_case = LoadCase::arch_press;
    double load = 0.0;
    Vec2 load_at = Vec2::Zero();  ///< middle of the load in plan
    double preload = 0.0;         ///< the shell settles on its ground under this, a twentieth of the load;
                                  ///< deflections count from there (held: 0)
    double settled_mm = 0.0;      ///< how far the load's mean came down to there
    /// On the ground: whether it gives at all, by `least_deflection` or more. On a post under the very load,
    /// or under next to no load, it does not; then stiffness is none to speak of (0 here) and nothing is said
    /// of what moves it.
    bool gives = true;
    /// It moves by more than a tenth of its arch, or turns by more than 5 degrees: small deflections say too
    /// little.
    bool large = false;
    Deflections deflections = Deflections::small;  ///< that were reckoned with, small or large
    std::string why_deflections;                   ///< the rule that decided
    std::vector<BenchSnap> snaps;                  ///< on the way to the last point of curve or `further`
    /// Arch press with large deflections: past the load, to twice as much or until the arch rests on the
    /// ground under it, and whether it does.
    std::vector<BenchPoint> further;
    bool rests = false;
    double initial_stiffness = 0.0;  ///< N/mm from the preload to twice it; torsion N mm a degree
    double stiffness = 0.0;          ///< secant from the preload to the whole load
    std::vector<BenchPoint> curve;   ///< from the preload on
    double heel_n = 0.0, midfoot_n = 0.0, distal_n = 0.0;  ///< of the ground, upwards
    bool midfoot_down = false, slides = false;
    BenchStress foot_side, underside;
    std::vector<BenchVariation> variations;
    // for pictures
    Model model;
    std::vector<Vec2> uv;               ///< of the model's points
    Eigen::VectorXd displacement;       ///< at the whole load: mm, and rotation vectors
    std::vector<ElementStress> stress;  ///< of the model's triangles
    std::vector<char> touches;          ///< of the model's points: on the ground at the whole load
};

/// A device on the bench. What loads have in common is found once and kept: middle surface and stiffness of
/// each element size, and of each way to stand on the ground its factor and compliance. Not for several
/// threads at a time; shell and rule of the subject must outlive it.
class Bench {
  public:
    explicit Bench(BenchSubject subject);
    Bench(Bench&&) noexcept;
    Bench& operator=(Bench&&) noexcept;
    ~Bench();

    const BenchSubject& subject() const;
    /// Faults (stage "flex") of the subject, the setting and the solver, with the case's name.
    Outcome<BenchResult> run(LoadCase load_case, const BenchSetting& setting = {},
                             Progress* progress = nullptr);

  private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

/// Highest place of the middle surface in the section at half the 1st head's y, between 0.3 and 0.85 of the
/// way from heel centre to heads: never on the heel cup, never on the lateral half.
Vec2 arch_apex(const Model& middle, const surface::TrimRule& rule);

}  // namespace archwright::flex
