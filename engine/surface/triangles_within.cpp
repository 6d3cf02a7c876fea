#include "engine/surface/triangles_within.hpp"

#include <exception>

#include "engine/surface/delaunay.hpp"

namespace archwright::surface {

Outcome<std::vector<Triangle>> triangles_within(const std::vector<Vec2>& points,
                                                const std::vector<std::pair<std::size_t, std::size_t>>& edges,
                                                const std::vector<char>& on_border) {
    try {
        Delaunay delaunay;
        std::vector<std::pair<Delaunay::Point, std::int32_t>> tagged;
        for (std::size_t k = 0; k < points.size(); ++k)
            tagged.emplace_back(Delaunay::Point(points[k].x(), points[k].y()), static_cast<std::int32_t>(k));
        delaunay.insert(tagged.begin(), tagged.end());
        if (delaunay.number_of_vertices() != points.size())
            return Fault{FaultKind::check, "triangles", "two points coincide.", {}};
        std::vector<Delaunay::Vertex_handle> handles(points.size());
        for (auto v = delaunay.finite_vertices_begin(); v != delaunay.finite_vertices_end(); ++v)
            handles[static_cast<std::size_t>(v->info())] = v;
        for (const auto& [a, b] : edges) delaunay.insert_constraint(handles[a], handles[b]);
        // from outside inward: each edge of the border that is crossed changes the side
        const auto is_border = [&](Delaunay::Face_handle f, int c) {
            return f->is_constrained(c) &&
                   on_border[static_cast<std::size_t>(f->vertex(f->cw(c))->info())] != 0;
        };
        for (auto f = delaunay.all_faces_begin(); f != delaunay.all_faces_end(); ++f) f->info() = -1;
        std::vector<std::pair<Delaunay::Face_handle, int>> open{{delaunay.infinite_face(), 0}};
        while (!open.empty()) {
            const auto [f, where] = open.back();
            open.pop_back();
            if (f->info() >= 0) continue;
            f->info() = where;
            for (int c = 0; c < 3; ++c)
                if (f->neighbor(c)->info() < 0)
                    open.emplace_back(f->neighbor(c), is_border(f, c) ? 1 - where : where);
        }
        std::vector<Triangle> triangles;
        for (auto f = delaunay.finite_faces_begin(); f != delaunay.finite_faces_end(); ++f)
            if (f->info() == 1)
                triangles.push_back({f->vertex(0)->info(), f->vertex(1)->info(), f->vertex(2)->info()});
        return triangles;
    } catch (const std::exception& e) {
        return Fault{FaultKind::internal, "triangles", e.what(), {}};
    }
}

}  // namespace archwright::surface
