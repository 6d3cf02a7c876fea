// One picture of what differs: surfaces coloured by how far they lie from another, with the figures beside.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/side.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/picture/image.hpp"

namespace archwright::exporters::comparing {

struct DifferenceView {
    const TriangleMesh* mesh = nullptr;       ///< design frame, mm
    const std::vector<double>* mm = nullptr;  ///< of its points; grey where it is not a number
    bool from_below = true;
    std::string title;
};

struct DifferenceSheet {
    Side side = Side::right;
    std::string code, title;
    std::string legend;  ///< with the unit
    std::vector<DifferenceView> views;
    struct Line {
        std::string text;
        bool strong = false;
        std::optional<Verdict> verdict = {};
    };
    std::vector<Line> lines;
};

struct DrawnSheet {
    picture::Image image;
    double scale_mm = 1.0;  ///< the map's greatest value, of either sign
    std::vector<std::string> written, shortened;
};

/// Faults (output): no font.
Outcome<DrawnSheet> draw_difference_sheet(const DifferenceSheet& sheet);

/// What all but one point in a hundred stay within, at least 0.1 mm, rounded up to 1, 2 or 5.
double map_limit(const std::vector<const std::vector<double>*>& values);

}  // namespace archwright::exporters::comparing
