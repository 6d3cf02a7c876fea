#include "engine/surface/uv_mesh.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <exception>
#include <optional>
#include <string>
#include <utility>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/surface/delaunay.hpp"
#include "engine/surface/trim_region.hpp"
#include "engine/surface/uv_quadtree.hpp"

namespace archwright::surface {

namespace {

using Point = DelaunayKernel::Point_2;

using Surfaces = std::vector<const SplineSurface*>;

constexpr double longest_side_mm = 4096.0;
// Shares of the tolerance: boundary chords leave the other half to the rim's facets across; the quadtree is
// held a little tighter than the check that follows it, so that little is left to refine.
constexpr double boundary_share = 0.5, quadtree_share = 0.8, check_share = 0.95;
constexpr std::size_t most_points = 4'000'000;
constexpr int most_rounds = 40;

Fault mesh_fault(std::string message) {
    return {FaultKind::check, "mesh", std::move(message), {}};
}

// --- the boundary --------------------------------------------------------------------------------

double distance_to_chord(const Vec3& p, const Vec3& a, const Vec3& b) {
    const Vec3 e = b - a;
    const double length2 = e.squaredNorm();
    const double t = length2 > 0.0 ? std::clamp((p - a).dot(e) / length2, 0.0, 1.0) : 0.0;
    return (p - a - t * e).norm();
}

// Parameters along a closed curve whose chords keep the tolerance on every image of the curve.
std::vector<double> subdivide(const PeriodicCurve& curve,
                              const std::vector<std::function<Vec3(double)>>& images, double tolerance) {
    constexpr int least_depth = 2, most_depth = 10;
    const std::size_t spans = curve.control.size();
    std::vector<std::vector<double>> of_span(spans);
    parallel_for(spans, 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const std::function<void(double, double, int)> divide = [&](double a, double b, int depth) {
                bool split = depth < least_depth;
                for (std::size_t i = 0; i < images.size() && !split && depth < most_depth; ++i) {
                    const Vec3 from = images[i](a), to = images[i](b);
                    for (double t : {0.25, 0.5, 0.75})
                        if (distance_to_chord(images[i](a + t * (b - a)), from, to) > tolerance) split = true;
                }
                if (!split) {
                    of_span[k].push_back(a);
                    return;
                }
                const double middle = 0.5 * (a + b);
                divide(a, middle, depth + 1);
                divide(middle, b, depth + 1);
            };
            divide(static_cast<double>(k), static_cast<double>(k + 1), 0);
        }
    });
    std::vector<double> all;
    for (const auto& part : of_span) all.insert(all.end(), part.begin(), part.end());
    return all;
}

// Exact: no two edges of the polygons may touch but neighbours in their common point.
std::optional<Vec2> touching_edges(const std::vector<std::vector<Vec2>>& polygons) {
    struct Edge {
        std::size_t loop, index, count;
        Vec2 a, b;
        double low, high;
    };
    std::vector<Edge> edges;
    for (std::size_t l = 0; l < polygons.size(); ++l)
        for (std::size_t i = 0; i < polygons[l].size(); ++i) {
            const Vec2 &a = polygons[l][i], &b = polygons[l][(i + 1) % polygons[l].size()];
            if (a == b) return a;
            edges.push_back({l, i, polygons[l].size(), a, b, std::min(a.x(), b.x()), std::max(a.x(), b.x())});
        }
    std::stable_sort(edges.begin(), edges.end(), [](const Edge& a, const Edge& b) { return a.low < b.low; });
    const auto point = [](const Vec2& p) { return Point(p.x(), p.y()); };
    for (std::size_t i = 0; i < edges.size(); ++i)
        for (std::size_t j = i + 1; j < edges.size() && edges[j].low <= edges[i].high; ++j) {
            const Edge &e = edges[i], &f = edges[j];
            if (std::max(f.a.y(), f.b.y()) < std::min(e.a.y(), e.b.y()) ||
                std::min(f.a.y(), f.b.y()) > std::max(e.a.y(), e.b.y()))
                continue;
            const bool before = e.loop == f.loop && (e.index + 1) % e.count == f.index;
            const bool after = e.loop == f.loop && (f.index + 1) % f.count == e.index;
            if (before || after) {  // a spike: the neighbour runs back over the edge
                const Vec2 &p = before ? e.a : f.a, &q = before ? e.b : f.b, &r = before ? f.b : e.b;
                if (CGAL::orientation(point(p), point(q), point(r)) == CGAL::COLLINEAR &&
                    (q - p).dot(r - q) < 0.0)
                    return q;
                continue;
            }
            if (CGAL::do_intersect(DelaunayKernel::Segment_2(point(e.a), point(e.b)),
                                   DelaunayKernel::Segment_2(point(f.a), point(f.b))))
                return e.a;
        }
    return std::nullopt;
}

// --- the triangulation ---------------------------------------------------------------------------

class Mesher {
  public:
    Mesher(const Surfaces& surfaces, double tolerance) : surfaces_(surfaces), tolerance_(tolerance) {}

    /// The last `lines` of the loops are lines: filled on both sides.
    void insert(const std::vector<std::vector<Vec2>>& loops, std::size_t lines,
                const std::vector<Vec2>& inner) {
        std::vector<std::pair<Point, std::int32_t>> tagged;
        const auto add = [&](const Vec2& p) {
            tagged.emplace_back(Point(p.x(), p.y()), static_cast<std::int32_t>(points_.size()));
            points_.push_back(p);
        };
        for (std::size_t l = 0; l < loops.size(); ++l) {
            if (l + lines == loops.size()) first_of_lines_ = static_cast<std::int32_t>(points_.size());
            for (const Vec2& p : loops[l]) add(p);
        }
        end_of_lines_ = static_cast<std::int32_t>(points_.size());
        if (lines == 0) first_of_lines_ = end_of_lines_;
        for (const Vec2& p : inner) add(p);
        delaunay_.insert(tagged.begin(), tagged.end());
        std::vector<Delaunay::Vertex_handle> handles(points_.size());
        for (auto v = delaunay_.finite_vertices_begin(); v != delaunay_.finite_vertices_end(); ++v)
            handles[static_cast<std::size_t>(v->info())] = v;
        std::size_t first = 0;
        for (const auto& loop : loops) {
            for (std::size_t i = 0; i < loop.size(); ++i)
                delaunay_.insert_constraint(handles[first + i], handles[first + (i + 1) % loop.size()]);
            first += loop.size();
        }
        lift();
    }

    // One round over the triangles that have a point from `fresh` on; returns how many points were added.
    std::size_t refine(std::size_t fresh) {
        mark();
        struct Job {
            std::array<std::int32_t, 3> corner;
            std::array<bool, 3> edge;  // this triangle looks after the edge opposite the corner
            Delaunay::Face_handle face;
        };
        std::vector<Job> jobs;
        for (auto f = delaunay_.finite_faces_begin(); f != delaunay_.finite_faces_end(); ++f) {
            if ((f->info() & in_region) == 0) continue;
            Job job;
            bool touched = fresh == 0;
            for (int c = 0; c < 3; ++c) {
                job.corner[static_cast<std::size_t>(c)] = f->vertex(c)->info();
                touched = touched || static_cast<std::size_t>(f->vertex(c)->info()) >= fresh;
            }
            if (!touched) continue;
            for (std::size_t c = 0; c < 3; ++c)
                job.edge[c] = !f->is_constrained(static_cast<int>(c)) &&
                              job.corner[(c + 1) % 3] < job.corner[(c + 2) % 3];
            job.face = f;
            jobs.push_back(job);
        }
        struct Verdict {
            std::array<bool, 4> bad{};  // the edges, then the middle
        };
        std::vector<Verdict> verdicts(jobs.size());
        parallel_for(jobs.size(), 256, [&](std::size_t begin, std::size_t end) {
            for (std::size_t k = begin; k < end; ++k) {
                const auto& corner = jobs[k].corner;
                for (std::size_t c = 0; c < 3; ++c)
                    if (jobs[k].edge[c])
                        verdicts[k].bad[c] = off<2>({corner[(c + 1) % 3], corner[(c + 2) % 3]});
                verdicts[k].bad[3] = off<3>({corner[0], corner[1], corner[2]});
            }
        });
        const std::size_t before = points_.size();
        for (std::size_t k = 0; k < jobs.size(); ++k) {
            const auto& corner = jobs[k].corner;
            bool edge_added = false;
            for (std::size_t c = 0; c < 3; ++c)
                if (verdicts[k].bad[c]) {
                    points_.push_back(0.5 * (at(corner[(c + 1) % 3]) + at(corner[(c + 2) % 3])));
                    edge_added = true;
                }
            if (verdicts[k].bad[3] && !edge_added)
                points_.push_back((at(corner[0]) + at(corner[1]) + at(corner[2])) / 3.0);
        }
        Delaunay::Face_handle hint;
        std::size_t kept = before;
        for (std::size_t k = before; k < points_.size(); ++k) {
            const auto vertices = delaunay_.number_of_vertices();
            const auto v = delaunay_.insert(Point(points_[k].x(), points_[k].y()), hint);
            hint = v->face();
            if (delaunay_.number_of_vertices() == vertices) continue;
            v->info() = static_cast<std::int32_t>(kept);
            points_[kept++] = points_[k];
        }
        points_.resize(kept);
        lift();
        return kept - before;
    }

    UvMesh result() {
        mark();
        UvMesh mesh;
        mesh.points = std::move(points_);
        for (const int wanted : {in_region, in_region | in_line}) {
            for (auto f = delaunay_.finite_faces_begin(); f != delaunay_.finite_faces_end(); ++f)
                if (f->info() == wanted)
                    mesh.triangles.push_back(
                        {f->vertex(0)->info(), f->vertex(1)->info(), f->vertex(2)->info()});
            if (wanted == in_region) mesh.outside_lines = mesh.triangles.size();
        }
        return mesh;
    }

    std::size_t size() const { return points_.size(); }

  private:
    const Vec2& at(std::int32_t k) const { return points_[static_cast<std::size_t>(k)]; }

    // Points of every surface over the points not yet lifted.
    void lift() {
        lifted_.resize(surfaces_.size());
        for (std::size_t s = 0; s < surfaces_.size(); ++s) {
            const std::size_t from = lifted_[s].size();
            lifted_[s].resize(points_.size());
            parallel_for(points_.size() - from, 256, [&](std::size_t begin, std::size_t end) {
                for (std::size_t k = from + begin; k < from + end; ++k)
                    lifted_[s][k] = surfaces_[s]->point(points_[k]);
            });
        }
    }

    // Whether a surface stands off the middle of these corners by more than the tolerance, along its normal.
    template <std::size_t n>
    bool off(const std::array<std::int32_t, n>& corner) const {
        Vec2 uv = Vec2::Zero();
        for (std::int32_t k : corner) uv += at(k);
        uv /= static_cast<double>(n);
        for (std::size_t s = 0; s < surfaces_.size(); ++s) {
            Vec3 flat = Vec3::Zero();
            for (std::int32_t k : corner) flat += lifted_[s][static_cast<std::size_t>(k)];
            flat /= static_cast<double>(n);
            const Vec3 apart = flat - surfaces_[s]->point(uv);
            if (apart.squaredNorm() <= tolerance_ * tolerance_) continue;
            if (std::abs(apart.dot(surfaces_[s]->normal(uv))) > tolerance_) return true;
        }
        return false;
    }

    bool of_line(Delaunay::Vertex_handle v) const {
        return v->info() >= first_of_lines_ && v->info() < end_of_lines_;
    }

    // Where each triangle lies: every edge of a curve that is crossed on the way in from outside changes it.
    void mark() {
        for (auto f = delaunay_.all_faces_begin(); f != delaunay_.all_faces_end(); ++f) f->info() = -1;
        std::vector<std::pair<Delaunay::Face_handle, int>> open{{delaunay_.infinite_face(), 0}};
        while (!open.empty()) {
            const auto [f, where] = open.back();
            open.pop_back();
            if (f->info() >= 0) continue;
            f->info() = where;
            for (int c = 0; c < 3; ++c) {
                const auto g = f->neighbor(c);
                if (g->info() >= 0) continue;
                int there = where;
                if (f->is_constrained(c))
                    there ^=
                        of_line(f->vertex(f->cw(c))) && of_line(f->vertex(f->ccw(c))) ? in_line : in_region;
                open.emplace_back(g, there);
            }
        }
    }

    static constexpr int in_region = 1, in_line = 2;

    Surfaces surfaces_;
    double tolerance_;
    Delaunay delaunay_;
    std::vector<Vec2> points_;
    std::vector<std::vector<Vec3>> lifted_;  // per surface
    std::int32_t first_of_lines_ = 0, end_of_lines_ = 0;
};

}  // namespace

Outcome<UvMesh> mesh_region(const std::vector<const SplineSurface*>& surfaces, const PeriodicCurve& trim,
                            const std::vector<PeriodicCurve>& holes, const UvMeshSettings& settings) {
    if (surfaces.empty()) return Fault{FaultKind::internal, "mesh", "There is no surface to mesh.", {}};
    const double tolerance = settings.chord_mm;
    if (!(tolerance > 0.0))
        return mesh_fault("The chord tolerance must be above 0 mm, not " + exact(tolerance) + ".");
    const Basis &u = surfaces.front()->u, &v = surfaces.front()->v;
    if (!(u.length > 0.0 && v.length > 0.0 && u.length <= longest_side_mm && v.length <= longest_side_mm))
        return mesh_fault("The carpet measures " + rounded(u.length, 0) + " x " + rounded(v.length, 0) +
                          " mm; up to " + rounded(longest_side_mm, 0) + " mm can be meshed.");

    UvMesh mesh;
    std::vector<std::vector<Vec2>> polygons;
    std::vector<const PeriodicCurve*> curves{&trim};
    for (const PeriodicCurve& hole : holes) curves.push_back(&hole);
    for (const PeriodicCurve& line : settings.lines) curves.push_back(&line);
    const std::size_t lines = settings.lines.size();
    for (std::size_t c = 0; c < curves.size(); ++c) {
        const PeriodicCurve& curve = *curves[c];
        const std::string name = c == 0 ? "The trim line" : "Loop " + std::to_string(c);
        if (curve.control.size() < 3) return mesh_fault(name + " has fewer than three points.");
        for (const Vec2& p : curve.control)
            if (!p.allFinite()) return mesh_fault(name + " has a point without a place.");
        std::vector<std::function<Vec3(double)>> images;
        for (const SplineSurface* surface : surfaces)
            images.emplace_back([surface, &curve](double s) { return surface->point(curve.point(s)); });
        if (c < settings.along.size())
            images.insert(images.end(), settings.along[c].begin(), settings.along[c].end());
        std::vector<double> s = subdivide(curve, images, boundary_share * tolerance);
        std::vector<Vec2> polygon(s.size());
        for (std::size_t k = 0; k < s.size(); ++k) polygon[k] = curve.point(s[k]);
        for (const Vec2& p : polygon)
            if (p.x() < 0.0 || p.y() < 0.0 || p.x() > u.length || p.y() > v.length) {
                Fault f = mesh_fault(name + " leaves the carpet at " + place(surfaces.front()->point(p)) +
                                     ". Move it inward, or lay the carpet wider.");
                f.where = surfaces.front()->point(p);
                return f;
            }
        mesh.loops.push_back(
            {mesh.loops.empty() ? 0 : mesh.loops.back().first + mesh.loops.back().s.size(), std::move(s)});
        polygons.push_back(std::move(polygon));
    }
    if (const auto crossing = touching_edges(polygons)) {
        const Vec3 where = surfaces.front()->point(*crossing);
        Fault f = mesh_fault("The trim line or a loop crosses itself or another at " + place(where) +
                             ". Pull the curves apart there.");
        f.where = where;
        return f;
    }
    const TrimRegion outer(std::vector<std::vector<Vec2>>{polygons.front()});
    for (std::size_t c = 1; c < polygons.size(); ++c)
        if (!outer.inside(polygons[c].front()))
            return mesh_fault("Loop " + std::to_string(c) + " lies outside the trim line.");

    try {
        const auto first_line = polygons.end() - static_cast<std::ptrdiff_t>(lines);
        const TrimRegion region(std::vector<std::vector<Vec2>>(polygons.begin(), first_line));
        const TrimRegion within(std::vector<std::vector<Vec2>>(first_line, polygons.end()));
        Mesher mesher(surfaces, check_share * tolerance);
        mesher.insert(
            polygons, lines,
            quadtree_points(surfaces, region, quadtree_share * tolerance, lines > 0 ? &within : nullptr));
        std::size_t fresh = 0;
        for (int round = 0;; ++round) {
            const std::size_t before = mesher.size();
            if (mesher.refine(fresh) == 0) break;
            fresh = before;
            if (mesher.size() > most_points || round > most_rounds)
                return mesh_fault("The surfaces are too rough to mesh with a chord tolerance of " +
                                  exact(tolerance) + " mm.");
        }
        UvMesh inner = mesher.result();
        mesh.points = std::move(inner.points);
        mesh.triangles = std::move(inner.triangles);
        mesh.outside_lines = inner.outside_lines;
        return mesh;
    } catch (const std::exception& e) {
        return Fault{FaultKind::internal, "mesh", std::string("Triangulation failed: ") + e.what(), {}};
    }
}

Outcome<std::vector<Triangle>> triangulate(const std::vector<Vec2>& polygon, const std::vector<Vec2>& inner) {
    if (polygon.size() < 3) return mesh_fault("A floor has fewer than three points.");
    if (touching_edges({polygon}))
        return mesh_fault("The outline of a floor crosses itself. Choose less draft or round the loop.");
    try {
        Mesher mesher({}, 0.0);
        mesher.insert({polygon}, 0, inner);
        return mesher.result().triangles;
    } catch (const std::exception& e) {
        return Fault{FaultKind::internal, "mesh", std::string("Triangulation failed: ") + e.what(), {}};
    }
}

}  // namespace archwright::surface
