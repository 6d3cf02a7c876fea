// What is drawn of one foot, made ready once for every view: never changed afterwards.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

#include "editor/model/rebuild.hpp"
#include "engine/picture/board.hpp"
#include "engine/picture/of_device.hpp"

namespace archwright::editor::view {

/// Triangles as a graphics card takes them.
struct Skin {
    std::vector<float> points, normals, values;
    std::vector<std::uint32_t> corners;
    /// At most so many of them, spread evenly, for while something moves.
    static constexpr std::size_t most_moving = 40'000;
};

/// A place under the cursor.
struct Place {
    Vec3 at = Vec3::Zero();  ///< design frame, mm
    bool on_shell = false;
    double height_mm = 0;              ///< over the ground
    std::optional<double> wall_mm;     ///< on the shell
    std::optional<double> to_cast_mm;  ///< foot side against cast, positive into the foot
    std::optional<double> slope_deg;   ///< of the surface against the ground
};

class Shown {
  public:
    /// Takes some tenths of a second: not on the screen's thread. Null when the result has nothing to show.
    static std::shared_ptr<const Shown> make(std::shared_ptr<const model::FootResult> result,
                                             const design::FootDesign& foot);
    Shown(const Shown&) = delete;
    Shown& operator=(const Shown&) = delete;

    /// Another for each that was made: for keys.
    std::uint64_t number() const { return number_; }
    const model::FootResult& result() const { return *result_; }
    const picture::Subject& subject() const { return *subject_; }
    Side side() const { return input_.side; }
    double ground() const { return subject_->ground(); }
    const Skin& cast() const { return cast_; }
    const Skin& foot_side() const { return foot_side_; }  ///< values: wall, mm
    const Skin& outside() const { return outside_; }
    const std::vector<Skin>& parts() const { return parts_; }
    const std::vector<float>& deviations() const { return deviations_; }  ///< of foot_side's points, mm
    const picture::MapScale& wall_scale() const { return wall_scale_; }
    const picture::MapScale& deviation_scale() const { return deviation_scale_; }
    /// All that has to be seen, the cast up to a little above the ankle.
    const Box3& box() const { return box_; }
    /// Some hundred points that span it.
    const std::vector<Vec3>& frame() const { return frame_; }

    /// What a ray meets first: of the shell, or of the cast where it is not looked through.
    std::optional<Place> meet(const Vec3& from, const Vec3& way, bool with_cast) const;
    /// The foot side over a place of the plan, else the sole.
    std::optional<Place> over(const Vec2& plan) const;

  private:
    Shown() = default;
    Place place_at(const Vec3& at, bool on_shell, const Vec3& normal) const;

    std::uint64_t number_ = 0;
    std::shared_ptr<const model::FootResult> result_;
    design::FootDesign foot_;
    picture::PictureInput input_;
    std::unique_ptr<picture::Subject> subject_;
    TriangleMesh cast_mesh_, foot_side_mesh_;
    std::unique_ptr<Bvh> cast_tree_, shell_tree_;
    Skin cast_, foot_side_, outside_;
    std::vector<Skin> parts_;
    std::vector<float> deviations_;
    picture::MapScale wall_scale_, deviation_scale_;
    Box3 box_;
    std::vector<Vec3> frame_;
};

/// Makes what is shown on a thread of its own; the newest wish wins.
class Preparer {
  public:
    explicit Preparer(std::function<void()> wake);
    ~Preparer();
    Preparer(const Preparer&) = delete;
    Preparer& operator=(const Preparer&) = delete;

    void ask(std::shared_ptr<const model::FootResult> result, const design::FootDesign& foot);
    /// What came in since the last call; null when nothing did.
    std::shared_ptr<const Shown> take();
    bool idle() const;
    void wait();

  private:
    struct Wish {
        std::shared_ptr<const model::FootResult> result;
        design::FootDesign foot;
    };
    void work();

    std::function<void()> wake_;
    mutable std::mutex mutex_;
    std::condition_variable change_;
    std::optional<Wish> wish_;
    bool busy_ = false, stop_ = false;
    std::shared_ptr<const Shown> ready_;
    std::thread thread_;
};

}  // namespace archwright::editor::view
