// Creases: narrow ridges and furrows along a line.
#pragma once

#include <vector>

#include "engine/examine/relief.hpp"
#include "engine/examine/trace.hpp"

namespace archwright::examine {

struct Crease {
    std::vector<Vec2> nodes;  ///< centre line, (i, j)
    double length = 0.0;      ///< mm
    double height = 0.0;      ///< mm, + a ridge (away from the foot), - a furrow
    double height_sd = 0.0;
    double width = 0.0;  ///< mm, full width at half height
    double share = 0.0;  ///< of the misfit of a cubic across it that a ridge explains
};

/// Lines of the ridge filter whose section is that of a crease: a ridge up to 4.6 mm wide that explains three
/// quarters and more of what a cubic leaves. The triangles' edges widen and lower a narrow ridge as a tent of
/// their length does (variance edge^2 / 6); height and width are given back what that takes. Side lobes of a
/// stronger line are dropped. Strongest first.
std::vector<Crease> find_creases(const Relief& relief, const Response& ridges);

/// Share of a line's points at which the mask is set.
double share_in(const std::vector<Vec2>& nodes, const Mask& mask);
/// The nodes within so many mm of a line.
Mask band(const std::vector<Vec2>& nodes, const Relief& relief, double within_mm);

}  // namespace archwright::examine
