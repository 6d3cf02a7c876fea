#include "editor/view/shown.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <utility>

#include "editor/view/fields.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mesh/range.hpp"
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

Vec3 normal_of(const Skin& skin, std::size_t i) {
    return {static_cast<double>(skin.normals[3 * i]), static_cast<double>(skin.normals[3 * i + 1]),
            static_cast<double>(skin.normals[3 * i + 2])};
}

/// All but one in two hundred stay within it.
double usual_greatest(std::vector<float> values) {
    for (float& v : values) v = std::abs(v);
    if (values.empty()) return 1.0;
    const auto at = static_cast<std::ptrdiff_t>(0.995 * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return static_cast<double>(values[static_cast<std::size_t>(at)]);
}
/// Nothing of a device is farther from its cast, mm: keeps the search bounded.
constexpr double widest_mm = 60.0;

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

Place Shown::place_at(const Vec3& at, bool on_shell, const Vec3& normal) const {
    Place place;
    place.at = at;
    place.on_shell = on_shell;
    place.height_mm = at.z() - ground();
    place.normal = normal.normalized();
    if (normal.norm() > 0.0) place.slope_deg = slope_of(normal);
    if (on_shell) {
        place.wall_mm = subject_->wall_at(at).wall_mm;
        if (cast_)
            if (const auto near = cast_->tree().nearest(at, widest_mm)) {
                const bool out =
                    (at - near->point).dot(cast_->mesh.normal2(static_cast<std::size_t>(near->triangle))) > 0;
                place.to_cast_mm = out ? -near->distance : near->distance;
            }
    }
    return place;
}

void Shown::keep_measured() const {
    const surface::ShellMesh& mesh = *input_.shell_mesh;
    auto made = std::make_shared<MeasuredWalls>();
    made->result = result_;
    made->mesh = &mesh;
    made->mm = subject_->walls();
    const std::size_t feet = mesh.foot_side_points, all = feet + mesh.underside_points;
    made->partner.assign(all, -1);
    // both sides are meshed over one set of (u,v) triangles
    std::map<std::pair<double, double>, std::size_t> above;
    for (std::size_t i = 0; i < feet; ++i) above.emplace(std::pair(mesh.uv[i].x(), mesh.uv[i].y()), i);
    for (std::size_t i = feet; i < all; ++i) {
        const auto found = above.find(std::pair(mesh.uv[i].x(), mesh.uv[i].y()));
        if (found == above.end()) continue;
        made->partner[i] = static_cast<std::int32_t>(found->second);
        made->partner[found->second] = static_cast<std::int32_t>(i);
    }
    const std::lock_guard guard(values_mutex_);
    measured_ = std::move(made);
}

Shown::Values Shown::estimate(const MeasuredWalls& before) const {
    const auto& was = before.mesh->mesh.points;
    const auto& now = input_.shell_mesh->mesh.points;
    const auto wall = [&](std::size_t i) {
        const std::int32_t other = before.partner[i];
        if (other < 0) return before.mm[i];
        const double gained = (now[i] - now[static_cast<std::size_t>(other)]).norm() -
                              (was[i] - was[static_cast<std::size_t>(other)]).norm();
        return std::max(0.0, before.mm[i] + gained);
    };
    Values out;
    out.estimated = true;
    out.foot_side =
        each_point(foot_side_->count(), [&](std::size_t i) { return wall(foot_side_->first_point + i); });
    out.underside =
        each_point(underside_->count(), [&](std::size_t i) { return wall(underside_->first_point + i); });
    return out;
}

/// The gap between the sides along the carpet's normals, for a preview of other triangles: the wall where
/// they run side by side, and a little more where they do not.
Shown::Values Shown::gaps() const {
    const surface::ShellMesh& mesh = *input_.shell_mesh;
    const std::size_t feet = mesh.foot_side_points, all = feet + mesh.underside_points;
    std::map<std::pair<double, double>, std::size_t> above;
    for (std::size_t i = 0; i < feet; ++i) above.emplace(std::pair(mesh.uv[i].x(), mesh.uv[i].y()), i);
    std::vector<double> gap(all, 0.0);
    for (std::size_t i = feet; i < all; ++i) {
        const auto found = above.find(std::pair(mesh.uv[i].x(), mesh.uv[i].y()));
        if (found == above.end()) continue;
        gap[i] = gap[found->second] = (mesh.mesh.points[i] - mesh.mesh.points[found->second]).norm();
    }
    Values out;
    out.estimated = true;
    out.foot_side =
        each_point(foot_side_->count(), [&](std::size_t i) { return gap[foot_side_->first_point + i]; });
    out.underside =
        each_point(underside_->count(), [&](std::size_t i) { return gap[underside_->first_point + i]; });
    return out;
}

Shown::Values Shown::work(Map map) const {
    Values out;
    if (!subject_->has_shell()) return out;
    const TriangleMesh& shell = subject_->shell();
    const auto foot_point = [&](std::size_t i) { return shell.points[foot_side_->first_point + i]; };
    const auto under_point = [&](std::size_t i) { return shell.points[underside_->first_point + i]; };
    const std::size_t feet = foot_side_->count(), unders = underside_->count();
    switch (map) {
        case Map::none:
        case Map::height:
        case Map::deflection:  // given by take_flexed
        case Map::stress:
        case Map::utilisation:
        case Map::compare:  // given by take_comparison
            break;
        case Map::wall: {
            if (result_->reach == model::FootResult::Reach::preview) {
                std::shared_ptr<const MeasuredWalls> before;
                {
                    const std::lock_guard guard(values_mutex_);
                    before = measured_;
                }
                if (before) return estimate(*before);
                if (result_->preview_shell) return gaps();
            }
            const std::vector<double>& walls = subject_->walls();
            keep_measured();
            out.foot_side =
                each_point(feet, [&](std::size_t i) { return walls[foot_side_->first_point + i]; });
            out.underside =
                each_point(unders, [&](std::size_t i) { return walls[underside_->first_point + i]; });
            break;
        }
        case Map::rigidity:
        case Map::bending:
        case Map::mass: {
            const picture::MapKind kind = *kind_by_wall(map);
            if (!picture::of_wall(input_, kind, 1.0)) break;
            out = work(Map::wall);
            for (std::vector<float>* side : {&out.foot_side, &out.underside})
                for (float& value : *side)
                    value = static_cast<float>(*picture::of_wall(input_, kind, static_cast<double>(value)));
            break;
        }
        case Map::deviation: {
            if (!cast_) break;
            const Bvh& cast = cast_->tree();
            out.foot_side = each_point(feet, [&](std::size_t i) {
                const Vec3 p = foot_point(i);
                const auto near = cast.nearest(p, widest_mm);
                if (!near) return 0.0;
                const Vec3 normal = cast_->mesh.normal2(static_cast<std::size_t>(near->triangle));
                return (p - near->point).dot(normal) > 0.0 ? -near->distance : near->distance;
            });
            break;
        }
        case Map::slope:
            out.foot_side =
                each_point(feet, [&](std::size_t i) { return slope_of(normal_of(*foot_side_, i)); });
            break;
        case Map::tool: {
            const Bvh& surface = subject_->foot_side_tree();
            out.foot_side = each_point(feet, [&](std::size_t i) {
                return reach_radius(surface, foot_point(i), normal_of(*foot_side_, i),
                                    tolerance::part_touch_mm);
            });
            break;
        }
        case Map::ground: {
            const Bvh whole(shell);
            std::vector<std::unique_ptr<Bvh>> parts;
            std::vector<const Bvh*> bodies{&whole};
            for (const TriangleMesh* part : input_.parts) {
                parts.push_back(std::make_unique<Bvh>(*part));
                bodies.push_back(parts.back().get());
            }
            const auto free = [&](const Vec3& p) {
                return std::min(free_height(bodies, p.head<2>(), ground()), p.z() - ground());
            };
            out.foot_side = each_point(feet, [&](std::size_t i) { return free(foot_point(i)); });
            out.underside = each_point(unders, [&](std::size_t i) { return free(under_point(i)); });
            break;
        }
        case Map::shoe:
            if (!insole_edge_) break;
            out.foot_side = each_point(feet, [&](std::size_t i) { return past_at(foot_point(i).head<2>()); });
            out.underside =
                each_point(unders, [&](std::size_t i) { return past_at(under_point(i).head<2>()); });
            break;
    }
    return out;
}

bool Shown::worked_out(Map map) const {
    if (map == Map::none || map == Map::height || map == Map::compare || of_flex(map)) return true;
    const std::lock_guard guard(values_mutex_);
    return values_.count(map) != 0;
}

void Shown::work_out(Map map) const {
    if (worked_out(map)) return;
    auto made = std::make_shared<Values>(work(map));
    made->usual_greatest = usual_greatest(made->foot_side);
    std::optional<picture::MapScale> scale;
    if ((map == Map::wall || kind_by_wall(map)) && !made->estimated) {
        const picture::MapScale walls = picture::wall_scale(*subject_);
        scale = six_figures(picture::ColourMap::wall(), walls.low, walls.high, 1.0, "Wall, mm");
    }
    const std::lock_guard guard(values_mutex_);
    if (scale) wall_scale_ = *scale;
    values_.emplace(map, std::move(made));
}

double Shown::faded(Map map, bool superseded) const {
    constexpr double superseded_share = 0.8, estimated_share = 0.5;
    if (superseded) return superseded_share;
    const auto known = values(map);
    return known && known->estimated ? estimated_share : 0.0;
}

std::shared_ptr<const Shown::Values> Shown::values(Map map) const {
    const std::lock_guard guard(values_mutex_);
    const auto found = values_.find(map);
    if (found == values_.end() || (found->second->foot_side.empty() && found->second->underside.empty()))
        return nullptr;
    return found->second;
}

std::uint64_t Shown::values_number(Map map) const {
    if (!values(map)) return 0;
    const auto compared = comparison();
    const auto on_bench = flexed();
    return map == Map::compare && compared ? 1 + compared->number
           : of_flex(map) && on_bench      ? 1 + on_bench->number
                                           : 1;
}

std::shared_ptr<const model::Comparison> Shown::comparison() const {
    const std::lock_guard guard(values_mutex_);
    return comparison_;
}

bool Shown::of_this_device(const std::shared_ptr<const model::FootResult>& now) const {
    return device_ && now && now->device->shelled == device_->shelled &&
           now->device->lettered == device_->lettered && result_->reach != model::FootResult::Reach::preview;
}

std::shared_ptr<const model::Flexed> Shown::flexed() const {
    const std::lock_guard guard(values_mutex_);
    return flexed_;
}

void Shown::take_flexed(std::shared_ptr<const model::Flexed> flexed) const {
    if (flexed && (!flexed->result || !of_this_device(flexed->now))) flexed.reset();
    if (flexed == this->flexed()) return;
    std::map<Map, std::shared_ptr<const Values>> made;
    if (flexed) {
        const auto take = [&](Map map, const auto& foot_value, const auto& under_value) {
            auto values = std::make_shared<Values>();
            values->foot_side = each_point(
                foot_side_->count(), [&](std::size_t i) { return foot_value(foot_side_->first_point + i); });
            values->underside = each_point(
                underside_->count(), [&](std::size_t i) { return under_value(underside_->first_point + i); });
            values->usual_greatest =
                std::max(usual_greatest(values->foot_side), usual_greatest(values->underside));
            made.emplace(map, std::move(values));
        };
        const flex::CarriedFlex& carried = flexed->carried;
        const auto moves = [&](std::size_t i) { return carried.moved[i].norm(); };
        take(Map::deflection, moves, moves);
        const auto stress = [](const std::vector<double>& mpa, double times) {
            return [&mpa, times](std::size_t i) { return times * mpa[i]; };
        };
        take(Map::stress, stress(carried.foot_side_mpa, 1.0), stress(carried.underside_mpa, 1.0));
        const flex::BenchStress& most = flexed->result->foot_side;
        const double percent = most.mpa > 0.0 ? 100.0 * most.utilisation / most.mpa : 0.0;
        take(Map::utilisation, stress(carried.foot_side_mpa, percent),
             stress(carried.underside_mpa, percent));
    }
    const std::lock_guard guard(values_mutex_);
    flexed_ = std::move(flexed);
    bent_.reset();
    for (const Map map : {Map::deflection, Map::stress, Map::utilisation}) values_.erase(map);
    values_.merge(made);
}

std::shared_ptr<const Shown::Bent> Shown::bent(double times) const {
    const auto flexed = this->flexed();
    if (!flexed || !(times > 0.0)) return nullptr;
    {
        const std::lock_guard guard(values_mutex_);
        if (bent_ && bent_times_ == times) return bent_;
    }
    const surface::ShellMesh& mesh = *input_.shell_mesh;
    const TriangleMesh& still = subject_->shell();
    TriangleMesh moved = still;
    if (moved.points.size() != flexed->carried.moved.size()) return nullptr;
    for (std::size_t i = 0; i < moved.points.size(); ++i) moved.points[i] += times * flexed->carried.moved[i];
    auto made = std::make_shared<Bent>();
    made->foot_side = skin_of(moved, 0, mesh.foot_side_end, still, foot_side_);
    made->underside = skin_of(moved, mesh.foot_side_end, mesh.underside_end, still, underside_);
    made->rest = skin_of(picture::creased(moved, mesh.underside_end, moved.triangles.size()));
    const std::lock_guard guard(values_mutex_);
    bent_ = std::move(made);
    bent_times_ = times;
    return bent_;
}

void Shown::take_comparison(std::shared_ptr<const model::Comparison> comparison) const {
    if (comparison && !of_this_device(comparison->now)) comparison.reset();
    if (comparison == this->comparison()) return;
    std::shared_ptr<Values> made;
    if (comparison && comparison->foot_side) {
        made = std::make_shared<Values>();
        const auto take = [&](const compare::Difference& difference, std::size_t difference_begins,
                              const Skin& skin) {
            std::vector<float> out(skin.count(), static_cast<float>(no_counterpart));
            for (std::size_t i = 0; i < out.size(); ++i) {
                const std::size_t at = skin.first_point + i;
                if (at < difference_begins || at - difference_begins >= difference.mm.size()) continue;
                const double mm = difference.mm[at - difference_begins];
                if (std::isfinite(mm)) out[i] = static_cast<float>(mm);
            }
            return out;
        };
        made->foot_side = take(*comparison->foot_side, 0, *foot_side_);
        if (comparison->underside)
            made->underside = take(*comparison->underside, input_.shell_mesh->foot_side_points, *underside_);
        if (comparison->cast && cast_) made->cast = take(*comparison->cast, 0, *cast_->skin);
        made->alone = comparison->foot_side->alone_mm2 > 0.0 ||
                      (comparison->underside && comparison->underside->alone_mm2 > 0.0) ||
                      !made->cast.empty();
        std::vector<float> known;
        for (const auto* side : {&made->foot_side, &made->underside})
            for (const float v : *side)
                if (static_cast<double>(v) < no_counterpart) known.push_back(v);
        made->usual_greatest = usual_greatest(std::move(known));
    }
    const std::lock_guard guard(values_mutex_);
    comparison_ = std::move(comparison);
    values_.erase(Map::compare);
    if (made) values_.emplace(Map::compare, std::move(made));
}

std::optional<double> Shown::value_at(Map map, const Place& place) const {
    if (map == Map::height) return place.height_mm;
    if (!place.on_shell) return {};
    switch (map) {
        case Map::wall:
            return place.wall_mm;
        case Map::rigidity:
        case Map::bending:
        case Map::mass:
            return place.wall_mm ? picture::of_wall(input_, *kind_by_wall(map), *place.wall_mm)
                                 : std::nullopt;
        case Map::deviation:
            return place.to_cast_mm;
        case Map::slope:
            return place.slope_deg;
        case Map::shoe:
            if (insole_edge_) return past_at(place.at.head<2>());
            return {};
        case Map::tool:
        case Map::ground:
        case Map::deflection:
        case Map::stress:
        case Map::utilisation:
        case Map::compare: {
            // between the corners of the triangle it lies on
            const auto known = values(map);
            if (!subject_->has_shell()) return {};
            const auto near = subject_->foot_side_tree().nearest(place.at, 1.0);
            if (!known || !near || known->foot_side.empty()) return {};
            const TriangleMesh& mesh = subject_->foot_side_mesh();
            const Triangle& t = mesh.triangles[static_cast<std::size_t>(near->triangle)];
            const Vec3 &a = mesh.points[t[0]], &b = mesh.points[t[1]], &c = mesh.points[t[2]];
            const Vec3 n = (b - a).cross(c - a);
            const double whole = n.squaredNorm();
            if (!(whole > 0.0)) return {};
            const double v = n.dot((near->point - a).cross(c - a)) / whole,
                         w = n.dot((b - a).cross(near->point - a)) / whole;
            const auto at = [&](std::int32_t i) {
                return static_cast<double>(
                    known->foot_side[static_cast<std::size_t>(i) - foot_side_->first_point]);
            };
            const double value = (1.0 - v - w) * at(t[0]) + v * at(t[1]) + w * at(t[2]);
            if (map == Map::compare && value > 0.5 * no_counterpart) return {};
            return value;
        }
        case Map::none:
        case Map::height:
            break;
    }
    return {};
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

Preparer::Preparer(std::function<void()> wake) : wake_(std::move(wake)), thread_([this] { work(); }) {}

Preparer::~Preparer() {
    {
        const std::lock_guard guard(mutex_);
        stop_ = true;
    }
    change_.notify_all();
    thread_.join();
}

void Preparer::ask(std::shared_ptr<const model::FootResult> result, const design::FootDesign& foot, Map map) {
    {
        const std::lock_guard guard(mutex_);
        const Side side = result->side;
        wishes_[side] = Wish{std::move(result), foot, map};
    }
    change_.notify_all();
}

void Preparer::ask_map(std::shared_ptr<const Shown> shown, Map map) {
    if (shown->worked_out(map)) return;
    {
        const std::lock_guard guard(mutex_);
        const auto key = std::pair(shown->number(), map);
        maps_.emplace(key, Wish{nullptr, {}, map, std::move(shown)});
    }
    change_.notify_all();
}

std::vector<std::shared_ptr<const Shown>> Preparer::take() {
    const std::lock_guard guard(mutex_);
    std::vector<std::shared_ptr<const Shown>> all;
    for (auto& [side, shown] : std::exchange(ready_, {})) all.push_back(std::move(shown));
    return all;
}

bool Preparer::idle() const {
    const std::lock_guard guard(mutex_);
    return wishes_.empty() && maps_.empty() && !busy_;
}

void Preparer::wait() {
    std::unique_lock guard(mutex_);
    change_.wait(guard, [&] { return wishes_.empty() && maps_.empty() && !busy_; });
}

void Preparer::work() {
    std::unique_lock guard(mutex_);
    for (;;) {
        change_.wait(guard, [&] { return stop_ || !wishes_.empty() || !maps_.empty(); });
        if (stop_) return;
        Wish wish;
        if (!wishes_.empty()) {
            wish = std::move(wishes_.begin()->second);
            wishes_.erase(wishes_.begin());
        } else {
            wish = maps_.begin()->second;
        }
        const std::shared_ptr<const Shown> before =
            wish.result && last_.count(wish.result->side) != 0 ? last_.at(wish.result->side) : nullptr;
        busy_ = true;
        guard.unlock();
        std::shared_ptr<const Shown> made;
        try {
            if (wish.shown)
                wish.shown->work_out(wish.map);
            else
                made = Shown::make(wish.result, wish.foot, before.get());
            if (made) made->work_out(wish.map);
        } catch (const std::exception&) {
            made.reset();  // no memory for it: what was shown stays
        }
        guard.lock();
        if (wish.shown) maps_.erase(std::pair(wish.shown->number(), wish.map));
        if (made) {
            last_[made->side()] = made;
            ready_[made->side()] = made;
            // it can be drawn; what is asked of it by hand comes after
            guard.unlock();
            change_.notify_all();
            if (wake_) wake_();
            made->finish();
            guard.lock();
        }
        busy_ = false;
        change_.notify_all();
        if (wake_) wake_();
    }
}

}  // namespace archwright::editor::view
