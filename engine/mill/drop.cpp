#include "engine/mill/drop.hpp"

#include "engine/base/parallel.hpp"
#include "engine/mill/envelope.hpp"

namespace archwright::mill {

namespace {

// a facet leaning more than this (cosine) is a wall: its edges stop the cutter
constexpr double upright_facet = 1e-12;

void stop_at(Touch& touch, double z, Touch::On on, std::int32_t triangle, const Vec3& place) {
    if (z > touch.z) touch = {z, on, triangle, place};
}

void drop_on_point(const Cutter& cutter, double x, double y, const Vec3& p, std::int32_t triangle,
                   Touch& touch) {
    const double from_axis = std::hypot(p.x() - x, p.y() - y);
    if (from_axis > cutter.radius()) return;
    stop_at(touch, p.z() - cutter.rise(from_axis), Touch::On::point, triangle, p);
}

void drop_on_edge(const Cutter& cutter, double x, double y, const Vec3& p, const Vec3& q,
                  std::int32_t triangle, Touch& touch) {
    if (std::max(p.z(), q.z()) <= touch.z) return;
    const double dx = q.x() - p.x(), dy = q.y() - p.y(), length = std::sqrt(dx * dx + dy * dy);
    if (!(length > 0.0)) return;  // upright: its points stop the cutter
    const double ex = dx / length, ey = dy / length, px = p.x() - x, py = p.y() - y;
    const double aside = std::abs(px * ey - py * ex);
    if (aside > cutter.radius()) return;
    const double chord = half_chord(cutter, aside), start = px * ex + py * ey;
    const double low = std::max(start, -chord), high = std::min(start + length, chord);
    if (low > high) return;
    const double slope = (q.z() - p.z()) / length;
    const double u = highest_along(cutter, aside, slope, low, high);
    const double share = std::clamp((u - start) / length, 0.0, 1.0);
    const Vec3 place = p + share * (q - p);
    const double from_axis = std::min(std::sqrt(aside * aside + u * u), cutter.radius());
    stop_at(touch, place.z() - cutter.rise(from_axis), Touch::On::edge, triangle, place);
}

void drop_on_facet(const Cutter& cutter, double x, double y, const Vec3& a, const Vec3& b, const Vec3& c,
                   std::int32_t triangle, Touch& touch) {
    Vec3 n = (b - a).cross(c - a);
    const double size = n.norm();
    if (!(size > 0.0)) return;
    n /= n.z() < 0.0 ? -size : size;
    if (n.z() < upright_facet) return;
    // the torus' circle is touched uphill, the tube then along the normal
    const double level = std::sqrt(n.x() * n.x() + n.y() * n.y());
    const double out = level > 0.0 ? cutter.flat_radius() / level + cutter.corner_radius : 0.0;
    const double cx = x - out * n.x(), cy = y - out * n.y();
    const auto side = [&](const Vec3& p, const Vec3& q) {
        return (q.x() - p.x()) * (cy - p.y()) - (q.y() - p.y()) * (cx - p.x());
    };
    const double s0 = side(a, b), s1 = side(b, c), s2 = side(c, a);
    if (!((s0 >= 0.0 && s1 >= 0.0 && s2 >= 0.0) || (s0 <= 0.0 && s1 <= 0.0 && s2 <= 0.0))) return;
    // from the corner where the figures are smallest
    const double sum = s0 + s1 + s2;
    if (sum == 0.0) return;
    const double cz = (s1 * a.z() + s2 * b.z() + s0 * c.z()) / sum;
    stop_at(touch, cz - cutter.corner_radius * (1.0 - n.z()), Touch::On::facet, triangle, {cx, cy, cz});
}

}  // namespace

void drop_on(const Cutter& cutter, double x, double y, const Vec3& a, const Vec3& b, const Vec3& c,
             std::int32_t triangle, Touch& touch) {
    drop_on_facet(cutter, x, y, a, b, c, triangle, touch);
    drop_on_edge(cutter, x, y, a, b, triangle, touch);
    drop_on_edge(cutter, x, y, b, c, triangle, touch);
    drop_on_edge(cutter, x, y, c, a, triangle, touch);
    for (const Vec3* p : {&a, &b, &c})
        if (p->z() > touch.z) drop_on_point(cutter, x, y, *p, triangle, touch);
}

DropGrid::DropGrid(const TriangleMesh& mesh, const Cutter& cutter, bool closed) : cutter_(cutter) {
    const double r = cutter.radius();
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
        const Triangle& t = mesh.triangles[i];
        const Vec3 &a = mesh.points[t[0]], &b = mesh.points[t[1]], &c = mesh.points[t[2]];
        if (closed && mesh.normal2(i).z() < 0.0) continue;
        Kept kept{a, b, c, 0, 0, 0, 0, 0, static_cast<std::int32_t>(i)};
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
    cell_ = std::max({0.25, 0.4 * r, std::sqrt(size.x() * size.y() / 250'000.0)});
    columns_ = static_cast<int>(size.x() / cell_) + 1;
    rows_ = static_cast<int>(size.y() / cell_) + 1;
    const auto cells = [&](const Kept& kept, auto&& body) {
        const auto index = [&](double value, double low, int count) {
            return std::clamp(static_cast<int>((value - low) / cell_), 0, count - 1);
        };
        const int x0 = index(kept.low_x - r, reach_.low.x(), columns_);
        const int x1 = index(kept.high_x + r, reach_.low.x(), columns_);
        const int y0 = index(kept.low_y - r, reach_.low.y(), rows_);
        const int y1 = index(kept.high_y + r, reach_.low.y(), rows_);
        for (int row = y0; row <= y1; ++row)
            for (int column = x0; column <= x1; ++column) {
                // how far the cell is from the triangle's box: its corners are out of reach
                const double left = reach_.low.x() + column * cell_, front = reach_.low.y() + row * cell_;
                const double dx = std::max({0.0, kept.low_x - left - cell_, left - kept.high_x});
                const double dy = std::max({0.0, kept.low_y - front - cell_, front - kept.high_y});
                if (dx * dx + dy * dy > r * r * (1.0 + 1e-9)) continue;
                const double bound = kept.top - cutter.rise(std::min(r, std::sqrt(dx * dx + dy * dy)));
                body(static_cast<std::size_t>(row) * columns_ + column, bound);
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

Touch DropGrid::touch(double x, double y, double floor) const {
    Touch touch;
    touch.z = floor;
    if (kept_.empty()) return touch;
    const double fx = (x - reach_.low.x()) / cell_, fy = (y - reach_.low.y()) / cell_;
    if (!(fx >= 0.0 && fy >= 0.0 && fx <= columns_ && fy <= rows_)) return touch;
    const std::size_t cell = static_cast<std::size_t>(std::min(static_cast<int>(fy), rows_ - 1)) * columns_ +
                             std::min(static_cast<int>(fx), columns_ - 1);
    for (std::uint32_t i = begin_[cell]; i < begin_[cell + 1]; ++i) {
        if (list_[i].bound <= touch.z) break;  // and so have all that follow
        const Kept& kept = kept_[list_[i].kept];
        const double dx = std::max({0.0, kept.low_x - x, x - kept.high_x});
        const double dy = std::max({0.0, kept.low_y - y, y - kept.high_y});
        const double from_axis = std::sqrt(dx * dx + dy * dy);
        if (from_axis > cutter_.radius()) continue;
        if (kept.top - cutter_.rise(from_axis) <= touch.z) continue;
        drop_on(cutter_, x, y, kept.a, kept.b, kept.c, kept.triangle, touch);
    }
    return touch;
}

TriangleMesh turned_over(const TriangleMesh& mesh) {
    TriangleMesh turned = mesh;
    for (Vec3& p : turned.points) p = {p.x(), -p.y(), -p.z()};
    return turned;
}

}  // namespace archwright::mill
