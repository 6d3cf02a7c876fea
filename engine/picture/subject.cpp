#include "engine/picture/subject.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <utility>

#include "engine/base/parallel.hpp"
#include "engine/surface/border.hpp"

namespace archwright::picture {

namespace {

TriangleMesh part(const TriangleMesh& mesh, const FaceRange& range) {
    TriangleMesh out;
    out.points = mesh.points;
    out.triangles.assign(mesh.triangles.begin() + static_cast<std::ptrdiff_t>(range.first),
                         mesh.triangles.begin() + static_cast<std::ptrdiff_t>(range.last));
    return out;
}

/// No wall and no gap between cast and shell is wider; keeps the searches bounded.
constexpr double widest_mm = 60.0;
/// Samples of a trim line for drawing: about one a mm.
constexpr int edge_samples = 600;

/// Unit vector along the line of a cut; along y where its two places are one.
Vec2 way_of(const SectionCut& cut) {
    const Vec2 way = cut.line.size() > 1 ? Vec2(cut.line[1] - cut.line[0]) : Vec2::UnitY();
    return way.norm() > 0.0 ? Vec2(way.normalized()) : Vec2::UnitY();
}
Vec2 start(const SectionCut& cut) {
    return cut.line.empty() ? Vec2(Vec2::Zero()) : cut.line[0];
}

}  // namespace

double SectionCut::off(const Vec3& p) const {
    if (axis < 2) return p[axis] - at;
    const Vec2 way = way_of(*this), from = p.head<2>() - start(*this);
    return way.x() * from.y() - way.y() * from.x();
}
double SectionCut::across(const Vec3& p) const {
    return axis < 2 ? p[1 - axis] : way_of(*this).dot(p.head<2>() - start(*this));
}
Vec3 SectionCut::place(double across, double z) const {
    if (axis == 0) return {at, across, z};
    if (axis == 1) return {across, at, z};
    const Vec2 p = start(*this) + across * way_of(*this);
    return {p.x(), p.y(), z};
}

std::vector<Chain> cut_section(const TriangleMesh& mesh, const SectionCut& cut, const FaceRange& range) {
    if (cut.axis < 2) return plane_section(mesh, cut.axis, cut.at, range);
    std::vector<double> off(mesh.points.size());
    for (std::size_t i = 0; i < off.size(); ++i) off[i] = cut.off(mesh.points[i]);
    return level_curves(mesh, off, 0.0, range);
}

Subject::Subject(const PictureInput& input) : input_(input) {
    if (has_cast()) ground_ = cast().box().low.z();
    if (has_shell()) {
        const surface::ShellMesh& shell_mesh = *input.shell_mesh;
        shell_box_ = shell().box();
        ground_ = shell_box_.low.z();
        for (const TriangleMesh* stuck : input.parts) ground_ = std::min(ground_, stuck->box().low.z());
        underside_mesh_ = part(shell(), underside());
        // what a post adds faces the ground as the underside does
        underside_mesh_.triangles.insert(
            underside_mesh_.triangles.end(),
            shell().triangles.begin() + static_cast<std::ptrdiff_t>(shell_mesh.rims_end),
            shell().triangles.end());
        foot_side_mesh_ = part(shell(), foot_side());
        underside_tree_ = std::make_unique<Bvh>(underside_mesh_);
        foot_side_tree_ = std::make_unique<Bvh>(foot_side_mesh_);
        walls_.assign(shell().points.size(), 0.0);
        parallel_for(walls_.size(), 256, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i) {
                const Bvh& across = i < shell_mesh.foot_side_points ? *underside_tree_ : *foot_side_tree_;
                const auto near = across.nearest(shell().points[i], widest_mm);
                walls_[i] = near ? near->distance : widest_mm;
            }
        });
        // the rim's points touch one side or lie between: they take the wall of the edge they belong to
        for (std::size_t i = shell_mesh.foot_side_points + shell_mesh.underside_points; i < walls_.size();
             ++i) {
            const auto foot = foot_side_tree_->nearest(shell().points[i], widest_mm);
            const auto under = underside_tree_->nearest(shell().points[i], widest_mm);
            walls_[i] = (foot ? foot->distance : 0.0) + (under ? under->distance : 0.0);
        }
    }
    if (has_shell() && input.shell != nullptr && input.shell->trim.control.size() >= 4) {
        find_edges(*input.shell);
        find_posts(*input.shell);
    }
    choose_cuts();
}

void Subject::find_edges(const surface::Shell& exact) {
    for (const surface::Border& border : surface::borders(exact)) {
        std::vector<Vec3> upper, lower;
        for (int i = 0; i < edge_samples; ++i) {
            const auto rows = border.rows(border.curve.period() * i / edge_samples).rows;
            upper.push_back(rows.front());
            lower.push_back(rows.back());
        }
        if (border.kind == surface::Border::Kind::trim) {
            foot_edge_ = std::move(upper);
            under_edge_ = std::move(lower);
            continue;
        }
        (border.kind == surface::Border::Kind::aperture ? hole_edges_ : lower_edges_)
            .push_back(std::move(upper));
        lower_edges_.push_back(std::move(lower));
    }
}

void Subject::find_posts(const surface::Shell& exact) {
    if (exact.posts.empty()) return;
    const surface::ShellMesh& mesh = *input_.shell_mesh;
    over_posts_.assign(mesh.foot_side_points, 0);
    for (const surface::Post& post : exact.posts) {
        const surface::Outline outline(post.curve);
        for (std::size_t i = 0; i < std::min(over_posts_.size(), mesh.uv.size()); ++i)
            if (outline.inside(mesh.uv[i])) over_posts_[i] = 1;
    }
}

void Subject::choose_cuts() {
    if (!has_cast() && !has_shell()) return;
    const Box3 box = has_shell() ? shell_box_ : cast().box();
    const auto heel = input_.landmarks.find(foot::LandmarkId::heel_centre);
    // the design frame puts the heel centre at the origin; without that landmark 0.16 of the length serves
    double at_heel = heel != input_.landmarks.end() ? heel->second.position.x() : 0.0;
    if (at_heel <= box.low.x() || at_heel >= box.high.x()) at_heel = box.low.x() + 0.16 * box.size().x();
    const double at_front = box.high.x() - (has_shell() ? 0.10 : 0.28) * box.size().x();
    cuts_ = {{0, at_heel, "A", "Heel"},
             {0, 0.5 * (at_heel + at_front), "B", "Midfoot"},
             {0, at_front, "C", "Forefoot"},
             {1, 0.0, "S", "Sagittal"}};
}

WallFigure Subject::wall_at(const Vec3& foot_side) const {
    const auto near = underside_tree_->nearest(foot_side, widest_mm);
    return near ? WallFigure{foot_side, near->point, near->distance} : WallFigure{foot_side, foot_side, 0.0};
}

const std::vector<double>& Subject::deviations() const {
    if (!deviations_.empty() || !has_cast() || !has_shell()) return deviations_;
    const Bvh tree(cast());
    deviations_.assign(input_.shell_mesh->foot_side_points, 0.0);
    parallel_for(deviations_.size(), 256, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const Vec3& p = shell().points[i];
            const auto near = tree.nearest(p, widest_mm);
            if (!near) continue;
            const bool outside =
                (p - near->point).dot(cast().normal2(static_cast<std::size_t>(near->triangle))) > 0.0;
            deviations_[i] = outside ? -near->distance : near->distance;
        }
    });
    return deviations_;
}

}  // namespace archwright::picture
