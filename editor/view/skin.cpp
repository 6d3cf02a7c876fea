#include "editor/view/skin.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <unordered_map>

namespace archwright::editor::view {

namespace {

void put(std::vector<float>& numbers, std::size_t i, const Vec3& p) {
    for (std::size_t k = 0; k < 3; ++k)
        numbers[3 * i + k] = static_cast<float>(p[static_cast<Eigen::Index>(k)]);
}

/// Points drawn together to the first of each cell of a grid; triangles that keep three corners stay (J.
/// Rossignac and P. Borrel 1993, Multi-resolution 3D approximations for rendering complex scenes).
std::vector<std::uint32_t> clustered(const TriangleMesh& mesh, std::size_t first, std::size_t last,
                                     const std::vector<std::uint32_t>& corners, std::size_t first_point,
                                     std::size_t count) {
    double area = 0.0;
    for (std::size_t t = first; t < last; ++t) area += mesh.area(t);
    // an even sheet over cells of this size keeps about two triangles a cell it runs through, and slanting to
    // the grid it runs through up to twice as many cells as its area has
    constexpr double triangles_per_cell_area = 3.0;
    const double cell = std::sqrt(triangles_per_cell_area * area / static_cast<double>(Skin::most_moving));
    if (!(cell > 0.0) || !std::isfinite(cell)) return corners;
    std::unordered_map<std::uint64_t, std::uint32_t> cells;
    cells.reserve(Skin::most_moving);
    const Vec3 low = mesh.box().low;
    std::vector<std::uint32_t> to(count);
    for (std::size_t i = 0; i < count; ++i) {
        std::uint64_t key = 0;
        for (Eigen::Index k = 0; k < 3; ++k) {
            constexpr double most_cells = 2097151.0;  // 21 bits an axis
            const double at = (mesh.points[first_point + i][k] - low[k]) / cell;
            key = key << 21u | static_cast<std::uint64_t>(std::clamp(at, 0.0, most_cells));
        }
        to[i] = cells.try_emplace(key, static_cast<std::uint32_t>(i)).first->second;
    }
    std::vector<std::uint32_t> kept;
    kept.reserve(3 * Skin::most_moving);
    for (std::size_t t = 0; t + 2 < corners.size(); t += 3) {
        const std::uint32_t a = to[corners[t]], b = to[corners[t + 1]], c = to[corners[t + 2]];
        if (a != b && b != c && c != a) kept.insert(kept.end(), {a, b, c});
    }
    return kept;
}

}  // namespace

std::shared_ptr<const Skin> skin_of(const TriangleMesh& mesh, std::size_t first, std::size_t last) {
    auto skin = std::make_shared<Skin>();
    if (first >= last) return skin;
    std::int32_t low = std::numeric_limits<std::int32_t>::max(), high = -1;
    for (std::size_t t = first; t < last; ++t)
        for (const std::int32_t c : mesh.triangles[t]) {
            low = std::min(low, c);
            high = std::max(high, c);
        }
    skin->first_point = static_cast<std::size_t>(low);
    const std::size_t count = static_cast<std::size_t>(high - low) + 1;
    std::vector<Vec3> normals(count, Vec3::Zero());
    auto corners = std::make_shared<std::vector<std::uint32_t>>();
    corners->reserve(3 * (last - first));
    for (std::size_t t = first; t < last; ++t) {
        const Vec3 normal = mesh.normal2(t);
        for (const std::int32_t c : mesh.triangles[t]) {
            normals[static_cast<std::size_t>(c - low)] += normal;
            corners->push_back(static_cast<std::uint32_t>(c - low));
        }
    }
    if (last - first > Skin::most_moving)
        skin->coarse = std::make_shared<const std::vector<std::uint32_t>>(
            clustered(mesh, first, last, *corners, skin->first_point, count));
    skin->corners = std::move(corners);
    skin->points.resize(3 * count);
    skin->normals.resize(3 * count);
    for (std::size_t i = 0; i < count; ++i) {
        put(skin->points, i, mesh.points[skin->first_point + i]);
        put(skin->normals, i, normals[i].normalized());
    }
    return skin;
}

std::shared_ptr<const Skin> skin_of(const TriangleMesh& mesh) {
    return skin_of(mesh, 0, mesh.triangles.size());
}

bool any_moved(const TriangleMesh& before, const TriangleMesh& now, std::size_t first, std::size_t last) {
    for (std::size_t t = first; t < last; ++t)
        for (const std::int32_t c : now.triangles[t])
            if (before.points[c] != now.points[c]) return true;
    return false;
}

std::shared_ptr<const Skin> skin_of(const TriangleMesh& mesh, std::size_t first, std::size_t last,
                                    const TriangleMesh& before, const std::shared_ptr<const Skin>& like) {
    const std::size_t count = like->count();
    std::vector<char> moved(count, 0);
    bool any = false;
    for (std::size_t i = 0; i < count; ++i)
        if (mesh.points[like->first_point + i] != before.points[like->first_point + i])
            moved[i] = 1, any = true;
    if (!any) return like;
    auto skin = std::make_shared<Skin>(*like);
    // a normal changes where a point of a triangle round it has moved
    std::vector<char> turned(count, 0);
    const auto at = [&](std::int32_t c) { return static_cast<std::size_t>(c) - like->first_point; };
    for (std::size_t t = first; t < last; ++t) {
        const Triangle& corners = mesh.triangles[t];
        if (moved[at(corners[0])] == 0 && moved[at(corners[1])] == 0 && moved[at(corners[2])] == 0) continue;
        for (const std::int32_t c : corners) turned[at(c)] = 1;
    }
    std::vector<Vec3> normals(count, Vec3::Zero());
    for (std::size_t t = first; t < last; ++t) {
        const Triangle& corners = mesh.triangles[t];
        if (turned[at(corners[0])] == 0 && turned[at(corners[1])] == 0 && turned[at(corners[2])] == 0)
            continue;
        const Vec3 normal = mesh.normal2(t);
        for (const std::int32_t c : corners) normals[at(c)] += normal;
    }
    for (std::size_t i = 0; i < count; ++i) {
        if (moved[i] != 0) put(skin->points, i, mesh.points[like->first_point + i]);
        if (turned[i] != 0) put(skin->normals, i, normals[i].normalized());
    }
    return skin;
}

}  // namespace archwright::editor::view
