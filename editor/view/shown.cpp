#include "editor/view/shown.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>

#include "engine/base/units.hpp"
#include "engine/mesh/range.hpp"
#include "engine/picture/crease.hpp"

namespace archwright::editor::view {

namespace {

/// More of a cast than this above the ground is leg, mm.
constexpr double leg_mm = 130.0;

Skin skin_of(const TriangleMesh& mesh, std::size_t first, std::size_t last) {
    Skin skin;
    TriangleMesh part = range(mesh, first, last);
    const std::vector<Vec3> normals = part.point_normals();
    skin.points.reserve(3 * part.points.size());
    skin.normals.reserve(3 * part.points.size());
    for (std::size_t i = 0; i < part.points.size(); ++i)
        for (int k = 0; k < 3; ++k) {
            skin.points.push_back(static_cast<float>(part.points[i][k]));
            skin.normals.push_back(static_cast<float>(normals[i][k]));
        }
    skin.corners.reserve(3 * part.triangles.size());
    for (const Triangle& t : part.triangles)
        for (const std::int32_t c : t) skin.corners.push_back(static_cast<std::uint32_t>(c));
    return skin;
}
Skin skin_of(const TriangleMesh& mesh) {
    return skin_of(mesh, 0, mesh.triangles.size());
}

std::vector<float> floats(const std::vector<double>& values, std::size_t count) {
    std::vector<float> out(count, 0.0f);
    for (std::size_t i = 0; i < std::min(count, values.size()); ++i) out[i] = static_cast<float>(values[i]);
    return out;
}

/// All but one in two hundred stay within it.
double usual_greatest(std::vector<double> values) {
    for (double& v : values) v = std::abs(v);
    if (values.empty()) return 1.0;
    const auto at = static_cast<std::ptrdiff_t>(0.995 * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return values[static_cast<std::size_t>(at)];
}

}  // namespace

std::shared_ptr<const Shown> Shown::make(std::shared_ptr<const model::FootResult> result,
                                         const design::FootDesign& foot) {
    std::shared_ptr<Shown> shown(new Shown);
    static std::atomic<std::uint64_t> made{0};
    shown->number_ = ++made;
    shown->result_ = std::move(result);
    shown->foot_ = foot;
    const model::FootResult& r = *shown->result_;
    if (r.device && r.device->shelled && r.device->received) {
        shown->input_ = picture::input_of(*r.device, shown->foot_);
    } else if (r.received) {
        shown->input_ = picture::input_of(*r.received, r.side);
        if (r.preview) shown->input_.shell_mesh = r.preview.get();
    } else {
        return nullptr;
    }
    shown->subject_ = std::make_unique<picture::Subject>(shown->input_);
    const picture::Subject& subject = *shown->subject_;
    if (subject.has_cast()) {
        shown->cast_mesh_.points = subject.cast().points;
        for (const Triangle& t : subject.cast().triangles)
            if (std::max({subject.cast().points[t[0]].z(), subject.cast().points[t[1]].z(),
                          subject.cast().points[t[2]].z()}) < subject.ground() + leg_mm) {
                shown->cast_mesh_.triangles.push_back(t);
                shown->box_.add(subject.cast().points[t[0]]);
            }
        shown->cast_tree_ = std::make_unique<Bvh>(shown->cast_mesh_);
        shown->cast_ = skin_of(shown->cast_mesh_);
    }
    if (subject.has_shell()) {
        const TriangleMesh& shell = subject.shell();
        shown->foot_side_mesh_ = range(shell, subject.foot_side().first, subject.foot_side().last);
        shown->shell_tree_ = std::make_unique<Bvh>(shown->foot_side_mesh_);
        shown->foot_side_ = skin_of(shell, subject.foot_side().first, subject.foot_side().last);
        shown->foot_side_.values = floats(subject.walls(), shell.points.size());
        shown->outside_ = skin_of(picture::creased(shell, subject.foot_side().last, shell.triangles.size()));
        for (const TriangleMesh* part : shown->input_.parts)
            shown->parts_.push_back(skin_of(picture::creased(*part, 0, part->triangles.size())));
        shown->deviations_ = floats(subject.deviations(), shell.points.size());
        shown->deviation_scale_ = picture::round_symmetric_scale(
            picture::ColourMap::deviation(), usual_greatest(subject.deviations()), "To cast, mm");
        shown->box_.add(subject.shell_box());
    }
    shown->wall_scale_ = picture::wall_scale(subject);
    const auto span = [&](const TriangleMesh& mesh) {
        const std::size_t step = std::max<std::size_t>(1, mesh.triangles.size() / 400);
        for (std::size_t i = 0; i < mesh.triangles.size(); i += step)
            shown->frame_.push_back(mesh.points[mesh.triangles[i][0]]);
    };
    span(shown->cast_mesh_);
    span(shown->foot_side_mesh_);
    return shown;
}

Place Shown::place_at(const Vec3& at, bool on_shell, const Vec3& normal) const {
    Place place;
    place.at = at;
    place.on_shell = on_shell;
    place.height_mm = at.z() - ground();
    if (normal.norm() > 0.0)
        place.slope_deg = degrees(std::acos(std::min(1.0, std::abs(normal.normalized().z()))));
    if (on_shell) {
        place.wall_mm = subject_->wall_at(at).wall_mm;
        if (cast_tree_)
            if (const auto near = cast_tree_->nearest(at, 60.0)) {
                const bool out =
                    (at - near->point).dot(cast_mesh_.normal2(static_cast<std::size_t>(near->triangle))) > 0;
                place.to_cast_mm = out ? -near->distance : near->distance;
            }
    }
    return place;
}

std::optional<Place> Shown::meet(const Vec3& from, const Vec3& way, bool with_cast) const {
    const double far = 1e5;
    std::optional<Hit> hit;
    bool on_shell = false;
    if (shell_tree_ && (hit = shell_tree_->ray(from, way, 0.0, far))) on_shell = true;
    if (with_cast && cast_tree_) {
        const auto other = cast_tree_->ray(from, way, 0.0, hit ? hit->t : far);
        if (other) {
            hit = other;
            on_shell = false;
        }
    }
    if (!hit) return {};
    const TriangleMesh& mesh = on_shell ? foot_side_mesh_ : cast_mesh_;
    return place_at(from + hit->t * way, on_shell, mesh.normal2(static_cast<std::size_t>(hit->triangle)));
}

std::optional<Place> Shown::over(const Vec2& plan) const {
    const Vec3 above(plan.x(), plan.y(), ground() + 1000.0);
    if (auto on_shell = meet(above, -Vec3::UnitZ(), false)) return on_shell;
    if (!cast_tree_) return {};
    const Vec3 below(plan.x(), plan.y(), ground() - 1000.0);
    const auto hit = cast_tree_->ray(below, Vec3::UnitZ(), 0.0, 2000.0);
    if (!hit) return {};
    return place_at(below + hit->t * Vec3::UnitZ(), false,
                    cast_mesh_.normal2(static_cast<std::size_t>(hit->triangle)));
}

Preparer::Preparer(std::function<void()> wake) : wake_(std::move(wake)), thread_([this] { work(); }) {}

Preparer::~Preparer() {
    {
        const std::lock_guard guard(mutex_);
        stop_ = true;
    }
    change_.notify_all();
    thread_.join();
}

void Preparer::ask(std::shared_ptr<const model::FootResult> result, const design::FootDesign& foot) {
    {
        const std::lock_guard guard(mutex_);
        wish_ = Wish{std::move(result), foot};
    }
    change_.notify_all();
}

std::shared_ptr<const Shown> Preparer::take() {
    const std::lock_guard guard(mutex_);
    return std::exchange(ready_, nullptr);
}

bool Preparer::idle() const {
    const std::lock_guard guard(mutex_);
    return !wish_ && !busy_;
}

void Preparer::wait() {
    std::unique_lock guard(mutex_);
    change_.wait(guard, [&] { return !wish_ && !busy_; });
}

void Preparer::work() {
    std::unique_lock guard(mutex_);
    for (;;) {
        change_.wait(guard, [&] { return stop_ || wish_; });
        if (stop_) return;
        const Wish wish = std::move(*wish_);
        wish_.reset();
        busy_ = true;
        guard.unlock();
        auto made = Shown::make(wish.result, wish.foot);
        guard.lock();
        busy_ = false;
        if (made) ready_ = std::move(made);
        change_.notify_all();
        if (wake_) wake_();
    }
}

}  // namespace archwright::editor::view
