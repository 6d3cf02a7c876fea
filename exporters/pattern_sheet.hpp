// One pattern laid out on paper, 1:1: what the PDF, SVG and DXF writers draw.
#pragma once

#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/pattern/pattern.hpp"
#include "engine/picture/canvas.hpp"

namespace archwright::exporters {

/// A page in mm, origin at its upper left corner, y down. Nothing on it is scaled.
struct PatternSheet {
    enum class Layer { cut, mark };
    struct Stroke {
        std::string what;  ///< "cut", "shell edge", "axis", "bar", ...
        Layer layer = Layer::mark;
        std::vector<Vec2> points;
        bool closed = false;
        double width_mm = 0.2;
        std::vector<double> dashes = {};  ///< mm, none: solid
    };
    struct Words {
        std::string text;      ///< UTF-8, one line, no control characters
        Vec2 at;               ///< left end of its baseline
        double size_mm = 3.0;  ///< em
        picture::Weight weight = picture::Weight::regular;
        double width_mm = 0.0;  ///< of the line as set
    };

    std::string paper;  ///< "A4 portrait"
    double width_mm = 210.0, height_mm = 297.0;
    std::string title;  ///< case, side, revision, part
    std::string date;   ///< YYYY-MM-DD, or empty
    std::vector<Stroke> strokes;
    std::vector<Words> words;

    const Stroke& cut() const;
};

/// Length of the check bar.
inline constexpr double check_bar_mm = 100.0;

/// The smallest of A4 to A0 that holds the pattern beside its words, margins of 10 mm. On the pattern itself:
/// boxed letter of the side, case code, revision, part, which side is up; the shell's edge dashed, the
/// heel-toe axis, the metatarsal heads. Beside it: the same, and material, thickness, length, margin, how far
/// the flat is from the shell, the legend and a check bar. Faults (stage "pattern"): no font (input), larger
/// than A0 (check).
Outcome<PatternSheet> lay_out(const pattern::Pattern& pattern);

}  // namespace archwright::exporters
