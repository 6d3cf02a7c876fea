#include "engine/lettering/place.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "engine/base/parallel.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/surface/border.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/plan_place.hpp"

namespace archwright::lettering {

namespace {

using surface::Border, surface::Outline, surface::SplineSurface;

// The edges of a shell as polygons in (u,v).
class Edges {
  public:
    explicit Edges(const surface::Shell& shell) : trim_(shell.trim) {
        for (const surface::Aperture& one : shell.apertures) loops_.emplace_back(one.curve);
        for (const surface::Post& one : shell.posts) loops_.emplace_back(one.curve);
    }
    /// Distance to the nearest edge, mm in (u,v); negative outside the trim line or within a loop. `nearest`
    /// counts as borders() does.
    double room(const Vec2& uv, std::size_t* nearest = nullptr) const {
        double least = (trim_.inside(uv) ? 1.0 : -1.0) * trim_.distance(uv);
        if (nearest != nullptr) *nearest = 0;
        for (std::size_t k = 0; k < loops_.size(); ++k) {
            const double d = (loops_[k].inside(uv) ? -1.0 : 1.0) * loops_[k].distance(uv);
            if (d >= least) continue;
            least = d;
            if (nearest != nullptr) *nearest = k + 1;
        }
        return least;
    }

  private:
    Outline trim_;
    std::vector<Outline> loops_;
};

double distance_to_edge(const Vec3& p, const Vec3& a, const Vec3& b) {
    const Vec3 e = b - a;
    const double length2 = e.squaredNorm();
    const double t = length2 > 0.0 ? std::clamp((p - a).dot(e) / length2, 0.0, 1.0) : 0.0;
    return (p - a - t * e).norm();
}

// Nearest node in plan whose normal is not below the cosine.
std::optional<Vec2> seed(const surface::Lattice& lattice, const surface::LatticeFrames& frames,
                         const Vec2& plan, double least_cosine) {
    std::optional<std::size_t> best;
    double least = 0.0;
    for (std::size_t k = 0; k < lattice.size(); ++k) {
        if (frames.normals[k].z() < least_cosine) continue;
        const double distance2 = (frames.points[k].head<2>() - plan).squaredNorm();
        if (best && distance2 >= least) continue;
        best = k;
        least = distance2;
    }
    if (!best) return std::nullopt;
    return lattice.uv(*best);
}

constexpr double seed_spacing_mm = 3.0;

std::optional<Chart> chart_near(const SplineSurface& underside, const Vec2& plan, const Wanted& wanted,
                                const std::optional<Vec2>& start, double least_cosine) {
    const auto uv = start ? surface::place_over(underside, plan, *start, least_cosine) : std::nullopt;
    if (!uv) return std::nullopt;
    return chart_at(underside, *uv, wanted.turn_deg, wanted.mirrored);
}

}  // namespace

Chart chart_at(const SplineSurface& underside, const Vec2& uv, double turn_deg, bool mirrored) {
    const surface::SurfacePoint at = underside.first(uv);
    const Vec3 outward = -at.normal();
    const double turn = turn_deg * std::numbers::pi / 180.0;
    // the direction in the tangent plane whose plan is asked; on a wall along it any that is left
    Vec3 along(std::cos(turn), std::sin(turn), 0.0);
    if (std::abs(outward.z()) > tolerance::degenerate)
        along.z() = -(outward.x() * along.x() + outward.y() * along.y()) / outward.z();
    along -= along.dot(outward) * outward;
    along.normalize();
    const Vec3 up = (mirrored ? -1.0 : 1.0) * outward.cross(along);
    // (u,v) of a step in the tangent plane, by the first fundamental form
    Eigen::Matrix2d form;
    form << at.su.dot(at.su), at.su.dot(at.sv), at.su.dot(at.sv), at.sv.dot(at.sv);
    const Eigen::Matrix2d inverse = form.inverse();
    Chart chart;
    chart.origin = uv;
    chart.turn.col(0) = inverse * Vec2(along.dot(at.su), along.dot(at.sv));
    chart.turn.col(1) = inverse * Vec2(up.dot(at.su), up.dot(at.sv));
    return chart;
}

Room room_at(const surface::Shell& shell, const surface::ShellMesh& mesh, const Chart& chart,
             const Layout& layout, const Style& style) {
    constexpr double step_mm = 0.25;
    struct Sample {
        Vec2 uv;
        char letter;
    };
    std::vector<Sample> samples;
    for (const Letter& letter : layout.letters)
        for (const Stroke& stroke : letter.strokes)
            for (std::size_t k = 0; k < stroke.size(); ++k) {
                const Vec2 a = stroke[k], b = stroke[std::min(k + 1, stroke.size() - 1)];
                const int parts = std::max(1, static_cast<int>(std::ceil((b - a).norm() / step_mm)));
                for (int i = 0; i < parts; ++i)
                    samples.push_back(
                        {chart.uv(a + (b - a) * (static_cast<double>(i) / parts)), letter.character});
            }
    const Edges edges(shell);
    const std::vector<Border> all = surface::borders(shell);
    struct Found {
        double clearance;
        std::size_t border;
        Vec3 p;
        double cosine;
    };
    std::vector<Found> found(samples.size());
    parallel_for(samples.size(), 16, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const Vec2& uv = samples[k].uv;
            std::size_t border = 0;
            const double flat = edges.room(uv, &border);
            const Vec3 p = shell.underside.point(uv);
            Found& one = found[k];
            one = {flat, border, p, shell.underside.normal(uv).z()};
            if (flat > 0.0) {  // in space, to the edges as they are meshed
                one.clearance = std::numeric_limits<double>::infinity();
                for (std::size_t b = 0; b < mesh.edges.size(); ++b) {
                    const surface::ShellMesh::Edge& edge = mesh.edges[b];
                    const std::size_t first = all[b].kind == Border::Kind::post ? edge.upper : edge.lower;
                    for (std::size_t i = 0; i < edge.s.size(); ++i) {
                        const double d = distance_to_edge(p, mesh.mesh.points[first + i],
                                                          mesh.mesh.points[first + (i + 1) % edge.s.size()]);
                        if (d >= one.clearance) continue;
                        one.clearance = d;
                        one.border = b;
                    }
                }
            }
            one.clearance -= 0.5 * style.stroke_mm;
        }
    });
    Room room;
    room.clearance_mm = std::numeric_limits<double>::infinity();
    for (std::size_t k = 0; k < found.size(); ++k) {
        if (found[k].clearance < room.clearance_mm) {
            room.clearance_mm = found[k].clearance;
            room.from = all[found[k].border].name;
            room.letter = samples[k].letter;
            room.where = found[k].p;
        }
        if (found[k].cosine < room.least_cosine) {
            room.least_cosine = found[k].cosine;
            room.steepest = found[k].p;
        }
    }
    return room;
}

std::optional<Chart> chart_over(const SplineSurface& underside, const Vec2& plan, const Wanted& wanted) {
    if (!plan.allFinite()) return std::nullopt;
    const auto lattice = surface::Lattice::spaced(underside.u, underside.v, seed_spacing_mm);
    const auto frames = surface::sample_frames(underside, lattice);
    return chart_near(underside, plan, wanted, seed(lattice, frames, plan, tolerance::post_cosine),
                      tolerance::post_cosine);
}

std::optional<Chart> find_place(const surface::Shell& shell, const Layout& layout, const Wanted& wanted,
                                double enough_mm) {
    constexpr double step_mm = 3.0, box_step_mm = 2.0;
    // (u,v) differ from space by their stretch, and the box's corners are seldom inked
    constexpr double spare_mm = 0.5;
    // 20 degrees of bend under the letters are worth no more than a millimetre of room
    constexpr double flat_mm = 16.0;
    const SplineSurface& underside = shell.underside;
    const auto lattice = surface::Lattice::spaced(underside.u, underside.v, seed_spacing_mm);
    const auto frames = surface::sample_frames(underside, lattice);
    const Edges edges(shell);
    Vec2 low = Vec2::Constant(1e300), high = Vec2::Constant(-1e300);
    for (std::size_t k = 0; k < lattice.size(); ++k) {
        if (edges.room(lattice.uv(k)) < 0.0) continue;
        low = low.cwiseMin(frames.points[k].head<2>());
        high = high.cwiseMax(frames.points[k].head<2>());
    }
    const auto range = [&](const std::optional<double>& fixed, int axis) {
        if (fixed) return std::vector<double>{*fixed};
        std::vector<double> all;
        for (double at = std::ceil(low[axis] / step_mm) * step_mm; at <= high[axis]; at += step_mm)
            all.push_back(at);
        return all;
    };
    std::vector<Vec2> plans;
    for (const double x : range(wanted.x, 0))
        for (const double y : range(wanted.y, 1)) plans.emplace_back(x, y);
    std::vector<Vec2> box;
    const Vec2 half = layout.half_size;
    const int nx = std::max(2, static_cast<int>(std::ceil(2.0 * half.x() / box_step_mm))),
              ny = std::max(2, static_cast<int>(std::ceil(2.0 * half.y() / box_step_mm)));
    for (int i = 0; i <= nx; ++i)
        for (int j = 0; j <= ny; ++j)
            box.emplace_back(half.x() * (2.0 * i / nx - 1.0), half.y() * (2.0 * j / ny - 1.0));

    struct Candidate {
        std::optional<Chart> chart;
        double worth = -std::numeric_limits<double>::infinity();
    };
    std::vector<Candidate> candidates(plans.size());
    parallel_for(plans.size(), 8, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const auto chart = chart_near(underside, plans[k], wanted,
                                          seed(lattice, frames, plans[k], tolerance::lettering_steep_cosine),
                                          tolerance::lettering_steep_cosine);
            if (!chart) continue;
            const Vec3 middle = underside.normal(chart->origin);
            double room = enough_mm, level = 1.0, cosine = 1.0;
            for (const Vec2& p : box) {
                const Vec2 uv = chart->uv(p);
                room = std::min(room, edges.room(uv));
                if (room < tolerance::lettering_rim_mm + spare_mm) break;
                const Vec3 normal = underside.normal(uv);
                cosine = std::min(cosine, normal.z());
                level = std::min(level, normal.dot(middle));
            }
            if (room < tolerance::lettering_rim_mm + spare_mm || cosine < tolerance::lettering_steep_cosine)
                continue;
            candidates[k] = {chart, room + flat_mm * level};
        }
    });
    const auto best =
        std::max_element(candidates.begin(), candidates.end(),
                         [](const Candidate& a, const Candidate& b) { return a.worth < b.worth; });
    return best == candidates.end() ? std::nullopt : best->chart;
}

}  // namespace archwright::lettering
