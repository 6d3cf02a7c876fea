#include "tests/outside/sliced.hpp"

#include <cmath>
#include <fstream>

#include "engine/base/text.hpp"
#include "tests/outside/programs.hpp"

namespace archwright::tests {

namespace {

/// Top of the highest layer that a sliced file holds, mm; 0: none.
double top_of(const std::filesystem::path& path) {
    double top = 0.0;
    std::ifstream file(path);
    for (std::string line; std::getline(file, line);)
        if (line.starts_with(";Z:"))
            if (const auto z = parse_number(line.substr(3))) top = std::max(top, *z);
    return top;
}

}  // namespace

std::string slicing_trouble(const std::filesystem::path& folder, const std::string& file,
                            const TriangleMesh& mesh) {
    const std::string info = output_of("prusa-slicer --info " + file, folder);
    const std::string about = "\nprusa-slicer says of " + file + ":\n";
    // what it prints of a mesh it has to mend (admesh's counts)
    for (const char* word :
         {"manifold = no", "open_edges", "degenerate_facets", "edges_fixed", "facets_removed", "facets_added",
          "facets_reversed", "backwards_edges", "repair"})
        if (info.find(word) != std::string::npos) return std::string(word) + about + info;
    if (info.find("manifold = yes") == std::string::npos) return "not called manifold" + about + info;
    const double volume = number_after(info, "volume").value_or(0.0);
    if (std::abs(volume - mesh.volume()) > 1e-4 * mesh.volume()) return "another volume" + about + info;
    if (number_after(info, "number_of_parts").value_or(0.0) != 1.0) return "not one part" + about + info;

    // its default settings but for what only takes time: one wall, no filling
    const std::string said = output_of(
        "prusa-slicer --perimeters 1 --fill-density 0% --top-solid-layers 0 --bottom-solid-layers 0 "
        "--layer-height 0.3 --export-gcode --output sliced.gcode " +
            file,
        folder);
    for (const char* word : {"repair", "rror", "arning", "mpty layer", "no extrusions"})
        if (said.find(word) != std::string::npos) return std::string(word) + about + said;
    if (said.find("Slicing result exported") == std::string::npos) return "not sliced" + about + said;
    // the last layers may be narrower than a bead, and stay empty
    constexpr double first_layer_mm = 0.35, narrow_mm = 1.0;
    const double top = top_of(folder / "sliced.gcode"), height = mesh.box().size().z();
    if (!(top >= height - narrow_mm && top <= height + first_layer_mm))
        return "layers up to " + rounded(top, 2) + " mm of " + rounded(height, 2) + about + said;
    std::error_code ignored;
    std::filesystem::remove(folder / "sliced.gcode", ignored);
    return "";
}

}  // namespace archwright::tests
