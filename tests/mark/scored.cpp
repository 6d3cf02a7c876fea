#include "tests/mark/scored.hpp"

#include <algorithm>

#include "engine/mark/polyline.hpp"

namespace archwright::tests {

Score score(const std::vector<mark::InkMark>& found, const std::vector<Drawn>& drawn) {
    Score result;
    std::vector<bool> used(found.size(), false);
    constexpr double near_mm = 2.5, enough = 0.8, beside_mm = 1.5;
    for (const Drawn& one : drawn) {
        ++result.drawn;
        if (one.line.empty()) {
            double best = 1e9;
            for (std::size_t k = 0; k < found.size(); ++k) {
                if (found[k].kind == mark::Kind::line) continue;
                Vec3 centre = Vec3::Zero();
                for (const Vec3& p : found[k].points)
                    centre += p / static_cast<double>(found[k].points.size());
                const double d = (centre - one.centre).norm();
                if (d > one.size_mm + beside_mm) continue;
                used[k] = true;
                best = std::min(best, d);
            }
            if (best < 1e9) {
                ++result.found;
                result.spot_mm.push_back(best);
            }
            continue;
        }
        std::vector<bool> met(one.line.size(), false);
        double sum = 0.0, count = 0.0;
        for (std::size_t k = 0; k < found.size(); ++k) {
            if (found[k].kind == mark::Kind::spot) continue;
            const bool closed = found[k].kind == mark::Kind::area;
            const auto points = mark::resampled(found[k].points, 0.5, closed);
            double off = 0.0, near = 0.0;
            for (const Vec3& p : points) {
                const double d = mark::distance(one.line, one.closed, p);
                if (d > near_mm) continue;
                off += d;
                near += 1.0;
            }
            if (near < 0.5 * static_cast<double>(points.size())) continue;
            used[k] = true;
            sum += off;
            count += near;
            for (std::size_t i = 0; i < one.line.size(); ++i)
                if (mark::distance(points, closed, one.line[i]) <= near_mm) met[i] = true;
        }
        const double share =
            static_cast<double>(std::count(met.begin(), met.end(), true)) / static_cast<double>(met.size());
        if (share < enough) continue;
        ++result.found;
        result.covered.push_back(share);
        result.line_mm.push_back(sum / count);
    }
    for (const bool each : used) result.false_marks += each ? 0 : 1;
    return result;
}

}  // namespace archwright::tests
