// What a printer makes of a device, for people and for programs.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "engine/build/device.hpp"
#include "engine/print/check.hpp"

namespace archwright::exporters {

/// Stands under every report: what a print check does not know.
extern const char* const print_caution;

/// The name first, the lay with its reasons, then the checks, two blanks in.
std::vector<std::string> print_lines(const build::Device& device, const print::Printing& printing,
                                     bool as_it_stands);
nlohmann::ordered_json print_json(const build::Device& device, const print::Printing& printing,
                                  bool as_it_stands);

/// The device as it lies on the printer's plate: export frame of its side (a left one is the mirror image of
/// what was judged), z up, lowest place at 0, mm.
TriangleMesh on_plate(const build::Device& device, const print::Printing& printing, bool as_it_stands);

/// Device judged on a printer: put on the bench (where that can be) and looked at. Faults: another material
/// than the printer is run with (usage); not proved (internal); print::judge's.
Outcome<print::Printing> judge_print(const build::Device& device, const std::optional<double>& body_mass_kg,
                                     const print::Printer& printer, bool as_it_stands, Progress& progress);

}  // namespace archwright::exporters
