#include "engine/base/parallel.hpp"
#include "engine/base/units.hpp"
#include "engine/mill/passes.hpp"

namespace archwright::mill {

namespace {

constexpr double touching_mm = 1e-6;  // above the floor by this: on the mesh
constexpr double least_run_mm = 0.3;
constexpr double look_mm = 0.5;        // between places where a line midway is asked for
constexpr double hollow_share = 0.2;   // of its height a cusp in a hollow is higher by
constexpr double steepest_deg = 70.0;  // a line midway stands no nearer than waterlines on steeper walls
constexpr double midway_deg = 25.0;    // between lines further apart than this slope makes them: one more

std::vector<std::pair<double, double>> across(const Area& where, double y) {
    std::vector<double> crossings;
    for (const Loop& loop : where)
        for (std::size_t i = 0; i < loop.size(); ++i) {
            const Vec2 &a = loop[i], &b = loop[(i + 1) % loop.size()];
            if ((a.y() > y) != (b.y() > y))
                crossings.push_back(a.x() + (b.x() - a.x()) * (y - a.y()) / (b.y() - a.y()));
        }
    std::sort(crossings.begin(), crossings.end());
    std::vector<std::pair<double, double>> spans;
    for (std::size_t i = 0; i + 1 < crossings.size(); i += 2)
        spans.emplace_back(crossings[i], crossings[i + 1]);
    return spans;
}

/// Runs of the points that satisfy `want`.
template <class Want>
void runs_of(const std::vector<Vec3>& points, const Want& want, std::vector<std::vector<Vec3>>& runs) {
    std::vector<Vec3> run;
    const auto end = [&] {
        if (run.size() > 1 && (run.back() - run.front()).norm() >= least_run_mm) runs.push_back(run);
        run.clear();
    };
    for (const Vec3& p : points) {
        if (want(p))
            run.push_back(p);
        else
            end();
    }
    end();
}

}  // namespace

std::vector<std::vector<Vec3>> parallel_lines(const Area& where, const DropGrid& drop,
                                              const LineSetting& setting) {
    double low = 1e300, high = -1e300;
    for (const Loop& loop : where)
        for (const Vec2& p : loop) {
            low = std::min(low, p.y());
            high = std::max(high, p.y());
        }
    if (!(low < high)) return {};
    const double quarter = 0.25 * setting.step;
    const int count = static_cast<int>((high - low) / quarter);
    std::vector<std::vector<std::vector<Vec3>>> lines(static_cast<std::size_t>(count) + 1);
    const double round = drop.cutter().corner_radius;
    const double steep = std::tan(radians(setting.steep_deg + 5.0)), flat = std::tan(radians(midway_deg)),
                 steepest = std::tan(radians(steepest_deg));
    parallel_for(lines.size(), 4, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const double y = low + quarter * static_cast<double>(i);
            // lines a step apart, one midway between two, one midway between those
            const bool midway = i % 4 != 0;
            const double apart = i % 2 != 0 ? quarter : 2.0 * quarter;
            // how much higher a cusp a step wide may be before this line is asked for
            const double enough = (1.0 + flat * flat) * (i % 2 != 0 ? 4.0 : 1.0);
            auto spans = across(where, y);
            if (midway) {
                // only where its neighbours lie too far apart along the slope
                std::vector<std::pair<double, double>> wanted;
                DropGrid::Near before, here, behind;
                for (const auto& [x0, x1] : spans) {
                    const int looks = static_cast<int>((x1 - x0) / look_mm) + 1;
                    for (int n = 0; n <= looks; ++n) {
                        const double x = x0 + (x1 - x0) * n / looks;
                        const double a = drop.z(x, y - apart, setting.floor, &before),
                                     b = drop.z(x, y, setting.floor, &here),
                                     c = drop.z(x, y + apart, setting.floor, &behind);
                        const double slope = std::abs(c - a) / (2.0 * apart);
                        // In a hollow of radius R the tip goes on one of R - r, and the cusp between two
                        // places s apart on it is s^2 / 8 (1 / r + 1 / (R - r)).
                        const double bend = std::max(0.0, a + c - 2.0 * b) / (apart * apart) /
                                            std::pow(1.0 + slope * slope, 1.5);
                        const double higher = (1.0 + round * bend) * (1.0 + slope * slope);
                        // steeper, waterlines do it; they stand no nearer in a hollow
                        const bool hollow = round * bend > hollow_share && slope < steepest;
                        if (!(higher > enough && (slope < steep || hollow))) continue;
                        const double from = std::max(x0, x - look_mm), to = std::min(x1, x + look_mm);
                        if (!wanted.empty() && from <= wanted.back().second)
                            wanted.back().second = to;
                        else
                            wanted.emplace_back(from, to);
                    }
                }
                spans = std::move(wanted);
            }
            for (const auto& [x0, x1] : spans) {
                const Vec3 from(x0, y, setting.floor), to(x1, y, setting.floor);
                std::vector<Vec3> points{{x0, y, drop.z(x0, y, setting.floor)}};
                follow(drop, from, to, setting.chord, points);
                runs_of(
                    points, [&](const Vec3& p) { return p.z() > setting.floor + touching_mm; }, lines[i]);
            }
            for (auto& run : lines[i]) thin_out(run, 0.5 * setting.chord);
        }
    });
    // the next line's metal lies to the left of one that runs along +x
    std::vector<std::vector<Vec3>> runs;
    bool back = setting.one_way ? setting.direction == Direction::climb : false;
    for (auto& line : lines) {
        if (line.empty()) continue;
        if (back) {
            std::reverse(line.begin(), line.end());
            for (auto& run : line) std::reverse(run.begin(), run.end());
        }
        for (auto& run : line) runs.push_back(std::move(run));
        if (!setting.one_way) back = !back;
    }
    return runs;
}

}  // namespace archwright::mill
