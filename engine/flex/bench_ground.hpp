// What the ground gives to a device that stands on it, by its parts, and how its distal edge slides.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "engine/flex/bench_stand.hpp"

namespace archwright::flex {

enum class GroundPart { heel, arch, lateral_midfoot, distal };

/// Which part of a device a place in plan belongs to; the arch is the medial half between heel and distal
/// part.
GroundPart ground_part(const surface::TrimRule& rule, const Vec2& plan);

/// What the ground gives upwards at a place that touches, N.
double upward(const BenchStand& stand, const Contact& contact, const ContactAnswer& answer);

/// What it gives upwards to the arch, N.
double arch_force(const surface::TrimRule& rule, const BenchStand& stand,
                  const std::vector<Contact>& contacts, const std::vector<ContactAnswer>& answers);

/// How far the distal edge's mean has moved along the ground, forward, mm.
double distal_slide(const BenchStand& stand, const Eigen::VectorXd& displacement);

}  // namespace archwright::flex
