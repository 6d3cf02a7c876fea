// Handles of closed curves drawn in plan, of the trim line, of posts, and of the wall's stations.
#pragma once

#include "editor/view/handle.hpp"

namespace archwright::editor::view {

/// Of a wall region: its points, its blend.
Handles region_handles(const design::WallRegion& region);
/// Of a zone to be smoothed, and of one no dressing may touch: points, and the breadth at the edge.
Handles zone_handles(const surface::SmoothZone& zone);
Handles zone_handles(const surface::KeepZone& zone);
/// Of a cover with a drawn outline; of others none.
Handles cover_handles(const design::Cover& cover);

/// Of one without, on the edge it has (pattern::edge_in_plan): the first drag draws it.
Handles cover_handles(const design::Cover& cover, const std::vector<Vec2>& edge);

/// Every control point of the trim line, and the line as the order would have it now: each place goes outward
/// on the surface by what the controls, the width allowance and the scallop move it. None without a surface.
Handles trim_handles(const design::FootDesign& foot, const std::shared_ptr<const Sole>& sole);

/// "rearfoot": length, width and, with motion, the hinge; "forefoot": length; "flat_contact": diameter, about
/// the heel centre (the finished one lies at the heel's lowest place). None of a post that is not made.
Handles post_handles(const design::FootDesign& foot, const std::string& name,
                     const std::shared_ptr<const Sole>& sole);

/// "medial" or "lateral": both ends along the device, and the breadth. None of a column that is off, or
/// before a surface has a trim line.
Handles column_handles(const design::Wall& wall, const std::string& name,
                       const std::shared_ptr<const Sole>& sole);

/// The wall along the device as places (along, wall, 0), for a graph.
Handles station_handles(const design::Wall& wall);

}  // namespace archwright::editor::view
