#include "engine/foot/arch.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace archwright::foot {
namespace {

constexpr double apex_from = 0.20, apex_to = 0.62;  // shares of the length

/// A triangle cut by at most four planes: no allocation for each of a million triangles.
struct Polygon {
    std::array<Vec3, 7> corner;
    std::size_t count = 0;

    void add(const Vec3& p) { corner[count++] = p; }
    std::size_t size() const { return count; }
    const Vec3& operator[](std::size_t i) const { return corner[i]; }
};

/// The part of a convex polygon where coordinate `axis` times `sign` is at most `limit` times `sign`.
Polygon clipped(const Polygon& polygon, int axis, double limit, double sign) {
    Polygon kept;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const Vec3& a = polygon[i];
        const Vec3& b = polygon[(i + 1) % polygon.size()];
        const double da = sign * (a[axis] - limit);
        const double db = sign * (b[axis] - limit);
        if (da <= 0.0) kept.add(a);
        if ((da < 0.0 && db > 0.0) || (da > 0.0 && db < 0.0)) kept.add(a + da / (da - db) * (b - a));
    }
    return kept;
}

/// Signed area in plan, positive when counter-clockwise seen from above.
double plan_area(const Polygon& polygon) {
    double sum = 0.0;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const Vec3& a = polygon[i];
        const Vec3& b = polygon[(i + 1) % polygon.size()];
        sum += a.x() * b.y() - a.y() * b.x();
    }
    return 0.5 * sum;
}

}  // namespace

std::optional<Vec3> arch_apex(const TriangleMesh& mesh, const Survey& survey, double y) {
    // The sole is the lowest crossing at each x; its highest point is a corner of the section or its cut at
    // a station, so stations a tenth of a mm apart would add nothing a person sees.
    constexpr int stations = 400;
    std::array<double, stations> lowest;
    lowest.fill(1e300);
    const double from = survey.profile.rear + apex_from * survey.profile.length;
    const double step = (apex_to - apex_from) * survey.profile.length / (stations - 1);
    for (const Triangle& t : mesh.triangles) {
        std::array<Vec2, 2> cut;  // (x, z)
        std::size_t n = 0;
        for (std::size_t e = 0; e < 3; ++e) {
            const Vec3& a = mesh.points[t[e]];
            const Vec3& b = mesh.points[t[(e + 1) % 3]];
            if ((a.y() <= y) == (b.y() <= y)) continue;
            const double s = (y - a.y()) / (b.y() - a.y());
            cut[n++] = Vec2(a.x() + s * (b.x() - a.x()), a.z() + s * (b.z() - a.z()));
        }
        if (n != 2) continue;
        if (cut[0].x() > cut[1].x()) std::swap(cut[0], cut[1]);
        const int k_from = std::max(0, static_cast<int>(std::ceil((cut[0].x() - from) / step)));
        const int k_to = std::min(stations - 1, static_cast<int>(std::floor((cut[1].x() - from) / step)));
        for (int k = k_from; k <= k_to; ++k) {
            const double x = from + k * step;
            const double run = cut[1].x() - cut[0].x();
            const double s = run > 0.0 ? (x - cut[0].x()) / run : 0.0;
            double& z = lowest[static_cast<std::size_t>(k)];
            z = std::min(z, cut[0].y() + s * (cut[1].y() - cut[0].y()));
        }
    }
    std::optional<Vec3> apex;
    const double roof = border_height(survey.profile.length) + survey.lowest;
    for (int k = 0; k < stations; ++k) {
        const double z = lowest[static_cast<std::size_t>(k)];
        if (z < roof && (!apex || z > apex->z())) apex = Vec3(from + k * step, y, z);
    }
    return apex;
}

std::optional<double> arch_index(const TriangleMesh& mesh, const Survey& survey, double height_mm) {
    const double ground = survey.lowest + height_mm;
    const double toes = survey.profile.rear + share::toe_roots * survey.profile.length;
    // Twice through: the thirds are known only when the ends of the print are.
    const auto each_part = [&](auto&& body) {
        for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
            const Triangle& t = mesh.triangles[i];
            if (std::min({mesh.points[t[0]].z(), mesh.points[t[1]].z(), mesh.points[t[2]].z()}) > ground)
                continue;
            if (mesh.normal2(i).z() >= 0.0) continue;  // the back of the foot, where it is thin
            Polygon part;
            for (const std::int32_t p : t) part.add(mesh.points[p]);
            part = clipped(clipped(part, 2, ground, 1.0), 0, toes, 1.0);
            if (part.size() >= 3) body(part);
        }
    };
    double rear = 1e300;
    double front = -1e300;
    each_part([&](const Polygon& part) {
        for (std::size_t k = 0; k < part.size(); ++k) {
            rear = std::min(rear, part[k].x());
            front = std::max(front, part[k].x());
        }
    });
    if (!(front > rear)) return std::nullopt;
    const double first = rear + (front - rear) / 3.0;
    const double second = rear + 2.0 * (front - rear) / 3.0;
    double whole = 0.0;
    double middle = 0.0;
    each_part([&](const Polygon& part) {
        whole -= plan_area(part);  // faces down, so clockwise from above
        middle -= plan_area(clipped(clipped(part, 0, second, 1.0), 0, first, -1.0));
    });
    if (!(whole > 0.0)) return std::nullopt;
    return middle / whole;
}

}  // namespace archwright::foot
