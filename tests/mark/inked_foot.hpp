// Generated feet with ink drawn on them at random, and where it was drawn.
#pragma once

#include <optional>
#include <vector>

#include "assets/generator/cast.hpp"
#include "engine/foot/stand.hpp"

namespace archwright::tests {

/// A stroke or a spot that was drawn, in the frame of the standing foot.
struct Drawn {
    std::vector<Vec3> line;  ///< every half mm; empty for a spot
    bool closed = false;
    Vec3 centre = Vec3::Zero();  ///< of a spot
    double size_mm = 0.0;        ///< width of a line, radius of a spot
};

struct InkedFoot {
    foot::Standing standing;
    std::vector<Drawn> drawn;
};

/// What the random feet share.
struct InkAsked {
    double least_contrast = 0.25, most_contrast = 0.9;
    int lines = 3, spots = 3, rings = 1;
    double noise_mm = 0.06;
    std::size_t triangles = 150'000;
};

/// A foot of this seed under plaster with that ink: indelible pencil, blue, black, red or purple; light that
/// varies by a third to a half; nothing drawn nearer than 9 mm to anything else. Nothing when the cast could
/// not be taken or does not stand.
std::optional<InkedFoot> inked_foot(std::uint64_t seed, const InkAsked& asked);

/// The foot of a cast as made by the generator, with its drawings.
std::optional<InkedFoot> standing_of(const generator::Foot& foot, const generator::CastSpec& spec);

}  // namespace archwright::tests
