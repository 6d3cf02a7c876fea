// The drawings of a study: how casts scatter, where that comes from, how two methods agree, where on the
// sole.
#pragma once

#include "engine/study/analysis.hpp"
#include "engine/study/mean_surface.hpp"
#include "exporters/comparing/page.hpp"

namespace archwright::exporters::comparing {

/// Every value against the mean of its foot, feet side by side, a mark of its own for each person.
void draw_scatter(Page& page, const picture::Box& box, const study::Finding& finding);
/// Standard deviation of every source but the foot, with its limits.
void draw_sources(Page& page, const picture::Box& box, const study::Finding& finding);
/// Differences of pairs over their means, with mean and limits of agreement and their intervals.
void draw_agreement(Page& page, const picture::Box& box, const study::PairedFigures& pairs,
                    const study::Quantity& quantity);
/// The sole in plan, coloured by the standard deviation, mm; heel below, medial right (a right foot seen from
/// above is turned over: as all feet are seen).
void draw_deviation_plan(Page& page, const picture::Box& box, const study::DeviationPlan& plan);

}  // namespace archwright::exporters::comparing
