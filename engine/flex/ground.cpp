// Places of a shell over its ground, and a fine problem's start from a coarse one.
#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/flex/contact.hpp"

namespace archwright::flex {

std::vector<Vec3> underside_arms(const Model& model) {
    std::vector<Vec3> arms = normals(model);
    for (std::size_t p = 0; p < arms.size(); ++p) arms[p] *= -0.5 * model.wall_mm[p];
    return arms;
}

std::vector<double> bed_areas(const Model& model, const Vec3& up) {
    constexpr double least_mm2 = 1e-6;
    std::vector<double> seen(model.points.size(), 0.0);
    for (const Triangle& t : model.triangles) {
        const Vec3 a = model.points[t[1]] - model.points[t[0]], b = model.points[t[2]] - model.points[t[0]];
        for (const std::int32_t corner : t) seen[corner] += std::abs(a.cross(b).dot(up)) / 6.0;
    }
    for (double& mm2 : seen) mm2 = std::max(mm2, least_mm2);
    return seen;
}

std::vector<Contact> over_plate(const Model& model, double plate_z_mm, double friction, double bed_n_mm3,
                                const std::vector<Vec3>& arms) {
    const std::vector<Vec3> under = arms.size() == model.points.size() ? arms : underside_arms(model);
    const std::vector<double> under_mm2 = bed_areas(model, Vec3::UnitZ());
    std::vector<Contact> contacts(model.points.size());
    for (std::size_t p = 0; p < contacts.size(); ++p) {
        Contact& contact = contacts[p];
        contact.point = static_cast<int>(p);
        contact.arm = under[p];
        contact.gap_mm = model.points[p].z() + under[p].z() - plate_z_mm;
        contact.friction = friction;
        contact.bed_n_mm = bed_n_mm3 > 0.0 ? bed_n_mm3 * under_mm2[p] : 0.0;
    }
    return contacts;
}

ContactStart start_from(const ContactProblem& coarse, const ContactResult& result,
                        const ContactProblem& fine) {
    ContactStart start;
    const std::vector<Vec3>& from = coarse.model.points;
    std::vector<char> touched(from.size(), 0);
    for (std::size_t c = 0; c < coarse.contacts.size(); ++c)
        if (result.contacts[c].state != ContactAnswer::State::open) touched[coarse.contacts[c].point] = 1;
    std::vector<std::size_t> nearest(fine.model.points.size(), 0);
    start.displacement = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(nearest.size()));
    for (std::size_t p = 0; p < nearest.size(); ++p) {
        double least = std::numeric_limits<double>::max();
        for (std::size_t q = 0; q < from.size(); ++q)
            if (const double d = (from[q] - fine.model.points[p]).squaredNorm(); d < least) {
                least = d;
                nearest[p] = q;
            }
        const auto q = 6 * static_cast<Eigen::Index>(nearest[p]), at = 6 * static_cast<Eigen::Index>(p);
        const Vec3 turn = result.displacement.segment<3>(q + 3);
        start.displacement.segment<3>(at) =
            Vec3(result.displacement.segment<3>(q)) + turn.cross(fine.model.points[p] - from[nearest[p]]);
        start.displacement.segment<3>(at + 3) = turn;
    }
    for (const Contact& contact : fine.contacts) start.touching.push_back(touched[nearest[contact.point]]);
    return start;
}

}  // namespace archwright::flex
