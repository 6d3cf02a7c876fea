#include "engine/scan/weld.hpp"

#include <algorithm>
#include <array>

#include "engine/mesh/topology.hpp"

namespace archwright::scan {

Welding weld(TriangleMesh& mesh) {
    Welding result;
    const std::size_t count = mesh.points.size();
    std::vector<Vec3> points;
    points.reserve(count);
    std::vector<std::int32_t> place(count);
    {
        Welder<double> welder(points, count);
        constexpr std::size_t batch = 64;
        std::array<std::uint64_t, batch> hash;
        for (std::size_t begin = 0; begin < count; begin += batch) {
            const std::size_t end = std::min(count, begin + batch);
            for (std::size_t i = begin; i < end; ++i) {
                Vec3& p = mesh.points[i];
                for (int k = 0; k < 3; ++k) p[k] += 0.0;  // -0 becomes 0
                hash[i - begin] = welder.hash(p.x(), p.y(), p.z());
                welder.prefetch(hash[i - begin]);
            }
            for (std::size_t i = begin; i < end; ++i) {
                const Vec3& p = mesh.points[i];
                const std::size_t before = points.size();
                place[i] = welder.add(p.x(), p.y(), p.z(), hash[i - begin]);
                if (points.size() > before && !mesh.colours.empty()) mesh.colours[before] = mesh.colours[i];
            }
        }
    }
    result.welded = count - points.size();
    if (result.welded > 0) {
        mesh.points = std::move(points);
        if (!mesh.colours.empty()) mesh.colours.resize(mesh.points.size());
        for (Triangle& t : mesh.triangles)
            for (std::int32_t& p : t) p = place[static_cast<std::size_t>(p)];
    }
    result.dropped = drop_unused_points(mesh);
    return result;
}

}  // namespace archwright::scan
