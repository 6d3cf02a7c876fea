#include "engine/study/mean_surface.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "engine/base/parallel.hpp"
#include "engine/compare/surface.hpp"
#include "engine/foot/survey.hpp"
#include "engine/mesh/topology.hpp"

namespace archwright::study {

namespace {

/// Casts of one foot lie nearer than this; what a line along the normal meets beyond is another part of it.
constexpr double casts_apart_mm = 8.0;
constexpr double least_share = 2.0 / 3.0;

TriangleMesh sole_part(const MeasuredCast& cast) {
    TriangleMesh part;
    part.points = cast.mesh.points;
    for (std::size_t i = 0; i < cast.mesh.triangles.size(); ++i) {
        const Triangle& t = cast.mesh.triangles[i];
        const Vec3 middle = (part.points[t[0]] + part.points[t[1]] + part.points[t[2]]) / 3.0;
        const Vec3 n = cast.mesh.normal2(i);
        if (on_sole(middle, n, cast.foot_length_mm) && n.z() < 0.5 * n.norm()) part.triangles.push_back(t);
    }
    drop_unused_points(part);
    return part;
}

TriangleMesh moved(const TriangleMesh& mesh, const registration::Motion& motion) {
    TriangleMesh out = mesh;
    parallel_for(out.points.size(), 1 << 14, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) out.points[i] = motion(out.points[i]);
    });
    return out;
}

/// Sums over the casts of the distance along the normal of every point.
struct Sums {
    std::vector<double> sum, squares;
    std::vector<int> count;
};

void add(const TriangleMesh& mean, const std::vector<Vec3>& normals, const TriangleMesh& cast, Sums& sums) {
    const compare::Reference reference(cast);
    parallel_for(mean.points.size(), 256, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            if (!(normals[i].squaredNorm() > 0.5)) continue;
            const auto t = reference.along(mean.points[i], normals[i]);
            if (!t || std::abs(*t) > casts_apart_mm) continue;
            sums.sum[i] += *t;
            sums.squares[i] += *t * *t;
            ++sums.count[i];
        }
    });
}

Outcome<MeanSurface> mean_of(const std::vector<const MeasuredCast*>& group, Progress& progress) {
    MeanSurface out;
    out.side = group.front()->side;
    out.casts = static_cast<int>(group.size());
    out.foot_length_mm = group.front()->foot_length_mm;
    out.mesh = sole_part(*group.front());
    // the first of the group need not be the one the others were laid on
    const registration::Motion home = group.front()->onto_first.inverse();
    std::vector<registration::Motion> motions;
    for (const MeasuredCast* cast : group) motions.push_back(cast->onto_first.then(home));
    const std::size_t points = out.mesh.points.size();
    for (int round = 0; round < 2; ++round) {
        const std::vector<Vec3> normals = out.mesh.point_normals();
        Sums sums{std::vector<double>(points, 0.0), std::vector<double>(points, 0.0),
                  std::vector<int>(points, 0)};
        if (round > 0) {
            const registration::Fixed fixed(out.mesh);
            for (std::size_t k = 0; k < group.size(); ++k) {
                const double length = group[k]->foot_length_mm;
                const registration::Samples samples = registration::samples_of(
                    group[k]->mesh, 4000,
                    [length](const Vec3& p, const Vec3& n) { return on_sole(p, n, length); });
                motions[k] = registration::settle(fixed, samples, motions[k], {6.0, 60}).motion;
            }
        }
        for (std::size_t k = 0; k < group.size(); ++k) {
            if (progress.cancelled()) return Fault{FaultKind::cancelled, "study", "Cancelled.", {}};
            add(out.mesh, normals, moved(group[k]->mesh, motions[k]), sums);
        }
        out.sd_mm.assign(points, std::numeric_limits<double>::quiet_NaN());
        for (std::size_t i = 0; i < points; ++i) {
            const int n = sums.count[i];
            if (n < 2 || n < least_share * out.casts) continue;
            const double mean = sums.sum[i] / n;
            out.sd_mm[i] = std::sqrt(std::max((sums.squares[i] - n * mean * mean) / (n - 1), 0.0));
            if (round == 0) out.mesh.points[i] += mean * normals[i];
        }
    }
    std::vector<double> there;
    for (const double sd : out.sd_mm)
        if (std::isfinite(sd)) there.push_back(sd);
    if (there.empty()) return out;
    std::sort(there.begin(), there.end());
    out.usual_sd_mm = there[there.size() / 2];
    out.most_sd_mm = there[there.size() * 95 / 100];
    return out;
}

}  // namespace

Outcome<std::vector<MeanSurface>> mean_surfaces(const Table& table, const Casts& casts, Progress& progress) {
    std::vector<std::string> order;
    std::map<std::string, std::vector<const MeasuredCast*>> feet;
    for (const MeasuredCast& cast : casts.good) {
        const Row& row = table.rows[cast.row];
        if (row.marking != 1) continue;  // the same cast again
        auto& group = feet[row.foot];
        if (group.empty()) order.push_back(row.foot);
        group.push_back(&cast);
    }
    std::vector<MeanSurface> out;
    for (std::size_t i = 0; i < order.size(); ++i) {
        if (!progress.report("Mean surfaces", static_cast<double>(i) / static_cast<double>(order.size())))
            return Fault{FaultKind::cancelled, "study", "Cancelled.", {}};
        if (feet[order[i]].size() < 2) continue;
        auto mean = mean_of(feet[order[i]], progress);
        if (!mean) return mean.fault();
        mean->foot = order[i];
        out.push_back(std::move(*mean));
    }
    return out;
}

DeviationPlan deviation_plan(const std::vector<MeanSurface>& surfaces) {
    DeviationPlan plan;
    const std::size_t cells = static_cast<std::size_t>(DeviationPlan::along) * DeviationPlan::across;
    std::vector<double> squares(cells, 0.0), counts(cells, 0.0);
    for (const MeanSurface& surface : surfaces)
        for (std::size_t i = 0; i < surface.mesh.points.size(); ++i) {
            if (!std::isfinite(surface.sd_mm[i])) continue;
            const Vec3& p = surface.mesh.points[i];
            const double x = p.x() / surface.foot_length_mm + foot::share::heel_centre,
                         y = p.y() / surface.foot_length_mm / DeviationPlan::breadth + 0.5;
            const int row = static_cast<int>(std::floor(x * DeviationPlan::along)),
                      column = static_cast<int>(std::floor(y * DeviationPlan::across));
            if (row < 0 || row >= DeviationPlan::along || column < 0 || column >= DeviationPlan::across)
                continue;
            const auto at = static_cast<std::size_t>(row * DeviationPlan::across + column);
            squares[at] += surface.sd_mm[i] * surface.sd_mm[i];
            counts[at] += 1.0;
        }
    plan.sd_mm.assign(cells, std::numeric_limits<double>::quiet_NaN());
    for (std::size_t i = 0; i < cells; ++i)
        if (counts[i] > 0.0) plan.sd_mm[i] = std::sqrt(squares[i] / counts[i]);
    return plan;
}

}  // namespace archwright::study
