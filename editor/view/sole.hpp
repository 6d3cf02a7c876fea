// The foot as it stands and the dressed surface its things are laid on: where what is dragged comes to lie.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "editor/view/shown.hpp"
#include "engine/feature/place.hpp"

namespace archwright::editor::view {

/// A place that what is dragged can be brought to exactly.
struct SnapPlace {
    std::string name;  ///< of the landmark or mark
    Vec3 at = Vec3::Zero();
    Vec3 in_scan = Vec3::Zero();  ///< in the cast file's own coordinates
};

/// Of one foot, for the screen's thread; made anew when another cast or surface is shown.
class Sole {
  public:
    /// `before` is given back where the cast and the surface are the same. Null before a cast stands.
    static std::shared_ptr<const Sole> of(const Shown& shown, std::shared_ptr<const Sole> before);

    Side side() const { return side_; }
    /// From the cast file to the design frame.
    const foot::Frame& frame() const { return received_->standing.frame; }
    /// Design frame.
    const foot::Landmarks& landmarks() const { return received_->standing.landmarks; }
    /// Null while no surface was fitted: then all things lie in the plane z = 0.
    const surface::SplineSurface* carpet() const { return surfaced_ ? &surfaced_->carpet.surface : nullptr; }
    const build::Surfaced* surfaced() const { return surfaced_.get(); }
    /// The place of the surface over or under a place of the plan; nothing beside it.
    std::optional<feature::Spot> at(const Vec2& plan) const { return layer().at(plan); }
    /// Whether a thing may be laid there; without a surface nobody knows better.
    bool holds(const Vec2& plan) const { return carpet() == nullptr || at(plan).has_value(); }
    /// That place in space.
    Vec3 over(const Vec2& plan) const;
    /// The place of the cast over or under a place of the plan, on the sheet that lies nearest to this
    /// height; nothing beside it.
    std::optional<Vec3> on_cast(const Vec2& plan, double z) const;
    /// The place of the cast nearest to a point in space; nothing within 15 mm.
    std::optional<Vec3> nearest_cast(const Vec3& p) const;
    /// Out of the cast, unit, at a place of it.
    Vec3 cast_normal(const Vec3& p) const;
    /// What a ray meets first of the cast.
    std::optional<Vec3> meet_cast(const Vec3& from, const Vec3& way) const;
    /// Where the points of a relief, pad or aperture lie; empty when it has none or one lies beside the
    /// surface.
    std::vector<feature::Spot> spots(const design::FootDesign& foot, const feature::Feature& feature) const;
    /// Landmarks and the points of marks (of an area none).
    std::vector<SnapPlace> snap_places(const design::FootDesign& foot) const;

  private:
    Sole() = default;
    const feature::Layer& layer() const;

    Side side_ = Side::right;
    std::shared_ptr<const build::Received> received_;
    std::shared_ptr<const build::Surfaced> surfaced_;
    std::shared_ptr<const ShownCast> cast_;          ///< null without one
    mutable std::unique_ptr<feature::Layer> layer_;  ///< over the carpet, once it is asked for
};

}  // namespace archwright::editor::view
