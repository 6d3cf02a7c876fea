// Filters that answer to ridges and to steps, in every direction.
#pragma once

#include <vector>

#include "engine/examine/image.hpp"

namespace archwright::examine {

constexpr double sigma_of_width =
    1.0 / 2.3548200450309493;  ///< of a Gaussian, from its full width at half height

/// At each node the answer of greatest size over all directions and widths.
struct Response {
    Image size;   ///< mm: height of the ridge (+ away from the foot) or of the step
    Image angle;  ///< direction of the line, radians from +u towards +v, 0 to pi
};

/// Height of a ridge of Gaussian section (full width at half height `width_mm`, each in turn) over a cubic
/// across it, by least squares weighted with cos^2 over 4.5 standard deviations (4 mm at least) to both sides
/// and with a Gaussian along it (standard deviation `along_mm`). The section's part orthogonal to the cubic
/// is all that is needed, so the filter is a product of one across and one along (after W. T. Freeman and
/// E. H. Adelson 1991, by turning the image instead of the filter).
Response ridges(const Image& height, const Mask& where, double step_mm, const std::vector<double>& widths_mm,
                double along_mm);

/// Height of a step over a parabola across it, within 5 mm to both sides; positive where the side
/// (-sin, cos) of the line stands higher away from the foot.
Response steps(const Image& height, const Mask& where, double step_mm, double along_mm);

/// 1 where the response is greatest across its line.
Mask crests(const Response& response);

}  // namespace archwright::examine
