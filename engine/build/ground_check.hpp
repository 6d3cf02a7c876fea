// What the finished device stands on, and what stays clear of the ground.
#pragma once

#include "engine/build/device.hpp"
#include "engine/foot/rest.hpp"

namespace archwright::build {

/// The ground is the plane the finished device rests on under a load at foot::load_share of the way from heel
/// to heads.
/// "ground.rest": its three contact points, inclination and pitch. Where posts or a flat contact stand, or
/// the underside follows a relief, it is a look when a load that wanders turns the device by more than
/// tolerance::rocking_look_deg (and more than the motion asked).
/// "ground.clearance": the least height over the ground of what is not meant to touch it: the bulge under a
/// relief that the underside follows, and everything round a post in its half of the device. A look below
/// tolerance::ground_clearance_mm.
/// "post.faces": rearfoot face against the forefoot's, a look above tolerance::post_faces_look_deg.
/// "post.flat_contact": the wall that grinding the same flat would take.
/// "ground.correction": forefoot F, intrinsic I and extrinsic E with what remains, F - I - E; a look when
/// more is corrected than there is, or the other way. "ground.lift": a look when a relief that the underside
/// follows bulges into a post, which then stands deeper.
std::vector<Check> check_ground(const Received& received, const Surfaced& surfaced,
                                const design::FootDesign& foot, const Shelled& shelled);

/// The plane the finished device rests on, without its letters. Nothing where it has none.
std::optional<foot::Rest> ground_under(const Surfaced& surfaced, const Shelled& shelled);

}  // namespace archwright::build
