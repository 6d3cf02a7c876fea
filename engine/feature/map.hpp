// All features of a shell together: what the foot side does, and what balls the underside has to clear.
#pragma once

#include <array>
#include <memory>
#include <string>
#include <vector>

#include "engine/feature/shape.hpp"
#include "engine/surface/wall_field.hpp"

namespace archwright::feature {

/// Features that are on, laid on one carpet. Reliefs together are as deep as the deepest, pads as high as the
/// highest, each with the corner between two rounded where they are nearly equal; a relief is cut into a pad.
/// So the order of the list changes nothing. Immutable; safe from several threads at once.
class FeatureMap {
  public:
    struct Laid {
        Feature feature;
        Shape shape;
    };

    /// Faults: those of shape_of; two features of one name.
    static Outcome<FeatureMap> lay(const std::vector<Feature>& features, const Site& site,
                                   const surface::TrimRule& heads);

    /// Another list on the same carpet, site and heads: what stands as it stood is not laid again. Faults as
    /// `lay`.
    Outcome<FeatureMap> edited(const std::vector<Feature>& features, const Site& site,
                               const surface::TrimRule& heads) const;
    /// Boxes, design frame, outside which this and `other` are the same on the carpet.
    std::vector<Box3> differences(const FeatureMap& other) const;

    /// None.
    FeatureMap() : laid_(std::make_shared<const std::vector<Laid>>()) {}
    /// Those that shape the shell: without what is stuck on as a part of its own.
    FeatureMap of_shell() const;
    bool empty() const { return laid_->empty(); }
    const std::vector<Laid>& laid() const { return *laid_; }
    /// Height of the foot side over the carpet, mm.
    double height(const Vec2& uv) const;
    /// The same of those features alone that the underside follows.
    double followed(const Vec2& uv) const;

    /// The sheets of balls for the wall map T. First the foot side with T; where it lies below what the
    /// underside follows the radius is T less that depth, but at least the least wall (the corner between the
    /// two rounded over 0.4 mm of depth, which adds 0.08 mm at most). Where something is not followed, a
    /// second sheet holds T under what is. `material_least_mm` where a feature names no least wall of its
    /// own.
    std::vector<surface::BallLayer> sheets(const surface::WallFunction& wall, double material_least_mm) const;
    /// The balls of both sheets at one place of the carpet, where the map asks for `wall_mm`; where
    /// everything is followed both are the same.
    std::array<surface::Ball, 2> balls(const Vec2& uv, const Vec3& p, double wall_mm,
                                       double material_least_mm) const;

  private:
    struct Sums {
        double pads = 0.0, reliefs = 0.0, followed_pads = 0.0, followed_reliefs = 0.0;
        double least_wall_mm = 0.0;  ///< greatest of the thinning features' here; 0: none names one
    };
    Sums sums(const Vec2& uv, const Vec3& p) const;
    static double radius(const Sums& sums, double wall_mm, double material_least_mm);
    static Outcome<FeatureMap> lay_over(const std::vector<Feature>& features, const Site& site,
                                        const surface::TrimRule& heads, FeatureMap before);

    std::shared_ptr<const surface::SplineSurface> carpet_;
    std::shared_ptr<const Layer> layer_;  ///< over it; made when it is first needed
    std::shared_ptr<const std::vector<Laid>> laid_;
};

/// The greater of two lengths, its corner rounded where they differ by less than their harmonic mean's half;
/// never less than either, and either alone where the other is zero.
double rounded_greater(double a, double b);

}  // namespace archwright::feature
