// Whether a device comes out of a printer: what is judged before it is sent there.
#pragma once

#include <optional>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/print/lay.hpp"
#include "engine/print/loads.hpp"
#include "engine/print/printer.hpp"
#include "engine/print/probe.hpp"

namespace archwright::print {

/// Pieces of skin smaller than this, mm2, make a look of what else would stop a print (our choice: less than
/// the foot of a letter's stroke).
inline constexpr double speck_mm2 = 1.0;

/// Figures of one device on one printer; places in the frame of its mesh.
struct Printing {
    Printer printer;
    Probe probe;
    Proposal proposal;
    std::optional<double> least_wall_mm, least_loaded_mm, least_gap_mm;
    Vec3 wall_where = Vec3::Zero(), loaded_where = Vec3::Zero(), gap_where = Vec3::Zero();
    double thin_mm2 = 0.0, thin_loaded_mm2 = 0.0, narrow_mm2 = 0.0, deep_mm2 = 0.0;  ///< beyond the limits
    double deepest = 0.0;
    Vec3 deepest_where = Vec3::Zero();
    std::vector<std::string> loads;  ///< Loads::told; empty: not asked
    std::vector<Check> checks;       ///< "print.hollow", ... none of them can be signed

    Verdict verdict() const;
};

/// Judges a closed, outward mesh (mm): proposes how it is laid, and checks it laid so, or as it stands.
/// `loads` null: no wall counts as loaded and no direction matters. `material_note`: the printer's, of the
/// material it is run with. Faults as probe and propose.
struct PrintSetting {
    bool as_it_stands = false;
    std::string material_note;
    ProbeSetting probe;
};
Outcome<Printing> judge(const TriangleMesh& mesh, const Printer& printer, const Loads* loads,
                        const PrintSetting& setting, Progress* progress);

/// The note of the printer's entry for a material. Fault (usage) where it is not run with it.
Outcome<std::string> runs_with(const Printer& printer, const std::string& material);

}  // namespace archwright::print
