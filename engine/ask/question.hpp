// What is asked of a device's stiffness, and what came of it.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "engine/design/job.hpp"
#include "engine/flex/bench.hpp"

namespace archwright::ask {

/// One thing a device is to do on the bench.
struct Target {
    enum class Kind {
        relative,    ///< `value` is the change against `reference`, as a share: 0.2 is 20 % stiffer
        stiffness,   ///< N/mm, torsion N mm a degree: secant from the settled state to the load
        deflection,  ///< mm, torsion degrees: of the load's own mean from the settled state
    };
    flex::LoadCase load_case = flex::LoadCase::arch_press;
    std::optional<double> load;  ///< instead of the case's own: N, torsion N mm
    Vec2 moved = Vec2::Zero();   ///< of the load, in plan, mm
    Kind kind = Kind::relative;
    double value = 0.0;
    /// relative: the stiffness of the device it is measured against, under the same load on the same support;
    /// nothing: of this device as it is.
    std::optional<double> reference{};
    std::string reference_name{};  ///< what it is called: "as it is", "revision A"
};

/// A wall that may change.
struct WallChoice {
    /// "base", "stations" (each of them), "medial_column", "lateral_column" or a region's name; a parameter's
    /// own name as well: "wall.base_mm", "wall.stations[1]", "wall.regions[arch]" (needed of a region that
    /// is called like one of the words).
    std::string wall;
    std::optional<double> least_mm, most_mm;  ///< else the question's
};

struct Question {
    std::vector<Target> targets;
    std::vector<WallChoice> walls;
    std::optional<double> least_mm, most_mm;  ///< nothing: the material's least and greatest wall
    flex::BenchSupport support;
    /// `automatic`: large ones where a wall may come under flex::thin_wall_mm or the device as it is moves
    /// far; one kind for every wall tried, so that stiffness does not jump between two.
    flex::Deflections deflections = flex::Deflections::automatic;
    double element_mm = 3.0;
};

/// A target met is one whose stiffness, found by the whole device on the bench, lies within this share of it.
inline constexpr double met_share = 0.01;
inline constexpr std::size_t most_targets = 20, most_asked_walls = 60;

/// One wall of the answer; mm, but of a zone that scales the scale.
struct AnsweredWall {
    std::string name;       ///< "base", "station 2", "region arch"
    std::string parameter;  ///< that is set, and to what
    std::string value;
    std::string unit;                        ///< "mm", or "times the wall below"
    double before = 0.0, after = 0.0;        ///< a relative rigidity: the wall it makes, mm
    double least = 0.0, most = 0.0;          ///< its limits
    bool at_least = false, at_most = false;  ///< it ends at one
};

struct AnsweredTarget {
    Target target;
    double load = 0.0, preload = 0.0;
    double wanted = 0.0;               ///< as a stiffness
    double before = 0.0, found = 0.0;  ///< stiffness of the device before, and with the walls found, each
                                       ///< built and run on the bench
    double deflection = 0.0;           ///< found, from the settled state
    bool met = false, large = false;
    flex::Deflections deflections = flex::Deflections::small;  ///< that were reckoned with
    /// Of one that is not met, what the walls reach within their limits when this target alone is asked:
    /// stiffness, found on trial walls and set right by the bench.
    std::optional<std::pair<double, double>> reach{};
};

struct Answer {
    std::vector<AnsweredTarget> targets;
    std::vector<AnsweredWall> walls;
    bool met = false;                        ///< every target
    std::vector<std::string> limited;        ///< sentences: which limits bind, what the reach is
    std::vector<std::string> notes;          ///< sentences: stops and looks of the wall it came to
    design::Wall wall;                       ///< the whole map
    int trials = 0, runs = 0;                ///< courses on trial walls; whole devices on the bench
    std::vector<flex::BenchResult> results;  ///< of the device with those walls, one a target
};

}  // namespace archwright::ask
