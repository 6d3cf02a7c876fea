#include "engine/surface/shell_preview.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/base/parallel.hpp"
#include "engine/surface/border.hpp"
#include "engine/surface/post.hpp"
#include "engine/surface/rim.hpp"
#include "engine/surface/underside.hpp"

namespace archwright::surface {

namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
// Of the differences that give a side's directions at its border, mm in (u,v).
constexpr double difference_mm = 0.05;

bool holds(const std::vector<Box3>& boxes, const Vec3& p) {
    return std::any_of(boxes.begin(), boxes.end(), [&](const Box3& box) {
        return (p.array() >= box.low.array()).all() && (p.array() <= box.high.array()).all();
    });
}

}  // namespace

ShellPreview::ShellPreview(Shell shell, ShellMesh mesh, const WallFunction& wall, const Balls& balls)
    : shell_(std::move(shell)),
      mesh_(std::move(mesh)),
      wall_(wall),
      lattice_(feature_ball_lattice(shell_.carpet)),
      frames_(sample_frames(shell_.carpet, lattice_)),
      asked_(lattice_.size()),
      apart_(lattice_),
      base_(mesh_.foot_side_points + mesh_.underside_points),
      stale_(base_.size(), 0),
      moved_(mesh_.uv.size(), 0) {
    for (auto& sheet : balls_) sheet.resize(lattice_.size());
    parallel_for(lattice_.size(), 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const Vec2 uv = lattice_.uv(k);
            asked_[k] = wall_(uv, frames_.points[k]);
            const auto both = balls(uv, frames_.points[k], asked_[k]);
            for (std::size_t sheet = 0; sheet < 2; ++sheet) balls_[sheet][k] = both[sheet];
        }
    });
    for (const auto& sheet : balls_) {
        std::vector<Vec3> centres(frames_.points);
        std::vector<double> radii(lattice_.size());
        for (std::size_t k = 0; k < centres.size(); ++k) {
            centres[k] += sheet[k].height_mm * frames_.normals[k];
            radii[k] = sheet[k].radius_mm;
        }
        sheets_.emplace_back(lattice_, std::move(centres), std::move(radii));
    }
    mark_apart();
    parallel_for(base_.size(), 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const SurfacePoint at = shell_.carpet.first(mesh_.uv[k]);
            base_[k] = {at.s, at.normal(), wall_(mesh_.uv[k], at.s)};
        }
    });
    exits_.assign(mesh_.underside_points, unknown);
}

void ShellPreview::mark_apart() {
    std::vector<char> apart(lattice_.size());
    for (std::size_t k = 0; k < apart.size(); ++k) apart[k] = balls_[0][k] != balls_[1][k];
    apart_.set(apart);
}

double ShellPreview::wall_through(const Vec3& s, const Vec3& n, const Vec2& uv) const {
    // where the sheets are one, so are their balls
    const double t = apart_.any(sheets_[1].window(uv)) ? sheets_[1].exit(s, n, uv) : -1e300;
    return sheets_[0].exit(s, n, uv, t);
}

SurfacePoint ShellPreview::foot_side(const Vec2& uv, const Balls& balls) const {
    const auto at = [&](const Vec2& q) {
        const SurfacePoint p = shell_.carpet.first(q);
        return Vec3(p.s + balls(q, p.s, wall_(q, p.s))[0].height_mm * p.normal());
    };
    const Vec2 du(difference_mm, 0.0), dv(0.0, difference_mm);
    SurfacePoint point;
    point.s = at(uv);
    point.su = (at(uv + du) - at(uv - du)) / (2.0 * difference_mm);
    point.sv = (at(uv + dv) - at(uv - dv)) / (2.0 * difference_mm);
    point.suu = point.suv = point.svv = Vec3::Zero();
    return point;
}

SurfacePoint ShellPreview::underside(const Vec2& uv) const {
    const auto at = [&](const Vec2& q) {
        const SurfacePoint p = shell_.carpet.first(q);
        const Vec3 n = p.normal();
        return Vec3(p.s - wall_through(p.s, n, q) * n);
    };
    const Vec2 du(difference_mm, 0.0), dv(0.0, difference_mm);
    SurfacePoint point;
    point.s = at(uv);
    point.su = (at(uv + du) - at(uv - du)) / (2.0 * difference_mm);
    point.sv = (at(uv + dv) - at(uv - dv)) / (2.0 * difference_mm);
    point.suu = point.suv = point.svv = Vec3::Zero();
    return point;
}

void ShellPreview::change(const std::vector<Box3>& boxes, const Balls& balls, const WallFunction& wall) {
    std::array<std::vector<char>, 2> changed;
    for (auto& marks : changed) marks.assign(lattice_.size(), 0);
    // nodes at which another wall moves the foot side itself
    std::vector<char> lifted(lattice_.size(), 0);
    if (wall) {
        wall_ = wall;
        stale_.assign(base_.size(), 1);
    }
    parallel_for(lattice_.size(), 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            bool other_wall = false;
            if (wall) {
                const double asked = wall_(lattice_.uv(k), frames_.points[k]);
                other_wall = asked != asked_[k];
                asked_[k] = asked;
            }
            if (!other_wall && !holds(boxes, frames_.points[k])) continue;
            const auto both = balls(lattice_.uv(k), frames_.points[k], asked_[k]);
            lifted[k] = static_cast<char>(both[0].height_mm != balls_[0][k].height_mm);
            for (std::size_t sheet = 0; sheet < 2; ++sheet)
                if (both[sheet] != balls_[sheet][k]) {
                    balls_[sheet][k] = both[sheet];
                    changed[sheet][k] = 1;
                }
        }
    });
    std::vector<NodeMarks> marks(2, NodeMarks(lattice_));
    for (std::size_t sheet = 0; sheet < 2; ++sheet) {
        std::vector<std::size_t> nodes;
        std::vector<Vec3> centres;
        std::vector<double> radii;
        for (std::size_t k = 0; k < changed[sheet].size(); ++k)
            if (changed[sheet][k]) {
                nodes.push_back(k);
                centres.push_back(frames_.points[k] + balls_[sheet][k].height_mm * frames_.normals[k]);
                radii.push_back(balls_[sheet][k].radius_mm);
            }
        marks[sheet].set(changed[sheet]);
        if (!nodes.empty()) sheets_[sheet].replace(nodes, centres, radii);
    }
    mark_apart();
    NodeMarks lifts(lattice_);
    if (wall) lifts.set(lifted);

    const std::size_t foot = mesh_.foot_side_points;
    std::fill(moved_.begin(), moved_.end(), 0);
    auto& points = mesh_.mesh.points;
    parallel_for(base_.size(), 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            Base& at = base_[k];
            const Vec2& uv = mesh_.uv[k];
            if (k < foot) {
                if (!holds(boxes, at.s) && !(wall && lifts.any(sheets_[0].window(uv)))) continue;
                if (stale_[k] != 0) {
                    at.asked_mm = wall_(uv, at.s);
                    stale_[k] = 0;
                }
                points[k] = at.s + balls(uv, at.s, at.asked_mm)[0].height_mm * at.n;
                moved_[k] = 1;
                continue;
            }
            const std::size_t below = k - foot;
            const bool first = marks[0].any(sheets_[0].window(uv)),
                       second = marks[1].any(sheets_[1].window(uv));
            if (!first && !second) continue;
            // what has not changed is known from before, and leaves less to look for
            double t = -1e300;
            if (second) exits_[below] = unknown;
            if (apart_.any(sheets_[1].window(uv))) {
                if (std::isnan(exits_[below])) exits_[below] = sheets_[1].exit(at.s, at.n, uv);
                t = exits_[below];
            }
            t = sheets_[0].exit(at.s, at.n, uv, t);
            points[k] = at.s - t * at.n;
            moved_[k] = 1;
        }
    });
    move_edges(balls);
    moved_count_ = static_cast<std::size_t>(std::count(moved_.begin(), moved_.end(), 1));
}

void ShellPreview::move_edges(const Balls& balls) {
    auto& points = mesh_.mesh.points;
    const std::vector<Border> all = borders(shell_);
    for (std::size_t b = 0; b < std::min(all.size(), mesh_.edges.size()); ++b) {
        const ShellMesh::Edge& edge = mesh_.edges[b];
        const Border& border = all[b];
        const bool post = border.kind == Border::Kind::post;
        if (edge.across.empty() && !post) continue;
        parallel_for(edge.s.size(), 8, [&](std::size_t begin, std::size_t end) {
            for (std::size_t k = begin; k < end; ++k) {
                const std::size_t upper = edge.upper + k, lower = edge.lower + k;
                if (!moved_[upper] && (post || !moved_[lower])) continue;
                const Vec2 uv = mesh_.uv[upper], tangent = border.curve.tangent(edge.s[k]);
                if (post) {
                    points[lower] = post_rows(underside(uv), tangent, *border.post).rows.back();
                    moved_[lower] = 1;
                    continue;
                }
                const RimRows rows = rim_rows(foot_side(uv, balls), underside(uv), tangent, *border.rim);
                for (std::size_t r = 0; r < edge.across.size(); ++r) {
                    const std::size_t inner = edge.inner + r * edge.s.size() + k;
                    points[inner] = rim_point(rows, edge.across[r]);
                    moved_[inner] = 1;
                }
            }
        });
    }
}

}  // namespace archwright::surface
