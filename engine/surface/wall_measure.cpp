#include "engine/surface/wall_measure.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <nanoflann.hpp>
#include <optional>
#include <utility>

#include "engine/base/parallel.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/surface/border.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::surface {

namespace {

constexpr double nowhere = std::numeric_limits<double>::infinity();

// kd-tree over lattice points.
struct Cloud {
    const std::vector<Vec3>& points;

    std::size_t kdtree_get_point_count() const { return points.size(); }
    double kdtree_get_pt(std::size_t k, std::size_t axis) const {
        return points[k][static_cast<Eigen::Index>(axis)];
    }
    template <class Box>
    bool kdtree_get_bbox(Box&) const {
        return false;
    }
};
using Tree =
    nanoflann::KDTreeSingleIndexAdaptor<nanoflann::L2_Simple_Adaptor<double, Cloud>, Cloud, 3, std::size_t>;

// Points of a surface inside the trim, to start from.
class Seeds {
  public:
    Seeds(const SplineSurface& surface, double spacing, const TrimRegion& region) {
        const Lattice lattice = Lattice::spaced(surface.u, surface.v, spacing);
        const std::vector<Vec3> all = sample_points(surface, lattice);
        std::vector<char> keep(all.size());
        parallel_for(all.size(), 1024, [&](std::size_t begin, std::size_t end) {
            for (std::size_t k = begin; k < end; ++k) {
                const Vec2 uv = lattice.uv(k);
                keep[k] = region.inside(uv) || region.distance(uv, spacing) < spacing;
            }
        });
        for (std::size_t k = 0; k < all.size(); ++k)
            if (keep[k]) {
                points_.push_back(all[k]);
                uv_.push_back(lattice.uv(k));
            }
        if (!points_.empty())
            tree_ = std::make_unique<Tree>(3, cloud_, nanoflann::KDTreeSingleIndexAdaptorParams(16));
    }
    Seeds(const Seeds&) = delete;
    Seeds& operator=(const Seeds&) = delete;

    bool empty() const { return points_.empty(); }
    Vec2 nearest(const Vec3& p) const {
        std::size_t k = 0;
        double distance2 = 0.0;
        nanoflann::KNNResultSet<double, std::size_t> result(1);
        result.init(&k, &distance2);
        tree_->findNeighbors(result, p.data(), nanoflann::SearchParams());
        return uv_[k];
    }

  private:
    std::vector<Vec3> points_;
    std::vector<Vec2> uv_;
    Cloud cloud_{points_};
    std::unique_ptr<Tree> tree_;
};

// Nearest point by Newton's method on |p - S|^2 / 2 with the full Hessian: Gauss-Newton (as
// SplineSurface::project) converges only where curvature x distance is below 1. Steps that do not bring the
// surface nearer are halved.
double nearest_distance(const SplineSurface& surface, const Vec3& p, Vec2& uv) {
    constexpr int most_steps = 12;
    constexpr double longest_step_mm = 1.0, enough_mm = 1e-5;  // the distance errs with the step's square
    SurfacePoint at = surface.second(uv);
    double best2 = (p - at.s).squaredNorm();
    for (int k = 0; k < most_steps; ++k) {
        const Vec3 r = p - at.s;
        const double ga = at.su.dot(r), gb = at.sv.dot(r);
        double e = at.su.squaredNorm(), f = at.su.dot(at.sv), g = at.sv.squaredNorm();
        const double e2 = e - r.dot(at.suu), f2 = f - r.dot(at.suv), g2 = g - r.dot(at.svv);
        if (e2 > 0.0 && e2 * g2 - f2 * f2 > tolerance::degenerate) {
            e = e2;
            f = f2;
            g = g2;
        }
        const double det = e * g - f * f;
        if (!(det > tolerance::degenerate)) break;
        Vec2 step((g * ga - f * gb) / det, (e * gb - f * ga) / det);
        const double size = step.cwiseAbs().maxCoeff();
        if (size > longest_step_mm) step *= longest_step_mm / size;
        bool nearer = false;
        for (int half = 0; half < 4 && !nearer; ++half, step *= 0.5) {
            const Vec2 next = surface.clamp(uv + step);
            const SurfacePoint there = surface.second(next);
            const double distance2 = (p - there.s).squaredNorm();
            if (distance2 < best2) {
                nearer = true;
                best2 = distance2;
                at = there;
                uv = next;
            }
        }
        if (!nearer || size < enough_mm) break;
    }
    return std::sqrt(best2);
}

// Where the ray p - t n meets the surface near a start, by Newton's method in (u, v, t). Nowhere when it does
// not settle.
double ray_distance(const SplineSurface& surface, const Vec3& p, const Vec3& n, Vec2 uv, double t) {
    constexpr int most_steps = 8;
    constexpr double enough_mm = 1e-6, longest_step_mm = 2.0;
    for (int k = 0; k < most_steps; ++k) {
        const SurfacePoint at = surface.first(uv);
        const Vec3 r = p - t * n - at.s;
        // solve su du + sv dv + n dt = r by Cramer's rule
        const double det = at.su.cross(at.sv).dot(n);
        if (std::abs(det) < tolerance::degenerate) return nowhere;
        Vec2 step(r.cross(at.sv).dot(n) / det, at.su.cross(r).dot(n) / det);
        const double dt = at.su.cross(at.sv).dot(r) / det;
        const double size = std::max(step.cwiseAbs().maxCoeff(), std::abs(dt));
        if (size > longest_step_mm) {
            uv = surface.clamp(uv + step * (longest_step_mm / size));
            t += dt * (longest_step_mm / size);
            continue;
        }
        uv = surface.clamp(uv + step);
        t += dt;
        if (size < enough_mm)
            return (p - t * n - surface.point(uv)).norm() < tolerance::wall_mm ? t : nowhere;
    }
    return nowhere;
}

// A coarse mesh of a surface inside the trim, to find which part of it a ray meets first.
class RaySheet {
  public:
    RaySheet(const SplineSurface& surface, double spacing, const TrimRegion& region)
        : lattice_(Lattice::spaced(surface.u, surface.v, spacing)),
          mesh_(triangles(surface, lattice_, region)) {
        if (!mesh_.triangles.empty()) bvh_ = std::make_unique<Bvh>(mesh_);
    }
    RaySheet(const RaySheet&) = delete;
    RaySheet& operator=(const RaySheet&) = delete;

    /// First hit of p - t n up to `most`: a start for ray_distance.
    std::optional<std::pair<Vec2, double>> first(const Vec3& p, const Vec3& n, double most) const {
        if (!bvh_) return std::nullopt;
        const auto hit = bvh_->ray(p, -n, 0.0, most);
        if (!hit) return std::nullopt;
        const Triangle& t = mesh_.triangles[static_cast<std::size_t>(hit->triangle)];
        const auto uv = [&](int c) {
            return lattice_.uv(static_cast<std::size_t>(t[static_cast<std::size_t>(c)]));
        };
        return std::pair{Vec2((uv(0) + uv(1) + uv(2)) / 3.0), hit->t};
    }

  private:
    static TriangleMesh triangles(const SplineSurface& surface, const Lattice& lattice,
                                  const TrimRegion& region) {
        TriangleMesh mesh;
        mesh.points = sample_points(surface, lattice);
        std::vector<char> in(lattice.size());
        for (std::size_t k = 0; k < in.size(); ++k) in[k] = region.inside(lattice.uv(k));
        for (int i = 0; i + 1 < lattice.nu; ++i)
            for (int j = 0; j + 1 < lattice.nv; ++j) {
                const std::size_t a = lattice.index(i, j), b = lattice.index(i + 1, j);
                if (!(in[a] && in[b] && in[a + 1] && in[b + 1])) continue;
                const auto at = [](std::size_t k) { return static_cast<std::int32_t>(k); };
                mesh.triangles.push_back({at(a), at(b), at(b + 1)});
                mesh.triangles.push_back({at(a), at(b + 1), at(a + 1)});
            }
        return mesh;
    }

    Lattice lattice_;
    TriangleMesh mesh_;
    std::unique_ptr<Bvh> bvh_;
};

std::vector<std::vector<Vec2>> polygons_of(const std::vector<Border>& all, Border::Kind kind) {
    std::vector<std::vector<Vec2>> polygons;
    for (const Border& border : all)
        if (border.kind == kind) polygons.push_back(Outline(border.curve).points());
    return polygons;
}

struct Measured {
    double wall = nowhere, asked = 0.0, clearance = nowhere;
    Vec3 above = Vec3::Zero(), below = Vec3::Zero();
    bool away = false;         // from the trim and apertures
    bool beside_post = false;  // away from those, yet not from a post
    bool disagrees = false;
};

}  // namespace

bool WallGate::ok() const {
    return samples > 0 && std::abs(underside_worst_mm) <= tolerance::wall_mm &&
           foot_worst_mm >= -tolerance::wall_mm && rays_disagree == 0;
}

WallGate measure_wall(const Shell& shell, const WallFunction& wall, const Outline& trim,
                      const WallMeasureSettings& settings) {
    WallGate gate;
    const std::vector<Border> all = borders(shell);
    std::vector<std::vector<Vec2>> edges = polygons_of(all, Border::Kind::aperture);
    edges.insert(edges.begin(), trim.points());
    const TrimRegion region(std::move(edges));
    const TrimRegion posts(polygons_of(all, Border::Kind::post));
    const Seeds underside(shell.underside, settings.seed_spacing_mm, region);
    const Seeds foot_side(shell.foot_side, settings.seed_spacing_mm, region);
    if (underside.empty() || foot_side.empty()) return gate;

    std::optional<RaySheet> rays;
    if (settings.rays) rays.emplace(shell.underside, 2.0 * settings.seed_spacing_mm, region);

    // the balls: on the foot side as it was fitted, then the further sheets over the carpet
    const Lattice balls = Lattice::spaced(shell.carpet.u, shell.carpet.v, settings.seed_spacing_mm);
    const LatticeFrames carpet = sample_frames(shell.carpet, balls);
    std::vector<BallSheet> sheets;
    {
        std::vector<double> radii(balls.size());
        parallel_for(balls.size(), 512, [&](std::size_t begin, std::size_t end) {
            for (std::size_t k = begin; k < end; ++k) radii[k] = wall(balls.uv(k), carpet.points[k]);
        });
        sheets.emplace_back(balls, sample_points(shell.foot_side, balls), std::move(radii));
        for (const BallLayer& layer : settings.further) sheets.push_back(sample_layer(balls, carpet, layer));
    }

    std::vector<Vec2> places;
    const Lattice grid = Lattice::spaced(shell.carpet.u, shell.carpet.v, settings.spacing_mm);
    for (std::size_t k = 0; k < grid.size(); ++k)
        if (const Vec2 uv = grid.uv(k); region.inside(uv) && !posts.inside(uv)) places.push_back(uv);
    std::vector<Measured> measured(places.size());
    parallel_for(places.size(), 128, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            Measured& m = measured[k];
            const Vec2& uv = places[k];
            const SurfacePoint at = shell.foot_side.first(uv);
            m.above = at.s;
            m.below = shell.underside.point(uv);
            m.asked = wall(uv, shell.carpet.point(uv));
            const double beside = settings.beside_trim * m.asked;
            m.away = region.distance(uv, beside) >= beside;
            m.beside_post = m.away && posts.distance(uv, beside) < beside;

            // two starts: straight below, and the nearest seed wherever it lies
            Vec2 found = uv, straight = uv;
            m.wall = nearest_distance(shell.underside, m.above, straight);
            const Vec2 seed = underside.nearest(m.above);
            if ((seed - straight).cwiseAbs().maxCoeff() > settings.seed_spacing_mm) {
                found = seed;
                m.wall = std::min(m.wall, nearest_distance(shell.underside, m.above, found));
            }
            if (rays)
                if (const auto hit = rays->first(m.above, at.normal(), m.wall)) {
                    const double along =
                        ray_distance(shell.underside, m.above, at.normal(), hit->first, hit->second);
                    const auto nearer = [&] { return along < m.wall - tolerance::wall_mm; };
                    // a part that neither start led to, as between folds of close reliefs: begin there
                    if (Vec2 third = hit->first; nearer())
                        m.wall = std::min(m.wall, nearest_distance(shell.underside, m.above, third));
                    m.disagrees = nearer();
                }
            if (!m.away || m.beside_post) continue;
            const Vec2 under = foot_side.nearest(m.below);
            for (const BallSheet& sheet : sheets) {
                m.clearance = std::min(m.clearance, sheet.clearance(m.below, uv));
                if ((under - uv).cwiseAbs().maxCoeff() > m.asked)
                    m.clearance = std::min(m.clearance, sheet.clearance(m.below, under));
            }
        }
    });

    gate.foot_worst_mm = gate.least_wall_mm = gate.rim_least_mm = nowhere;
    double sum = 0.0;
    gate.map.reserve(places.size());
    for (std::size_t k = 0; k < places.size(); ++k) {
        const Measured& m = measured[k];
        if (m.disagrees && gate.rays_disagree++ == 0) gate.rays_where = m.above;
        if (!m.away) {
            if (m.wall < gate.rim_least_mm) {
                gate.rim_least_mm = m.wall;
                gate.rim_where = m.above;
            }
            continue;
        }
        if (m.beside_post) continue;
        if (std::abs(m.clearance) > std::abs(gate.underside_worst_mm)) {
            gate.underside_worst_mm = m.clearance;
            gate.underside_where = m.below;
        }
        if (m.wall - m.asked < gate.foot_worst_mm) {
            gate.foot_worst_mm = m.wall - m.asked;
            gate.foot_where = m.above;
        }
        if (m.wall < gate.least_wall_mm) {
            gate.least_wall_mm = m.wall;
            gate.least_where = m.above;
        }
        if (m.wall > gate.most_mm) {
            gate.most_mm = m.wall;
            gate.most_where = m.above;
        }
        sum += m.wall;
        gate.map.push_back({places[k], m.above, m.wall, m.asked});
    }
    gate.samples = gate.map.size();
    if (gate.samples > 0) gate.mean_mm = sum / static_cast<double>(gate.samples);
    return gate;
}

}  // namespace archwright::surface
