// What is drawn of one foot, made ready once for every view: never changed afterwards.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

#include "editor/model/rebuild.hpp"
#include "editor/view/map.hpp"
#include "engine/picture/board.hpp"
#include "engine/picture/of_device.hpp"
#include "engine/shoe/clearance.hpp"

namespace archwright::editor::view {

/// Triangles as a graphics card takes them.
struct Skin {
    std::vector<float> points, normals;
    std::vector<std::uint32_t> corners;
    std::size_t first_point = 0;  ///< of the mesh it was taken from
    std::size_t count() const { return points.size() / 3; }
    /// At most so many of them, spread evenly, for while something moves.
    static constexpr std::size_t most_moving = 40'000;
};

/// A cast made ready: the same for every device that is made from it.
struct ShownCast {
    std::shared_ptr<const build::Received> received;  ///< whose cast it is
    TriangleMesh mesh;                                ///< up to a little above the ankle
    std::unique_ptr<Bvh> tree;
    Skin skin;
    std::vector<Vec3> frame;  ///< some hundred points that span it
    Box3 box;
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
    /// What `before` has of the same cast is taken over.
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
    const Skin& cast() const { return cast_ ? cast_->skin : no_skin_; }
    const Skin& foot_side() const { return foot_side_; }
    const Skin& underside() const { return underside_; }
    const Skin& rest() const { return rest_; }  ///< rims, walls and floors of posts
    const std::vector<Skin>& parts() const { return parts_; }
    const picture::MapScale& wall_scale() const { return wall_scale_; }

    /// Values of a map at the points of the foot side and of the underside; empty where that side has none.
    struct Values {
        std::vector<float> foot_side, underside;
        double usual_greatest = 0;  ///< of the foot side, in size: all but one in two hundred stay within it
    };
    /// Null while they are not worked out, or when the device has no such map (no cast, no insole). A height
    /// needs none: the place itself says it.
    std::shared_ptr<const Values> values(Map map) const;
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
        return place.on_shell || !cast_ ? foot_side_mesh_ : cast_->mesh;
    }

  private:
    Shown() = default;
    Place place_at(const Vec3& at, bool on_shell, const Vec3& normal) const;
    void take_cast(const Shown* before);
    void take_shell();
    void take_insole();
    Values work(Map map) const;
    double past_at(const Vec2& plan) const;

    std::uint64_t number_ = 0;
    std::shared_ptr<const model::FootResult> result_;
    std::shared_ptr<const build::Device> device_;  ///< of a preview: the one it was made from
    design::FootDesign foot_, device_foot_;  ///< the order that is shown; the one the device was made from
    picture::PictureInput input_;
    std::unique_ptr<picture::Subject> subject_;
    std::shared_ptr<const ShownCast> cast_;
    TriangleMesh foot_side_mesh_;
    std::unique_ptr<Bvh> shell_tree_;
    Skin foot_side_, underside_, rest_;
    std::vector<Skin> parts_;
    picture::MapScale wall_scale_;
    std::vector<Vec2> insole_;
    std::optional<shoe::Edge> insole_edge_;
    double insole_clearance_mm_ = 0;
    std::vector<Past> past_;
    static const Skin no_skin_;
    mutable std::mutex values_mutex_;
    mutable std::map<Map, std::shared_ptr<const Values>> values_;
    Box3 box_;
    std::vector<Vec3> frame_;
};

/// Makes what is shown on a thread of its own; of each foot the newest wish wins.
class Preparer {
  public:
    explicit Preparer(std::function<void()> wake);
    ~Preparer();
    Preparer(const Preparer&) = delete;
    Preparer& operator=(const Preparer&) = delete;

    /// With the values of a map that is shown.
    void ask(std::shared_ptr<const model::FootResult> result, const design::FootDesign& foot,
             Map map = Map::none);
    /// The values of a map of what is there already.
    void ask_map(std::shared_ptr<const Shown> shown, Map map);
    /// What came in since the last call, the newest of each side; empty when nothing did.
    std::vector<std::shared_ptr<const Shown>> take();
    bool idle() const;
    void wait();

  private:
    struct Wish {
        std::shared_ptr<const model::FootResult> result;
        design::FootDesign foot;
        Map map = Map::none;
        std::shared_ptr<const Shown> shown{};  ///< its map alone
    };
    void work();

    std::function<void()> wake_;
    mutable std::mutex mutex_;
    std::condition_variable change_;
    std::map<Side, Wish> wishes_;
    std::map<std::pair<std::uint64_t, Map>, Wish> maps_;
    bool busy_ = false, stop_ = false;
    std::map<Side, std::shared_ptr<const Shown>> ready_, last_;
    std::thread thread_;
};

}  // namespace archwright::editor::view
