// A study's report for people: PDF in plain words, and its drawings as files of their own.
#pragma once

#include <filesystem>

#include "exporters/comparing/study_words.hpp"

namespace archwright::exporters::comparing {

/// Pages of A4, upright: first what was found in plain words, then a page for each quantity with its drawings
/// and figures, methods compared, the map of the sole, what was left out. Same report, same bytes. Fault
/// (output): no font.
Outcome<std::string> study_pdf(const StudyReport& report);

/// Writes study.pdf, study.json, plots of every quantity as SVG and PNG, the map of the sole, the landmarks'
/// scatter (landmarks.csv) where casts were marked again, and a mean surface with its deviations as PLY for
/// every foot. Returns the names written. Faults (output, usage): a file that exists and may not be replaced.
Outcome<std::vector<std::string>> write_study(const StudyReport& report, const std::filesystem::path& folder,
                                              bool replace);

/// A mesh with a colour and a value a point, binary little-endian PLY (vertex properties x y z red green blue
/// value; a value that is not a number is grey and written as such). Fault: as write_file.
Outcome<Done> write_coloured_ply(const TriangleMesh& mesh, const std::vector<double>& values, double low,
                                 double high, bool signed_values, const std::filesystem::path& target);

}  // namespace archwright::exporters::comparing
