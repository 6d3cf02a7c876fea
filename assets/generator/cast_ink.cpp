#include "assets/generator/cast_ink.hpp"

#include <algorithm>
#include <cmath>

#include "assets/generator/smooth.hpp"
#include "engine/base/text.hpp"

namespace archwright::generator {

namespace {
constexpr std::uint64_t light_stream = 301, grain_first = 0x100000000ULL;
constexpr double soft_edge_mm = 0.35;  // ink bleeds into plaster
}  // namespace

Ink::Ink(const Colours& colours, std::uint64_t seed)
    : colours_(colours), seed_(seed), light_(Random(seed, light_stream), 90.0, 260.0, 8) {}

Outcome<Ink> Ink::lay(const Foot& foot, const CastSpec& spec) {
    Ink ink(*spec.colours, spec.seed);
    for (const InkLine& l : spec.colours->lines) {
        auto line = SoleLine::lay(foot, l.path, l.closed);
        if (!line)
            return Fault{
                FaultKind::usage, "cast", "an ink line needs two places or more, all on the sole", {}};
        ink.lines_.push_back({*std::move(line), 0.5 * l.width_mm, l.contrast});
    }
    for (const InkSpot& s : spec.colours->spots) {
        const auto p = s.on_lateral_border ? std::optional<Vec3>(foot.truth().landmarks.at("fifth_base"))
                                           : foot.sole(s.at.x(), s.at.y());
        if (!p)
            return Fault{FaultKind::usage,
                         "cast",
                         "the ink spot at x " + rounded(s.at.x(), 1) + ", y " + rounded(s.at.y(), 1) +
                             " does not lie on the sole",
                         {}};
        ink.spots_.push_back({*p, s.radius_mm, s.contrast});
    }
    return ink;
}

double Ink::cover(const Vec3& p) const {
    double most = 0.0;
    const auto fade = [](double over) { return 1.0 - smooth_step(over, -soft_edge_mm, soft_edge_mm); };
    for (const Line& l : lines_) {
        const double reach = l.half_width + 2.0 * soft_edge_mm;
        most = std::max(most, l.contrast * fade(l.line.nearest(p, reach).distance_mm - l.half_width));
    }
    for (const Spot& s : spots_) most = std::max(most, s.contrast * fade((p - s.at).norm() - s.radius));
    return most;
}

TriangleMesh::Colour Ink::colour(const Vec3& p, std::size_t vertex) const {
    Random random(seed_, grain_first + vertex);
    const double light = 1.0 - colours_.uneven_light * std::clamp(0.5 + 0.5 * light_(p), 0.0, 1.0);
    const double ink = cover(p);
    const double grain = 255.0 * colours_.grain * random.normal();
    TriangleMesh::Colour c;
    for (std::size_t i = 0; i < 3; ++i) {
        const double albedo = (1.0 - ink) * colours_.ground[i] + ink * colours_.ink[i];
        c[i] = static_cast<std::uint8_t>(std::lround(std::clamp(albedo * light + grain, 0.0, 255.0)));
    }
    return c;
}

}  // namespace archwright::generator
