#include "engine/surface/flatten.hpp"

#include <Eigen/Dense>
#include <Eigen/Sparse>
#include <algorithm>
#include <array>
#include <cmath>

#include "engine/base/tolerances.hpp"
#include "engine/mesh/topology.hpp"
#include "engine/surface/coarsen.hpp"
#include "engine/surface/cross.hpp"
#include "engine/surface/fans.hpp"

namespace archwright::surface {

namespace {

using Sparse = Eigen::SparseMatrix<double>;
using Shape = std::array<Vec2, 3>;  // a triangle laid flat

// Umbrella smoothing (G. Taubin 1995, without the inflation): a border point follows its border neighbours.
void smooth(TriangleMesh& mesh, const Topology& topology, int steps) {
    std::vector<char> border(mesh.points.size(), 0);
    for (std::size_t h = 0; h < topology.opposite.size(); ++h)
        if (topology.opposite[h] < 0) {
            const Triangle& t = mesh.triangles[h / 3];
            border[static_cast<std::size_t>(t[h % 3])] = border[static_cast<std::size_t>(t[(h + 1) % 3])] = 1;
        }
    for (int step = 0; step < steps; ++step) {
        std::vector<Vec3> sum(mesh.points.size(), Vec3::Zero());
        std::vector<double> count(mesh.points.size(), 0.0);
        const auto add = [&](std::int32_t to, std::int32_t from) {
            sum[static_cast<std::size_t>(to)] += mesh.points[static_cast<std::size_t>(from)];
            count[static_cast<std::size_t>(to)] += 1.0;
        };
        for (std::size_t h = 0; h < topology.opposite.size(); ++h) {
            const std::int32_t a = mesh.triangles[h / 3][h % 3], b = mesh.triangles[h / 3][(h + 1) % 3];
            const bool open = topology.opposite[h] < 0;
            if (open || !border[static_cast<std::size_t>(a)]) add(a, b);
            if (open) add(b, a);  // an inner edge is met from both sides, this one is not
        }
        for (std::size_t i = 0; i < mesh.points.size(); ++i)
            if (count[i] > 0.0) mesh.points[i] = 0.5 * mesh.points[i] + 0.5 * sum[i] / count[i];
    }
}

// The triangle's own shape, first edge along +x. A sliver, which has none to speak of, is given the
// equilateral shape of its mean edge: it then neither pulls nor folds its neighbours.
Shape shape_of(const TriangleMesh& mesh, const Triangle& t) {
    const Vec3 a = mesh.points[static_cast<std::size_t>(t[1])] - mesh.points[static_cast<std::size_t>(t[0])];
    const Vec3 b = mesh.points[static_cast<std::size_t>(t[2])] - mesh.points[static_cast<std::size_t>(t[0])];
    const double doubled = a.cross(b).norm();
    const double edges2 = a.squaredNorm() + b.squaredNorm() + (b - a).squaredNorm();
    constexpr double sliver = 0.02;  // doubled area over the sum of squared edges; equilateral: 0.289
    if (!(doubled > sliver * edges2)) {
        const double e = std::sqrt(std::max(edges2 / 3.0, tolerance::degenerate));
        return {Vec2(0.0, 0.0), Vec2(e, 0.0), Vec2(0.5 * e, std::sqrt(0.75) * e)};
    }
    const double length = a.norm();
    return {Vec2(0.0, 0.0), Vec2(length, 0.0), Vec2(b.dot(a) / length, doubled / length)};
}

std::array<double, 3> cotangents(const Shape& s) {
    std::array<double, 3> cot;
    for (std::size_t k = 0; k < 3; ++k) {
        const Vec2 a = s[(k + 1) % 3] - s[k], b = s[(k + 2) % 3] - s[k];
        cot[k] = a.dot(b) / cross(a, b);
    }
    return cot;
}

class Flattener {
  public:
    explicit Flattener(const TriangleMesh& mesh) : mesh_(mesh), uv_(mesh.points.size(), Vec2::Zero()) {
        for (const Triangle& t : mesh.triangles) {
            shape_.push_back(shape_of(mesh, t));
            cot_.push_back(cotangents(shape_.back()));
        }
        order_points();
    }

    const std::vector<Vec2>& uv() const { return uv_; }
    const Shape& shape(std::size_t triangle) const { return shape_[triangle]; }

    // Least-squares conformal map: minimises the conformal energy 1/2 sum cot |edge|^2 - area (Levy et al.
    // 2002; the equal form of M. Desbrun et al. 2002), the rearmost and the foremost point held.
    bool conformal() {
        const std::size_t n = mesh_.points.size();
        std::size_t back = 0, front = 0;
        for (std::size_t i = 0; i < n; ++i) {
            if (mesh_.points[i].x() < mesh_.points[back].x()) back = i;
            if (mesh_.points[i].x() > mesh_.points[front].x()) front = i;
        }
        if (back == front) return false;
        const double span = (mesh_.points[front] - mesh_.points[back]).norm();
        // unknown index of point p, coordinate d; -1 when held
        std::vector<int> unknown(2 * n, -1);
        int count = 0;
        for (std::size_t k = 0; k < n; ++k) {
            const std::size_t p = static_cast<std::size_t>(order_[k]);
            if (p == back || p == front) continue;
            unknown[2 * p] = count++;
            unknown[2 * p + 1] = count++;
        }
        Eigen::VectorXd right = Eigen::VectorXd::Zero(count);
        std::vector<Eigen::Triplet<double>> entries;
        entries.reserve(mesh_.triangles.size() * 21);
        const auto add = [&](std::size_t i, std::size_t di, std::size_t j, std::size_t dj, double value) {
            const int row = unknown[2 * i + di], column = unknown[2 * j + dj];
            if (row < 0) return;
            if (column >= 0) {
                if (row >= column) entries.emplace_back(row, column, value);
            } else if (j == front && dj == 0) {
                right[row] -= value * span;
            }
        };
        for (std::size_t t = 0; t < mesh_.triangles.size(); ++t)
            for (std::size_t k = 0; k < 3; ++k) {
                const std::size_t i = static_cast<std::size_t>(mesh_.triangles[t][(k + 1) % 3]),
                                  j = static_cast<std::size_t>(mesh_.triangles[t][(k + 2) % 3]);
                const double w = 0.5 * cot_[t][k];
                for (std::size_t d = 0; d < 2; ++d) {
                    add(i, d, i, d, w);
                    add(j, d, j, d, w);
                    add(i, d, j, d, -w);
                    add(j, d, i, d, -w);
                }
                add(i, 0, j, 1, -0.5);
                add(j, 1, i, 0, -0.5);
                add(j, 0, i, 1, 0.5);
                add(i, 1, j, 0, 0.5);
            }
        Sparse matrix(count, count);
        matrix.setFromTriplets(entries.begin(), entries.end());
        Eigen::SimplicialLDLT<Sparse, Eigen::Lower, Eigen::NaturalOrdering<int>> factor(matrix);
        if (factor.info() != Eigen::Success) return false;
        const Eigen::VectorXd solved = factor.solve(right);
        if (!solved.allFinite()) return false;
        for (std::size_t p = 0; p < n; ++p)
            for (std::size_t d = 0; d < 2; ++d)
                uv_[p][static_cast<Eigen::Index>(d)] = unknown[2 * p + d] >= 0 ? solved[unknown[2 * p + d]]
                                                       : p == front && d == 0  ? span
                                                                               : 0.0;
        return scale_to_area();
    }

    // Local-global iteration of the as-rigid-as-possible energy (Liu et al. 2008) with one point held.
    bool rigid(int iterations) {
        const std::size_t n = mesh_.points.size();
        std::vector<int> unknown(n, -1);
        for (std::size_t k = 0; k + 1 < n; ++k)
            unknown[static_cast<std::size_t>(order_[k])] = static_cast<int>(k);
        const std::size_t held = static_cast<std::size_t>(order_[n - 1]);
        const int count = static_cast<int>(n) - 1;
        // obtuse angles have negative weights, which would let the iteration run away
        constexpr double least_weight = 1e-3;
        std::vector<std::array<double, 3>> weight = cot_;
        std::vector<Eigen::Triplet<double>> entries;
        entries.reserve(mesh_.triangles.size() * 9);
        const auto add = [&](std::size_t i, std::size_t j, double value) {
            if (unknown[i] >= 0 && unknown[j] >= 0 && unknown[i] >= unknown[j])
                entries.emplace_back(unknown[i], unknown[j], value);
        };
        for (std::size_t t = 0; t < mesh_.triangles.size(); ++t)
            for (std::size_t k = 0; k < 3; ++k) {
                double& w = weight[t][k];
                w = 0.5 * std::max(w, least_weight);
                const std::size_t i = static_cast<std::size_t>(mesh_.triangles[t][(k + 1) % 3]),
                                  j = static_cast<std::size_t>(mesh_.triangles[t][(k + 2) % 3]);
                add(i, i, w);
                add(j, j, w);
                add(i, j, -w);
                add(j, i, -w);
            }
        Sparse matrix(count, count);
        matrix.setFromTriplets(entries.begin(), entries.end());
        Eigen::SimplicialLDLT<Sparse, Eigen::Lower, Eigen::NaturalOrdering<int>> factor(matrix);
        if (factor.info() != Eigen::Success) return false;
        Eigen::MatrixXd right(count, 2);
        const Vec2 anchor = uv_[held];
        for (int k = 0; k < iterations; ++k) {
            right.setZero();
            for (std::size_t t = 0; t < mesh_.triangles.size(); ++t) {
                // rotation (c, s) that turns the triangle's own shape best onto its image
                double c = 0.0, s = 0.0;
                std::array<Vec2, 3> edge;
                for (std::size_t q = 0; q < 3; ++q) {
                    edge[q] = shape_[t][(q + 1) % 3] - shape_[t][(q + 2) % 3];
                    const Vec2 image = uv_[static_cast<std::size_t>(mesh_.triangles[t][(q + 1) % 3])] -
                                       uv_[static_cast<std::size_t>(mesh_.triangles[t][(q + 2) % 3])];
                    c += weight[t][q] * edge[q].dot(image);
                    s += weight[t][q] * cross(edge[q], image);
                }
                const double size = std::hypot(c, s);
                if (!(size > 0.0)) continue;
                c /= size;
                s /= size;
                for (std::size_t q = 0; q < 3; ++q) {
                    const int i = unknown[static_cast<std::size_t>(mesh_.triangles[t][(q + 1) % 3])],
                              j = unknown[static_cast<std::size_t>(mesh_.triangles[t][(q + 2) % 3])];
                    const double x = weight[t][q] * (c * edge[q].x() - s * edge[q].y()),
                                 y = weight[t][q] * (s * edge[q].x() + c * edge[q].y());
                    if (i >= 0) {
                        right(i, 0) += x;
                        right(i, 1) += y;
                    }
                    if (j >= 0) {
                        right(j, 0) -= x;
                        right(j, 1) -= y;
                    }
                }
            }
            const Eigen::MatrixXd solved = factor.solve(right);
            if (!solved.allFinite()) return false;
            double moved = 0.0;
            for (std::size_t p = 0; p < n; ++p) {
                const Vec2 next =
                    unknown[p] >= 0 ? Vec2(anchor + solved.row(unknown[p]).transpose()) : anchor;
                moved = std::max(moved, (next - uv_[p]).squaredNorm());
                uv_[p] = next;
            }
            constexpr double settled_mm = 0.02;
            if (moved < settled_mm * settled_mm) break;
        }
        return true;
    }

    // Turns the map so that u grows with x.
    void align() {
        Vec2 middle = Vec2::Zero();
        double mean = 0.0;
        for (std::size_t i = 0; i < uv_.size(); ++i) {
            middle += uv_[i];
            mean += mesh_.points[i].x();
        }
        middle /= static_cast<double>(uv_.size());
        mean /= static_cast<double>(uv_.size());
        Vec2 towards = Vec2::Zero();
        for (std::size_t i = 0; i < uv_.size(); ++i)
            towards += (mesh_.points[i].x() - mean) * (uv_[i] - middle);
        if (!(towards.norm() > 0.0)) return;
        towards.normalize();
        for (Vec2& q : uv_) {
            const Vec2 r = q - middle;
            q = Vec2(towards.dot(r), cross(towards, r));
        }
    }

  private:
    // A fill-reducing order of the points, made once for both systems (P. Amestoy et al. 1996).
    void order_points() {
        const int n = static_cast<int>(mesh_.points.size());
        std::vector<Eigen::Triplet<double>> entries;
        entries.reserve(mesh_.triangles.size() * 6 + mesh_.points.size());
        for (int i = 0; i < n; ++i) entries.emplace_back(i, i, 1.0);
        for (const Triangle& t : mesh_.triangles)
            for (std::size_t k = 0; k < 3; ++k) {
                entries.emplace_back(t[k], t[(k + 1) % 3], 1.0);
                entries.emplace_back(t[(k + 1) % 3], t[k], 1.0);
            }
        Sparse pattern(n, n);
        pattern.setFromTriplets(entries.begin(), entries.end());
        Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int> permutation;
        Eigen::AMDOrdering<int>()(pattern, permutation);
        order_.assign(permutation.indices().data(), permutation.indices().data() + n);
    }

    bool scale_to_area() {
        double space = 0.0, flat = 0.0;
        for (std::size_t t = 0; t < mesh_.triangles.size(); ++t) {
            const Triangle& q = mesh_.triangles[t];
            space += cross(shape_[t][1], shape_[t][2]);
            flat += cross(uv_[static_cast<std::size_t>(q[1])] - uv_[static_cast<std::size_t>(q[0])],
                          uv_[static_cast<std::size_t>(q[2])] - uv_[static_cast<std::size_t>(q[0])]);
        }
        if (!(flat > 0.0)) return false;
        for (Vec2& q : uv_) q *= std::sqrt(space / flat);
        return true;
    }

    const TriangleMesh& mesh_;
    std::vector<Vec2> uv_;
    std::vector<Shape> shape_;
    std::vector<std::array<double, 3>> cot_;
    std::vector<int> order_;
};

// How (u,v) changes with place round every point: least squares over the edges, nothing across the surface.
std::vector<Eigen::Matrix<double, 2, 3>> local_maps(const TriangleMesh& mesh, const std::vector<Vec2>& uv) {
    std::vector<Mat3> moment(mesh.points.size(), Mat3::Zero());
    std::vector<Eigen::Matrix<double, 2, 3>> map(mesh.points.size(), Eigen::Matrix<double, 2, 3>::Zero());
    for (const Triangle& t : mesh.triangles)
        for (std::size_t k = 0; k < 3; ++k)
            for (std::size_t other = 1; other < 3; ++other) {
                const std::size_t a = static_cast<std::size_t>(t[k]),
                                  b = static_cast<std::size_t>(t[(k + other) % 3]);
                const Vec3 d = mesh.points[b] - mesh.points[a];
                moment[a] += d * d.transpose();
                map[a] += (uv[b] - uv[a]) * d.transpose();
            }
    constexpr double damping = 0.02;  // of the trace: quiets the direction the edges hardly have
    for (std::size_t i = 0; i < map.size(); ++i) {
        const double size = moment[i].trace();
        if (!(size > 0.0)) continue;
        map[i] = map[i] * (moment[i] + damping * size * Mat3::Identity()).inverse();
    }
    return map;
}

}  // namespace

bool spread_known(const TriangleMesh& mesh, std::vector<Vec2>& uv, std::vector<char>& known) {
    for (bool moved = true; moved;) {
        moved = false;
        for (const Triangle& t : mesh.triangles) {
            int from = -1;
            for (std::int32_t p : t)
                if (known[static_cast<std::size_t>(p)]) from = p;
            if (from < 0) continue;
            for (std::int32_t p : t)
                if (!known[static_cast<std::size_t>(p)]) {
                    uv[static_cast<std::size_t>(p)] = uv[static_cast<std::size_t>(from)];
                    known[static_cast<std::size_t>(p)] = 1;
                    moved = true;
                }
        }
    }
    return std::find(known.begin(), known.end(), 1) != known.end();
}

Outcome<Flattened> flatten(const TriangleMesh& patch, const FlattenSettings& settings) {
    const auto refuse = [](const char* why) {
        return Fault{FaultKind::input, "carpet", std::string("The sole cannot be flattened: ") + why, {}};
    };
    Coarse coarse;
    if (patch.points.size() > settings.direct_points) {
        coarse = coarsen(patch, settings.coarse_mm);
    } else {
        coarse.mesh.points = patch.points;
        coarse.mesh.triangles = patch.triangles;
        coarse.cell.resize(patch.points.size());
        for (std::size_t i = 0; i < coarse.cell.size(); ++i) coarse.cell[i] = static_cast<std::int32_t>(i);
    }
    TriangleMesh& mesh = coarse.mesh;
    if (mesh.points.size() < 4 || mesh.triangles.size() < 2 || !(mesh.area() > 0.0))
        return refuse("it has no surface.");
    const Topology topology = find_topology(mesh);
    if (topology.open_edges == 0) return refuse("it has no border.");
    // smoothing reaches as far as the edges are long: fewer steps on coarse triangles, or they shrink
    const double edge =
        std::sqrt(mesh.area() / static_cast<double>(mesh.triangles.size()) * 4.0 / std::sqrt(3.0));
    const double reach = settings.coarse_mm / std::max(edge, settings.coarse_mm);
    smooth(mesh, topology, static_cast<int>(std::lround(settings.smoothing * reach * reach)));

    Flattener flattener(mesh);
    if (!flattener.conformal()) return refuse("the conformal map has no solution.");
    if (!flattener.rigid(settings.rigid_iterations)) return refuse("the rigid map has no solution.");
    flattener.align();

    Flattened flat;
    flat.flattened_points = mesh.points.size();
    const std::vector<Vec2>& uv = flattener.uv();
    std::vector<double> low, high;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        // principal stretches of the map from the plane back to space: singular values of shape * image^-1
        const Triangle& q = mesh.triangles[t];
        const Shape& s = flattener.shape(t);
        Eigen::Matrix2d image, own;
        image << uv[static_cast<std::size_t>(q[1])] - uv[static_cast<std::size_t>(q[0])],
            uv[static_cast<std::size_t>(q[2])] - uv[static_cast<std::size_t>(q[0])];
        own << s[1], s[2];
        const double turned = image.determinant();
        if (!(turned > 0.0)) {
            ++flat.flips;
            continue;
        }
        const Eigen::Matrix2d j = own * image.inverse();
        const double sum = std::sqrt(j.squaredNorm() + 2.0 * j.determinant()),
                     difference = std::sqrt(std::max(0.0, j.squaredNorm() - 2.0 * j.determinant()));
        low.push_back(0.5 * (sum - difference));
        high.push_back(0.5 * (sum + difference));
    }
    if (low.empty()) return refuse("every triangle is turned over.");
    const std::size_t cut = low.size() / 1000;
    std::nth_element(low.begin(), low.begin() + static_cast<std::ptrdiff_t>(cut), low.end());
    std::nth_element(high.begin(), high.end() - 1 - static_cast<std::ptrdiff_t>(cut), high.end());
    flat.stretch_low = low[cut];
    flat.stretch_high = high[high.size() - 1 - cut];

    flat.uv.assign(patch.points.size(), Vec2::Zero());
    flat.known.assign(patch.points.size(), 0);
    const bool direct = coarse.mesh.points.size() >= patch.points.size();
    const auto maps = direct ? std::vector<Eigen::Matrix<double, 2, 3>>{} : local_maps(mesh, uv);
    for (std::size_t i = 0; i < patch.points.size(); ++i)
        if (coarse.cell[i] >= 0) {
            const std::size_t c = static_cast<std::size_t>(coarse.cell[i]);
            flat.uv[i] = uv[c];
            if (!direct) flat.uv[i] += maps[c] * (patch.points[i] - mesh.points[c]);
            flat.known[i] = 1;
        }
    return flat;
}

}  // namespace archwright::surface
