#include "engine/picture/subject.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <atomic>
#include <optional>
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
/// More than the rounding of distances, mm.
constexpr double hair_mm = 1e-6;

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

struct Subject::Sides {
    TriangleMesh underside, foot_side;
    std::unique_ptr<Bvh> underside_tree, foot_side_tree;
};

struct Subject::Walls {
    std::shared_ptr<const Sides> sides;  ///< they were measured between
    std::vector<double> mm;
    std::size_t measured = 0;
};

namespace {

/// What of a side has moved: a box round it before and after; and how far at the most.
struct Moved {
    Box3 box;
    double most_mm = 0.0;

    Moved(const TriangleMesh& before, const TriangleMesh& now) {
        for (const Triangle& t : now.triangles) {
            bool moved = false;
            for (const std::int32_t c : t) {
                if (before.points[c] == now.points[c]) continue;
                moved = true;
                most_mm = std::max(most_mm, (now.points[c] - before.points[c]).norm());
            }
            if (!moved) continue;
            for (const std::int32_t c : t) {
                box.add(before.points[c]);
                box.add(now.points[c]);
            }
        }
    }
    /// Whether any of it lies within this distance of a place.
    bool near(const Vec3& p, double within) const {
        if (box.empty()) return false;
        const Vec3 off = (box.low - p).cwiseMax(p - box.high).cwiseMax(0.0);
        return off.squaredNorm() <= within * within;
    }
};

}  // namespace

bool same_triangles(const surface::ShellMesh& a, const surface::ShellMesh& b) {
    return a.foot_side_end == b.foot_side_end && a.underside_end == b.underside_end &&
           a.rims_end == b.rims_end && a.foot_side_points == b.foot_side_points &&
           a.underside_points == b.underside_points && a.mesh.points.size() == b.mesh.points.size() &&
           a.mesh.triangles == b.mesh.triangles;
}

Subject::Subject(const PictureInput& input, const Subject* like)
    : input_(input), edges_(std::make_shared<const Edges>()) {
    if (has_cast()) ground_ = cast().box().low.z();
    const bool exact = has_shell() && input.shell != nullptr && input.shell->trim.control.size() >= 4;
    if (has_shell()) {
        shell_box_ = shell().box();
        ground_ = shell_box_.low.z();
        for (const TriangleMesh* stuck : input.parts) ground_ = std::min(ground_, stuck->box().low.z());
        if (like != nullptr && like->has_shell() &&
            same_triangles(*like->input_.shell_mesh, *input.shell_mesh)) {
            like_sides_ = like->sides_known();
            like_walls_ = like->walls_known();
        }
    }
    if (exact) {
        const bool same = like != nullptr && like->has_shell() && like->input_.shell == input.shell;
        edges_ = same ? like->edges_ : std::make_shared<const Edges>(edges_of(*input.shell));
        find_posts(*input.shell);
    }
    choose_cuts();
}

Subject::~Subject() = default;

std::shared_ptr<const Subject::Sides> Subject::sides_known() const {
    const std::lock_guard guard(mutex_);
    return sides_ ? sides_ : like_sides_;
}

std::shared_ptr<const Subject::Walls> Subject::walls_known() const {
    const std::lock_guard guard(mutex_);
    return walls_ ? walls_ : like_walls_;
}

std::shared_ptr<const Subject::Sides> Subject::make_sides() const {
    auto made = std::make_shared<Sides>();
    made->underside = part(shell(), underside());
    // what a post adds faces the ground as the underside does
    made->underside.triangles.insert(
        made->underside.triangles.end(),
        shell().triangles.begin() + static_cast<std::ptrdiff_t>(input_.shell_mesh->rims_end),
        shell().triangles.end());
    made->foot_side = part(shell(), foot_side());
    const auto tree = [](const TriangleMesh& mesh, const Bvh* like) {
        return like != nullptr ? std::make_unique<Bvh>(mesh, *like) : std::make_unique<Bvh>(mesh);
    };
    made->underside_tree = tree(made->underside, like_sides_ ? like_sides_->underside_tree.get() : nullptr);
    made->foot_side_tree = tree(made->foot_side, like_sides_ ? like_sides_->foot_side_tree.get() : nullptr);
    return made;
}

const Subject::Sides& Subject::sides() const {
    std::call_once(sides_once_, [this] {
        auto made = make_sides();
        const std::lock_guard guard(mutex_);
        sides_ = std::move(made);
    });
    return *sides_;
}

std::shared_ptr<const Subject::Walls> Subject::make_walls() const {
    auto made = std::make_shared<Walls>();
    const Sides& sides = this->sides();
    const surface::ShellMesh& shell_mesh = *input_.shell_mesh;
    const std::size_t count = shell().points.size();
    const std::size_t foot_end = shell_mesh.foot_side_points,
                      under_end = shell_mesh.foot_side_points + shell_mesh.underside_points;
    made->sides = sides_known();
    made->mm.assign(count, 0.0);
    std::optional<Moved> foot, under;
    if (like_walls_) {
        foot.emplace(like_walls_->sides->foot_side, sides.foot_side);
        under.emplace(like_walls_->sides->underside, sides.underside);
    }
    std::atomic<std::size_t> measured{0};
    const auto measure = [&](const Bvh& across, const Vec3& p, double expected) {
        auto near = across.nearest(p, std::min(expected, widest_mm));
        if (!near && expected < widest_mm) near = across.nearest(p, widest_mm);
        return near;
    };
    parallel_for(count, 256, [&](std::size_t begin, std::size_t end) {
        std::size_t here = 0;
        for (std::size_t i = begin; i < end; ++i) {
            const Vec3& p = shell().points[i];
            double expected = widest_mm;
            if (like_walls_) {
                const double before = like_walls_->mm[i];
                const double moved = (p - like_walls_->sides->foot_side.points[i]).norm();
                const bool foot_asked = i >= foot_end, under_asked = i < foot_end || i >= under_end;
                if (moved == 0.0 && !(foot_asked && foot->near(p, before + hair_mm)) &&
                    !(under_asked && under->near(p, before + hair_mm))) {
                    made->mm[i] = before;
                    continue;
                }
                // what was nearest has come no farther than it and the point have moved
                expected = before + moved + (i < foot_end ? *under : *foot).most_mm + hair_mm;
            }
            ++here;
            if (i < under_end) {
                const auto near =
                    measure(i < foot_end ? *sides.underside_tree : *sides.foot_side_tree, p, expected);
                made->mm[i] = near ? near->distance : widest_mm;
                continue;
            }
            // the rim's points touch one side or lie between: they take the wall of the edge they belong to
            const auto to_foot = sides.foot_side_tree->nearest(p, widest_mm);
            const auto to_under = sides.underside_tree->nearest(p, widest_mm);
            made->mm[i] = (to_foot ? to_foot->distance : 0.0) + (to_under ? to_under->distance : 0.0);
        }
        measured += here;
    });
    made->measured = measured;
    return made;
}

const std::vector<double>& Subject::walls() const {
    static const std::vector<double> none;
    if (!has_shell()) return none;
    std::call_once(walls_once_, [this] {
        auto made = make_walls();
        const std::lock_guard guard(mutex_);
        walls_ = std::move(made);
    });
    return walls_->mm;
}

std::size_t Subject::walls_measured() const {
    (void)walls();
    return has_shell() ? walls_->measured : 0;
}

const TriangleMesh& Subject::foot_side_mesh() const {
    return sides().foot_side;
}
const Bvh& Subject::foot_side_tree() const {
    return *sides().foot_side_tree;
}

Subject::Edges Subject::edges_of(const surface::Shell& exact) {
    Edges edges;
    for (const surface::Border& border : surface::borders(exact)) {
        std::vector<Vec3> upper, lower;
        for (int i = 0; i < edge_samples; ++i) {
            const auto rows = border.rows(border.curve.period() * i / edge_samples).rows;
            upper.push_back(rows.front());
            lower.push_back(rows.back());
        }
        if (border.kind == surface::Border::Kind::trim) {
            edges.foot = std::move(upper);
            edges.under = std::move(lower);
            continue;
        }
        (border.kind == surface::Border::Kind::aperture ? edges.holes : edges.lower)
            .push_back(std::move(upper));
        edges.lower.push_back(std::move(lower));
    }
    return edges;
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

SectionReach Subject::reach(const SectionCut& cut) const {
    constexpr std::size_t most_kept = 8;
    const auto same = [&](const auto& known) { return known.first.same_plane(cut); };
    {
        const std::lock_guard guard(reach_mutex_);
        const auto known = std::find_if(reaches_.begin(), reaches_.end(), same);
        if (known != reaches_.end()) {
            std::rotate(known, known + 1, reaches_.end());
            return reaches_.back().second;
        }
    }
    SectionReach reach;
    if (has_shell()) {
        reach.top = ground() + 12.0;
        for (const Chain& chain : cut_section(shell(), cut))
            for (const Vec3& p : chain.points) {
                reach.add(cut.across(p));
                reach.top = std::max(reach.top, p.z());
            }
        for (const TriangleMesh* part : input_.parts)
            for (const Chain& chain : cut_section(*part, cut))
                for (const Vec3& p : chain.points) reach.add(cut.across(p));
    } else {
        reach.top = ground() + 40.0;
    }
    if (has_cast())
        for (const Chain& chain : cut_section(cast(), cut))
            for (const Vec3& p : chain.points)
                if (p.z() <= reach.top) reach.add(cut.across(p));
    if (reach.low > reach.high) reach.low = -50.0, reach.high = 50.0;
    const std::lock_guard guard(reach_mutex_);
    if (reaches_.size() >= most_kept) reaches_.erase(reaches_.begin());
    reaches_.emplace_back(cut, reach);
    return reach;
}

WallFigure Subject::wall_at(const Vec3& foot_side) const {
    const auto near = sides().underside_tree->nearest(foot_side, widest_mm);
    return near ? WallFigure{foot_side, near->point, near->distance} : WallFigure{foot_side, foot_side, 0.0};
}

const std::vector<double>& Subject::deviations() const {
    if (!has_cast() || !has_shell()) return deviations_;
    std::call_once(deviations_once_, [this] {
        const Bvh tree(cast());
        std::vector<double> all(input_.shell_mesh->foot_side_points, 0.0);
        parallel_for(all.size(), 256, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i) {
                const Vec3& p = shell().points[i];
                const auto near = tree.nearest(p, widest_mm);
                if (!near) continue;
                const bool outside =
                    (p - near->point).dot(cast().normal2(static_cast<std::size_t>(near->triangle))) > 0.0;
                all[i] = outside ? -near->distance : near->distance;
            }
        });
        deviations_ = std::move(all);
    });
    return deviations_;
}

}  // namespace archwright::picture
