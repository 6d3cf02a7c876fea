// From the crest of a response to a line, and the line's section.
#pragma once

#include <vector>

#include "engine/base/vec.hpp"

#include "engine/examine/oriented.hpp"

namespace archwright::examine {

/// A crest followed through the image. Points (i, j) in nodes, about one a node, smoothed.
struct Trace {
    std::vector<Vec2> points;
    double length = 0.0;     ///< nodes
    double mean_size = 0.0;  ///< mean response along it (absolute)
};

struct TraceSettings {
    double low = 0.1, high = 0.16;  ///< hysteresis (J. Canny 1986) on the response, absolute
    double of_near =
        0.45;       ///< and at least this share of the greatest response near by: no lobes of a stronger line
    int near = 16;  ///< how near, nodes
    double gap = 2.0;            ///< nodes: crests this near are one
    double least_length = 30.0;  ///< nodes
    double smooth = 6.0;         ///< standard deviation of the smoothing along the line, nodes
};

/// Lines of one sign (+1, -1) of the response, the longest way through each connected crest, longest first.
std::vector<Trace> traces(const Response& response, int sign, const TraceSettings& settings);

/// Mean section across a line by least squares: a Gaussian ridge on a cubic.
struct Section {
    double height = 0.0, height_sd = 0.0;  ///< mm; the sd from the misfit
    double width = 0.0;                    ///< mm, full width at half height, as the image shows it
    double share = 0.0;                    ///< share of the cubic's misfit that the ridge explains, 0..1
};
/// Moves the points onto the crest (least squares within 1.5 mm to both sides, averaged along) and
/// measures the section over the line without its ends, which fade.
Section measure_section(const Image& height, double step_mm, std::vector<Vec2>& points);

}  // namespace archwright::examine
