#include "engine/surface/patch_of.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/parallel.hpp"
#include "engine/surface/grid_fit.hpp"

namespace archwright::surface {

namespace {

SplineSurface fitted(const std::function<Vec3(const Vec2& uv)>& at, const Vec2& low, const GridFit& grid) {
    const std::size_t nv = grid.vs().size();
    std::vector<Vec3> samples(grid.size());
    parallel_for(samples.size(), 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k)
            samples[k] = at(low + Vec2(grid.us()[k / nv], grid.vs()[k % nv]));
    });
    return grid.fit(samples);
}

}  // namespace

SplineSurface patch_of(const std::function<Vec3(const Vec2& uv)>& at, const Vec2& low, const Vec2& high,
                       double span_mm) {
    static constexpr int least_spans = 4;
    const auto basis = [span_mm](double length) {
        return Basis{std::max(least_spans, static_cast<int>(std::ceil(length / span_mm))) + 3, length};
    };
    return fitted(at, low, GridFit(basis(high.x() - low.x()), basis(high.y() - low.y()), 2));
}

CutOut cut_out(const SplineSurface& whole, const Vec2& low, const Vec2& high) {
    struct Run {
        Basis basis;
        double from;
    };
    const auto run = [](const Basis& of, double from, double to) {
        constexpr int least_spans = 4;
        const double span = of.span();
        int first = std::clamp(static_cast<int>(std::floor(from / span)), 0, of.spans());
        const int last = std::clamp(static_cast<int>(std::ceil(to / span)),
                                    std::min(first + least_spans, of.spans()), of.spans());
        first = std::max(0, std::min(first, last - least_spans));
        return Run{Basis{last - first + 3, span * (last - first)}, span * first};
    };
    const Run u = run(whole.u, low.x(), high.x()), v = run(whole.v, low.y(), high.y());
    const Vec2 origin(u.from, v.from);
    return {fitted([&](const Vec2& uv) { return whole.point(uv); }, origin, GridFit(u.basis, v.basis, 2)),
            origin};
}

}  // namespace archwright::surface
