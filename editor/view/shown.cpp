#include "editor/view/shown.hpp"

#include <algorithm>
#include <atomic>
#include <utility>

#include "engine/picture/crease.hpp"

namespace archwright::editor::view {

namespace {

/// More of a cast than this above the ground is leg, mm.
constexpr double leg_mm = 130.0;

/// Some hundred points of a mesh, spread over its first triangles.
void span(const TriangleMesh& mesh, std::size_t count, std::vector<Vec3>& frame) {
    const std::size_t step = std::max<std::size_t>(1, count / 400);
    for (std::size_t i = 0; i < count; i += step) frame.push_back(mesh.points[mesh.triangles[i][0]]);
}

}  // namespace

const std::shared_ptr<const Skin>& Shown::no_skin() {
    static const auto none = std::make_shared<const Skin>();
    return none;
}

std::shared_ptr<const Shown> Shown::make(std::shared_ptr<const model::FootResult> result,
                                         const design::FootDesign& foot, const Shown* before) {
    std::shared_ptr<Shown> shown(new Shown);
    static std::atomic<std::uint64_t> made{0};
    shown->number_ = ++made;
    shown->result_ = std::move(result);
    shown->foot_ = foot;
    const model::FootResult& r = *shown->result_;
    const auto take_outlines = [&](const build::Device& device) {
        shown->device_outlines_ =
            before != nullptr && before->device_ && before->device_->shelled == device.shelled
                ? before->device_outlines_
                : std::make_shared<const std::vector<picture::PlanOutline>>(
                      picture::feature_outlines(*device.shelled));
        shown->input_ = picture::input_of(device, foot, *shown->device_outlines_);
    };
    if (r.device && r.device->shelled && r.device->received) {
        shown->device_ = r.device;
        shown->device_foot_ = foot;
        take_outlines(*r.device);
    } else if (r.received && r.preview && before != nullptr && before->device_ && before->side() == r.side) {
        // what the edit does not touch is the last exact device's; what it touches has no outline meanwhile
        shown->device_ = before->device_;
        shown->device_foot_ = before->device_foot_;
        take_outlines(*shown->device_);
        shown->input_.shell_mesh = r.preview.get();
        if (r.preview_shell) shown->input_.shell = r.preview_shell.get();
        shown->input_.walls = nullptr;
        const auto touched = [&](const picture::PlanOutline& outline) {
            const auto named = [&](const feature::Feature& f) { return f.name == outline.feature; };
            if (outline.feature.empty()) return false;
            const auto& was = shown->device_foot_.features;
            const auto old = std::find_if(was.begin(), was.end(), named);
            const auto now = std::find_if(foot.features.begin(), foot.features.end(), named);
            return old == was.end() || now == foot.features.end() || !(*old == *now);
        };
        std::erase_if(shown->input_.outlines, touched);
    } else if (r.received) {
        shown->input_ = picture::input_of(*r.received, r.side);
        if (r.preview) shown->input_.shell_mesh = r.preview.get();
    } else {
        return nullptr;
    }
    if (r.received) shown->input_.marks = picture::plan_marks(foot, r.received->standing.frame);
    const Shown* like = before != nullptr && before->side() == r.side ? before : nullptr;
    shown->subject_ =
        std::make_unique<picture::Subject>(shown->input_, like != nullptr ? like->subject_.get() : nullptr);
    shown->take_cast(before);
    shown->take_shell(like);
    shown->take_insole();
    constexpr double usual_low_mm = 2.0, usual_high_mm = 4.0;
    shown->wall_scale_ = like != nullptr ? like->wall_scale()
                                         : six_figures(picture::ColourMap::wall(), usual_low_mm,
                                                       usual_high_mm, 1.0, "Wall, mm");
    return shown;
}

void Shown::take_cast(const Shown* before) {
    if (!subject_->has_cast()) return;
    if (before != nullptr && before->cast_ && before->cast_->received == result_->received) {
        cast_ = before->cast_;
    } else {
        auto cast = std::make_shared<ShownCast>();
        cast->received = result_->received;
        cast->mesh.points = subject_->cast().points;
        const double top = subject_->cast().box().low.z() + leg_mm;
        const auto& points = cast->mesh.points;
        for (const Triangle& t : subject_->cast().triangles)
            if (std::max({points[t[0]].z(), points[t[1]].z(), points[t[2]].z()}) < top) {
                cast->mesh.triangles.push_back(t);
                cast->box.add(points[t[0]]);
            }
        cast->skin = skin_of(cast->mesh);
        span(cast->mesh, cast->mesh.triangles.size(), cast->frame);
        cast_ = std::move(cast);
    }
    if (!cast_->box.empty()) box_.add(cast_->box);
    frame_.insert(frame_.end(), cast_->frame.begin(), cast_->frame.end());
}

void Shown::take_shell(const Shown* like) {
    if (!subject_->has_shell()) return;
    const TriangleMesh& shell = subject_->shell();
    const surface::ShellMesh& made = *input_.shell_mesh;
    const std::size_t end = shell.triangles.size();
    if (like != nullptr && like->subject_->has_shell() &&
        picture::same_triangles(*like->input_.shell_mesh, made)) {
        const TriangleMesh& before = like->subject_->shell();
        {
            const std::lock_guard guard(like->values_mutex_);
            measured_ = like->measured_;
        }
        foot_side_ = skin_of(shell, 0, made.foot_side_end, before, like->foot_side_);
        underside_ = skin_of(shell, made.foot_side_end, made.underside_end, before, like->underside_);
        if (!any_moved(before, shell, made.underside_end, end)) rest_ = like->rest_;
    } else {
        foot_side_ = skin_of(shell, 0, made.foot_side_end);
        underside_ = skin_of(shell, made.foot_side_end, made.underside_end);
    }
    if (rest_ == no_skin()) rest_ = skin_of(picture::creased(shell, made.underside_end, end));
    if (like != nullptr && like->input_.parts == input_.parts)
        parts_ = like->parts_;
    else
        for (const TriangleMesh* part : input_.parts)
            parts_.push_back(skin_of(picture::creased(*part, 0, part->triangles.size())));
    box_.add(subject_->shell_box());
    span(shell, made.foot_side_end, frame_);
}

picture::MapScale Shown::wall_scale() const {
    const std::lock_guard guard(values_mutex_);
    return wall_scale_;
}

void Shown::finish() const {
    if (cast_) (void)cast_->tree();
    if (subject_->has_shell()) (void)subject_->foot_side_tree();
}

void Shown::take_insole() {
    if (!device_ || !device_->shoe || !device_->shoe->insole || !device_->shoe->laid) return;
    const build::ShoeFit& fit = *device_->shoe;
    insole_ = fit.laid->insole_under(*fit.insole);
    const auto outline = shoe::Outline::of(insole_, "insole");
    if (!outline) return;
    insole_edge_.emplace(*outline);
    insole_clearance_mm_ = fit.clearance_mm;
    // stretches of the trim line past the insole less the clearance
    const std::vector<Vec3>& edge = subject_->foot_edge();
    bool open = false;
    for (const Vec3& p : edge) {
        const double past = past_at(p.head<2>());
        if (past <= 0) {
            open = false;
            continue;
        }
        if (!open) past_.emplace_back();
        open = true;
        past_.back().points.push_back(p.head<2>());
        if (past > past_.back().most_mm) {
            past_.back().most_mm = past;
            past_.back().worst = p.head<2>();
        }
    }
}

bool Shown::past_stops() const {
    return device_ && std::any_of(device_->checks.begin(), device_->checks.end(), [](const Check& check) {
               return check.id == "shoe.rim" && check.verdict == Verdict::stop;
           });
}

double Shown::past_at(const Vec2& plan) const {
    return insole_edge_->past(plan).mm + insole_clearance_mm_;
}

std::optional<Place> Shown::meet(const Vec3& from, const Vec3& way, bool with_cast) const {
    const double far = 1e5;
    std::optional<Hit> hit;
    bool on_shell = false;
    if (subject_->has_shell() && (hit = subject_->foot_side_tree().ray(from, way, 0.0, far))) on_shell = true;
    if (with_cast && cast_) {
        const auto other = cast_->tree().ray(from, way, 0.0, hit ? hit->t : far);
        if (other) {
            hit = other;
            on_shell = false;
        }
    }
    if (!hit) return {};
    const TriangleMesh& mesh = on_shell ? subject_->foot_side_mesh() : cast_->mesh;
    return place_at(from + hit->t * way, on_shell, mesh.normal2(static_cast<std::size_t>(hit->triangle)));
}

std::optional<Place> Shown::over(const Vec2& plan) const {
    const Vec3 above(plan.x(), plan.y(), ground() + 1000.0);
    if (auto on_shell = meet(above, -Vec3::UnitZ(), false)) return on_shell;
    if (!cast_) return {};
    const Vec3 below(plan.x(), plan.y(), ground() - 1000.0);
    const auto hit = cast_->tree().ray(below, Vec3::UnitZ(), 0.0, 2000.0);
    if (!hit) return {};
    return place_at(below + hit->t * Vec3::UnitZ(), false,
                    cast_->mesh.normal2(static_cast<std::size_t>(hit->triangle)));
}

std::optional<Place> Shown::near(const Vec3& at, double within) const {
    const auto on = [&](const Bvh& tree, const TriangleMesh& mesh, bool on_shell) -> std::optional<Place> {
        const auto near = tree.nearest(at, within);
        if (!near) return {};
        return place_at(near->point, on_shell, mesh.normal2(static_cast<std::size_t>(near->triangle)));
    };
    if (subject_->has_shell())
        if (auto shell = on(subject_->foot_side_tree(), subject_->foot_side_mesh(), true)) return shell;
    return cast_ ? on(cast_->tree(), cast_->mesh, false) : std::nullopt;
}

}  // namespace archwright::editor::view
