#include "engine/scan/clean.hpp"

#include <algorithm>
#include <array>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mesh/topology.hpp"

namespace archwright::scan {

namespace {

/// Keeps the triangles whose mark is 0, in their order.
void keep_unmarked(std::vector<Triangle>& triangles, const std::vector<char>& mark) {
    std::size_t kept = 0;
    for (std::size_t t = 0; t < triangles.size(); ++t)
        if (!mark[t]) triangles[kept++] = triangles[t];
    triangles.resize(kept);
}

bool without_area(const TriangleMesh& mesh, const Triangle& t) {
    if (t[0] == t[1] || t[1] == t[2] || t[2] == t[0]) return true;
    const Vec3 &a = mesh.points[t[0]], &b = mesh.points[t[1]], &c = mesh.points[t[2]];
    const double longest2 = std::max({(b - a).squaredNorm(), (c - b).squaredNorm(), (a - c).squaredNorm()});
    return !((b - a).cross(c - a).norm() > tolerance::degenerate * longest2);
}

/// Marks triangles on the same three points as an earlier one; returns how many.
std::size_t mark_duplicates(const TriangleMesh& mesh, std::vector<char>& mark) {
    // counting sort by lowest point, then a short sort within
    struct Filed {
        std::int32_t middle, high, triangle;
    };
    std::vector<std::uint32_t> begin(mesh.points.size() + 1, 0);
    for (const Triangle& t : mesh.triangles)
        ++begin[static_cast<std::size_t>(std::min({t[0], t[1], t[2]})) + 1];
    for (std::size_t i = 1; i < begin.size(); ++i) begin[i] += begin[i - 1];
    std::vector<Filed> filed(mesh.triangles.size());
    std::vector<std::uint32_t> fill(begin.begin(), begin.end() - 1);
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
        Triangle t = mesh.triangles[i];
        std::sort(t.begin(), t.end());
        filed[fill[static_cast<std::size_t>(t[0])]++] = {t[1], t[2], static_cast<std::int32_t>(i)};
    }
    std::size_t found = 0;
    for (std::size_t p = 0; p + 1 < begin.size(); ++p) {
        const auto first = filed.begin() + begin[p], last = filed.begin() + begin[p + 1];
        std::sort(first, last, [](const Filed& a, const Filed& b) {
            return a.middle != b.middle ? a.middle < b.middle
                   : a.high != b.high   ? a.high < b.high
                                        : a.triangle < b.triangle;
        });
        for (auto i = first; i != last; ++i)
            if (i != first && i->middle == (i - 1)->middle && i->high == (i - 1)->high) {
                mark[static_cast<std::size_t>(i->triangle)] = 1;
                ++found;
            }
    }
    return found;
}

/// Marks triangles that reach far off the cast: one wild point would otherwise be its size.
std::size_t mark_strays(const TriangleMesh& mesh, std::vector<char>& mark) {
    constexpr std::size_t looked_at = 20'000, left_out = 100;  // a hundredth at either end
    const std::size_t stride = std::max<std::size_t>(1, mesh.points.size() / looked_at);
    Box3 box;
    for (int k = 0; k < 3; ++k) {
        std::vector<double> x;
        for (std::size_t i = 0; i < mesh.points.size(); i += stride) x.push_back(mesh.points[i][k]);
        if (x.empty()) return 0;
        const auto at = [&](std::size_t place) {
            const auto nth = x.begin() + static_cast<std::ptrdiff_t>(place);
            std::nth_element(x.begin(), nth, x.end());
            return *nth;
        };
        box.low[k] = at(x.size() / left_out);
        box.high[k] = at(x.size() - 1 - x.size() / left_out);
    }
    const Vec3 reach = Vec3::Constant(tolerance::stray_reach * box.size().maxCoeff());
    if (!(reach.x() > 0.0)) return 0;
    std::vector<char> stray(mesh.points.size());
    for (std::size_t i = 0; i < stray.size(); ++i)
        stray[i] = (mesh.points[i].array() < (box.low - reach).array()).any() ||
                   (mesh.points[i].array() > (box.high + reach).array()).any();
    std::size_t found = 0;
    for (std::size_t t = 0; t < mark.size(); ++t)
        for (const std::int32_t p : mesh.triangles[t])
            if (stray[static_cast<std::size_t>(p)] && !mark[t]) {
                mark[t] = 1;
                ++found;
            }
    return found;
}

std::string counted(std::size_t count, const char* one, const char* many) {
    return std::to_string(count) + " " + (count == 1 ? one : many);
}

void write_notes(Cleaning& c, std::size_t disputed) {
    const auto note = [&](bool when, const std::string& sentence) {
        if (when) c.notes.push_back(sentence);
    };
    note(c.degenerate_removed > 0,
         counted(c.degenerate_removed, "triangle", "triangles") + " without area removed.");
    note(c.duplicate_removed > 0,
         counted(c.duplicate_removed, "triangle", "triangles") + " that lay on another removed.");
    note(c.stray_removed > 0,
         counted(c.stray_removed, "triangle", "triangles") +
             " that reached far off the cast removed: look for wild points in the scan.");
    note(c.debris_parts > 0, counted(c.debris_parts, "loose piece", "loose pieces") + " of debris (" +
                                 counted(c.debris_triangles, "triangle", "triangles") + ", " +
                                 rounded(100.0 * c.debris_area_share, 2) + " % of the area) removed.");
    note(c.kept_parts > 1, "The cast consists of " + std::to_string(c.kept_parts) +
                               " separate parts, each too large to be debris.");
    note(c.flipped_to_agree > 0, counted(c.flipped_to_agree, "triangle", "triangles") +
                                     " turned over to face the same way as their neighbours.");
    note(disputed > 0, "At " + counted(disputed, "edge", "edges") +
                           " the two faces cannot be made to agree: the surface is one-sided there.");
    note(c.non_manifold_edges > 0,
         counted(c.non_manifold_edges, "edge", "edges") + " of more than two triangles left as found.");
}

}  // namespace

Cleaning clean(const TriangleMesh& mesh, Progress* progress) {
    Cleaning result;
    const auto go_on = [&](double fraction) {
        if (progress == nullptr || progress->report("cleaning the cast", fraction)) return true;
        result = Cleaning{};
        result.cancelled = true;
        return false;
    };
    if (!go_on(0.0)) return result;
    result.mesh = mesh;
    TriangleMesh& out = result.mesh;

    std::vector<char> mark(out.triangles.size(), 0);
    for (std::size_t t = 0; t < mark.size(); ++t)
        if (without_area(out, out.triangles[t])) {
            mark[t] = 1;
            ++result.degenerate_removed;
        }
    keep_unmarked(out.triangles, mark);
    if (!go_on(0.2)) return result;

    mark.assign(out.triangles.size(), 0);
    result.stray_removed = mark_strays(out, mark);
    if (result.stray_removed > 0) keep_unmarked(out.triangles, mark);
    mark.assign(out.triangles.size(), 0);
    result.duplicate_removed = mark_duplicates(out, mark);
    if (result.duplicate_removed > 0) keep_unmarked(out.triangles, mark);
    if (!go_on(0.4)) return result;

    Topology topology = find_topology(out);
    if (!go_on(0.6)) return result;
    const Parts parts = find_parts(out, topology);
    double largest = 0.0;
    double whole = 0.0;
    for (const double area : parts.area) {
        largest = std::max(largest, area);
        whole += area;
    }
    std::vector<char> debris(parts.count(), 0);
    double debris_area = 0.0;
    for (std::size_t p = 0; p < parts.count(); ++p) {
        if (parts.area[p] >= tolerance::debris_area_share * largest) {
            ++result.kept_parts;
            continue;
        }
        debris[p] = 1;
        ++result.debris_parts;
        result.debris_triangles += parts.triangles[p];
        debris_area += parts.area[p];
    }
    if (whole > 0.0) result.debris_area_share = debris_area / whole;
    if (result.debris_parts > 0) {
        mark.assign(out.triangles.size(), 0);
        for (std::size_t t = 0; t < mark.size(); ++t)
            mark[t] = debris[static_cast<std::size_t>(parts.of_triangle[t])];
        keep_unmarked(out.triangles, mark);
        topology = find_topology(out);
    }
    if (!go_on(0.8)) return result;

    const Orientation orientation = orient_consistently(out, topology);
    result.flipped_to_agree = orientation.flipped;
    result.non_manifold_edges = topology.non_manifold_edges();
    drop_unused_points(out);
    write_notes(result, orientation.disputed);
    if (!go_on(1.0)) return result;
    return result;
}

}  // namespace archwright::scan
