#include "engine/feature/aperture.hpp"

#include <cmath>
#include <numbers>

#include "engine/feature/tangent.hpp"

namespace archwright::feature {

Outcome<std::vector<surface::Aperture>> apertures(const std::vector<Feature>& features, const Site& site,
                                                  const surface::Rim& rim) {
    std::vector<surface::Aperture> all;
    std::optional<Layer> layer;
    for (const Feature& feature : features) {
        if (!feature.on || feature.kind != Feature::Kind::aperture) continue;
        if (!layer) layer.emplace(site.carpet);
        const auto spots = place_of(feature, site, *layer);
        if (!spots) return spots.fault();
        std::vector<Vec2> places;
        if (spots->size() > 2) {
            for (const Spot& spot : *spots) places.push_back(spot.uv);
        } else {
            constexpr int count = 24;
            const Tangent tangent(site.carpet, spots->front(), feature.turn_deg);
            for (int k = 0; k < count; ++k) {
                const double a = 2.0 * std::numbers::pi * k / count;
                Vec2 uv = spots->front().uv;
                site.carpet.project(
                    tangent.at({0.5 * feature.length_mm * std::cos(a), 0.5 * feature.width_mm * std::sin(a)}),
                    uv, 16);
                places.push_back(uv);
            }
        }
        all.push_back({feature.name, surface::PeriodicCurve::through(places), rim});
    }
    return all;
}

}  // namespace archwright::feature
