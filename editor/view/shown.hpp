// What is drawn of one foot, made ready once for every view: never changed afterwards.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <vector>

#include "editor/model/comparison.hpp"
#include "editor/model/flexing.hpp"
#include "editor/model/rebuild.hpp"
#include "editor/view/map.hpp"
#include "editor/view/skin.hpp"
#include "engine/picture/board.hpp"
#include "engine/picture/of_device.hpp"
#include "engine/shoe/clearance.hpp"

namespace archwright::editor::view {

/// A cast made ready: the same for every device that is made from it.
struct ShownCast {
    std::shared_ptr<const build::Received> received;  ///< whose cast it is
    TriangleMesh mesh;                                ///< up to a little above the ankle
    std::shared_ptr<const Skin> skin;
    std::vector<Vec3> frame;  ///< some hundred points that span it
    Box3 box;
    /// Over `mesh`; made when it is first asked for. Not from within parallel_for.
    const Bvh& tree() const {
        std::call_once(once_, [this] { tree_ = std::make_unique<Bvh>(mesh); });
        return *tree_;
    }

  private:
    mutable std::once_flag once_;
    mutable std::unique_ptr<Bvh> tree_;
};

/// A place under the cursor.
struct Place {
    Vec3 at = Vec3::Zero();  ///< design frame, mm
    bool on_shell = false;
    double height_mm = 0;              ///< over the ground
    std::optional<double> wall_mm;     ///< on the shell
    std::optional<double> to_cast_mm;  ///< foot side against cast, positive into the foot
    std::optional<double> slope_deg;   ///< of the surface against the ground
    Vec3 normal = Vec3::Zero();        ///< unit, out of the surface
};

class Shown {
  public:
    /// Takes some tenths of a second: not on the screen's thread. Null when the result has nothing to show.
    /// What `before` has of the same cast is taken over, and of a shell with the same triangles what has not
    /// moved: the same to the last bit as without. Trees, which only questions after places need, are made
    /// later (`finish`).
    static std::shared_ptr<const Shown> make(std::shared_ptr<const model::FootResult> result,
                                             const design::FootDesign& foot, const Shown* before = nullptr);
    Shown(const Shown&) = delete;
    Shown& operator=(const Shown&) = delete;

    /// Another for each that was made: for keys.
    std::uint64_t number() const { return number_; }
    const model::FootResult& result() const { return *result_; }
    /// Null before a shell was shaped.
    const build::Device* device() const { return device_.get(); }
    const picture::Subject& subject() const { return *subject_; }
    Side side() const { return input_.side; }
    double ground() const { return subject_->ground(); }
    const design::FootDesign& foot() const { return foot_; }
    /// Skins that are the same object in two of these have not changed between them.
    const Skin& cast() const { return cast_ ? *cast_->skin : *no_skin(); }
    /// The cast with its tree; null without one.
    const std::shared_ptr<const ShownCast>& shared_cast() const { return cast_; }
    const Skin& foot_side() const { return *foot_side_; }
    const Skin& underside() const { return *underside_; }
    const Skin& rest() const { return *rest_; }  ///< rims, walls and floors of posts
    const std::vector<std::shared_ptr<const Skin>>& parts() const { return parts_; }
    /// Range of the wall's colours: of its own walls once those are worked out, before that of the one
    /// before.
    picture::MapScale wall_scale() const;
    /// Makes what the first question after a place would have to wait for: not on the screen's thread.
    void finish() const;

    /// Values of a map at the points of the foot side and of the underside; empty where that side has none.
    struct Values {
        std::vector<float> foot_side, underside;
        std::vector<float> cast;  ///< of the cast's skin, where it has values
        bool alone = false;       ///< some places have no value: no_counterpart stands there
        /// Walls of a preview: the last that were measured, and what the gap between the two sides along the
        /// normal has gained since. For colours alone: every figure is measured (`value_at`, `over`, ...).
        bool estimated = false;
        double usual_greatest = 0;  ///< of the foot side, in size: all but one in two hundred stay within it
    };
    /// Null while they are not worked out, or when the device has no such map (no cast, no insole). A height
    /// needs none: the place itself says it.
    std::shared_ptr<const Values> values(Map map) const;
    /// How much of a map's colour goes, 0 to 1: most of it when the picture is not what the job asks for now,
    /// half of it when its values are estimated.
    double faded(Map map, bool superseded) const;
    /// Goes up when the values of a map are others; 0: there are none.
    std::uint64_t values_number(Map map) const;
    /// What the device is compared with lies so far from it, where it is of this very device; null: nothing.
    void take_comparison(std::shared_ptr<const model::Comparison> comparison) const;
    std::shared_ptr<const model::Comparison> comparison() const;
    /// How it gives on the bench, where that is of this very device; null: it does not stand there.
    void take_flexed(std::shared_ptr<const model::Flexed> flexed) const;
    std::shared_ptr<const model::Flexed> flexed() const;
    /// Its skins as it gives there, so many times as far.
    struct Bent {
        std::shared_ptr<const Skin> foot_side, underside, rest;
    };
    /// Null where it does not stand there. Some milliseconds when it is asked for anew.
    std::shared_ptr<const Bent> bent(double times) const;
    /// Works them out once: not on the screen's thread.
    void work_out(Map map) const;
    /// It was worked out, whether there is anything or not.
    bool worked_out(Map map) const;
    /// What a map says of a place under the cursor.
    std::optional<double> value_at(Map map, const Place& place) const;

    /// The insole under the device; empty without one. Where the trim line goes past it less the clearance.
    const std::vector<Vec2>& insole() const { return insole_; }
    struct Past {
        std::vector<Vec2> points;
        Vec2 worst = Vec2::Zero();
        double most_mm = 0;
    };
    const std::vector<Past>& past_insole() const { return past_; }
    /// Whether the check of it is a stop; else it is a look.
    bool past_stops() const;
    /// All that has to be seen, the cast up to a little above the ankle.
    const Box3& box() const { return box_; }
    /// Some hundred points that span it.
    const std::vector<Vec3>& frame() const { return frame_; }

    /// What a ray meets first: of the shell, or of the cast where it is not looked through.
    std::optional<Place> meet(const Vec3& from, const Vec3& way, bool with_cast) const;
    /// The foot side over a place of the plan, else the sole.
    std::optional<Place> over(const Vec2& plan) const;
    /// The nearest place of the foot side, else of the cast, within so many mm; of a section: in its plane.
    std::optional<Place> near(const Vec3& at, double within) const;
    /// The surface a place lies on: the foot side, or the cast.
    const TriangleMesh& surface_of(const Place& place) const {
        return place.on_shell || !cast_ ? subject_->foot_side_mesh() : cast_->mesh;
    }

  private:
    Shown() = default;
    Place place_at(const Vec3& at, bool on_shell, const Vec3& normal) const;
    void take_cast(const Shown* before);
    void take_shell(const Shown* like);
    static const std::shared_ptr<const Skin>& no_skin();
    void take_insole();
    bool of_this_device(const std::shared_ptr<const model::FootResult>& now) const;
    /// Walls that were measured, for the previews that follow.
    struct MeasuredWalls {
        std::shared_ptr<const model::FootResult> result;  ///< keeps the mesh
        const surface::ShellMesh* mesh = nullptr;
        std::vector<double> mm;
        std::vector<std::int32_t>
            partner;  ///< of each point of the sides the other side's at its (u,v); or -1
    };
    void keep_measured() const;
    Values gaps() const;
    Values estimate(const MeasuredWalls& before) const;
    Values work(Map map) const;
    double past_at(const Vec2& plan) const;

    std::uint64_t number_ = 0;
    std::shared_ptr<const model::FootResult> result_;
    std::shared_ptr<const build::Device> device_;  ///< of a preview: the one it was made from
    design::FootDesign foot_, device_foot_;  ///< the order that is shown; the one the device was made from
    picture::PictureInput input_;
    std::unique_ptr<picture::Subject> subject_;
    std::shared_ptr<const ShownCast> cast_;
    std::shared_ptr<const std::vector<picture::PlanOutline>> device_outlines_;  ///< of its reliefs and pads
    std::shared_ptr<const Skin> foot_side_ = no_skin(), underside_ = no_skin(), rest_ = no_skin();
    std::vector<std::shared_ptr<const Skin>> parts_;
    std::vector<Vec2> insole_;
    std::optional<shoe::Edge> insole_edge_;
    double insole_clearance_mm_ = 0;
    std::vector<Past> past_;
    mutable std::mutex values_mutex_;
    mutable picture::MapScale wall_scale_;
    mutable std::shared_ptr<const MeasuredWalls> measured_;  ///< its own, or what it follows
    mutable std::map<Map, std::shared_ptr<const Values>> values_;
    mutable std::shared_ptr<const model::Comparison> comparison_;  ///< whose values are among them
    mutable std::shared_ptr<const model::Flexed> flexed_;          ///< whose values are among them
    mutable std::shared_ptr<const Bent> bent_;                     ///< of `flexed_`
    mutable double bent_times_ = 0;
    Box3 box_;
    std::vector<Vec3> frame_;
};

}  // namespace archwright::editor::view
