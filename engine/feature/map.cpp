#include "engine/feature/map.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "engine/surface/blend.hpp"

namespace archwright::feature {

double rounded_greater(double a, double b) {
    if (!(a > 0.0) || !(b > 0.0)) return std::max(a, b);
    return std::max(a, b) + surface::soft_positive(-std::abs(a - b), a * b / (a + b));
}

Outcome<FeatureMap> FeatureMap::lay(const std::vector<Feature>& features, const Site& site,
                                    const surface::TrimRule& heads) {
    FeatureMap fresh;
    fresh.carpet_ = std::make_shared<const surface::SplineSurface>(site.carpet);
    return lay_over(features, site, heads, std::move(fresh));
}

Outcome<FeatureMap> FeatureMap::edited(const std::vector<Feature>& features, const Site& site,
                                       const surface::TrimRule& heads) const {
    return carpet_ ? lay_over(features, site, heads, *this) : lay(features, site, heads);
}

Outcome<FeatureMap> FeatureMap::lay_over(const std::vector<Feature>& features, const Site& site,
                                         const surface::TrimRule& heads, FeatureMap before) {
    FeatureMap map;
    map.carpet_ = std::move(before.carpet_);
    map.layer_ = std::move(before.layer_);
    std::vector<Laid> laid;
    std::set<std::string> names;
    const bool any = std::any_of(features.begin(), features.end(), [](const Feature& f) { return f.on; });
    if (any) {
        for (const Feature& feature : features) {
            if (!names.insert(feature.name).second)
                return Fault{FaultKind::check,
                             "features",
                             "Two features are called \"" + feature.name + "\": give each its own name.",
                             {}};
            if (!feature.on || feature.kind == Feature::Kind::aperture) continue;
            const auto stood = std::find_if(before.laid_->begin(), before.laid_->end(),
                                            [&](const Laid& one) { return one.feature == feature; });
            if (stood != before.laid_->end()) {
                laid.push_back(*stood);
                continue;
            }
            if (!map.layer_) map.layer_ = std::make_shared<const Layer>(*map.carpet_);
            auto shape = shape_of(feature, site, *map.layer_, heads);
            if (!shape) return shape.fault();
            laid.push_back({feature, std::move(*shape)});
        }
    }
    map.laid_ = std::make_shared<const std::vector<Laid>>(std::move(laid));
    return map;
}

FeatureMap FeatureMap::of_shell() const {
    std::vector<Laid> kept;
    for (const Laid& one : *laid_)
        if (!one.feature.stuck_on()) kept.push_back(one);
    FeatureMap map;
    map.carpet_ = carpet_;
    map.layer_ = layer_;
    map.laid_ = std::make_shared<const std::vector<Laid>>(std::move(kept));
    return map;
}

std::vector<Box3> FeatureMap::differences(const FeatureMap& other) const {
    std::vector<Box3> boxes;
    const auto add_missing = [&](const FeatureMap& from, const FeatureMap& in) {
        for (const Laid& one : *from.laid_)
            if (std::none_of(in.laid_->begin(), in.laid_->end(),
                             [&](const Laid& o) { return o.feature == one.feature; }))
                boxes.push_back({one.shape.low, one.shape.high});
    };
    add_missing(*this, other);
    add_missing(other, *this);
    return boxes;
}

FeatureMap::Sums FeatureMap::sums(const Vec2& uv, const Vec3& p) const {
    Sums sums;
    for (const Laid& one : *laid_) {
        const double h = one.shape.at(uv, p);
        if (h == 0.0) continue;
        const bool followed = one.feature.underside == Feature::Underside::follows;
        if (one.feature.relief()) {
            sums.reliefs = rounded_greater(sums.reliefs, -h);
            if (followed) sums.followed_reliefs = rounded_greater(sums.followed_reliefs, -h);
            if (!followed && one.feature.least_wall_mm)
                sums.least_wall_mm = std::max(sums.least_wall_mm, *one.feature.least_wall_mm);
        } else {
            sums.pads = rounded_greater(sums.pads, h);
            if (followed) sums.followed_pads = rounded_greater(sums.followed_pads, h);
        }
    }
    return sums;
}

double FeatureMap::height(const Vec2& uv) const {
    const Sums s = sums(uv, carpet_->point(uv));
    return s.pads - s.reliefs;
}

double FeatureMap::followed(const Vec2& uv) const {
    const Sums s = sums(uv, carpet_->point(uv));
    return s.followed_pads - s.followed_reliefs;
}

double FeatureMap::radius(const Sums& s, double asked, double material_least_mm) {
    const double below = (s.followed_pads - s.followed_reliefs) - (s.pads - s.reliefs);
    if (!(below > 0.0)) return asked;
    const double least = std::min(s.least_wall_mm > 0.0 ? s.least_wall_mm : material_least_mm, asked);
    // the corner where the least wall takes over is rounded: a sharp one would crease the underside
    constexpr double corner_mm = 0.4;
    const double spare = asked - below - least, corner = std::min(corner_mm, asked - least);
    return least + (corner > 0.0 ? surface::soft_positive(spare, corner) : std::max(spare, 0.0));
}

std::array<surface::Ball, 2> FeatureMap::balls(const Vec2& uv, const Vec3& p, double wall_mm,
                                               double material_least_mm) const {
    const Sums s = sums(uv, p);
    return {{{s.pads - s.reliefs, radius(s, wall_mm, material_least_mm)},
             {s.followed_pads - s.followed_reliefs, wall_mm}}};
}

std::vector<surface::BallLayer> FeatureMap::sheets(const surface::WallFunction& wall,
                                                   double material_least_mm) const {
    if (empty()) return {{{}, wall}};
    const bool all_followed = std::all_of(laid_->begin(), laid_->end(), [](const Laid& one) {
        return one.feature.underside == Feature::Underside::follows;
    });
    const auto height = [map = *this](const Vec2& uv) { return map.height(uv); };
    if (all_followed) return {{height, wall}};
    const auto thinned = [map = *this, wall, material_least_mm](const Vec2& uv, const Vec3& p) {
        return radius(map.sums(uv, p), wall(uv, p), material_least_mm);
    };
    return {{height, thinned}, {[map = *this](const Vec2& uv) { return map.followed(uv); }, wall}};
}

}  // namespace archwright::feature
