// A pattern's sheet as the bytes of a file, and the file read back.
#pragma once

#include <string>
#include <string_view>

#include "engine/base/outcome.hpp"
#include "exporters/pattern_sheet.hpp"

namespace archwright::exporters {

/// PDF 1.4 by cairo: one page of the sheet's size, fonts embedded, words that can be searched. No clock: its
/// dates are the sheet's, else 1970-01-01. Fault (output) when cairo fails.
Outcome<std::string> pattern_pdf(const PatternSheet& sheet);
/// SVG 1.1 in mm (width and height in mm over a viewBox of as many units): group "CUT" holds the outline as
/// one path, group "MARK" everything else.
std::string pattern_svg(const PatternSheet& sheet);
/// DXF R12 (AC1009), ASCII, $INSUNITS 4 (mm), y up: layer CUT holds the outline as one closed POLYLINE, layer
/// MARK everything else; letters beyond ASCII as \U+XXXX.
std::string pattern_dxf(const PatternSheet& sheet);

/// Reads a file back: the size of the page (PDF), the outline's every point within
/// tolerance::pattern_file_mm (SVG, DXF). Fault (output) says what differs.
Outcome<Done> verify_pattern_pdf(std::string_view bytes, const PatternSheet& sheet);
Outcome<Done> verify_pattern_svg(std::string_view bytes, const PatternSheet& sheet);
Outcome<Done> verify_pattern_dxf(std::string_view bytes, const PatternSheet& sheet);

}  // namespace archwright::exporters
