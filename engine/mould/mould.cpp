#include "engine/mould/mould.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/mould/base.hpp"
#include "engine/mould/skirt.hpp"
#include "engine/surface/uv_mesh.hpp"

namespace archwright::mould {

namespace {

constexpr int more_draft_rounds = 4;
constexpr double draft_near_deg = 0.05, most_laid_deg = 30.0;
constexpr int samples_per_span = 6;  // of the curves beside the scribed one: their splines err by microns

Fault mould_fault(FaultKind kind, const std::string& message, std::optional<Vec3> where = std::nullopt) {
    return {kind, "mould", message, where};
}

struct OnCurve {
    surface::SurfacePoint at;
    Vec2 tangent = Vec2::UnitX();  ///< in (u,v)
    Vec3 floor = Vec3::Zero();     ///< of the groove
};
OnCurve on_curve(const surface::SplineSurface& surface, const surface::PeriodicCurve& curve, double s,
                 double depth) {
    OnCurve on;
    on.at = surface.first(curve.point(s));
    on.tangent = curve.tangent(s);
    on.floor = on.at.s + depth * on.at.normal();  // towards the foot: into the mould
    return on;
}

/// The curve `mm` beside another, measured on the surface, to the right where positive.
surface::PeriodicCurve beside(const surface::SplineSurface& surface, const surface::PeriodicCurve& curve,
                              double mm) {
    std::vector<Vec2> points;
    const int count = static_cast<int>(curve.control.size()) * samples_per_span;
    for (int k = 0; k < count; ++k) {
        const double s = static_cast<double>(k) / samples_per_span;
        const Vec2 p = curve.point(s), t = curve.tangent(s).normalized(), right(t.y(), -t.x());
        const surface::SurfacePoint at = surface.first(p);
        points.push_back(p + mm / (at.su * right.x() + at.sv * right.y()).norm() * right);
    }
    return surface::PeriodicCurve::through(points);
}

/// The mesh as it grows, design frame; outward is away from the foot.
struct Work {
    std::vector<Vec3> points;
    std::vector<Triangle> top, grooves, margin, wall, base;

    std::int32_t add(const Vec3& p) {
        points.push_back(p);
        return static_cast<std::int32_t>(points.size()) - 1;
    }
};

/// Triangles between two rows that run counter-clockwise in plan, the second outside the first (or above it).
void strip(std::vector<Triangle>& to, std::int32_t a, std::int32_t a2, std::int32_t b, std::int32_t b2) {
    to.push_back({a, b2, b});
    to.push_back({a, a2, b2});
}

/// A piece of the foot side inside `border` less `holes`; where its loops' points begin in the mesh.
struct Piece {
    std::vector<surface::UvMesh::Loop> loops;  ///< `first` counts in Work::points
};
Outcome<Piece> add_piece(Work& work, const surface::SplineSurface& surface,
                         const surface::PeriodicCurve& border,
                         const std::vector<surface::PeriodicCurve>& holes,
                         const std::vector<std::pair<const surface::PeriodicCurve*, double>>& scribed,
                         const MouldSetting& setting) {
    surface::UvMeshSettings meshing;
    meshing.chord_mm = setting.chord_mm;
    for (const auto& [curve, depth] : scribed)
        meshing.along.push_back({[&surface, curve = curve](double s) {
                                     return surface.point(curve->point(s / samples_per_span));
                                 },
                                 [&surface, curve = curve, depth = depth](double s) {
                                     return on_curve(surface, *curve, s / samples_per_span, depth).floor;
                                 }});
    const auto meshed = surface::mesh_region({&surface}, border, holes, meshing);
    if (!meshed) return meshed.fault();
    const auto begin = work.points.size();
    for (const Vec2& uv : meshed->points) work.points.push_back(surface.point(uv));
    const auto shift = static_cast<std::int32_t>(begin);
    for (const Triangle& t : meshed->triangles)
        work.top.push_back({t[0] + shift, t[2] + shift, t[1] + shift});
    Piece piece;
    piece.loops = meshed->loops;
    for (surface::UvMesh::Loop& loop : piece.loops) loop.first += begin;
    return piece;
}

/// One aperture's groove and what it surrounds: the mould goes on under it.
Outcome<Done> add_aperture(Work& work, const surface::SplineSurface& surface,
                           const surface::PeriodicCurve& curve, const surface::UvMesh::Loop& outer,
                           const MouldSetting& s) {
    // clockwise in (u,v): the shell on its left, the hole on its right
    const double half = 0.5 * s.scribe_width_mm;
    surface::PeriodicCurve inner = beside(surface, curve, half).reversed();  // counter-clockwise: a border
    const surface::PeriodicCurve counter = curve.reversed();
    const auto piece = add_piece(work, surface, inner, {}, {{&counter, s.scribe_depth_mm}}, s);
    if (!piece) return piece.fault();
    const surface::UvMesh::Loop& within = piece->loops.front();
    // floor points of both rims: those of the outer loop carry both strips, the inner loop zips to them
    const std::size_t n = outer.s.size(), m = within.s.size();
    std::vector<std::int32_t> floor;
    for (const double at : outer.s)
        floor.push_back(work.add(on_curve(surface, curve, at / samples_per_span, s.scribe_depth_mm).floor));
    for (std::size_t k = 0; k < n; ++k) {
        // the outer loop runs clockwise with the shell on its left: floor lies on its right
        const auto a = static_cast<std::int32_t>(outer.first + k),
                   b = static_cast<std::int32_t>(outer.first + (k + 1) % n);
        strip(work.grooves, a, b, floor[k], floor[(k + 1) % n]);
    }
    // zip the inner loop (counter-clockwise, parameter period - s) to the floor, both taken counter-clockwise
    const double period = curve.period() * samples_per_span;
    std::vector<std::pair<double, std::int32_t>> ring;  // floor by ascending parameter of the inner loop
    for (std::size_t k = 0; k < n; ++k) {
        double at = period - outer.s[k];
        if (at >= period) at -= period;
        ring.emplace_back(at, floor[k]);
    }
    std::sort(ring.begin(), ring.end());
    std::vector<std::pair<double, std::int32_t>> hole;
    for (std::size_t k = 0; k < m; ++k)
        hole.emplace_back(within.s[k], static_cast<std::int32_t>(within.first + k));
    std::sort(hole.begin(), hole.end());
    std::size_t i = 0, j = 0;
    while (i < n || j < m) {
        const double next_ring = i < n ? (i + 1 < n ? ring[i + 1].first : ring[0].first + period) : 1e300;
        const double next_hole = j < m ? (j + 1 < m ? hole[j + 1].first : hole[0].first + period) : 1e300;
        if (next_hole <= next_ring) {
            work.grooves.push_back({hole[j % m].second, hole[(j + 1) % m].second, ring[i % n].second});
            ++j;
        } else {
            work.grooves.push_back({hole[j % m].second, ring[(i + 1) % n].second, ring[i % n].second});
            ++i;
        }
    }
    return Done{};
}

void add_skirt(Work& work, const Skirt& skirt, const std::vector<std::int32_t>& row,
               const std::vector<std::int32_t>& floor, std::vector<std::int32_t>& base) {
    const std::size_t n = row.size(), m = skirt.rulings.size();
    std::vector<std::int32_t> inner(m), edge(m);
    for (std::size_t k = 0; k < m; ++k) {
        const Ruling& r = skirt.rulings[k];
        inner[k] = r.row ? row[*r.row] : work.add(r.at);
        edge[k] = work.add(skirt.edge[k]);
    }
    base.resize(m);
    for (std::size_t k = 0; k < m; ++k) base[k] = work.add(skirt.base[k]);
    for (std::size_t k = 0; k < m; ++k) {
        const std::size_t j = (k + 1) % m;
        strip(work.margin, inner[k], inner[j], edge[k], edge[j]);
        strip(work.wall, edge[k], edge[j], base[k], base[j]);
    }
    // from the groove's floor to the row; rulings put between two neighbours of the row share that edge
    for (std::size_t k = 0; k < m; ++k) {
        if (!skirt.rulings[k].row) continue;
        const std::size_t from = *skirt.rulings[k].row;
        std::size_t next = k + 1;
        while (!skirt.rulings[next % m].row) ++next;
        const std::size_t to = *skirt.rulings[next % m].row, count = (to + n - from) % n;
        if (count != 1) continue;
        for (std::size_t i = k; i < next; ++i)
            work.grooves.push_back({floor[from], inner[(i + 1) % m], inner[i]});
        work.grooves.push_back({floor[from], floor[to], inner[next % m]});
    }
}

/// Hollows: the row from one ruling to the next but one, and the bridge across.
Outcome<Done> add_hollows(Work& work, const Skirt& skirt, const std::vector<std::int32_t>& row,
                          const std::vector<std::int32_t>& floor, std::size_t first_added) {
    const std::size_t n = row.size(), m = skirt.rulings.size();
    // points of the rulings were added in their order
    std::vector<std::int32_t> inner(m);
    std::size_t next_point = first_added;
    for (std::size_t k = 0; k < m; ++k) {
        inner[k] =
            skirt.rulings[k].row ? row[*skirt.rulings[k].row] : static_cast<std::int32_t>(next_point++);
        ++next_point;  // the edge's
    }
    for (std::size_t k = 0; k < m; ++k) {
        if (!skirt.rulings[k].row) continue;
        const std::size_t from = *skirt.rulings[k].row;
        std::size_t next = k + 1;
        while (!skirt.rulings[next % m].row) ++next;
        const std::size_t to = *skirt.rulings[next % m].row, count = (to + n - from) % n;
        if (count == 1) continue;
        std::vector<std::int32_t> border;  // counter-clockwise: the bridge forward, the row back
        for (std::size_t i = k; i < next; ++i) border.push_back(inner[i % m]);
        // the bridge lies outside: outward is to the right of the row's run, so row forward, bridge back is
        // clockwise
        std::vector<std::int32_t> back;
        for (std::size_t i = 0; i < count; ++i) {
            const std::size_t a = (from + i) % n, b = (from + i + 1) % n;
            strip(work.grooves, floor[a], floor[b], row[a], row[b]);
            if (i > 0) back.push_back(row[a]);
        }
        border.push_back(row[to]);
        border.insert(border.end(), back.rbegin(), back.rend());
        std::vector<Vec2> plan;
        for (const std::int32_t p : border)
            plan.push_back(work.points[static_cast<std::size_t>(p)].head<2>());
        const auto filled = surface::triangulate(plan);
        if (!filled)
            return mould_fault(FaultKind::check,
                               "The trim line's hollow at " +
                                   place(work.points[static_cast<std::size_t>(border.front())]) +
                                   " cannot be bridged: " + filled.fault().message,
                               work.points[static_cast<std::size_t>(border.front())]);
        for (const Triangle& t : *filled)
            work.margin.push_back({border[static_cast<std::size_t>(t[0])],
                                   border[static_cast<std::size_t>(t[2])],
                                   border[static_cast<std::size_t>(t[1])]});
    }
    return Done{};
}

void judge_foot_side(Mould& mould) {
    for (std::size_t t = 0; t < mould.top_end; ++t) {
        const Vec3 n = mould.mesh.normal2(t);
        if (!(n.z() < 0.0)) continue;
        mould.undercut_mm2 += 0.5 * n.norm();
        const double lean = degrees(std::asin(std::clamp(-n.z() / n.norm(), 0.0, 1.0)));
        if (lean > mould.steepest_deg) {
            mould.steepest_deg = lean;
            mould.undercut_where = mould.mesh.points[mould.mesh.triangles[t][0]];
        }
    }
}

}  // namespace

Outcome<Done> check(const MouldSetting& s) {
    const auto wrong = [](const char* what, double value, double low, double high, const char* unit) {
        return mould_fault(FaultKind::usage, std::string(what) + " of " + exact(value) + " " + unit +
                                                 "; write " + exact(low) + " to " + exact(high) + ".");
    };
    const auto within = [](double value, double low, double high) { return value >= low && value <= high; };
    if (!within(s.draft_deg, 1.0, 20.0)) return wrong("A draft", s.draft_deg, 1.0, 20.0, "degrees");
    if (!within(s.margin_mm, 2.0, 20.0)) return wrong("A margin", s.margin_mm, 2.0, 20.0, "mm");
    if (!within(s.base_mm, 2.0, 60.0)) return wrong("A base", s.base_mm, 2.0, 60.0, "mm");
    if (!within(s.scribe_width_mm, 0.4, 2.0))
        return wrong("A scribed line with a breadth", s.scribe_width_mm, 0.4, 2.0, "mm");
    if (!within(s.scribe_depth_mm, 0.1, 1.5))
        return wrong("A scribed line with a depth", s.scribe_depth_mm, 0.1, 1.5, "mm");
    if (!within(s.shrinkage_percent, 0.0, 5.0))
        return wrong("A shrinkage", s.shrinkage_percent, 0.0, 5.0, "%");
    if (!within(s.mark_width_mm, 1.0, 10.0))
        return wrong("Marks with a breadth", s.mark_width_mm, 1.0, 10.0, "mm");
    if (!within(s.mark_depth_mm, 0.5, 3.0))
        return wrong("Marks with a height", s.mark_depth_mm, 0.5, 3.0, "mm");
    return Done{};
}

double least_draft_deg(const TriangleMesh& mesh, std::size_t begin, std::size_t end, Vec3& where) {
    double least = 90.0;
    for (std::size_t t = begin; t < end; ++t) {
        const Vec3 n = mesh.normal2(t);
        if (!(n.norm() > 1e-9)) continue;
        const double lean = degrees(std::asin(std::clamp(n.z() / n.norm(), -1.0, 1.0)));
        if (lean < least) {
            least = lean;
            where = mesh.points[mesh.triangles[t][0]];
        }
    }
    return least;
}

namespace {

Outcome<Mould> mould_once(const surface::SplineSurface& foot_side, const surface::PeriodicCurve& asked_trim,
                          const std::vector<surface::Aperture>& apertures, const MouldSetting& s) {
    const surface::PeriodicCurve trim = asked_trim.signed_area() < 0.0 ? asked_trim.reversed() : asked_trim;
    const double half = 0.5 * s.scribe_width_mm;
    const surface::PeriodicCurve inside = beside(foot_side, trim, -half);
    std::vector<surface::PeriodicCurve> curves, holes;
    for (const surface::Aperture& aperture : apertures)
        curves.push_back(aperture.curve.signed_area() > 0.0 ? aperture.curve.reversed() : aperture.curve);
    std::vector<std::pair<const surface::PeriodicCurve*, double>> scribed{{&trim, s.scribe_depth_mm}};
    for (const surface::PeriodicCurve& curve : curves) {
        holes.push_back(beside(foot_side, curve, -half));
        scribed.emplace_back(&curve, s.scribe_depth_mm);
    }
    Work work;
    const auto piece = add_piece(work, foot_side, inside, holes, scribed, s);
    if (!piece) return piece.fault();
    for (std::size_t k = 0; k < curves.size(); ++k)
        if (const auto done = add_aperture(work, foot_side, curves[k], piece->loops[k + 1], s); !done)
            return done.fault();

    const surface::UvMesh::Loop& loop = piece->loops.front();
    const std::size_t n = loop.s.size();
    std::vector<std::int32_t> floor(n), row(n);
    std::vector<RowPoint> row_points(n);
    std::vector<Vec3> on_trim(n);
    for (std::size_t k = 0; k < n; ++k) {
        const OnCurve on = on_curve(foot_side, trim, loop.s[k] / samples_per_span, s.scribe_depth_mm);
        const Vec3 along = on.at.su * on.tangent.x() + on.at.sv * on.tangent.y(), normal = on.at.normal();
        RowPoint& p = row_points[k];
        p.out = Vec2(along.y(), -along.x()).normalized();
        // the surface's own slope there; past the vertical it is held by the draft
        p.rise = std::atan2(-normal.head<2>().dot(p.out), normal.z());
        if (p.rise < -0.5 * std::numbers::pi) p.rise = 0.5 * std::numbers::pi;
        const double rise = std::clamp(p.rise, -0.5, radians(90.0 - s.draft_deg));
        p.at << on.at.s.head<2>() + half * std::cos(rise) * p.out, on.at.s.z() + half * std::sin(rise);
        on_trim[k] = on.at.s;
        floor[k] = work.add(on.floor);
    }
    for (std::size_t k = 0; k < n; ++k) {
        row[k] = work.add(row_points[k].at);
    }
    for (std::size_t k = 0; k < n; ++k) {
        const std::size_t j = (k + 1) % n;
        strip(work.grooves, static_cast<std::int32_t>(loop.first + k),
              static_cast<std::int32_t>(loop.first + j), floor[k], floor[j]);
    }
    const auto skirt = lay_skirt(row_points, s);
    if (!skirt) return skirt.fault();
    const std::size_t first_added = work.points.size();
    std::vector<std::int32_t> border;
    add_skirt(work, *skirt, row, floor, border);
    if (const auto done = add_hollows(work, *skirt, row, floor, first_added); !done) return done.fault();
    std::vector<Vec2> plan;
    for (const Vec3& p : skirt->base) plan.push_back(p.head<2>());
    if (const auto crossing = surface::Outline(plan).first_self_crossing())
        return mould_fault(FaultKind::check,
                           "The mould's wall folds at " + place(skirt->base[*crossing]) +
                               ". Choose a smaller margin, or less draft.",
                           skirt->base[*crossing]);
    const auto base = engrave_base(plan, s.text, s.mirrored);
    if (!base) return base.fault();
    std::vector<std::int32_t> of_base = border;
    for (std::size_t k = border.size(); k < base->points.size(); ++k)
        of_base.push_back(work.add(Vec3(base->points[k].x(), base->points[k].y(),
                                        skirt->base_z - (base->floor[k] != 0 ? base->depth_mm : 0.0))));
    for (const Triangle& t : base->triangles)
        work.base.push_back({of_base[static_cast<std::size_t>(t[0])], of_base[static_cast<std::size_t>(t[1])],
                             of_base[static_cast<std::size_t>(t[2])]});

    Mould mould;
    mould.base_z = skirt->base_z;
    mould.scale = 1.0 / (1.0 - 0.01 * s.shrinkage_percent);
    mould.bridged = skirt->bridged;
    mould.marked = skirt->marked;
    mould.text = base->text;
    mould.text_height_mm = base->height_mm;
    for (const Vec3& p : work.points) mould.mesh.points.push_back(mould.placed(p));
    for (std::size_t k = 0; k < n; ++k) {
        mould.trim.push_back(mould.placed(on_trim[k]));
        mould.scribed.push_back(mould.mesh.points[static_cast<std::size_t>(floor[k])]);
    }
    const auto append = [&](const std::vector<Triangle>& some) {
        mould.mesh.triangles.insert(mould.mesh.triangles.end(), some.begin(), some.end());
        return mould.mesh.triangles.size();
    };
    mould.top_end = append(work.top);
    mould.groove_end = append(work.grooves);
    mould.margin_end = append(work.margin);
    mould.wall_end = append(work.wall);
    append(work.base);
    mould.height_mm = mould.mesh.box().high.z();
    const Soundness sound = find_soundness(mould.mesh);
    if (!sound.sound() || sound.components != 1)
        return mould_fault(FaultKind::internal,
                           "The mould is not sound (" + std::to_string(sound.open_edges) + " open edges, " +
                               std::to_string(sound.degenerate_triangles) + " flat triangles, " +
                               std::to_string(sound.components) + " parts).",
                           sound.places.empty() ? std::nullopt : std::optional<Vec3>(sound.places.front()));
    if (const auto crossings = self_intersections(mould.mesh, 1); !crossings.empty())
        return mould_fault(
            FaultKind::check,
            "The mould would cross itself at " + place(crossings.front().where) +
                " of its own frame. Choose a smaller margin, a narrower scribed line or less draft.",
            crossings.front().where);
    mould.least_draft_deg =
        least_draft_deg(mould.mesh, mould.groove_end, mould.wall_end, mould.least_draft_where);
    judge_foot_side(mould);
    return mould;
}

}  // namespace

Outcome<Mould> make_mould(const surface::SplineSurface& foot_side, const surface::PeriodicCurve& trim,
                          const std::vector<surface::Aperture>& apertures, const MouldSetting& asked) {
    if (const auto good = check(asked); !good) return good.fault();
    // faces askew to their rulings (bridges, ends of ribs) lose some of the draft: then more is laid out
    auto best = mould_once(foot_side, trim, apertures, asked);
    MouldSetting more = asked;
    for (int i = 0; i < more_draft_rounds; ++i) {
        if (best && best->least_draft_deg >= asked.draft_deg - draft_near_deg) break;
        const double factor = best ? asked.draft_deg / std::max(best->least_draft_deg, 1.0) : 1.0;
        more.draft_deg *= std::clamp(factor, 1.1, 1.4);
        if (more.draft_deg > most_laid_deg) break;
        auto next = mould_once(foot_side, trim, apertures, more);
        if (next && (!best || next->least_draft_deg > best->least_draft_deg)) best = std::move(next);
    }
    return best;
}

}  // namespace archwright::mould
