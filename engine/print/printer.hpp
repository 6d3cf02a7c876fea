// Printers a laboratory has, read from the assets: how large, of which process, and what it can make.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/vec.hpp"

namespace archwright::print {

enum class Process {
    powder_bed,  ///< a layer of powder is melted where the part is; loose powder carries it
    filament,    ///< beads are laid on one another; what overhangs wants supports
};
const char* title(Process process);

/// A figure with where it comes from (design::Evidence by its letter).
struct PrinterFigure {
    double value = 0.0;
    std::string source;
    std::string mark = "M";
};

/// A material this printer is run with.
struct PrinterMaterial {
    std::string key;  ///< of design::Materials
    std::string note;
};

/// What each share weighs where one way to lay a device is chosen before another (docs/making.md).
struct Weights {
    double height = 1.0, overhang = 1.0, flats = 1.0, across = 1.0;
};

struct Printer {
    std::string key, name;
    Process process = Process::powder_bed;
    double build_x_mm = 0, build_y_mm = 0, build_z_mm = 0;
    double margin_mm = 0;  ///< kept free at each side face of the build volume, and above
    PrinterFigure layer_mm;
    PrinterFigure least_wall_mm;    ///< thinner walls do not come out
    PrinterFigure least_loaded_mm;  ///< thinner walls do not last where loads pass
    PrinterFigure least_gap_mm;     ///< narrower gaps run together
    PrinterFigure deepest;          ///< depth over breadth of a round hole from which powder stays in it
    PrinterFigure overhang_deg;     ///< faces that look down and lie flatter than this are not carried
    PrinterFigure flat_mm2;         ///< flats along the layers that are larger warp
    Weights weights;
    std::vector<PrinterMaterial> materials;
    std::string note;

    /// What is left for a part.
    Vec3 room() const {
        return {build_x_mm - 2.0 * margin_mm, build_y_mm - 2.0 * margin_mm, build_z_mm - margin_mm};
    }
};

/// Every file of `assets`/printers, by its name. A faulty file is a fault (input) naming file and key.
Outcome<std::map<std::string, Printer>> load_printers(const std::filesystem::path& assets);

/// The printer of that key. Fault (usage) names the nearest one and lists them.
Outcome<Printer> find_printer(const std::map<std::string, Printer>& all, const std::string& key);

}  // namespace archwright::print
