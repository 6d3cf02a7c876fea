#include "assets/drawings/sole_plan.hpp"

#include "assets/drawings/clay.hpp"
#include "assets/drawings/section.hpp"
#include "engine/picture/level_curves.hpp"

namespace archwright::drawings {

using picture::Colour;

std::vector<Vec2> in_plan(const picture::Axes& axes, const std::vector<Vec3>& points) {
    std::vector<Vec2> line;
    for (const Vec3& p : points) line.push_back(axes.at(p.y(), p.x()));
    return line;
}

void sole_in_plan(Page& page, const picture::Box& box, const picture::Axes& axes, Side side,
                  const Made& made) {
    const Colour skin = Colour::hex(0xE9E6DF), shell = Colour::hex(0xDCE8F1);
    const picture::Box air = box.inset(1.0);
    flat_from_above(page, air, axes, side, made.received.standing.mesh, {}, [&](double) { return skin; });
    const surface::TrimRegion inside{surface::Outline(made.surfaced.trim.curve)};
    constexpr int per_span = 4;
    const Facets facets = drawings::facets(made.surfaced.carpet.surface, per_span, &inside);
    flat_from_above(page, air, axes, side, facets.mesh, {}, [&](double) { return shell; });
    std::vector<double> height;
    for (const Vec3& p : facets.mesh.points) height.push_back(p.z());
    for (double level = 5.0; level < 40.0; level += 5.0)
        for (const picture::Chain& chain : picture::level_curves(facets.mesh, height, level))
            page.canvas().polyline(in_plan(axes, chain.points), chain.closed,
                                   {picture::mix(page.theme().accent, shell, 0.55), 1.0});
}

}  // namespace archwright::drawings
