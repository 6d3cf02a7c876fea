// The mean of all casts of one foot, and how far they part from it, place by place.
#pragma once

#include "engine/study/casts.hpp"

namespace archwright::study {

struct MeanSurface {
    std::string foot;
    Side side = Side::right;
    int casts = 0;
    double foot_length_mm = 0.0;
    TriangleMesh mesh;  ///< the sole behind the toes, design frame of the first cast, mm
    /// Of every point: standard deviation of the casts along the normal, mm; not a number where fewer than
    /// two thirds of them have a counterpart.
    std::vector<double> sd_mm;
    double usual_sd_mm = 0.0, most_sd_mm = 0.0;  ///< median, and what 95 of 100 places stay below
};

/// One for every foot with two good casts or more, in the order of the table. The casts are laid on the
/// first, their mean is taken along its normals, all are laid on that mean, and mean and deviations are taken
/// anew (generalised Procrustes analysis in one further round). Fault: cancelled.
Outcome<std::vector<MeanSurface>> mean_surfaces(const Table& table, const Casts& casts, Progress& progress);

/// Where the deviations lie in plan of a foot of length 1: rows along the foot from the heel's rear, columns
/// across from lateral to medial, over half the length broad; root mean square over all feet. Not a number
/// where nothing is.
struct DeviationPlan {
    static constexpr int along = 80, across = 50;
    static constexpr double breadth = 0.5;  ///< of the length
    std::vector<double> sd_mm;              ///< along * across, the row at the heel first
    double at(int row, int column) const { return sd_mm[static_cast<std::size_t>(row * across + column)]; }
};
DeviationPlan deviation_plan(const std::vector<MeanSurface>& surfaces);

}  // namespace archwright::study
