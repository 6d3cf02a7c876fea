// Posts of the job under the shell in hand.
#pragma once

#include "engine/build/device.hpp"

namespace archwright::build {

/// What lay_posts calls the two posts.
inline constexpr const char *rearfoot_post = "rearfoot post", *flat_contact_post = "flat contact";
inline constexpr const char* forefoot_post = "forefoot post";

/// The inclination that the forefoot's face leaves: F - I - E, degrees, positive inverted; F is taken from
/// the balanced cast. Nothing where F is not known.
std::optional<double> forefoot_face_deg(const Received& received, const design::FootDesign& foot);

/// The posts that are on, laid under `underside`. Floors are tilted about +x as asked and share the pitch of
/// the ground: the plane under the rear post (or the heel) and the front one (or the distal edge). A rearfoot
/// post replaces a flat contact. Faults: a
/// forefoot post without a known forefoot; a post that does not lie over the underside.
Outcome<std::vector<surface::Post>> lay_posts(const Received& received, const Surfaced& surfaced,
                                              const surface::SplineSurface& underside,
                                              const design::FootDesign& foot);

}  // namespace archwright::build
