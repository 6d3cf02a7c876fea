#include "engine/mesh/thinned.hpp"

#include <algorithm>
#include <limits>
#include <queue>

#include "engine/base/parallel.hpp"
#include "engine/mesh/bvh.hpp"

namespace archwright {

namespace {

/// Sum of squared distances from planes, each with a weight: p^T A p + 2 b p + c.
struct Quadric {
    double xx = 0, xy = 0, xz = 0, yy = 0, yz = 0, zz = 0, x = 0, y = 0, z = 0, c = 0;

    void plane(const Vec3& facing, double offset, double weight) {
        xx += weight * facing.x() * facing.x();
        xy += weight * facing.x() * facing.y();
        xz += weight * facing.x() * facing.z();
        yy += weight * facing.y() * facing.y();
        yz += weight * facing.y() * facing.z();
        zz += weight * facing.z() * facing.z();
        x += weight * facing.x() * offset;
        y += weight * facing.y() * offset;
        z += weight * facing.z() * offset;
        c += weight * offset * offset;
    }
    Quadric& operator+=(const Quadric& q) {
        xx += q.xx, xy += q.xy, xz += q.xz, yy += q.yy, yz += q.yz, zz += q.zz;
        x += q.x, y += q.y, z += q.z, c += q.c;
        return *this;
    }
    double at(const Vec3& p) const {
        return p.x() * (xx * p.x() + 2.0 * (xy * p.y() + xz * p.z() + x)) +
               p.y() * (yy * p.y() + 2.0 * (yz * p.z() + y)) + p.z() * (zz * p.z() + 2.0 * z) + c;
    }
};

/// An edge that may go: `gone` is drawn into `stays`. Out of date once either has changed.
struct Draw {
    double cost;
    std::int32_t gone, stays;
    std::uint32_t gone_age, stays_age;

    bool operator>(const Draw& other) const {
        if (cost != other.cost) return cost > other.cost;
        return gone != other.gone ? gone > other.gone : stays > other.stays;
    }
};

class Thinning {
  public:
    Thinning(const TriangleMesh& mesh, const std::vector<std::uint8_t>& group)
        : mesh_(mesh), group_(group), triangles_(mesh.triangles), left_(0) {
        const std::size_t n = mesh.points.size();
        around_.resize(n);
        quadric_.resize(n);
        age_.assign(n, 0);
        alive_.assign(triangles_.size(), 0);
        for (std::size_t t = 0; t < triangles_.size(); ++t) {
            const Triangle& tri = triangles_[t];
            const Vec3 normal2 = mesh.normal2(t);
            const double twice = normal2.norm();
            if (tri[0] == tri[1] || tri[1] == tri[2] || tri[2] == tri[0] || !(twice > 0.0)) continue;
            alive_[t] = 1;
            ++left_;
            for (const std::int32_t p : tri) around_[p].push_back(static_cast<std::int32_t>(t));
            const Vec3 facing = normal2 / twice;
            for (const std::int32_t p : tri)
                quadric_[p].plane(facing, -facing.dot(mesh.points[tri[0]]), 0.5 * twice);
        }
        for (std::size_t t = 0; t < triangles_.size(); ++t)
            if (alive_[t]) keep_borders(t);
        for (std::size_t p = 0; p < n; ++p) push_from(static_cast<std::int32_t>(p), true);
    }

    /// False once cancelled.
    bool down_to(std::size_t most, Progress& progress) {
        const std::size_t first = left_;
        for (std::size_t step = 0; left_ > most && !queue_.empty(); ++step) {
            constexpr std::size_t between = 4096;
            if (step % between == 0 &&
                !progress.report("Thinning", static_cast<double>(first - left_) /
                                                 static_cast<double>(std::max(first - most, left_))))
                return false;
            const Draw next = queue_.top();
            queue_.pop();
            if (age_[next.gone] != next.gone_age || age_[next.stays] != next.stays_age) continue;
            if (may(next.gone, next.stays)) draw(next.gone, next.stays);
        }
        return true;
    }

    ThinnedMesh taken() const {
        ThinnedMesh out;
        std::vector<std::int32_t> at(mesh_.points.size(), -1);
        for (std::size_t t = 0; t < triangles_.size(); ++t)
            if (alive_[t])
                for (const std::int32_t p : triangles_[t]) at[p] = 0;
        for (std::size_t p = 0; p < at.size(); ++p) {
            if (at[p] < 0) continue;
            at[p] = static_cast<std::int32_t>(out.mesh.points.size());
            out.mesh.points.push_back(mesh_.points[p]);
            if (!mesh_.colours.empty()) out.mesh.colours.push_back(mesh_.colours[p]);
            out.point_from.push_back(static_cast<std::int32_t>(p));
        }
        for (std::size_t t = 0; t < triangles_.size(); ++t) {
            if (!alive_[t]) continue;
            const Triangle& tri = triangles_[t];
            out.mesh.triangles.push_back({at[tri[0]], at[tri[1]], at[tri[2]]});
            out.triangle_from.push_back(static_cast<std::int32_t>(t));
        }
        return out;
    }

  private:
    std::uint8_t group_of(std::int32_t t) const { return group_.empty() ? std::uint8_t{0} : group_[t]; }

    /// Triangles at the edge a b, and whether they are of two groups.
    struct AtEdge {
        int count = 0;
        bool border = false;  ///< open, or between two groups
    };
    AtEdge at_edge(std::int32_t a, std::int32_t b) const {
        AtEdge found;
        int group = -1;
        for (const std::int32_t t : around_[a]) {
            const Triangle& tri = triangles_[t];
            if (tri[0] != b && tri[1] != b && tri[2] != b) continue;
            ++found.count;
            found.border = found.border || (group >= 0 && group != group_of(t));
            group = group_of(t);
        }
        found.border = found.border || found.count == 1;
        return found;
    }

    /// Points the triangles about `p` lead to, ascending, each once.
    std::vector<std::int32_t> neighbours(std::int32_t p) const {
        std::vector<std::int32_t> all;
        for (const std::int32_t t : around_[p])
            for (const std::int32_t q : triangles_[t])
                if (q != p) all.push_back(q);
        std::sort(all.begin(), all.end());
        all.erase(std::unique(all.begin(), all.end()), all.end());
        return all;
    }

    bool on_border(std::int32_t p, const std::vector<std::int32_t>& beside) const {
        return std::any_of(beside.begin(), beside.end(),
                           [&](std::int32_t q) { return at_edge(p, q).border; });
    }

    /// An upright plane along each border edge, so that leaving it costs.
    void keep_borders(std::size_t t) {
        const Triangle tri = triangles_[t];
        const Vec3 facing = mesh_.normal2(t).normalized();
        for (int k = 0; k < 3; ++k) {
            const std::int32_t a = tri[k], b = tri[(k + 1) % 3];
            if (!at_edge(a, b).border) continue;
            const Vec3 along = mesh_.points[b] - mesh_.points[a];
            const Vec3 across = along.cross(facing);
            if (!(across.norm() > 0.0)) continue;
            const Vec3 side = across.normalized();
            constexpr double strictness = 10.0;  // a border is seen sharper than the surface beside it
            for (const std::int32_t p : {a, b})
                quadric_[p].plane(side, -side.dot(mesh_.points[a]), strictness * along.squaredNorm());
        }
    }

    void push(std::int32_t gone, std::int32_t stays) {
        Quadric both = quadric_[gone];
        both += quadric_[stays];
        // where all is flat the short edges go first: triangles stay round
        constexpr double evenness = 1e-8;
        const double length2 = (mesh_.points[gone] - mesh_.points[stays]).squaredNorm();
        const double cost = std::max(0.0, both.at(mesh_.points[stays])) + evenness * length2 * length2;
        queue_.push({cost, gone, stays, age_[gone], age_[stays]});
    }
    /// Both ways of every edge at `p`; `once`: of those to later points alone.
    void push_from(std::int32_t p, bool once) {
        for (const std::int32_t q : neighbours(p)) {
            if (once && q < p) continue;
            push(p, q);
            push(q, p);
        }
    }

    bool may(std::int32_t gone, std::int32_t stays) const {
        const AtEdge edge = at_edge(gone, stays);
        if (edge.count < 1 || edge.count > 2) return false;
        const std::vector<std::int32_t> of_gone = neighbours(gone), of_stays = neighbours(stays);
        if (!edge.border && on_border(gone, of_gone)) return false;
        // where more points are shared than triangles the surface would pinch
        std::vector<std::int32_t> shared;
        std::set_intersection(of_gone.begin(), of_gone.end(), of_stays.begin(), of_stays.end(),
                              std::back_inserter(shared));
        if (shared.size() != static_cast<std::size_t>(edge.count)) return false;
        if (of_gone.size() + of_stays.size() - shared.size() < 6) return false;  // the last of a closed part
        // a corner where three borders meet stays; so does an end of two that would become one
        if (edge.border) {
            int borders = 0;
            for (const std::int32_t q : of_gone) borders += at_edge(gone, q).border ? 1 : 0;
            if (borders != 2) return false;
            for (const std::int32_t q : shared)
                if (at_edge(gone, q).border) return false;
        }
        for (const std::int32_t t : around_[gone]) {
            const Triangle& tri = triangles_[t];
            if (tri[0] == stays || tri[1] == stays || tri[2] == stays) continue;
            std::array<Vec3, 3> now;
            for (std::size_t k = 0; k < 3; ++k) now[k] = mesh_.points[tri[k] == gone ? stays : tri[k]];
            const Vec3 before = (mesh_.points[tri[1]] - mesh_.points[tri[0]])
                                    .cross(mesh_.points[tri[2]] - mesh_.points[tri[0]]);
            const Vec3 after = (now[1] - now[0]).cross(now[2] - now[0]);
            constexpr double least_cosine = 0.3;
            if (!(after.dot(before) > least_cosine * after.norm() * before.norm())) return false;
            // a needle has no direction to shade by
            const double longest = std::max({(now[1] - now[0]).squaredNorm(), (now[2] - now[1]).squaredNorm(),
                                             (now[0] - now[2]).squaredNorm()});
            constexpr double least_roundness = 0.02;
            if (!(after.norm() > least_roundness * longest)) return false;
        }
        return true;
    }

    void draw(std::int32_t gone, std::int32_t stays) {
        for (const std::int32_t t : around_[gone]) {
            Triangle& tri = triangles_[t];
            if (tri[0] == stays || tri[1] == stays || tri[2] == stays) {
                alive_[t] = 0;
                --left_;
                for (const std::int32_t q : tri)
                    if (q != gone) std::erase(around_[q], t);
                continue;
            }
            for (std::int32_t& q : tri)
                if (q == gone) q = stays;
            around_[stays].push_back(t);
        }
        std::sort(around_[stays].begin(), around_[stays].end());
        around_[gone].clear();
        quadric_[stays] += quadric_[gone];
        ++age_[gone];
        ++age_[stays];
        push_from(stays, false);
    }

    const TriangleMesh& mesh_;
    const std::vector<std::uint8_t>& group_;
    std::vector<Triangle> triangles_;
    std::size_t left_;
    std::vector<std::vector<std::int32_t>> around_;  ///< triangles about each point, ascending
    std::vector<Quadric> quadric_;
    std::vector<std::uint32_t> age_;
    std::vector<std::uint8_t> alive_;
    std::priority_queue<Draw, std::vector<Draw>, std::greater<>> queue_;
};

/// Greatest distance of the points of `mesh` that its triangles use from `other`.
double greatest_distance(const TriangleMesh& mesh, const TriangleMesh& other) {
    if (other.triangles.empty()) return 0.0;
    std::vector<std::uint8_t> used(mesh.points.size(), 0);
    for (const Triangle& tri : mesh.triangles)
        for (const std::int32_t p : tri) used[p] = 1;
    const Bvh tree(other);
    std::vector<double> off(mesh.points.size(), 0.0);
    parallel_for(off.size(), 256, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i)
            if (used[i] != 0)
                if (const auto near = tree.nearest(mesh.points[i], std::numeric_limits<double>::max()))
                    off[i] = near->distance;
    });
    return off.empty() ? 0.0 : *std::max_element(off.begin(), off.end());
}

}  // namespace

Outcome<ThinnedMesh> thinned(const TriangleMesh& mesh, std::size_t most,
                             const std::vector<std::uint8_t>& group, Progress& progress) {
    Thinning thinning(mesh, group);
    if (!thinning.down_to(most, progress)) return Fault{FaultKind::cancelled, "thinning", "Cancelled.", {}};
    ThinnedMesh out = thinning.taken();
    out.off = greatest_distance(mesh, out.mesh);
    return out;
}

}  // namespace archwright
