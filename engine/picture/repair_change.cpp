#include "engine/picture/repair_change.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace archwright::picture {

RepairChange change_of(const build::Received& received, const SoleRelief& sole, double about_mm) {
    RepairChange change;
    if (!received.repaired) return change;
    const foot::Frame& frame = received.standing.frame;
    const bool inside_out = received.reception.inside_out.value;
    const TriangleMesh after = foot::to_design(received.repaired->mesh, frame, inside_out);
    const TriangleMesh before = foot::to_design(received.cast->cleaning.mesh, frame, inside_out);
    // no repair moves a point off another's index (engine/examine/repair.hpp)
    const auto near = [&](const Vec3& p) {
        return std::any_of(received.repaired->figures.begin(), received.repaired->figures.end(),
                           [&](const examine::RepairFigure& figure) {
                               return (p - frame.to_design(figure.place)).norm() < about_mm + figure.reach_mm;
                           });
    };
    std::vector<std::int32_t> kept(after.points.size(), -1);
    std::vector<std::size_t> from;
    for (std::size_t i = 0; i < after.points.size(); ++i) {
        if (!near(after.points[i]) && after.points[i] == before.points[i]) continue;
        kept[i] = static_cast<std::int32_t>(from.size());
        from.push_back(i);
        change.after.points.push_back(after.points[i]);
        change.before.points.push_back(before.points[i]);
    }
    for (const Triangle& t : after.triangles) {
        const Triangle mine{kept[static_cast<std::size_t>(t[0])], kept[static_cast<std::size_t>(t[1])],
                            kept[static_cast<std::size_t>(t[2])]};
        if (mine[0] >= 0 && mine[1] >= 0 && mine[2] >= 0) change.after.triangles.push_back(mine);
    }
    change.before.triangles = change.after.triangles;

    const std::vector<Vec3> normals = change.after.point_normals();
    for (std::size_t k = 0; k < from.size(); ++k) {
        const Vec3 step = change.after.points[k] - change.before.points[k];
        const double moved = step.dot(normals[k]);
        change.moved.push_back(moved);
        change.greatest_mm = std::max(change.greatest_mm, std::abs(moved));
        constexpr double on_relief_mm = 1.0;  // pinholes and spikes are not as in the scan
        double as_is = std::numeric_limits<double>::quiet_NaN(), as_was = as_is;
        if (const auto place = sole.nearest(change.after.points[k], on_relief_mm)) {
            as_is = place->value + (change.after.points[k] - place->point).dot(place->away);
            as_was = as_is - step.dot(place->away);
        }
        change.relief_after.push_back(as_is);
        change.relief_before.push_back(as_was);
    }
    return change;
}

}  // namespace archwright::picture
