// The values that maps show over the points of a shell, and what one place of it has.
#include "editor/view/shown.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "editor/view/fields.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::editor::view {

namespace {

Vec3 normal_of(const Skin& skin, std::size_t i) {
    return {static_cast<double>(skin.normals[3 * i]), static_cast<double>(skin.normals[3 * i + 1]),
            static_cast<double>(skin.normals[3 * i + 2])};
}

/// Nothing of a device is farther from its cast, mm: keeps the search bounded.
constexpr double widest_mm = 60.0;

}  // namespace

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

}  // namespace archwright::editor::view
