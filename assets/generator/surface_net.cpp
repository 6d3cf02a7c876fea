#include "assets/generator/surface_net.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"

namespace archwright::generator {

namespace {

constexpr int block = 8;  // cells along a block's edge
constexpr int half = block / 2;
constexpr int nodes = block + 1;
constexpr double unknown = 1e300;
using Values = std::array<double, nodes * nodes * nodes>;
constexpr double largest_edge_mm = 3.0;
constexpr double most_triangles = 20e6;

// A cell's corner q has its bits as offsets: 1 x, 2 y, 4 z. Its edge 4 a + u + 2 v runs along axis a, at
// offsets u and v along the next two axes.
int corner_of(int axis, int at, int u, int v) {
    return (at << axis) | (u << ((axis + 1) % 3)) | (v << ((axis + 2) % 3));
}

/// For each pattern of inside corners: which piece of surface each crossed edge belongs to (-1: not
/// crossed), and how many pieces there are. On a face crossed four times the inside corners are kept apart;
/// both cells of that face decide alike.
struct Pieces {
    std::array<std::array<std::int8_t, 12>, 256> piece;
    std::array<std::uint8_t, 256> count;

    Pieces() {
        for (int pattern = 0; pattern < 256; ++pattern) build(pattern);
    }

  private:
    void build(int pattern) {
        const auto inside = [&](int corner) { return (pattern >> corner & 1) != 0; };
        std::array<int, 12> parent;
        std::iota(parent.begin(), parent.end(), 0);
        const auto find = [&](int e) {
            while (parent[e] != e) e = parent[e];
            return e;
        };
        const auto crossed = [&](int e) {
            const int a = e / 4, u = e & 1, v = e >> 1 & 1;
            return inside(corner_of(a, 0, u, v)) != inside(corner_of(a, 1, u, v));
        };
        for (int axis = 0; axis < 3; ++axis) {
            for (int at = 0; at < 2; ++at) {
                // the face normal to `axis`: its edges along u (at v = 0, 1) and along v (at u = 0, 1)
                const int au = (axis + 1) % 3, av = (axis + 2) % 3;
                const auto along_u = [&](int v) { return 4 * au + v + 2 * at; };  // offsets: v, axis
                const auto along_v = [&](int u) { return 4 * av + at + 2 * u; };  // offsets: axis, u
                std::vector<int> hit;
                for (int e : {along_u(0), along_u(1), along_v(0), along_v(1)})
                    if (crossed(e)) hit.push_back(e);
                if (hit.size() == 2) parent[find(hit[0])] = find(hit[1]);
                if (hit.size() == 4)
                    for (int u = 0; u < 2; ++u)
                        for (int v = 0; v < 2; ++v)
                            if (inside(corner_of(axis, at, u, v)))
                                parent[find(along_u(v))] = find(along_v(u));
            }
        }
        std::array<int, 12> name;
        name.fill(-1);
        int next = 0;
        for (int e = 0; e < 12; ++e) {
            piece[pattern][e] = -1;
            if (!crossed(e)) continue;
            int& n = name[find(e)];
            if (n < 0) n = next++;
            piece[pattern][e] = static_cast<std::int8_t>(n);
        }
        count[pattern] = static_cast<std::uint8_t>(next);
    }
};

const Pieces& pieces() {
    static const Pieces table;
    return table;
}

struct Block {
    std::array<int, 3> at;  // first cell
    std::array<std::uint8_t, block * block * block> pattern;
    std::array<std::uint16_t, block * block * block> first;  // vertex of the cell's piece 0, in `points`
    std::vector<Vec3> points;
    std::size_t base = 0;  // of points in the mesh
};

class Net {
  public:
    Net(const FootField& field, double edge) : field_(field), h_(edge) {
        const Box3 box = field.box();
        // The ankle plane runs through the middle of the last layer of cells.
        for (int a = 0; a < 3; ++a) {
            const int cells = static_cast<int>(std::ceil(box.size()[a] / h_)) + 1;
            blocks_[a] = (cells + block - 1) / block;
        }
        top_ = box.high.z();
        layers_ = blocks_[2] * block;
        origin_ = Vec3(box.low.x(), box.low.y(), top_ - (layers_ - 0.5) * h_);
    }

    Outcome<TriangleMesh> run(Progress* progress) {
        find_blocks();
        if (progress && !progress->report("meshing the foot", 0.2)) return stopped();
        parallel_for(list_.size(), 4, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i)
                if (!(progress && progress->cancelled())) fill(list_[i]);
        });
        if (progress && !progress->report("meshing the foot", 0.8)) return stopped();
        return collect();
    }

  private:
    static Fault stopped() { return Fault{FaultKind::cancelled, "mesh", "meshing was cancelled", {}}; }

    Vec3 node(int i, int j, int k) const { return origin_ + h_ * Vec3(i, j, k); }

    void find_blocks() {
        const std::size_t total = static_cast<std::size_t>(blocks_[0]) * blocks_[1] * blocks_[2];
        std::vector<char> near(total, 0);
        const double reach = FootField::steepest * (0.5 * std::sqrt(3.0) * block + 1.0) * h_;
        parallel_for(total, 256, [&](std::size_t begin, std::size_t end) {
            for (std::size_t n = begin; n < end; ++n) {
                const std::array<int, 3> at = place(n);
                const Vec3 centre = node(at[0], at[1], at[2]) + Vec3::Constant(0.5 * block * h_);
                near[n] = std::abs(field_(centre)) <= reach;
            }
        });
        index_.assign(total, -1);
        for (std::size_t n = 0; n < total; ++n) {
            if (!near[n]) continue;
            index_[n] = static_cast<std::int32_t>(list_.size());
            list_.emplace_back().at = place(n);
        }
    }
    std::array<int, 3> place(std::size_t n) const {
        const auto x = static_cast<std::size_t>(blocks_[0]), y = static_cast<std::size_t>(blocks_[1]);
        return {static_cast<int>(n % x) * block, static_cast<int>(n / x % y) * block,
                static_cast<int>(n / (x * y)) * block};
    }

    /// The field at the block's nodes, but only in those eighths of it that the surface may reach.
    void fill(Block& b) {
        b.pattern.fill(0);
        b.first.fill(0);
        Values f;
        f.fill(unknown);
        const double reach = FootField::steepest * 0.5 * std::sqrt(3.0) * half * h_;
        for (int part = 0; part < 8; ++part) {
            const std::array<int, 3> low = {(part & 1) * half, (part >> 1 & 1) * half, (part >> 2) * half};
            const Vec3 corner = node(b.at[0] + low[0], b.at[1] + low[1], b.at[2] + low[2]);
            if (std::abs(field_(corner + Vec3::Constant(0.5 * half * h_))) > reach) continue;
            for (int k = low[2]; k <= low[2] + half; ++k)
                for (int j = low[1]; j <= low[1] + half; ++j)
                    for (int i = low[0]; i <= low[0] + half; ++i) {
                        double& v = f[(k * nodes + j) * nodes + i];
                        if (v == unknown) v = field_(node(b.at[0] + i, b.at[1] + j, b.at[2] + k));
                    }
            for (int k = low[2]; k < low[2] + half; ++k)
                for (int j = low[1]; j < low[1] + half; ++j)
                    for (int i = low[0]; i < low[0] + half; ++i) cell(b, {i, j, k}, f);
        }
    }

    void cell(Block& b, std::array<int, 3> c, const Values& f) {
        const int n = (c[2] * block + c[1]) * block + c[0];
        std::array<double, 8> v;
        int pattern = 0;
        for (int q = 0; q < 8; ++q) {
            v[q] = f[((c[2] + (q >> 2)) * nodes + c[1] + (q >> 1 & 1)) * nodes + c[0] + (q & 1)];
            if (v[q] < 0.0) pattern |= 1 << q;
        }
        b.pattern[n] = static_cast<std::uint8_t>(pattern);
        b.first[n] = static_cast<std::uint16_t>(b.points.size());
        const int count = pieces().count[pattern];
        if (count == 0) return;
        std::array<Vec3, 4> sum;
        std::array<int, 4> crossings{};
        sum.fill(Vec3::Zero());
        for (int e = 0; e < 12; ++e) {
            const int piece = pieces().piece[pattern][e];
            if (piece < 0) continue;
            const int a = e / 4, p = corner_of(a, 0, e & 1, e >> 1 & 1), q = p | 1 << a;
            Vec3 at(p & 1, p >> 1 & 1, p >> 2);
            at[a] += v[p] / (v[p] - v[q]);
            sum[piece] += at;
            ++crossings[piece];
        }
        const Vec3 low = node(b.at[0] + c[0], b.at[1] + c[1], b.at[2] + c[2]);
        const bool last = b.at[2] + c[2] == layers_ - 1;
        for (int piece = 0; piece < count; ++piece)
            b.points.push_back(settle(low + h_ * sum[piece] / crossings[piece], last));
    }

    /// Onto the surface; on the last layer within the ankle plane. A vertex never leaves by more than two
    /// cells: in the bottom of a cleft finer than the lattice it stays where the lattice put it.
    Vec3 settle(const Vec3& start, bool on_rim) const {
        Vec3 p = start;
        if (on_rim) p.z() = top_;
        for (int i = 0; i < 20; ++i) {
            const Dual f = field_.dual(p);
            Vec3 g = f.gradient();
            if (on_rim) g.z() = 0.0;
            const Vec3 step = g * (f.v / std::max(g.squaredNorm(), 0.05));
            p -= step;
            if (step.squaredNorm() < 1e-20) break;
        }
        return (p - start).norm() < 2.0 * h_ ? p : start;
    }

    /// Vertex of the piece that holds edge `e` of a cell.
    std::int32_t vertex(std::array<int, 3> c, int e) const {
        const std::size_t n =
            (static_cast<std::size_t>(c[2] / block) * blocks_[1] + c[1] / block) * blocks_[0] + c[0] / block;
        const Block& b = list_[index_[n]];
        const std::size_t local =
            (static_cast<std::size_t>(c[2] % block) * block + c[1] % block) * block + c[0] % block;
        return static_cast<std::int32_t>(b.base + b.first[local]) + pieces().piece[b.pattern[local]][e];
    }

    void quads(const Block& b, std::vector<Triangle>& out) const {
        std::size_t n = 0;
        for (int k = 0; k < block; ++k)
            for (int j = 0; j < block; ++j)
                for (int i = 0; i < block; ++i, ++n) {
                    const std::array<int, 3> c = {b.at[0] + i, b.at[1] + j, b.at[2] + k};
                    const int pattern = b.pattern[n];
                    if (pattern == 0 || pattern == 255) continue;
                    for (int a = 0; a < 3; ++a) quad(c, a, pattern, out);
                }
    }
    void quad(std::array<int, 3> c, int a, int pattern, std::vector<Triangle>& out) const {
        const bool start_inside = pattern & 1, end_inside = pattern >> (1 << a) & 1;
        if (start_inside == end_inside) return;
        if (a == 2 && c[2] == layers_ - 1) return;  // would lie in the ankle plane
        const int u = (a + 1) % 3, v = (a + 2) % 3;
        if (c[u] == 0 || c[v] == 0) return;  // the box's own border: the foot ends inside it
        std::array<std::int32_t, 4> q;
        constexpr int round[4][2] = {{1, 1}, {0, 1}, {0, 0}, {1, 0}};  // back by this many cells along u, v
        for (int m = 0; m < 4; ++m) {
            std::array<int, 3> d = c;
            d[u] -= round[m][0];
            d[v] -= round[m][1];
            q[m] = vertex(d, 4 * a + round[m][0] + 2 * round[m][1]);
        }
        if (!start_inside) std::swap(q[1], q[3]);
        const auto& p = points_;
        if ((p[q[0]] - p[q[2]]).squaredNorm() <= (p[q[1]] - p[q[3]]).squaredNorm()) {
            out.push_back({q[0], q[1], q[2]});
            out.push_back({q[0], q[2], q[3]});
        } else {
            out.push_back({q[0], q[1], q[3]});
            out.push_back({q[1], q[2], q[3]});
        }
    }

    TriangleMesh collect() {
        for (Block& b : list_) {
            b.base = points_.size();
            points_.insert(points_.end(), b.points.begin(), b.points.end());
            b.points = {};
        }
        std::vector<std::vector<Triangle>> part(list_.size());
        parallel_for(list_.size(), 4, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i) quads(list_[i], part[i]);
        });
        TriangleMesh mesh;
        // vertices of the last layer that no quadrilateral asked for are left out
        std::vector<std::int32_t> name(points_.size(), -1);
        for (const auto& triangles : part)
            for (const Triangle& t : triangles)
                for (std::int32_t v : t) name[v] = 0;
        std::int32_t next = 0;
        for (std::size_t v = 0; v < name.size(); ++v) {
            if (name[v] < 0) continue;
            name[v] = next++;
            mesh.points.push_back(points_[v]);
        }
        for (const auto& triangles : part)
            for (const Triangle& t : triangles)
                mesh.triangles.push_back({name[t[0]], name[t[1]], name[t[2]]});
        return mesh;
    }

    const FootField& field_;
    double h_;
    std::array<int, 3> blocks_;
    int layers_ = 0;
    double top_ = 0.0;
    Vec3 origin_;
    std::vector<std::int32_t> index_;
    std::vector<Block> list_;
    std::vector<Vec3> points_;
};

}  // namespace

Outcome<TriangleMesh> surface_net(const FootField& field, double edge_mm, Progress* progress) {
    // A net has about 3 A / h^2 triangles, and a foot to the ankle about 0.95 L^2 of skin.
    const double length = field.shape().length_mm;
    const double least = std::sqrt(3.0 * 0.95 * length * length / most_triangles);
    if (!(edge_mm >= least && edge_mm <= largest_edge_mm))
        return Fault{FaultKind::usage,
                     "mesh",
                     "the edge length asked for is " + exact(edge_mm) + " mm; this foot can be meshed with " +
                         rounded(least, 2) + " to " + rounded(largest_edge_mm, 2) + " mm",
                     {}};
    return Net(field, edge_mm).run(progress);
}

}  // namespace archwright::generator
