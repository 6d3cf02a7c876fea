// What changed since a revision: the keys with both values, the figures, and a map of two built devices.
#pragma once

#include <nlohmann/json.hpp>

#include "engine/compare/device.hpp"
#include "engine/design/decisions.hpp"
#include "exporters/comparing/difference_sheet.hpp"

namespace archwright::exporters::comparing {

struct ChangedReport {
    std::string case_code, revision;  ///< now
    Side side = Side::right;          ///< now
    std::string fingerprint, fingerprint_then;
    std::string since;                         ///< letter
    std::optional<design::Approval> approval;  ///< that is meant; none: as it stood when the next began
    std::vector<design::Setting> settings;
    /// Of the two devices, where both were built; else why not.
    struct Built {
        std::vector<compare::Figure> figures;  ///< then, now
        compare::Shells apart;                 ///< now against then
        std::vector<double> wall_mm;  ///< now less then, of the points of the device's mesh; else no number
        double wall_added_mm = 0.0, wall_taken_mm = 0.0;  ///< greatest
        std::vector<double> foot_side_mm, underside_mm;   ///< of the mesh's points
    };
    std::optional<Built> built;
    std::string why_not;
};

/// The settings alone.
ChangedReport changed_since(const design::Job& job, Side side, const design::PastFoot& past);
/// Both have a shell. Walls are distances in space from the foot side, 3 walls and more from the edge alone
/// being of use: nearer to it the two edges differ. Fault: cancelled.
Outcome<ChangedReport::Built> built_apart(const build::Device& now, const design::FootDesign& foot_now,
                                          const build::Device& then, const design::FootDesign& foot_then,
                                          Progress& progress);

std::vector<std::string> changed_lines(const ChangedReport& report);
nlohmann::ordered_json changed_json(const ChangedReport& report);
/// The surfaces, and the wall. Only of a report with both devices; `now` is that device. Faults (output): no
/// font.
Outcome<DrawnSheet> changed_surfaces(const ChangedReport& report, const build::Device& now);
Outcome<DrawnSheet> changed_wall(const ChangedReport& report, const build::Device& now);

}  // namespace archwright::exporters::comparing
