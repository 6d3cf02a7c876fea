#include "engine/registration/surface.hpp"

#include <cmath>

#include "engine/mesh/topology.hpp"

namespace archwright::registration {

namespace {

constexpr std::size_t samples_for_shape = 2000;  ///< of the surface that stays: its axes, its length
constexpr double golden = 0.6180339887498949;    ///< fractions of its multiples spread evenly

/// Weights of a triangle's corners at a point of it.
Vec3 corner_weights(const Vec3& p, const Vec3& a, const Vec3& b, const Vec3& c) {
    const Vec3 normal2 = (b - a).cross(c - a);
    const double whole = normal2.squaredNorm();
    if (!(whole > 0.0)) return Vec3::Constant(1.0 / 3.0);
    const double v = normal2.dot((p - a).cross(c - a)) / whole, w = normal2.dot((b - a).cross(p - a)) / whole;
    return {1.0 - v - w, v, w};
}

}  // namespace

Samples Samples::thinned(std::size_t count) const {
    Samples out;
    const std::size_t all = points.size();
    if (all <= count) return *this;
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t at = i * all / count;
        out.points.push_back(points[at]);
        out.normals.push_back(normals[at]);
    }
    return out;
}

Samples Samples::mirrored() const {
    Samples out = *this;
    for (Vec3& p : out.points) p.y() = -p.y();
    for (Vec3& n : out.normals) n.y() = -n.y();
    return out;
}

Samples Samples::scaled(double factor) const {
    Samples out = *this;
    for (Vec3& p : out.points) p *= factor;
    return out;
}

Vec3 Samples::centre() const {
    Vec3 sum = Vec3::Zero();
    for (const Vec3& p : points) sum += p;
    return points.empty() ? sum : Vec3(sum / static_cast<double>(points.size()));
}

Samples samples_of(const TriangleMesh& mesh, std::size_t count,
                   const std::function<bool(const Vec3& point, const Vec3& normal)>& wanted) {
    Samples out;
    const std::vector<Vec3> normals = mesh.point_normals();
    std::vector<double> areas(mesh.triangles.size());
    double whole = 0.0;
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
        const Triangle& t = mesh.triangles[i];
        areas[i] = mesh.area(i);
        if (wanted && !wanted((mesh.points[t[0]] + mesh.points[t[1]] + mesh.points[t[2]]) / 3.0,
                              mesh.normal2(i).normalized()))
            areas[i] = 0.0;
        whole += areas[i];
    }
    if (!(whole > 0.0) || count == 0) return out;
    const double step = whole / static_cast<double>(count);
    double next = 0.5 * step, behind = 0.0;
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
        behind += areas[i];
        if (behind < next) continue;
        while (next <= behind) next += step;
        // a place of its own in each triangle
        const auto k = static_cast<double>(out.points.size() + 1);
        double v = k * golden - std::floor(k * golden),
               w = k * golden * golden * 3.0 - std::floor(k * golden * golden * 3.0);
        if (v + w > 1.0) {
            v = 1.0 - v;
            w = 1.0 - w;
        }
        const Triangle& t = mesh.triangles[i];
        const Vec3 n = (1.0 - v - w) * normals[t[0]] + v * normals[t[1]] + w * normals[t[2]];
        if (!(n.norm() > 0.0)) continue;
        out.points.push_back((1.0 - v - w) * mesh.points[t[0]] + v * mesh.points[t[1]] +
                             w * mesh.points[t[2]]);
        out.normals.push_back(n.normalized());
    }
    return out;
}

Fixed::Fixed(TriangleMesh mesh) : mesh_(std::make_unique<TriangleMesh>(std::move(mesh))) {
    tree_ = std::make_unique<Bvh>(*mesh_);
    normals_ = mesh_->point_normals();
    border_.assign(mesh_->points.size(), 0);
    const Topology topology = find_topology(*mesh_);
    for (std::size_t h = 0; h < topology.opposite.size(); ++h) {
        if (topology.opposite[h] != Topology::open) continue;
        const Triangle& t = mesh_->triangles[h / 3];
        border_[static_cast<std::size_t>(t[h % 3])] = 1;
        border_[static_cast<std::size_t>(t[(h + 1) % 3])] = 1;
    }
    samples_ = samples_of(*mesh_, samples_for_shape);
}

std::optional<Fixed::Foot> Fixed::nearest(const Vec3& p, double within) const {
    const auto near = tree_->nearest(p, within);
    if (!near) return std::nullopt;
    const Triangle& t = mesh_->triangles[static_cast<std::size_t>(near->triangle)];
    const Vec3 weights =
        corner_weights(near->point, mesh_->points[t[0]], mesh_->points[t[1]], mesh_->points[t[2]]);
    Foot foot;
    foot.point = near->point;
    foot.distance = near->distance;
    foot.triangle = near->triangle;
    double inner = 0.0;
    for (int k = 0; k < 3; ++k) {
        const auto corner = static_cast<std::size_t>(t[static_cast<std::size_t>(k)]);
        foot.normal += weights[k] * normals_[corner];
        if (border_[corner] == 0) inner += std::abs(weights[k]);
    }
    constexpr double at_the_edge = 1e-6;
    foot.on_border = inner < at_the_edge;
    const double length = foot.normal.norm();
    if (!(length > 0.0)) return std::nullopt;
    foot.normal /= length;
    return foot;
}

}  // namespace archwright::registration
