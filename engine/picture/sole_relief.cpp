#include "engine/picture/sole_relief.hpp"

#include <array>

#include "engine/picture/local_relief.hpp"

namespace archwright::picture {

SoleRelief::SoleRelief(const examine::HeightMap& map) : map_(map), values_(local_relief(map)) {
    mesh_.points = map.position;
    for (int i = 0; i + 1 < map.nu; ++i)
        for (int j = 0; j + 1 < map.nv; ++j) {
            const std::size_t a = map.index(i, j), b = map.index(i + 1, j), c = map.index(i + 1, j + 1),
                              d = map.index(i, j + 1);
            if (!map.valid[a] || !map.valid[b] || !map.valid[c] || !map.valid[d]) continue;
            const auto at = [](std::size_t k) { return static_cast<std::int32_t>(k); };
            // seen from below: u to the toes, v to medial turn clockwise about the way out of the foot
            mesh_.triangles.push_back({at(a), at(c), at(b)});
            mesh_.triangles.push_back({at(a), at(d), at(c)});
        }
    if (!mesh_.triangles.empty()) tree_ = std::make_unique<Bvh>(mesh_);
}

std::optional<SoleRelief::Place> SoleRelief::nearest(const Vec3& p, double within) const {
    if (!tree_) return std::nullopt;
    const auto near = tree_->nearest(p, within);
    if (!near) return std::nullopt;
    const Triangle& t = mesh_.triangles[static_cast<std::size_t>(near->triangle)];
    std::array<Vec3, 3> corner;
    std::array<std::size_t, 3> node{};
    for (std::size_t k = 0; k < 3; ++k) {
        node[k] = static_cast<std::size_t>(t[k]);
        corner[k] = mesh_.points[node[k]];
    }
    const Vec3 normal = (corner[1] - corner[0]).cross(corner[2] - corner[0]);
    const double whole = normal.squaredNorm();
    Place place;
    place.point = near->point;
    place.away = Vec3::Zero();
    for (std::size_t k = 0; k < 3; ++k) {
        const Vec3 &a = corner[(k + 1) % 3], &b = corner[(k + 2) % 3];
        const double share = whole > 0.0 ? (b - a).cross(near->point - a).dot(normal) / whole : 1.0 / 3.0;
        place.value += share * values_[node[k]];
        place.away += share * map_.away[node[k]];
    }
    place.away.normalize();
    return place;
}

bool SoleRelief::shows(const Vec3& p, double within) const {
    // steeper walls are too narrow in the print to show anything; the normal is that of some mm round the
    // place, free of the scan's noise
    constexpr double faces_ground = -0.35, round_mm = 3.0;
    const auto place = nearest(p, within);
    if (!place) return false;
    Box3 box;
    box.add(place->point - Vec3::Constant(round_mm));
    box.add(place->point + Vec3::Constant(round_mm));
    Vec3 normal = Vec3::Zero();
    for (const std::int32_t t : tree_->touching(box)) normal += mesh_.normal2(static_cast<std::size_t>(t));
    return normal.z() < faces_ground * normal.norm();
}

}  // namespace archwright::picture
