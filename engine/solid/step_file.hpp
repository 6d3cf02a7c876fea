// STEP (ISO 10303-21) in and out. One process-wide lane: the library's settings are process-wide statics.
#pragma once

#include <filesystem>
#include <string>

#include "engine/base/outcome.hpp"
#include "engine/solid/solid.hpp"

namespace archwright::solid {

enum class StepSchema {
    ap242,  ///< ISO 10303-242, managed model based 3D engineering
    ap214,  ///< ISO 10303-214, for older readers
};

/// Words of a STEP file. Printable ASCII is kept, anything else becomes "_".
struct StepWords {
    std::string product;                       ///< job code and side
    std::string date = "1970-01-01T00:00:00";  ///< FILE_NAME time stamp; of the job, never of the clock
};

/// A word as a STEP file holds it.
std::string step_word(std::string text);

/// The text of a STEP file, mm. Same solid and words give the same bytes, in any process and after any number
/// of other files. (exporters::write_step puts it on disk and reads it back.)
Outcome<std::string> step_text(const Solid& solid, const StepWords& words,
                               StepSchema schema = StepSchema::ap242);

/// What a reader finds in a STEP file.
struct StepReadBack {
    Solid solid;          ///< exactly one; a file that holds anything else is a fault
    SolidReport report;   ///< closed, valid, volume: see SolidReport
    std::string product;  ///< name of the product
    std::string unit;     ///< length unit named in the file: "mm", ...
};

/// Reads a STEP file of one solid. Faults ("read"): not readable, no product, more or less than one solid
/// (reading repairs: a solid that misses a face comes back as an open shell, so the type is checked).
Outcome<StepReadBack> read_step(const std::filesystem::path& path);

}  // namespace archwright::solid
