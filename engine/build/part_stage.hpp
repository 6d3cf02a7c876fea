// Parts of the job on the shell in hand, and what was measured on them.
#pragma once

#include "engine/build/device.hpp"

namespace archwright::build {

/// The parts that features and posts ask for, meshed, in the order of the list, posts last. `features` are
/// all of the foot, `posts` those that are parts. Faults: feature::lay_part, surface::mesh_post, a part of a
/// groove or an aperture, two parts of one name, an unknown material.
Outcome<std::vector<Part>> lay_parts(const Surfaced& surfaced, const surface::Shell& shell,
                                     const feature::FeatureMap& features,
                                     const std::vector<surface::Post>& posts, const design::FootDesign& foot,
                                     const design::Materials& materials);

/// Whether a post that lay_posts laid is made as a part of its own.
bool is_part(const surface::Post& post, const design::FootDesign& foot);

/// All posts under the shell, those that are stuck on among them.
std::vector<surface::Post> posts_under(const Shelled& shelled);

/// The shell with all of those as its own.
surface::Shell with_stuck_on(const Shelled& shelled);

/// The shell's mesh with those of its parts: what stands on the ground and goes into the shoe. Points and
/// triangles side by side; bodies that touch are not joined.
TriangleMesh whole_mesh(const Shelled& shelled);

/// Measures every part on its finished bodies.
std::vector<PartProof> prove_parts(const Shelled& shelled);

/// "parts.fit": each part a closed, sound body, apart from shell and other parts, its faces on their fields,
/// a plug's clearance as asked; else a stop that no one may sign. "parts.reach": a look when one was cut
/// short by the trim line. Nothing where there are no parts.
std::vector<Check> check_parts(const Shelled& shelled, const std::vector<PartProof>& proofs);

}  // namespace archwright::build
