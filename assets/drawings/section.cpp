#include "assets/drawings/section.hpp"

#include <algorithm>
#include <cmath>

#include "engine/picture/level_curves.hpp"
#include "engine/surface/lattice.hpp"

namespace archwright::drawings {

namespace {

/// Cells of a section's facets to a knot span of some 3 mm.
constexpr int section_per_span = 4;

}  // namespace

double Plane::off(const Vec3& p) const {
    const Vec2 way = (b - a).normalized(), from = p.head<2>() - a;
    return way.x() * from.y() - way.y() * from.x();
}

std::vector<Line> section(const TriangleMesh& mesh, const Plane& plane) {
    std::vector<double> off(mesh.points.size());
    for (std::size_t i = 0; i < off.size(); ++i) off[i] = plane.off(mesh.points[i]);
    std::vector<Line> lines;
    for (const picture::Chain& chain : picture::level_curves(mesh, off, 0.0)) {
        Line line;
        for (const Vec3& p : chain.points) line.push_back(plane.flat(p));
        if (chain.closed) line.push_back(line.front());
        if (line.size() > 1) lines.push_back(std::move(line));
    }
    return lines;
}

std::vector<Line> section(const surface::SplineSurface& surface, const Plane& plane,
                          const surface::TrimRegion* inside) {
    return section(facets(surface, section_per_span, inside).mesh, plane);
}

Line longest(const std::vector<Line>& lines) {
    Line best;
    double most = -1.0;
    for (const Line& line : lines) {
        double length = 0.0;
        for (std::size_t i = 1; i < line.size(); ++i) length += (line[i] - line[i - 1]).norm();
        if (length > most) {
            most = length;
            best = line;
        }
    }
    return best;
}

std::optional<double> height_at(const Line& line, double across) {
    std::optional<double> lowest;
    for (std::size_t i = 1; i < line.size(); ++i) {
        const Vec2 &a = line[i - 1], &b = line[i];
        if ((a.x() > across) == (b.x() > across)) continue;
        const double z = a.y() + (across - a.x()) / (b.x() - a.x()) * (b.y() - a.y());
        lowest = std::min(lowest.value_or(z), z);
    }
    return lowest;
}

std::vector<Line> parts(const Line& line, const std::function<bool(const Vec2&)>& holds) {
    std::vector<Line> out;
    bool running = false;
    for (const Vec2& p : line) {
        const bool here = holds(p);
        if (here && !running) out.emplace_back();
        if (here) out.back().push_back(p);
        running = here;
    }
    std::erase_if(out, [](const Line& l) { return l.size() < 2; });
    return out;
}

Facets facets(const surface::SplineSurface& surface, int per_span, const surface::TrimRegion* inside) {
    const auto lattice = surface::Lattice::over(surface.u, surface.v, per_span);
    Facets out;
    out.mesh.points = surface::sample_points(surface, lattice);
    out.uv.reserve(lattice.size());
    for (std::size_t k = 0; k < lattice.size(); ++k) out.uv.push_back(lattice.uv(k));
    std::vector<char> in(lattice.size(), 1);
    if (inside != nullptr)
        for (std::size_t k = 0; k < lattice.size(); ++k) in[k] = inside->inside(out.uv[k]) ? 1 : 0;
    for (int i = 0; i + 1 < lattice.nu; ++i)
        for (int j = 0; j + 1 < lattice.nv; ++j) {
            const std::size_t a = lattice.index(i, j), b = lattice.index(i + 1, j),
                              c = lattice.index(i + 1, j + 1), d = lattice.index(i, j + 1);
            const auto add = [&](std::size_t p, std::size_t q, std::size_t r) {
                if (in[p] && in[q] && in[r])
                    out.mesh.triangles.push_back({static_cast<std::int32_t>(p), static_cast<std::int32_t>(q),
                                                  static_cast<std::int32_t>(r)});
            };
            add(a, b, c);
            add(a, c, d);
        }
    return out;
}

std::vector<Vec3> in_space(const surface::SplineSurface& surface, const surface::PeriodicCurve& curve) {
    constexpr int per_span = 16;
    std::vector<Vec3> line;
    for (int k = 0; k < static_cast<int>(curve.control.size()) * per_span; ++k)
        line.push_back(surface.point(curve.point(static_cast<double>(k) / per_span)));
    return line;
}

std::vector<Vec2> on_page(const picture::Axes& axes, const Line& line) {
    std::vector<Vec2> out;
    out.reserve(line.size());
    for (const Vec2& p : line) out.push_back(axes.at(p.x(), p.y()));
    return out;
}

std::vector<std::vector<Vec2>> on_page(const picture::Axes& axes, const std::vector<Line>& lines) {
    std::vector<std::vector<Vec2>> out;
    for (const Line& line : lines) out.push_back(on_page(axes, line));
    return out;
}

std::vector<Vec2> between(const picture::Axes& axes, Line one, Line other) {
    for (Line* line : {&one, &other})
        if (!line->empty() && line->front().x() > line->back().x()) std::reverse(line->begin(), line->end());
    one.insert(one.end(), other.rbegin(), other.rend());
    return on_page(axes, one);
}

}  // namespace archwright::drawings
