// One foot's device: the results of all stages, from the cast to the gates.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/build/cast.hpp"
#include "engine/build/lettering_stage.hpp"
#include "engine/build/part.hpp"
#include "engine/build/shoe_check.hpp"
#include "engine/build/trim_check.hpp"
#include "engine/design/job.hpp"
#include "engine/design/material.hpp"
#include "engine/design/wall_map.hpp"
#include "engine/examine/finding.hpp"
#include "engine/examine/repair.hpp"
#include "engine/feature/figures.hpp"
#include "engine/foot/balance.hpp"
#include "engine/foot/measure.hpp"
#include "engine/foot/stand.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/solid/solid.hpp"
#include "engine/surface/carpet.hpp"
#include "engine/surface/dress.hpp"
#include "engine/surface/shell.hpp"
#include "engine/surface/trim_line.hpp"
#include "engine/surface/wall_measure.hpp"

namespace archwright::build {

/// Stage 1 and 2: what was received, and how it stands.
struct Received {
    std::shared_ptr<const CastFile> cast;
    scan::Reception reception;
    std::shared_ptr<const examine::Repaired> repaired;  ///< the scan made anew; null: as it came
    foot::Standing standing;                            ///< as the order balances it
    foot::Balanced balance;                             ///< how it came there; its own standing is moved out
    std::vector<foot::Measurement> measurements;        ///< of the cast as it stands by itself
    std::vector<Check> checks;
};

/// What was found on the cast as it stands (after its repairs), and what a person said to it.
struct Examined {
    struct Call {
        examine::Finding finding;
        Vec3 in_scan = Vec3::Zero();                 ///< its place in the cast file's own coordinates
        std::vector<Vec3> line_in_scan;              ///< its line there
        std::optional<design::Answer::Is> answered;  ///< by a person
        std::string answered_by, note;
        std::string on_mark;  ///< mark of pain, lesion or bone it lies on: left as it is
        std::string effect;   ///< of its repair on the device, a sentence; empty: not worked out

        /// Nobody said that the foot is so.
        bool open() const { return answered != design::Answer::Is::foot && on_mark.empty(); }
        bool certain() const { return finding.certainty == examine::Finding::Certainty::certain; }
    };
    std::vector<Call> calls;  ///< worst first; their numbers on screen and in commands begin with 1
    std::vector<design::Answer> elsewhere;  ///< to places where nothing is found now
    double noise_mm = 0.0;                  ///< of the scan's points about a smooth surface
    double mm_per_unit = 1.0;               ///< of the cast file
    examine::HeightMap map;
    std::vector<Check> checks;
};

/// The carpet and the trim line on it.
struct Surfaced {
    surface::TrimRule rule;
    surface::Carpet carpet;                     ///< its surface is the dressed one
    surface::Dressed dressed;                   ///< what was done to it
    std::vector<surface::DressFigure> figures;  ///< of each step, inside the trim line
    double arch_captured_mm = 0.0;  ///< apex of the arch above the cast plane, before dressing (and balanced)
    double arch_delivered_mm = 0.0;  ///< and after
    surface::CarpetReport report;    ///< of the carpet inside the trim line
    surface::TrimLine trim;
    std::vector<DistalReach> distal;  ///< where its distal edge ends under the heads
    std::vector<Check> checks;
};

/// How rigid the wall asked for makes the shell, place by place: plate rigidity D along the device, N mm, of
/// one stuff E T^3 / (12 (1 - nu^2)). Initial stiffness of a flat piece, for comparison of designs only.
struct Rigidity {
    double of_1_mm = 0.0;  ///< D of a wall of 1 mm: others by the cube
    double base_mm = 0.0;
    design::WallMap::Reached walls;  ///< least and greatest wall asked between the borders, and where

    double at(double wall_mm) const { return of_1_mm * wall_mm * wall_mm * wall_mm; }
    double base() const { return at(base_mm); }
    double over_base(double wall_mm) const { return design::rigidity_of_wall(base_mm, wall_mm); }
};

/// The shell: exact surfaces and their mesh, design frame.
struct Shelled {
    design::Material material;
    std::shared_ptr<const design::WallMap> wall;
    Rigidity rigidity;
    feature::FeatureMap features;                  ///< those of the shell: without what is stuck on
    std::vector<feature::Figure> feature_figures;  ///< of each that is on, on the finished foot side
    surface::Shell shell;
    surface::ShellMesh mesh;
    double fit_error_mm = 0.0;  ///< of the two sides
    std::vector<Part> parts;    ///< bodies of their own
    std::vector<Check> checks;
};

/// What was measured on the finished shell.
struct Proved {
    surface::WallGate walls;
    Soundness soundness;
    std::size_t crossings = 0;  ///< pairs of triangles that cross
    solid::Solid solid;
    solid::SolidReport solid_report;
    double volume_mm3 = 0.0;  ///< of the mesh
    double mass_g = 0.0;
    std::vector<PartProof> parts;  ///< in the order of Shelled::parts
    std::vector<Check> checks;
};

struct Device {
    std::string case_code;
    std::string revision;
    Side side = Side::right;
    std::shared_ptr<const Received> received;
    std::shared_ptr<const Examined> examined;  ///< null in a preview
    std::shared_ptr<const Surfaced> surfaced;
    std::shared_ptr<const Shelled> shelled;
    std::shared_ptr<const Proved> proved;
    std::shared_ptr<const Lettered> lettered;  ///< null when the order asks for no letters
    std::shared_ptr<const ShoeFit> shoe;       ///< null when the order says nothing of the insole
    std::vector<Check> checks;                 ///< of all stages, in order, with the job's sign-offs applied

    /// The worst verdict of all checks.
    Verdict verdict() const;
    /// The shell's mesh as it is made: with its letters, where it has any.
    const surface::ShellMesh& made() const;
    /// Of that mesh, in the shell's material.
    double mass_g() const;
    /// Stops that no valid sign-off covers.
    std::vector<Check> open_stops() const;
};

}  // namespace archwright::build
