#include "engine/mill/drop.hpp"

#include "engine/base/parallel.hpp"
#include "engine/mill/envelope.hpp"

namespace archwright::mill {

namespace {

// a facet leaning more than this (cosine) is a wall: its edges stop the cutter
constexpr double upright_facet = 1e-12;
// one leaning more than this is so narrow in plan that its sides there are not told apart surely
constexpr double steep_facet = 1e-3;
// what the height of a cutter on a facet's whole plane may err by, up to that slope
constexpr double plane_doubt_mm = 1e-7;

void stop_at(Touch& touch, double z, Touch::On on, std::int32_t triangle, const Vec3& place) {
    if (z > touch.z) touch = {z, on, triangle, place};
}

void drop_on_point(const Cutter& cutter, double x, double y, const Vec3& p, std::int32_t triangle,
                   Touch& touch) {
    const double dx = p.x() - x, dy = p.y() - y, from_axis = std::sqrt(dx * dx + dy * dy);
    if (from_axis > cutter.radius()) return;
    stop_at(touch, p.z() - cutter.rise(from_axis), Touch::On::point, triangle, p);
}

/// An edge with its two ends.
void drop_on_edge(const Cutter& cutter, double x, double y, const Vec3& p, const Vec3& q,
                  std::int32_t triangle, Touch& touch) {
    if (std::max(p.z(), q.z()) <= touch.z) return;
    const double dx = q.x() - p.x(), dy = q.y() - p.y(), length = std::sqrt(dx * dx + dy * dy);
    if (!(length > 0.0)) {  // upright
        drop_on_point(cutter, x, y, p.z() > q.z() ? p : q, triangle, touch);
        return;
    }
    const double ex = dx / length, ey = dy / length, px = p.x() - x, py = p.y() - y;
    const double aside = std::abs(px * ey - py * ex);
    if (aside > cutter.radius()) return;
    const double chord = half_chord(cutter, aside), start = px * ex + py * ey, end = start + length;
    const double low = std::max(start, -chord), high = std::min(end, chord);
    if (low > high) return;
    const double slope = (q.z() - p.z()) / length;
    const double u = highest_along(cutter, aside, slope, low, high);
    if (u == start || u == end) {
        drop_on_point(cutter, x, y, u == start ? p : q, triangle, touch);
        return;
    }
    const double share = std::clamp((u - start) / length, 0.0, 1.0);
    const Vec3 place = p + share * (q - p);
    const double from_axis = std::min(std::sqrt(aside * aside + u * u), cutter.radius());
    stop_at(touch, place.z() - cutter.rise(from_axis), Touch::On::edge, triangle, place);
}

}  // namespace

ReadyTriangle::ReadyTriangle(const Cutter& cutter, const Vec3& a_, const Vec3& b_, const Vec3& c_)
    : a(a_), b(b_), c(c_) {
    Vec3 n = (b - a).cross(c - a);
    const double size = n.norm();
    if (!(size > 0.0)) return;
    n /= n.z() < 0.0 ? -size : size;
    if (n.z() < upright_facet) return;
    facet = true;
    // the torus' circle is touched uphill, the tube then along the normal
    const double level = std::sqrt(n.x() * n.x() + n.y() * n.y());
    const double out = level > 0.0 ? cutter.flat_radius() / level + cutter.corner_radius : 0.0;
    off_x = out * n.x();
    off_y = out * n.y();
    lower = cutter.corner_radius * (1.0 - n.z());
    if (n.z() < steep_facet) return;
    steep = false;
    plane_x = -n.x() / n.z();
    plane_y = -n.y() / n.z();
    plane = a.z() - plane_x * (a.x() + off_x) - plane_y * (a.y() + off_y) - lower + plane_doubt_mm;
}

void drop_on(const Cutter& cutter, double x, double y, const ReadyTriangle& t, std::int32_t triangle,
             Touch& touch) {
    if (!t.facet) {
        drop_on_edge(cutter, x, y, t.a, t.b, triangle, touch);
        drop_on_edge(cutter, x, y, t.b, t.c, triangle, touch);
        drop_on_edge(cutter, x, y, t.c, t.a, triangle, touch);
        return;
    }
    const double cx = x - t.off_x, cy = y - t.off_y;
    const auto side = [&](const Vec3& p, const Vec3& q) {
        return (q.x() - p.x()) * (cy - p.y()) - (q.y() - p.y()) * (cx - p.x());
    };
    const double s0 = side(t.a, t.b), s1 = side(t.b, t.c), s2 = side(t.c, t.a), sum = s0 + s1 + s2;
    if (((s0 >= 0.0 && s1 >= 0.0 && s2 >= 0.0) || (s0 <= 0.0 && s1 <= 0.0 && s2 <= 0.0)) && sum != 0.0) {
        const double cz = (s1 * t.a.z() + s2 * t.b.z() + s0 * t.c.z()) / sum;
        stop_at(touch, cz - t.lower, Touch::On::facet, triangle, {cx, cy, cz});
        if (!t.steep) return;
    }
    // How high the cutter stands on a place of the plane is a concave function of it (its end is convex) and
    // greatest where the facet would touch: over the triangle it is greatest on an edge that has that place
    // on its other side.
    const double hand = t.steep ? 0.0 : sum;
    if (s0 * hand <= 0.0) drop_on_edge(cutter, x, y, t.a, t.b, triangle, touch);
    if (s1 * hand <= 0.0) drop_on_edge(cutter, x, y, t.b, t.c, triangle, touch);
    if (s2 * hand <= 0.0) drop_on_edge(cutter, x, y, t.c, t.a, triangle, touch);
}

void drop_on(const Cutter& cutter, double x, double y, const Vec3& a, const Vec3& b, const Vec3& c,
             std::int32_t triangle, Touch& touch) {
    drop_on(cutter, x, y, ReadyTriangle(cutter, a, b, c), triangle, touch);
}

DropGrid::DropGrid(const TriangleMesh& mesh, const Cutter& cutter, bool closed) : cutter_(cutter) {
    const double r = cutter.radius();
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
        const Triangle& t = mesh.triangles[i];
        const Vec3 &a = mesh.points[t[0]], &b = mesh.points[t[1]], &c = mesh.points[t[2]];
        if (closed && mesh.normal2(i).z() < 0.0) continue;
        Kept kept;
        kept.ready = ReadyTriangle(cutter, a, b, c);
        kept.triangle = static_cast<std::int32_t>(i);
        std::tie(kept.low_x, kept.high_x) = std::minmax({a.x(), b.x(), c.x()});
        std::tie(kept.low_y, kept.high_y) = std::minmax({a.y(), b.y(), c.y()});
        kept.top = std::max({a.z(), b.z(), c.z()});
        for (const Vec3* p : {&a, &b, &c}) reach_.add(*p);
        kept_.push_back(kept);
    }
    if (kept_.empty()) return;
    std::stable_sort(kept_.begin(), kept_.end(), [](const Kept& p, const Kept& q) { return p.top > q.top; });
    reach_.low.head<2>().array() -= r;
    reach_.high.head<2>().array() += r;
    const Vec3 size = reach_.size();
    // about as wide as a triangle of a shell's mesh, and never so many that memory could run out
    cell_ = std::max({0.25, 0.25 * r, std::sqrt(size.x() * size.y() / 250'000.0)});
    columns_ = static_cast<int>(size.x() / cell_) + 1;
    rows_ = static_cast<int>(size.y() / cell_) + 1;
    const auto column = [&](double x) {
        return std::clamp(static_cast<int>((x - reach_.low.x()) / cell_), 0, columns_ - 1);
    };
    const auto row = [&](double y) {
        return std::clamp(static_cast<int>((y - reach_.low.y()) / cell_), 0, rows_ - 1);
    };
    // how high corners of triangles surely stop a cutter anywhere in a cell: what cannot do so higher is left
    // out of its list
    std::vector<double> sure(static_cast<std::size_t>(columns_) * rows_,
                             -std::numeric_limits<double>::infinity());
    for (const Kept& kept : kept_)
        for (const Vec3* p : {&kept.ready.a, &kept.ready.b, &kept.ready.c})
            for (int k = row(p->y() - cell_); k <= row(p->y() + cell_); ++k)
                for (int i = column(p->x() - cell_); i <= column(p->x() + cell_); ++i) {
                    const double left = reach_.low.x() + i * cell_, front = reach_.low.y() + k * cell_;
                    const double dx = std::max(p->x() - left, left + cell_ - p->x());
                    const double dy = std::max(p->y() - front, front + cell_ - p->y());
                    if (dx * dx + dy * dy > 0.9 * r * r) continue;
                    double& here = sure[static_cast<std::size_t>(k) * columns_ + i];
                    here = std::max(here, p->z() - cutter.rise(std::sqrt(dx * dx + dy * dy)) - 1e-6);
                }
    const auto cells = [&](const Kept& kept, auto&& body) {
        const ReadyTriangle& t = kept.ready;
        for (int k = row(kept.low_y - r); k <= row(kept.high_y + r); ++k)
            for (int i = column(kept.low_x - r); i <= column(kept.high_x + r); ++i) {
                const std::size_t cell = static_cast<std::size_t>(k) * columns_ + i;
                if (kept.top <= sure[cell]) continue;
                // how far the cell is from the triangle's box: its corners are out of reach
                const double left = reach_.low.x() + i * cell_, front = reach_.low.y() + k * cell_;
                if (t.above(t.plane_x > 0.0 ? left + cell_ : left, t.plane_y > 0.0 ? front + cell_ : front) <=
                    sure[cell])
                    continue;
                const double dx = std::max({0.0, kept.low_x - left - cell_, left - kept.high_x});
                const double dy = std::max({0.0, kept.low_y - front - cell_, front - kept.high_y});
                if (dx * dx + dy * dy > r * r * (1.0 + 1e-9)) continue;
                const double bound = std::min(
                    kept.top - cutter.rise(std::min(r, std::sqrt(dx * dx + dy * dy))),
                    t.above(t.plane_x > 0.0 ? left + cell_ : left, t.plane_y > 0.0 ? front + cell_ : front));
                if (bound > sure[cell]) body(cell, bound);
            }
    };
    begin_.assign(static_cast<std::size_t>(columns_) * rows_ + 1, 0);
    for (const Kept& kept : kept_) cells(kept, [&](std::size_t cell, double) { ++begin_[cell + 1]; });
    for (std::size_t i = 1; i < begin_.size(); ++i) begin_[i] += begin_[i - 1];
    list_.resize(begin_.back());
    std::vector<std::uint32_t> next(begin_.begin(), begin_.end() - 1);
    for (std::size_t i = 0; i < kept_.size(); ++i)
        cells(kept_[i], [&](std::size_t cell, double bound) {
            // rounded to a float, upward
            const auto above = static_cast<float>(bound + 1e-5 + 1e-6 * std::abs(bound));
            list_[next[cell]++] = {above, static_cast<std::uint32_t>(i)};
        });
    parallel_for(begin_.size() - 1, 256, [&](std::size_t first, std::size_t last) {
        for (std::size_t cell = first; cell < last; ++cell)
            std::sort(list_.begin() + begin_[cell], list_.begin() + begin_[cell + 1],
                      [](const Entry& p, const Entry& q) {
                          return p.bound != q.bound ? p.bound > q.bound : p.kept < q.kept;
                      });
    });
}

void DropGrid::meet(double x, double y, std::uint32_t one, Touch& touch) const {
    const Kept& kept = kept_[one];
    if (kept.ready.above(x, y) <= touch.z) return;
    const double dx = std::max({0.0, kept.low_x - x, x - kept.high_x});
    const double dy = std::max({0.0, kept.low_y - y, y - kept.high_y});
    const double square = dx * dx + dy * dy;
    if (square > cutter_.radius() * cutter_.radius()) return;
    if (kept.top - cutter_.rise(std::min(std::sqrt(square), cutter_.radius())) <= touch.z) return;
    drop_on(cutter_, x, y, kept.ready, kept.triangle, touch);
}

Touch DropGrid::touch(double x, double y, double floor, Near* near) const {
    Touch touch;
    touch.z = floor;
    if (kept_.empty()) return touch;
    const double fx = (x - reach_.low.x()) / cell_, fy = (y - reach_.low.y()) / cell_;
    if (!(fx >= 0.0 && fy >= 0.0 && fx <= columns_ && fy <= rows_)) return touch;
    const std::size_t cell = static_cast<std::size_t>(std::min(static_cast<int>(fy), rows_ - 1)) * columns_ +
                             std::min(static_cast<int>(fx), columns_ - 1);
    // what stopped it beside here stops it about as high: most of the rest is then too low to be looked at
    if (near != nullptr && near->kept < kept_.size()) meet(x, y, near->kept, touch);
    for (std::uint32_t i = begin_[cell]; i < begin_[cell + 1]; ++i) {
        if (list_[i].bound <= touch.z) break;  // and so have all that follow
        const double before = touch.z;
        meet(x, y, list_[i].kept, touch);
        if (near != nullptr && touch.z > before) near->kept = list_[i].kept;
    }
    return touch;
}

TriangleMesh turned_over(const TriangleMesh& mesh) {
    TriangleMesh turned = mesh;
    for (Vec3& p : turned.points) p = {p.x(), -p.y(), -p.z()};
    return turned;
}

}  // namespace archwright::mill
