#include "engine/mill/tip_check.hpp"

#include <optional>

#include "engine/base/parallel.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mill/arc.hpp"

namespace archwright::mill {

namespace {

constexpr double least_level = 0.5;  // cosine of 60 degrees
constexpr double flat_edge_mm = 1e-3;
constexpr double steep_told_mm = 0.01;  // a ball that must be lifted by less is not deeper in than that
constexpr double tip_arc_chord_mm = 5e-4;
constexpr std::size_t tip_piece = 512;  // moves a piece of work has
constexpr double most_looks = 4000.0;   // a move: 1 m at 0.25 mm

/// Cosine of the angle between the axis and the normal of the cutter's end that far from the axis. 0 on the
/// sharp edge of a flat nose, which has every normal.
double level_part(const Cutter& cutter, double from_axis) {
    const double beyond = from_axis - cutter.flat_radius();
    if (cutter.flat()) return beyond < -flat_edge_mm ? 1.0 : 0.0;
    const double sine = std::clamp(beyond / cutter.corner_radius, 0.0, 1.0);
    return std::sqrt(1.0 - sine * sine);
}

}  // namespace

Outcome<TipCheck> deepest_tip(const std::vector<Operation>& operations, const TriangleMesh& keep,
                              double apart, Progress* progress) {
    TipCheck worst;
    std::optional<Bvh> walls;
    for (const Operation& operation : operations) {
        if (progress != nullptr && !progress->report("Proving the paths", 0.0))
            return Fault{FaultKind::cancelled, "mill", "Cancelled; nothing was written.", {}};
        if (operation.cutter.drill() || operation.moves.size() < 2) continue;
        const DropGrid drop(keep, operation.cutter);
        if (operation.cutter.ball() && !walls) walls.emplace(keep);
        const auto& moves = operation.moves;
        const std::size_t pieces = (moves.size() + tip_piece - 1) / tip_piece;
        std::vector<TipCheck> found(pieces);
        parallel_for(pieces, 1, [&](std::size_t begin, std::size_t end) {
            std::vector<Vec3> places;
            for (std::size_t piece = begin; piece < end; ++piece) {
                if (progress != nullptr && progress->cancelled()) return;
                DropGrid::Near near;
                const auto look = [&](const Vec3& p) {
                    const Touch touch = drop.touch(p.x(), p.y(), p.z(), &near);
                    if (touch.on == Touch::On::nothing) return;
                    const double level = level_part(operation.cutter, (touch.place - p).head<2>().norm());
                    double depth = (touch.z - p.z()) * level;
                    if (level < least_level) {
                        if (!operation.cutter.ball() || touch.z - p.z() < steep_told_mm) return;
                        // the way out is sideways: how near the ball's centre comes to the mesh
                        const double r = operation.cutter.radius();
                        const auto near_centre = walls->nearest(p + Vec3(0.0, 0.0, r), r);
                        depth = near_centre ? r - (near_centre->point - p - Vec3(0.0, 0.0, r)).norm() : 0.0;
                    }
                    if (depth > found[piece].depth_mm) found[piece] = {depth, p};
                };
                const std::size_t first = std::max<std::size_t>(1, piece * tip_piece);
                for (std::size_t m = first; m < std::min(moves.size(), (piece + 1) * tip_piece); ++m) {
                    if (moves[m].rapid) continue;
                    places.clear();
                    walk(moves[m - 1].to, moves[m], tip_arc_chord_mm, places);
                    Vec3 from = moves[m - 1].to;
                    for (const Vec3& to : places) {
                        const double length = (to - from).norm();
                        const int looks =
                            static_cast<int>(std::clamp(std::ceil(length / apart), 1.0, most_looks));
                        for (int i = 1; i <= looks; ++i)
                            look(from + (to - from) * (static_cast<double>(i) / looks));
                        from = to;
                    }
                }
            }
        });
        if (progress != nullptr && !progress->report("Proving the paths", 1.0))
            return Fault{FaultKind::cancelled, "mill", "Cancelled; nothing was written.", {}};
        for (const TipCheck& one : found)
            if (one.depth_mm > worst.depth_mm) worst = one;
    }
    return worst;
}

}  // namespace archwright::mill
